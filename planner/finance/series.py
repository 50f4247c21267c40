"""Value and return of a series of flows: present value, rates of return, payback.

Money in is positive, money out negative. The first flow stands at time 0, the others at the ends
of periods 1, 2, ... Time is the last axis; any axes before it are kept. Rates are per period.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from .roots import DUST, series_roots, sums_to_zero
from .types import Array, Flags, Number

LOWEST_MONTHLY = (1.0 - 0.99) ** (1.0 / 12.0) - 1.0
"""The monthly rate that loses 99 % a year [1/month]: rates at or below it are not looked for."""


class RateStatus(IntEnum):
    """What is known of a rate of return."""

    NONE = 0  # no rate above the lowest makes the present value zero
    FOUND = 1  # there is exactly one
    SEVERAL = 2  # there is more than one


@dataclass(frozen=True, eq=False)
class Rates:
    """Rates of return, one a row of flows.

    Attributes
    ----------
    value : Array
        Rate per period [1/period], NaN where the status is NONE.
    status : Array of int
        A `RateStatus` for each rate.
    """

    value: Array
    status: NDArray[np.int8]


@dataclass(frozen=True, eq=False)
class Ratios:
    """Ratios that do not exist everywhere.

    Attributes
    ----------
    value : Array
        The ratio [-], NaN where it does not exist.
    exists : Array of bool
        Whether it exists.
    reason : str
        Why it does not exist where it does not.
    """

    value: Array
    exists: Flags
    reason: str


@dataclass(frozen=True, eq=False)
class Payback:
    """When the cumulative flow turns for good.

    Attributes
    ----------
    months : Array
        Time of payback [period], 0 where the cumulative flow is never below zero, NaN where it is
        not reached.
    reached : Array of bool
        Whether it is reached by the last flow.
    shortfall : Array
        What is then still missing [money], above 0 where payback is not reached, else 0.
    """

    months: Array
    reached: Flags
    shortfall: Array


def discount_factors(*, rate: Number, count: int) -> Array:
    """Worth at time 0 of one unit of money at times t = 0, 1, ..., count - 1: (1 + rate)^-t.

    Parameters
    ----------
    rate : float or Array
        Rate per period [1/period], above -1; an array (draws,) gives factors (draws, count).
    count : int
        Number of times, the first being time 0 [-].

    Returns
    -------
    Array
        Factors (..., count) [-].
    """
    growth = 1.0 + np.asarray(rate, dtype=np.float64)[..., np.newaxis]
    return np.asarray(growth ** -np.arange(count, dtype=np.float64))


def net_present_value(*, flows: Array, rate: Number) -> Array:
    """Present value of flows, the first of which stands at time 0 and is not discounted.

    At rate 0 it is the plain sum.

    Parameters
    ----------
    flows : Array
        Signed flows (..., periods + 1) [money].
    rate : float or Array
        Rate per period [1/period], above -1; one for all rows or one a row.

    Returns
    -------
    Array
        Present values (...) [money].

    Notes
    -----
    NPV = sum over t of flow_t / (1 + rate)^t. Spreadsheets' NPV puts the first flow at time 1.

    Examples
    --------
    The example of numpy-financial's documentation (3065.22; matches):

    >>> flows = np.array([-40_000.0, 5_000, 8_000, 12_000, 30_000])
    >>> round(float(net_present_value(flows=flows, rate=0.08)), 2)
    3065.22
    """
    flows = np.asarray(flows, dtype=np.float64)
    factors = discount_factors(rate=rate, count=flows.shape[-1])
    return np.asarray(np.einsum("...t,...t->...", flows, factors))


def internal_rates(*, flows: Array, lowest: float = LOWEST_MONTHLY) -> tuple[float, ...]:
    """Every rate at which one series of flows has a present value of zero.

    None where all flows have one sign. A rate where the present value touches zero without
    changing sign is given once. None is missed, but rates that differ by less than a millionth of
    1 + rate are given as one.

    Parameters
    ----------
    flows : Array
        One row of signed flows (periods + 1,) [money].
    lowest : float
        Rates above this one are wanted [1/period], above -1; the default is -99 % a year for
        monthly flows.

    Returns
    -------
    tuple of float
        The rates in rising order [1/period].

    Raises
    ------
    ValueError
        If `flows` is not one row.

    Examples
    --------
    Flows with two rates (numpy-financial's documentation of several rates; matches):

    >>> [round(rate, 9) for rate in internal_rates(flows=np.array([-100.0, 230.0, -132.0]))]
    [0.1, 0.2]
    """
    flows = np.asarray(flows, dtype=np.float64)
    if flows.ndim != 1:
        raise ValueError(f"flows must be one row, got shape {flows.shape}")
    _, rates = _every_rate(flows[np.newaxis], lowest)
    return tuple(sorted(rates.tolist()))


def internal_rate(*, flows: Array, lowest: float = LOWEST_MONTHLY) -> Rates:
    """The rate of return of each row of flows, the one nearest to zero where several exist.

    Parameters
    ----------
    flows : Array
        Signed flows (..., periods + 1) [money].
    lowest : float
        Rates above this one are wanted [1/period], above -1.

    Returns
    -------
    Rates
        Value and status (...): NaN and NONE where no rate exists; SEVERAL where more than one
        does, all of which `internal_rates` gives.
    """
    flows = np.asarray(flows, dtype=np.float64)
    rows = flows.reshape(-1, flows.shape[-1])
    row, rate = _every_rate(rows, lowest)
    order = np.lexsort((-np.abs(rate), row))  # the last one written is nearest to zero
    value = np.full(rows.shape[0], np.nan)
    value[row[order]] = rate[order]
    found = np.bincount(row, minlength=rows.shape[0])
    status = np.minimum(found, RateStatus.SEVERAL).astype(np.int8)
    return Rates(value.reshape(flows.shape[:-1]), status.reshape(flows.shape[:-1]))


def _every_rate(rows: Array, lowest: float) -> tuple[NDArray[np.intp], Array]:
    """The row of each rate above the lowest, and the rate.

    A rate above zero is a root w = 1 / (1 + rate) below one of sum flow_t w^t. A rate below zero
    is the same for the flows in reverse order, with w = 1 + rate.
    """
    gaining, above = series_roots(rows)
    losing, below = series_roots(rows[:, ::-1])
    level = np.flatnonzero(sums_to_zero(rows))
    row = np.concatenate([gaining, losing, level])
    rate = np.concatenate([1.0 / above - 1.0, below - 1.0, np.zeros(level.size)])
    return row[rate > lowest], rate[rate > lowest]


def modified_internal_rate(*, flows: Array, finance_rate: Number, reinvest_rate: Number) -> Rates:
    """The rate that turns the outlays' present value into the incomes' final value.

    With no income at all it is -1 (everything is lost); with no outlay there is none.

    Parameters
    ----------
    flows : Array
        Signed flows (..., periods + 1) [money].
    finance_rate : float or Array
        Rate at which outlays are discounted to time 0 [1/period].
    reinvest_rate : float or Array
        Rate at which incomes are carried to the last period [1/period].

    Returns
    -------
    Rates
        Value [1/period] and status FOUND or NONE (...).

    Notes
    -----
    ((final value of incomes) / (present value of outlays))^(1 / periods) - 1. With both rates
    equal to r this is (1 + r) S^(1 / periods) - 1, S being present incomes over present outlays.
    """
    flows = np.asarray(flows, dtype=np.float64)
    periods = flows.shape[-1] - 1
    outlay = -net_present_value(flows=np.minimum(flows, 0.0), rate=finance_rate)
    income = net_present_value(flows=np.maximum(flows, 0.0), rate=reinvest_rate)
    exists = outlay > 0.0
    growth = (income / np.where(exists, outlay, 1.0)) ** (1.0 / periods)
    value = np.where(exists, growth * (1.0 + np.asarray(reinvest_rate)) - 1.0, np.nan)
    status = np.where(exists, RateStatus.FOUND, RateStatus.NONE).astype(np.int8)
    return Rates(value, status)


def profitability_index(*, flows: Array, rate: Number) -> Ratios:
    """What one unit of the outlay at time 0 brings back in present value.

    Parameters
    ----------
    flows : Array
        Signed flows (..., periods + 1) [money].
    rate : float or Array
        Rate per period [1/period].

    Returns
    -------
    Ratios
        1 + NPV ÷ outlay [-], the outlay being what is paid at time 0; it does not exist where
        nothing is paid then.
    """
    outlay = -np.asarray(flows, dtype=np.float64)[..., 0]
    exists = outlay > 0.0
    gain = net_present_value(flows=flows, rate=rate) / np.where(exists, outlay, 1.0)
    value = np.where(exists, 1.0 + gain, np.nan)
    return Ratios(value, np.asarray(exists), "nothing is paid at time 0")


def equivalent_periodic_cost(*, present_cost: Number, rate: Number, periods: Number) -> Array:
    """The level cost at the end of each period that has the given present cost.

    At rate 0 it is the present cost shared out evenly.

    Parameters
    ----------
    present_cost : float or Array
        Present value to spread [money].
    rate : float or Array
        Rate per period [1/period], above -1.
    periods : float or Array
        Number of periods [period], above 0.

    Returns
    -------
    Array
        Cost a period [money/period].

    Raises
    ------
    ValueError
        If `periods` is not above 0.

    Notes
    -----
    cost = present cost x rate / (1 - (1 + rate)^-periods).
    """
    periods = np.asarray(periods, dtype=np.float64)
    if np.any(periods <= 0.0):
        raise ValueError(f"periods must be above 0, got {periods.min():g}")
    rate = np.asarray(rate, dtype=np.float64)
    some = np.where(rate == 0.0, 1.0, rate)
    annuity = np.where(rate == 0.0, periods, -np.expm1(-periods * np.log1p(some)) / some)
    return np.asarray(np.asarray(present_cost, dtype=np.float64) / annuity)


def payback(*, flows: Array) -> Payback:
    """First time at which the cumulative flow is at or above zero and stays so to the end.

    Parameters
    ----------
    flows : Array
        Signed flows (..., periods + 1) [money].

    Returns
    -------
    Payback
        Months, whether reached, and shortfall (...). Flows that never leave the cumulative flow
        below zero are paid back at 0.

    Notes
    -----
    Within the period of the crossing the flow is taken to come in evenly.

    Examples
    --------
    150,000 and 20,000 a year: 7.5 years (Principles of Accounting vol. 2, OpenStax, 11.2; matches):

    >>> float(payback(flows=np.array([-150_000.0] + 8 * [20_000.0])).months)
    7.5
    """
    flows = np.asarray(flows, dtype=np.float64)
    total = np.cumsum(flows, axis=-1)
    dust = DUST * np.abs(flows).sum(axis=-1, keepdims=True)  # sums this small are only rounding
    below = total < -dust
    last = total.shape[-1] - 1 - np.argmax(below[..., ::-1], axis=-1)[..., np.newaxis]
    after = np.minimum(last + 1, total.shape[-1] - 1)
    owed = -np.take_along_axis(total, last, axis=-1)
    then = np.take_along_axis(total, after, axis=-1)
    step = (np.where(np.abs(then) <= dust, 0.0, then) + owed)[..., 0]
    last, owed = last[..., 0], owed[..., 0]
    reached = ~below[..., -1]
    crossed = below.any(axis=-1) & reached
    months = np.where(crossed, last + owed / np.where(crossed, step, 1.0), 0.0)
    return Payback(
        months=np.where(reached, months, np.nan),
        reached=np.asarray(reached),
        shortfall=np.where(reached, 0.0, -total[..., -1]),
    )


def discounted_payback(*, flows: Array, rate: Number) -> Payback:
    """Payback of flows that are first discounted to time 0: flow_t · (1 + rate)^-t.

    Parameters
    ----------
    flows : Array
        Signed flows (..., periods + 1) [money].
    rate : float or Array
        Rate per period [1/period]; at 0 the result is that of `payback`.

    Returns
    -------
    Payback
        As `payback`; the shortfall is in money of time 0.
    """
    flows = np.asarray(flows, dtype=np.float64)
    return payback(flows=flows * discount_factors(rate=rate, count=flows.shape[-1]))


def monthly_rate_from_effective(annual: Number) -> Array:
    """The monthly rate that compounds to an effective annual rate.

    Parameters
    ----------
    annual : float or Array
        Rate a year [1/year], above -1.

    Returns
    -------
    Array
        Rate a month [1/month]: (1 + annual)^(1/12) - 1.
    """
    return np.asarray(np.expm1(np.log1p(annual) / 12.0))


def annual_effective(monthly: Number) -> Array:
    """The effective annual rate of a monthly rate: twelve months compounded.

    Parameters
    ----------
    monthly : float or Array
        Rate a month [1/month], -1 or more.

    Returns
    -------
    Array
        Rate a year [1/year]: (1 + monthly)^12 - 1.
    """
    with np.errstate(divide="ignore"):  # everything lost is -1 a month and -1 a year
        return np.asarray(np.expm1(12.0 * np.log1p(monthly)))


def effective_from_nominal(annual: Number, *, periods_per_year: int = 12) -> Array:
    """The effective annual rate of a nominal annual rate.

    Parameters
    ----------
    annual : float or Array
        Nominal rate [1/year].
    periods_per_year : int
        How often it is compounded [1/year], at least 1.

    Returns
    -------
    Array
        Effective rate [1/year].

    Examples
    --------
    1.5 % a month is 19.562 % a year (Principles of Finance 2e, OpenStax, 8.4; matches):

    >>> round(float(effective_from_nominal(0.18)), 5)
    0.19562
    """
    return np.asarray(np.expm1(periods_per_year * np.log1p(np.asarray(annual) / periods_per_year)))
