"""The kinds of value a scenario key may hold: words, months, and numbers with their unit.

Canonical units: metre, square metre, litre, kilogram, hour (work), month (calendar), kilowatt,
share (1 = 100 %) and the scenario's currency.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Final

from pydantic import BeforeValidator

from planner.scenario.estimates import Estimate
from planner.scenario.reading import Reads, fault

MOST_ENTRIES: Final = 100  # of any list


def default(written: str | float) -> Any:
    """A default as a user would write it; the schema reads it like what a user writes."""
    return written


@dataclass(frozen=True, order=True)
class Month:
    """A calendar month."""

    year: int
    month: int

    def plus(self, months: int) -> Month:
        """The month ``months`` later; negative goes back.

        Examples
        --------
        >>> str(Month(2027, 11).plus(3))
        '2028-02'
        """
        at = self.year * 12 + self.month - 1 + months
        return Month(at // 12, at % 12 + 1)

    def since(self, other: Month) -> int:
        """Whole months from ``other`` to this one."""
        return (self.year - other.year) * 12 + self.month - other.month

    def __str__(self) -> str:
        return f"{self.year:04d}-{self.month:02d}"


def month(value: Any) -> Month:
    """A month from 1950 to 2200, written ``"2027-03"``; raises a fault."""
    if isinstance(value, Month):
        return value
    found = re.fullmatch(r"([0-9]{4})-([0-9]{2})", value) if isinstance(value, str) else None
    if not found or not 1 <= int(found[2]) <= 12 or not 1950 <= int(found[1]) <= 2200:
        is_date = isinstance(value, datetime.date)
        hint = f'write "{value.year:04d}-{value.month:02d}", in quotes' if is_date else ""
        raise fault('be a month from 1950 to 2200 such as "2027-03"', value, hint)
    return Month(int(found[1]), int(found[2]))


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise fault("be words in quotes", value)
    if len(value) > 200:
        raise fault("be at most 200 characters", value)
    if any(not c.isprintable() for c in value):
        raise fault("be on one line, without control characters", value)
    return value.strip()


def currency_code(value: Any) -> str:
    """A currency code of ISO 4217 that is in use; raises a fault."""
    if not isinstance(value, str) or not re.fullmatch(r"[A-Z]{3}", value):
        hint = ""
        if isinstance(value, str) and re.fullmatch(r"[A-Za-z]{3}", value):
            hint = f'write "{value.upper()}"'
        raise fault('be a currency code of three capital letters, such as "USD"', value, hint)
    if value not in _currencies_in_use():
        raise fault("be the code of a currency in use", value)
    return value


@cache
def _currencies_in_use() -> frozenset[str]:
    """Codes of ISO 4217 that are tender somewhere, as the Unicode CLDR lists them."""
    from babel.core import get_global

    listed_by_territory = get_global("territory_currencies").values()
    entries = (entry for listed in listed_by_territory for entry in listed)
    return frozenset(code for code, _, until, is_tender in entries if not until and is_tender)


def _locale(value: Any) -> str:
    must = 'be a language and a country such as "en_US"'
    if not isinstance(value, str) or not re.fullmatch(r"[a-z]{2,3}([_-][A-Za-z0-9]{2,8})*", value):
        raise fault(must, value)
    from babel import Locale, UnknownLocaleError

    written = value.replace("-", "_")
    try:
        Locale.parse(written)
    except (UnknownLocaleError, ValueError):
        raise fault(must, value) from None
    return written


def _date(value: Any) -> datetime.date:
    if isinstance(value, str):
        try:
            return datetime.date.fromisoformat(value)
        except ValueError:
            pass
    if not isinstance(value, datetime.date) or isinstance(value, datetime.datetime):
        raise fault("be a date such as 2027-03-31", value)
    return value


def listed(value: Any) -> Any:
    """A list, empty or not; raises a fault."""
    if not isinstance(value, (list, tuple)):
        raise fault("be a list", value, _as_list(value))
    return _not_too_long(value)


def some(value: Any) -> Any:
    """A list that is not empty; raises a fault."""
    if not isinstance(value, (list, tuple)) or not value:
        raise fault("be a list with at least one entry", value, _as_list(value))
    return _not_too_long(value)


def _not_too_long(value: Sequence[Any]) -> Sequence[Any]:
    """The time of the plan grows with its entries."""
    if len(value) > MOST_ENTRIES:
        raise fault(f"hold at most {MOST_ENTRIES} entries", value, "put alike ones together")
    return value


def _as_list(value: Any) -> str:
    if isinstance(value, dict):
        return "its header stands in double brackets: [[…]]"
    return "put it in square brackets" if isinstance(value, str) else ""


Text = Annotated[str, BeforeValidator(_text)]
Texts = Annotated[tuple[Text, ...], BeforeValidator(listed)]
YearMonth = Annotated[Month, BeforeValidator(month)]
Currency = Annotated[str, BeforeValidator(currency_code)]
Date = Annotated[datetime.date, BeforeValidator(_date)]
LocaleName = Annotated[str, BeforeValidator(_locale)]

Money = Annotated[Estimate, Reads(unit="money", plain=True)]
Balance = Annotated[Estimate, Reads(unit="money", plain=True, at_least=None)]
MoneyAMonth = Annotated[Estimate, Reads(unit="money/month")]
MoneyAYear = Annotated[Estimate, Reads(unit="money/year")]
MoneyAnHour = Annotated[Estimate, Reads(unit="money/hour")]
MoneyAnOrder = Annotated[Estimate, Reads(unit="money/order")]
MoneyAnArea = Annotated[Estimate, Reads(unit="money/metre**2")]
MoneyALitre = Annotated[Estimate, Reads(unit="money/litre")]
MoneyAKilogram = Annotated[Estimate, Reads(unit="money/kilogram")]
MoneyAKilowattHour = Annotated[Estimate, Reads(unit="money/kilowatt_hour")]

Share = Annotated[Estimate, Reads(unit="share", at_most=1.0)]
TaxShare = Annotated[Estimate, Reads(unit="share", single=True, at_most=0.9)]
SignedShare = Annotated[Estimate, Reads(unit="share", single=True, at_least=-0.9, at_most=1.0)]
LossShare = Annotated[Estimate, Reads(unit="share", at_most=0.9)]
Percentage = Annotated[Estimate, Reads(unit="share", at_most=10.0)]
ShareAYear = Annotated[Estimate, Reads(unit="share/year", at_most=1.0)]
Growth = Annotated[Estimate, Reads(unit="share/year", at_least=-0.5, at_most=2.0)]
Hurdle = Annotated[Estimate, Reads(unit="share/year", at_most=5.0)]
Rate = Annotated[Estimate, Reads(unit="share/year", at_most=5.0, nominal=True)]

Months = Annotated[Estimate, Reads(unit="month", single=True, at_most=1200)]
Life = Annotated[Estimate, Reads(unit="month", single=True, at_least=1, at_most=1200)]
LifeOfPart = Annotated[Estimate, Reads(unit="month", at_least=1, at_most=1200)]
Horizon = Annotated[
    Estimate, Reads(unit="month", single=True, whole=True, at_least=1, at_most=1200)
]
Term = Annotated[Estimate, Reads(unit="month", single=True, whole=True, at_least=1, at_most=600)]
WholeMonths = Annotated[Estimate, Reads(unit="month", single=True, whole=True, at_most=600)]
Days = Annotated[Estimate, Reads(unit="day", at_most=365)]
Pause = Annotated[Estimate, Reads(unit="day", single=True, at_most=365)]
DaysAWeek = Annotated[Estimate, Reads(unit="day/week", single=True, above=0, at_most=7)]
WeeksAYear = Annotated[Estimate, Reads(unit="week/year", single=True, above=0, at_most=53)]

Length = Annotated[Estimate, Reads(unit="metre", single=True, at_most=1000)]
Size = Annotated[Estimate, Reads(unit="metre", single=True, above=0.0, at_most=1000)]
Area = Annotated[Estimate, Reads(unit="metre**2")]
AreaOfLife = Annotated[Estimate, Reads(unit="metre**2", above=0)]
AreaAnOrder = Annotated[Estimate, Reads(unit="metre**2/order", single=True)]
LengthARun = Annotated[Estimate, Reads(unit="metre/run", at_most=1000)]
LengthARoll = Annotated[Estimate, Reads(unit="metre/roll", at_most=1000)]
Volume = Annotated[Estimate, Reads(unit="litre", at_most=1000)]
VolumeADay = Annotated[Estimate, Reads(unit="litre/day", at_most=1000)]
Pack = Annotated[Estimate, Reads(unit="litre", single=True, above=0, at_most=1000)]

PieceAWeek = Annotated[Estimate, Reads(unit="piece/week", at_most=1e6)]
OrdersAWeek = Annotated[Estimate, Reads(unit="order/week", above=0, at_most=1e6)]
RunsADay = Annotated[Estimate, Reads(unit="run/day", at_most=1000)]
Voltage = Annotated[Estimate, Reads(unit="volt", single=True, above=0, at_most=1000)]
Power = Annotated[Estimate, Reads(unit="kilowatt", at_most=1000)]
Speed = Annotated[Estimate, Reads(unit="metre**2/hour", above=0.0, at_most=1e6)]
Count = Annotated[
    Estimate, Reads(unit="", plain=True, single=True, whole=True, at_least=1, at_most=1e6)
]

Hours = Annotated[Estimate, Reads(unit="hour", at_most=10_000)]
OpenHours = Annotated[Estimate, Reads(unit="hour/day", above=0, at_most=24)]
HoursAWeek = Annotated[Estimate, Reads(unit="hour/week", at_most=10_000)]
HoursADay = Annotated[Estimate, Reads(unit="hour/day", at_most=24)]
HoursAnOrder = Annotated[Estimate, Reads(unit="hour/order", at_most=100)]
HoursADesign = Annotated[Estimate, Reads(unit="hour/design", at_most=100)]
HoursAnArea = Annotated[Estimate, Reads(unit="hour/metre**2", at_most=100)]
HoursAPrint = Annotated[Estimate, Reads(unit="hour/print", at_most=24)]
