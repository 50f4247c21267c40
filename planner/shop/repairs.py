"""Failures by age, what they cost and the days they take."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from planner.scenario.derived import (
    DOWN_DAYS_COVERED,
    DOWN_DAYS_UNCOVERED,
    REPAIRS_SHARE_A_YEAR,
)
from planner.scenario.estimates import Array, Number, Values
from planner.scenario.schema import Equipment, Warranty
from planner.scenario.shapes import value_at
from planner.shop.calendar import Calendar

MOST_COUNTED: Final = 20.0  # failures expected, up to which they are counted one by one
LEAST: Final = 1e-17  # of a chance: what is less changes no sum of chances
MOST_DRAWN: Final = 100  # failures of a month that are drawn each on its own


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
    The law of failures is that of one machine; without one, repairs are a share of the ``price`` of
    the whole set [money].
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


@dataclass(frozen=True, kw_only=True)
class Chances:
    """Uniform numbers that decide on failures, the same whenever they are asked for.

    ``cases`` rows of ``months`` columns each, drawn from ``seed``: one choice and another see the
    same luck. ``fallen`` keeps what was worked out for a set under a warranty and the months
    in which it runs.
    """

    cases: int
    months: int
    seed: tuple[int, ...]
    fallen: dict[tuple[str, str, int], tuple[Values, Upsets]] = field(
        default_factory=dict, repr=False
    )

    def numbers(self, *what: int) -> Array:
        """Uniform numbers from 0 to 1 (cases, months) [-], one set for each question asked."""
        generator = np.random.default_rng((*self.seed, *what))
        return generator.random((self.cases, self.months))


def poisson_at(*, mean: Number, probability: Array) -> Array:
    """Number of events below which a share of cases lies, for a Poisson mean.

    Parameters
    ----------
    mean : float or array
        Expected number [-], ≥ 0.
    probability : Array
        Shares of cases [-], from 0 to below 1.

    Notes
    -----
    The least k with P(N ≤ k) ≥ p. Small means add up e^−m · m^k / k! from k = 0, which is fastest;
    for large ones e^−m is nearly 0, and the incomplete gamma function is inverted.
    """
    mean = np.asarray(mean, dtype=float)
    if mean.max(initial=0.0) > MOST_COUNTED:
        return _inverted(mean, probability)
    count = np.zeros(np.broadcast_shapes(mean.shape, np.shape(probability)))
    term = np.exp(-mean) * np.ones_like(count)
    reached = term.copy()
    number = 0
    while (beyond := (probability > reached) & (term > LEAST)).any():
        number += 1
        count += beyond
        term = term * mean / number
        reached += term
    return count


def _inverted(mean: Array, probability: Array) -> Array:
    """The same by the inverse of the distribution, put back and mended by one."""
    from scipy.special import pdtr, pdtrik

    p = np.broadcast_to(probability, np.broadcast_shapes(mean.shape, np.shape(probability)))
    with np.errstate(invalid="ignore"):  # a mean of 0 has no inverse
        count = np.ceil(np.nan_to_num(pdtrik(p, mean), nan=0.0, neginf=0.0))
    below = np.maximum(count - 1, 0)
    count = np.where(pdtr(below, mean) >= p, below, count)
    return np.asarray(np.where(pdtr(count, mean) >= p, count, count + 1))


def drawn_repairs(
    *,
    equipment: Equipment,
    warranty: Warranty,
    machines: int,
    calendar: Calendar,
    values: Values,
    chances: Chances,
) -> Upsets | None:
    """Repairs as they fall: how many a month, what each costs, how long it takes.

    None where no law of failures is given; their mean then stands in every case. Of a month with
    more than a hundred failures, those beyond cost and last what they do on average.
    """
    law = equipment.repairs
    if law is None:
        return None
    key = (equipment.name, warranty.name, int(calendar.running.sum()))  # a leased one goes back
    known = chances.fallen.get(key)
    if known is not None and known[0] is values:  # the same case with and without added work
        return known[1]
    covered = calendar.age <= values.scalar(warranty.term)
    expected = max(1, machines) * _failures(equipment, calendar.age, values) * calendar.running
    count = poisson_at(mean=expected, probability=chances.numbers(0))
    cost, days = np.asarray(values(warranty.deductible) * count * covered), np.zeros_like(count)
    for number in range(min(MOST_DRAWN, int(count.max(initial=0.0)))):
        falls = count > number
        paid, lasts = chances.numbers(1, number), chances.numbers(2, number)
        for under, of_days in ((True, law.down_days_covered), (False, law.down_days_uncovered)):
            here = falls & (covered == under)
            days[here] += value_at(of_days, lasts[here])
            if not under:
                cost[here] += value_at(law.cost, paid[here])
    if (beyond := np.maximum(count - MOST_DRAWN, 0)).any():
        cost += np.where(covered, 0.0, beyond * law.cost.mean)
        days += beyond * np.where(covered, law.down_days_covered.mean, law.down_days_uncovered.mean)
    fallen = Upsets(cost=cost, down_days=days / max(1, machines))
    chances.fallen[key] = (values, fallen)
    return fallen


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
    failures = _failures(equipment, months, values)
    each = np.where(covered, values(warranty.deductible), values(repairs.cost))
    days = np.where(covered, values(repairs.down_days_covered), values(repairs.down_days_uncovered))
    return Upsets(cost=machines * failures * each, down_days=failures * days)


def _failures(equipment: Equipment, months: Array, values: Values) -> Number:
    """Failures expected of one machine in each month of its age here [-]."""
    law = equipment.repairs
    assert law is not None
    at_start = values.scalar(equipment.age)
    end, begin = (months + at_start) / 12, (np.maximum(months - 1, 0) + at_start) / 12
    first_year, wear = values(law.in_first_year), values(law.wear)
    later = expected_failures(in_first_year=first_year, wear=wear, age=end)
    return later - expected_failures(in_first_year=first_year, wear=wear, age=begin)
