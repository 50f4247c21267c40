"""Reading one input as written into an ``Estimate``, and the marks a schema field carries."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Final

from pydantic import GetCoreSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from planner.scenario.estimates import BASES, SHAPES, Estimate
from planner.scenario.units import UnitError, factor, number_and_unit, readable

_PARTS: Final = ("low", "likely", "high", "shape", "source", "date", "basis")
_TEXT: Final = ("source", "date", "basis")


def fault(must: str, got: object = "", suggestion: str = "") -> PydanticCustomError:
    """A fault in the one form that every message has: must, got, suggestion."""
    shown = got if isinstance(got, str) and not got else repr_short(got)
    return PydanticCustomError(
        "fault", "{must}", {"must": must, "got": shown, "suggestion": suggestion}
    )


def repr_short(value: object) -> str:
    """What stands in the file, in one short line."""
    if isinstance(value, str):
        text = '"' + value + '"'
    elif isinstance(value, Mapping):
        text = "a table" if value else "an empty table"
    elif isinstance(value, (list, tuple)):
        text = f"a list of {len(value)}" if value else "an empty list"
    elif isinstance(value, bool):
        text = str(value).lower()
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
    """

    unit: str
    plain: bool = False
    single: bool = False
    whole: bool = False
    above: float | None = None
    at_least: float | None = 0.0
    at_most: float | None = None
    nominal: bool = False

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self._validate)

    def _validate(self, value: Any, info: ValidationInfo) -> Estimate:
        if isinstance(value, Estimate):
            return value
        currency = (info.context or {}).get("currency", "")
        if isinstance(value, Mapping):
            return self._range(value, currency)
        return Estimate(
            likely=self.number(value, currency), unit=self.unit, written=_written(value)
        )

    def number(self, value: Any, currency: str) -> float:
        """One number in the canonical unit; raises a fault that says what it must be."""
        number = self._in_canonical_unit(value, currency)
        if not math.isfinite(number):
            raise fault("be a finite number", value)
        if self.above is not None and number <= self.above:
            raise fault(f"be more than {self._limit(self.above, currency)}", value)
        if self.at_least is not None and number < self.at_least:
            raise fault(f"be at least {self._limit(self.at_least, currency)}", value)
        if self.at_most is not None and number > self.at_most * (1 + 1e-12):
            raise fault(f"be at most {self._limit(self.at_most, currency)}", value)
        if self.whole and abs(number - round(number)) > 1e-6:
            raise fault(f"be a whole number of {self._plural}", value)
        return number

    @cached_property
    def is_share(self) -> bool:
        """Whether the field is a percentage."""
        return self.unit.startswith("share")

    @property
    def _plural(self) -> str:
        return {"month": "months", "": "things"}.get(self.unit, self.unit)

    def _limit(self, limit: float, currency: str) -> str:
        if self.is_share:
            return f"{limit * 100:g} {readable(self.unit, currency)}"
        return f"{limit:g} {readable(self.unit, currency)}".strip()

    def example(self, currency: str) -> str:
        """A unit as a user would write it, for messages."""
        wanted = readable(self.unit, currency)
        if self.is_share:
            return f'a percentage such as "12 {wanted}"'
        if self.plain:
            return "a number" if self.unit == "" else f"an amount of money in {currency}"
        return f'a number and a unit such as "1 {wanted}"'

    def _in_canonical_unit(self, value: Any, currency: str) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float, str)):
            raise fault(f"be {self.example(currency)}", value)
        if not isinstance(value, str):
            return self._plain_number(value, currency)
        try:
            number, unit = number_and_unit(value)
            if not unit:
                return self._plain_number(number, currency, value)
            if self.unit == "":
                raise fault("be a plain number", value)
            return self._with_unit(number, unit, currency)
        except UnitError as why:
            said = f"be {self.example(currency)}" if str(why) == "be a number and a unit" else why
            raise fault(str(said), value, why.suggestion) from None
        except OverflowError:
            raise fault("be a finite number", value) from None

    def _plain_number(self, number: float, currency: str, written: object = None) -> float:
        got = number if written is None else written
        if self.plain or (number == 0 and (self.is_share or self.unit.startswith("money"))):
            try:
                return float(number)
            except OverflowError:
                raise fault("be a finite number", got) from None
        suggestion = ""
        if self.is_share and 0 < abs(number) < 1:
            suggestion = f'if you mean {number:.4g} of the whole, write "{number * 100:.4g} %"'
        raise fault(f"be {self.example(currency)}", got, suggestion)

    def _with_unit(self, number: float, unit: str, currency: str) -> float:
        effective = re.fullmatch(r"(.*\S)\s+effective", unit) if self.nominal else None
        if effective:
            yearly = number * factor(effective.group(1), self.unit, currency)
            if yearly <= -1:
                raise fault("be more than -100 %", f"{number} {unit}")
            return float(12 * ((1 + yearly) ** (1 / 12) - 1))
        return number * factor(unit, self.unit, currency)

    def _range(self, table: Mapping[str, Any], currency: str) -> Estimate:
        for name in table:
            if name not in _PARTS:
                raise fault(f"hold only {', '.join(_PARTS)}", name)
        if "likely" not in table:
            raise fault('hold at least "likely"', table)
        for name in ("low", "high"):
            if (name in table) != ("low" in table):
                raise fault('hold both "low" and "high", or neither', table)
        parts = {
            name: self.number(table[name], currency)
            for name in ("low", "likely", "high")
            if name in table
        }
        low, likely, high = (parts.get(name, parts["likely"]) for name in ("low", "likely", "high"))
        shown = " / ".join(str(table.get(n, "")) for n in ("low", "likely", "high"))
        if not low <= likely <= high:
            raise fault("have low ≤ likely ≤ high", shown)
        if self.single and low < high:
            raise fault("be one value; a range has no meaning here", shown)
        shape = table.get("shape", "pert")
        if shape not in SHAPES:
            raise fault(f"have a shape that is one of {', '.join(SHAPES)}", shape)
        if shape == "lognormal" and low <= 0:
            raise fault("be above zero throughout to be lognormal", shown)
        estimate = Estimate(
            likely=likely, low=low, high=high, unit=self.unit, shape=shape, written=shown
        )
        return with_origin(estimate, {name: table[name] for name in _TEXT if name in table})


def with_origin(estimate: Estimate, origin: Mapping[str, Any]) -> Estimate:
    """The estimate with source, date and basis as far as it has none of its own."""
    basis = origin.get("basis")
    if basis is not None and basis not in BASES:
        raise fault(f"have a basis that is one of {', '.join(BASES)}", basis)
    source, date = origin.get("source", ""), origin.get("date", "")
    if not isinstance(source, str):
        raise fault("have a source in words", source)
    if not isinstance(date, (str, datetime.date)):
        raise fault("have a date such as 2027-03-31", date)
    return replace(
        estimate,
        basis=estimate.basis or basis,
        source=estimate.source or source,
        date=estimate.date or str(date),
    )


def _written(value: Any) -> str:
    return value.strip() if isinstance(value, str) else f"{value:g}" if value else "0"
