"""Failures by age, what they cost and the days they take."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.scenario.derived import (
    DOWN_DAYS_COVERED,
    DOWN_DAYS_UNCOVERED,
    REPAIRS_SHARE_A_YEAR,
)
from planner.scenario.estimates import Array, Number, Values
from planner.scenario.schema import Equipment, Warranty
from planner.shop.calendar import Calendar


def expected_failures(*, in_first_year: Number, wear: Number, age: Number) -> Number:
    """Expected number of failures up to an age, M(a) = λ·a^b [-].

    Zero at age zero; b = 1 is a constant rate, b > 1 wearing out.

    Parameters
    ----------
    in_first_year : float or array
        λ, failures expected in the first year [-], ≥ 0.
    wear : float or array
        Exponent b [-], > 0.
    age : float or array
        Age [year], ≥ 0.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 8.1.7.2 (power law model).
    """
    failures: Number = in_first_year * np.power(age, wear)
    return failures


@dataclass(frozen=True, kw_only=True)
class Upsets:
    """Repairs a month: cost of all machines [money, month-1 prices], days down of one [day]."""

    cost: Number
    down_days: Number


def expected_repairs(
    *,
    equipment: Equipment,
    warranty: Warranty,
    machines: int,
    price: Number,
    calendar: Calendar,
    horizon: int,
    runs_from: int,
    values: Values,
) -> Upsets:
    """Mean repairs of each month; in the steady month, their mean over the horizon.

    Under warranty a failure costs the deductible and the covered days; after it the mean repair
    and the uncovered days. Age counts from the first month of running, plus the age at purchase.
    The law of failures is that of one machine.
    """
    running = max(horizon - runs_from, 0)
    months = np.arange(1, running + 1, dtype=float) if calendar.is_steady else calendar.age
    by_month = _by_age(equipment, warranty, max(1, machines), price, months, values)
    if calendar.is_steady:
        return Upsets(
            cost=_mean(by_month.cost, horizon), down_days=_mean(by_month.down_days, horizon)
        )
    return Upsets(
        cost=by_month.cost * calendar.running, down_days=by_month.down_days * calendar.running
    )


def _mean(by_month: Number, horizon: int) -> Number:
    return np.asarray(np.sum(by_month, axis=-1, keepdims=True) / horizon)


def _by_age(
    equipment: Equipment,
    warranty: Warranty,
    machines: int,
    price: Number,
    months: Array,
    values: Values,
) -> Upsets:
    covered = months <= values.scalar(warranty.term)
    repairs = equipment.repairs
    if repairs is None:
        return Upsets(
            cost=np.where(covered, 0.0, REPAIRS_SHARE_A_YEAR / 12 * price),
            down_days=np.where(covered, DOWN_DAYS_COVERED, DOWN_DAYS_UNCOVERED) / 12,
        )
    at_start = values.scalar(equipment.age)
    end, begin = (months + at_start) / 12, (np.maximum(months - 1, 0) + at_start) / 12
    first_year, wear = values(repairs.in_first_year), values(repairs.wear)
    failures = expected_failures(in_first_year=first_year, wear=wear, age=end) - expected_failures(
        in_first_year=first_year, wear=wear, age=begin
    )
    each = np.where(covered, values(warranty.deductible), values(repairs.cost))
    days = np.where(covered, values(repairs.down_days_covered), values(repairs.down_days_uncovered))
    return Upsets(cost=machines * failures * each, down_days=failures * days)
