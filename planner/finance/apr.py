"""Annual percentage rate by the actuarial method of US Regulation Z, Appendix J."""

from calendar import monthrange
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeAlias

import numpy as np

from .roots import bracketed_roots
from .types import Array

Unit: TypeAlias = Literal["day", "week", "semimonth", "month", "quarter", "half-year", "year"]

UNITS_PER_YEAR: dict[Unit, int] = {
    "day": 365,
    "week": 52,
    "semimonth": 24,
    "month": 12,
    "quarter": 4,
    "half-year": 2,
    "year": 1,
}
"""Unit-periods in a year, paragraphs (b)(5)(ii) to (v) [1/year]."""


@dataclass(frozen=True)
class TimedAmount:
    """An advance or a payment and when it falls.

    Attributes
    ----------
    amount : float
        Size of the advance or payment [money], 0 or more.
    units : int
        Full unit-periods after the first advance [-].
    fraction : float
        Fraction of a unit-period on top [-], 0 to below 1.
    """

    amount: float
    units: int
    fraction: float = 0.0


def annual_percentage_rate(
    *,
    advances: Sequence[TimedAmount],
    payments: Sequence[TimedAmount],
    unit_periods_per_year: float,
) -> float:
    """The nominal rate a year at which payments repay advances.

    Fees paid at signing are taken off the first advance by the caller.

    Parameters
    ----------
    advances, payments : sequence of TimedAmount
        What is lent and what is paid back.
    unit_periods_per_year : float
        Unit-periods in a year [1/year].

    Returns
    -------
    float
        Annual percentage rate as a fraction [1/year]: 0.0969 is 9.69 %.

    Raises
    ------
    ValueError
        If no rate between -99 % and 10,000 % a unit-period makes the two sides equal.

    Notes
    -----
    Sum of advance / [(1 + f i)(1 + i)^t] = sum of payment / [(1 + f i)(1 + i)^t], paragraph
    (b)(8); the rate a year is i times the unit-periods in a year. Where several rates would do, the
    one nearest to zero is given.

    Examples
    --------
    5,000 repaid in 24 monthly payments of 230 (Appendix J (c)(1)(i), 9.69 %; matches):

    >>> rate = annual_percentage_rate(
    ...     advances=[TimedAmount(5_000, 0)],
    ...     payments=[TimedAmount(230, month) for month in range(1, 25)],
    ...     unit_periods_per_year=12,
    ... )
    >>> round(100 * rate, 2)
    9.69

    References
    ----------
    12 CFR 1026, Appendix J, (b).
    """
    flows = [(a.amount, a.units, a.fraction) for a in advances]
    flows += [(-p.amount, p.units, p.fraction) for p in payments]
    amount, units, fraction = np.array(flows, dtype=np.float64).T

    def difference(growth: Array) -> Array:
        rate = growth[:, np.newaxis] - 1.0
        return np.asarray((amount / ((1.0 + fraction * rate) * (1.0 + rate) ** units)).sum(axis=-1))

    edges = np.concatenate([np.geomspace(0.01, 1.0, 200), np.geomspace(1.0, 101.0, 400)[1:]])
    signs = np.sign(difference(edges))
    crossings = np.flatnonzero(signs[:-1] * signs[1:] <= 0.0)
    if crossings.size == 0:
        raise ValueError("payments must repay advances at some rate, found none")
    nearest = crossings[np.argmin(np.abs(edges[crossings] + edges[crossings + 1] - 2.0))]
    low, high = edges[nearest : nearest + 1], edges[nearest + 1 : nearest + 2]
    growth = bracketed_roots(function=difference, low=low, high=high)
    return float(unit_periods_per_year * (growth[0] - 1.0))


def unit_periods_between(*, date_from: date, date_to: date, unit: Unit) -> tuple[int, float]:
    """Full unit-periods between two dates, and the fraction left over.

    Parameters
    ----------
    date_from, date_to : date
        The earlier and the later date; the same date gives (0, 0.0).
    unit : str
        "day", "week", "semimonth", "month", "quarter", "half-year" or "year".

    Returns
    -------
    tuple of int and float
        Full unit-periods [-] and fraction [-], 0 to below 1 except that a month's fraction of 30 or
        more days is what days / 30 gives.

    Raises
    ------
    ValueError
        If `date_to` is before `date_from`.

    Notes
    -----
    Whole months are counted back from the later date, days left over forward from the earlier one.

    References
    ----------
    12 CFR 1026, Appendix J, (b)(5).
    """
    if date_to < date_from:
        raise ValueError(f"date_to must not be before date_from ({date_from}), got {date_to}")
    if unit in ("day", "week"):
        length = 7 if unit == "week" else 1
        full, days = divmod((date_to - date_from).days, length)
        return full, days / length
    months, days = _months_and_days(date_from, date_to)
    if unit == "month":
        return months, days / 30
    if unit == "year":
        full, months = divmod(months, 12)
        if days == 0:
            return full, months / 12
        return full, (_months_before(date_to, 12 * full) - date_from).days / 365
    length = {"semimonth": 15, "quarter": 90, "half-year": 180}[unit]
    full, days = divmod(30 * months + days, length)
    return full, days / length


def _months_and_days(date_from: date, date_to: date) -> tuple[int, int]:
    """Whole months counted back from the later date, and the days before them.

    The last day of a month too short to have the earlier date's day stands for that day.
    """
    months = 12 * (date_to.year - date_from.year) + date_to.month - date_from.month
    if date_to.day < date_from.day and date_to.day == _days_in_month(date_to):
        return months, 0
    if _months_before(date_to, months) < date_from:
        months -= 1
    return months, (_months_before(date_to, months) - date_from).days


def _months_before(day: date, months: int) -> date:
    """The date so many months earlier: the same day, or the last day of a shorter month."""
    year, month = divmod(12 * day.year + day.month - 1 - months, 12)
    first = date(year, month + 1, 1)
    return first.replace(day=min(day.day, _days_in_month(first)))


def _days_in_month(day: date) -> int:
    return monthrange(day.year, day.month)[1]
