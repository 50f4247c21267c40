"""Reading one input as written into an ``Estimate``, and the marks a schema field carries."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final

from pydantic import GetCoreSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from planner.scenario.estimates import BASES, SHAPES, Estimate
from planner.scenario.units import NOT_A_QUANTITY, UnitError, factor, number_and_unit, readable

_PARTS: Final = ("low", "likely", "high", "shape", "source", "date", "basis")
_ONE_VALUE: Final = "be one value; a range has no meaning here"
_TEXT: Final = ("source", "date", "basis")
_NOTHING: Final = object()
LARGEST: Final = 1e12  # of any input; keeps cents exact and products finite
SMALLEST: Final = 1e-9  # of an input that must be more than zero
LONGEST: Final = 60  # characters of a number and its unit; messages and tables show them


class Shown(str):
    """Text that a message shows without quotes."""

    __slots__ = ()


def fault(must: str, got: object = _NOTHING, suggestion: str = "") -> PydanticCustomError:
    """A fault in the one form that every message has: must, got, suggestion."""
    shown = "" if got is _NOTHING else repr_short(got)
    return PydanticCustomError(
        "fault", "{must}", {"must": must, "got": shown, "suggestion": suggestion}
    )


def repr_short(value: object) -> str:
    """What stands in the file, in one short line."""
    if isinstance(value, Shown):
        text = value[:60]
    elif isinstance(value, str):
        text = '"' + value[:60] + '"'
    elif isinstance(value, Mapping):
        text = "a table" if value else "an empty table"
    elif isinstance(value, (list, tuple)):
        text = f"a list of {len(value)}" if value else "an empty list"
    elif isinstance(value, bool):
        text = str(value).lower()
    elif isinstance(value, int) and abs(value) >= 10**60:
        text = "a huge number"
    else:
        text = str(value)
    text = "".join(c if c.isprintable() else "\ufffd" for c in text)
    return text if len(text) <= 60 else text[:57] + "…"


@dataclass(frozen=True, kw_only=True)
class Reads:
    """How a numeric field is read: its canonical unit, its limits, what may be left out.

    ``plain``: a number without a unit is understood (money, counts). ``single``: no range is
    meaningful (sizes, whole months). ``above``/``at_least``/``at_most`` bound every part in the
    canonical unit. ``nominal``: an interest rate; "effective" may follow the unit.
    ``enters_as_mean``: the plan takes the mean of a range, because it is an expected value.
    """

    unit: str
    plain: bool = False
    single: bool = False
    whole: bool = False
    above: float | None = None
    at_least: float | None = 0.0
    at_most: float = LARGEST
    nominal: bool = False
    enters_as_mean: bool = False

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self._validate)

    def _validate(self, value: Any, info: ValidationInfo) -> Estimate:
        return self.estimate(value, currency=(info.context or {}).get("currency", ""))

    def estimate(self, value: Any, *, currency: str) -> Estimate:
        """One value or a table of low, likely and high in the canonical unit; raises a fault."""
        if isinstance(value, Estimate):
            return value
        if isinstance(value, Mapping):
            return replace(
                self._range(value, currency),
                enters_as_mean=self.enters_as_mean,
                least=self.least,
                most=self.at_most,
            )
        if isinstance(value, str):
            return _estimate(self, value, currency)
        return self._one_value(value, currency)

    def _one_value(self, value: Any, currency: str) -> Estimate:
        return Estimate(
            likely=self.number(value, currency), unit=self.unit, written=_written(value)
        )

    def number(self, value: Any, currency: str) -> float:
        """One number in the canonical unit; raises a fault that says what it must be."""
        number = self._in_canonical_unit(value, currency)
        if not math.isfinite(number):
            raise fault("be a finite number", value)
        if self.above is not None and number < self.above + SMALLEST:
            raise fault(f"be more than {self._limit(self.above, currency)}", value)
        if number < self.least:
            raise fault(f"be at least {self._limit(self.least, currency)}", value)
        if number > self.at_most * (1 + 1e-12):
            raise fault(f"be at most {self._limit(self.at_most, currency)}", value)
        if self.whole and abs(number - round(number)) > 1e-6:
            raise fault(f"be a whole number{' of months' if self.unit == 'month' else ''}", value)
        return number

    @property
    def least(self) -> float:
        """The lowest number that is allowed, in the canonical unit."""
        if self.above is not None:
            return self.above + SMALLEST
        return -LARGEST if self.at_least is None else self.at_least

    @property
    def is_share(self) -> bool:
        """Whether the field is a percentage."""
        return self.unit.startswith("share")

    def _limit(self, limit: float, currency: str) -> str:
        shown = limit * 100 if self.is_share else limit
        unit = readable(self.unit, currency)
        if limit > 0 and self.unit == "month" and limit % 12 == 0:
            unit = f"{unit}s"
        return f"{shown:.15g} {unit}".strip()

    def example(self, currency: str) -> str:
        """What to write, for messages: a percentage, an amount of money, a number and a unit."""
        wanted = readable(self.unit, currency)
        if self.is_share:
            return f'a percentage such as "12 {wanted}"'
        if self.plain:
            money = f"an amount of money in {currency}" if currency else "an amount of money"
            return "a number" if self.unit == "" else money
        return f'a number and a unit such as "1 {wanted}"'

    def _in_canonical_unit(self, value: Any, currency: str) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float, str)):
            raise fault(f"be {self.example(currency)}", value)
        if not isinstance(value, str):
            return self._plain_number(value, currency, value)
        if len(value.strip()) > LONGEST:
            raise fault(f"be {self.example(currency)}", value, f"in at most {LONGEST} characters")
        try:
            number, unit = number_and_unit(value)
            if not unit:
                return self._plain_number(number, currency, value)
            if self.unit == "":
                raise fault("be a number without a unit", value)
            return self._with_unit(number, unit, currency)
        except UnitError as why:
            said = f"be {self.example(currency)}" if str(why) == NOT_A_QUANTITY else str(why)
            raise fault(said, value, why.suggestion) from None

    def _plain_number(self, number: float, currency: str, written: object) -> float:
        if self.plain or (number == 0 and (self.is_share or self.unit.startswith("money"))):
            try:
                return float(number)
            except OverflowError:
                return math.inf
        raise fault(f"be {self.example(currency)}", written, self._reading_of(number, currency))

    def _reading_of(self, number: float, currency: str) -> str:
        """What a number without a unit may have meant."""
        if not self.is_share or not abs(number) < LARGEST:
            return ""
        unit = readable(self.unit, currency)
        if abs(number) / 100 > self.at_most:
            most = self._limit(self.at_most, currency)
            return f"{number:.12g} is no share: as per cent it is more than {most}"
        if abs(number) < 1:
            return f'if you mean {number:.4g} of the whole, write "{number * 100:.4g} {unit}"'
        return f'if you mean per cent, write "{number:.4g} {unit}"'

    def _with_unit(self, number: float, unit: str, currency: str) -> float:
        if self.nominal and re.fullmatch(r"%\s*(/|per)\s*year\s+effective", unit):
            if number <= -100:
                raise fault("be more than -100 %/year effective", Shown(f"{number:g} {unit}"))
            return float(12 * ((1 + number / 100) ** (1 / 12) - 1))
        return number * factor(unit, self.unit, currency)

    def _range(self, table: Mapping[str, Any], currency: str) -> Estimate:
        if self.single and "likely" not in table and {"low", "high"} & set(table):
            ends = " / ".join(str(table[name]) for name in ("low", "high") if name in table)
            raise fault(_ONE_VALUE, Shown(ends))
        _check_parts(table)
        low, likely, high = (
            self.number(table.get(name, table["likely"]), currency)
            for name in ("low", "likely", "high")
        )
        shown = _shown(table)
        if not low <= likely <= high:
            raise fault("have low ≤ likely ≤ high", Shown(shown))
        if self.single and low < high:
            raise fault(_ONE_VALUE, Shown(shown))
        shape = table.get("shape", "pert")
        if shape not in SHAPES:
            raise fault(f"have a shape that is one of {', '.join(SHAPES)}", shape)
        if shape == "lognormal" and low <= 0:
            raise fault("be above zero throughout to be lognormal", Shown(shown))
        estimate = Estimate(
            likely=likely, low=low, high=high, unit=self.unit, shape=shape, written=shown
        )
        return with_origin(estimate, _origin(table))


@lru_cache(maxsize=4096)  # defaults, and what stands in files that are read anew
def _estimate(reads: Reads, text: str, currency: str) -> Estimate:
    return reads._one_value(text, currency)


def _check_parts(table: Mapping[str, Any]) -> None:
    for name in table:
        if name not in _PARTS:
            raise fault(f"hold only {', '.join(_PARTS)}", name)
    if "likely" not in table:
        raise fault('hold at least "likely"', table)
    if ("low" in table) != ("high" in table):
        raise fault('hold both "low" and "high", or neither', table)


def _shown(table: Mapping[str, Any]) -> str:
    """A range as a user would say it: low / likely / high, or the one value."""
    names = ("low", "likely", "high") if "low" in table else ("likely",)
    return " / ".join(_written(table[name]) for name in names)


def _origin(table: Mapping[str, Any]) -> dict[str, str]:
    """Where a number comes from, checked."""
    basis = table.get("basis", "")
    if "basis" in table and basis not in BASES:
        raise fault(f"have a basis that is one of {', '.join(BASES)}", basis)
    return {
        "basis": basis,
        "source": sourced(table.get("source", "")),
        "date": dated(table.get("date", "")),
    }


def sourced(value: Any) -> str:
    """A source in words, on one line; may be empty; raises a fault."""
    if not isinstance(value, str) or len(value) > 500 or any(not c.isprintable() for c in value):
        raise fault("have a source in words, on one line", value)
    return value.strip()


def dated(value: Any) -> str:
    """A date, as TOML writes it or in words; may be empty; raises a fault."""
    if isinstance(value, datetime.date):
        return value.isoformat()
    if not isinstance(value, str) or len(value) > 40 or any(not c.isprintable() for c in value):
        raise fault("have a date such as 2027-03-31", value)
    return value.strip()


def with_origin(estimate: Estimate, origin: Mapping[str, Any]) -> Estimate:
    """The estimate with source, date and basis as far as it has none of its own."""
    more = {
        name: origin[name] for name in _TEXT if origin.get(name) and not getattr(estimate, name)
    }
    return replace(estimate, **more) if more else estimate


def _written(value: Any) -> str:
    return value.strip() if isinstance(value, str) else f"{value:.12g}"
