"""Shares and percentiles of drawn cases, with what sampling leaves open."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.decide.risk.draws import REPLICATES
from planner.scenario.estimates import Array

LOW, MIDDLE, HIGH = 0.1, 0.5, 0.9  # 8 of 10 cases lie between the first and the last
T_95: Final = 2.3646242510102993  # Student's t, 97.5 %, 7 degrees (REPLICATES - 1)
NONE_OF: Final = 3.0  # ÷ cases: how large a share may be of which none was drawn, at 95 %


@dataclass(frozen=True)
class Share:
    """A share of cases [-] and its standard error over independent scrambles [-].

    The error is never less than one case makes. Where all cases agree, scrambles do not scatter;
    the error is then the one whose ``reach`` is 3 ÷ cases.

    References
    ----------
    J. A. Hanley and A. Lippman-Hand, If nothing goes wrong, is everything all right?, JAMA 249,
    1983 (the rule of three; from memory).
    """

    share: float
    error: float

    @property
    def reach(self) -> float:
        """How far off the true share may lie in 95 of 100 such draws [-]."""
        return T_95 * self.error


@dataclass(frozen=True)
class Spread:
    """The value below which 1, 5 and 9 of 10 cases lie, and the standard errors of these.

    A value is infinite where so many cases do not reach it, such as a payback. No error is less
    than half the distance between the neighbours of the case that gives the value; it is 0 only
    where they are the same. All are in the unit of the figure [unit].
    """

    low: float
    middle: float
    high: float
    low_error: float
    middle_error: float
    high_error: float


def share_of(holds: NDArray[np.bool_], replicate: Array) -> Share:
    """The share of cases [-] in which something holds (cases,).

    ``replicate`` is the scramble of each case (cases,) [-].
    """
    mean, error = _estimate(np.asarray(holds, dtype=float), replicate, lambda part: part.mean())
    least = NONE_OF / T_95 if mean in (0.0, 1.0) else 1.0
    return Share(mean, max(error, least / len(holds)))


def spread_of(values: Array, replicate: Array) -> Spread:
    """Percentiles of the ``values`` of a figure over all cases (cases,), in its unit [unit].

    ``replicate`` is the scramble of each case (cases,) [-].
    """
    (low, low_error), (middle, middle_error), (high, high_error) = (
        _percentile(values, replicate, share) for share in (LOW, MIDDLE, HIGH)
    )
    return Spread(low, middle, high, low_error, middle_error, high_error)


def _percentile(values: Array, replicate: Array, share: float) -> tuple[float, float]:
    """A percentile, which need not lie between two cases, so that it may be infinite."""

    def at(part: Array) -> float:
        return float(np.quantile(part, share, method="inverted_cdf"))

    value, error = _estimate(values, replicate, at)
    if not math.isfinite(value):
        return value, error
    ordered, place = np.sort(values), math.ceil(share * len(values) - 1e-9) - 1
    before, after = ordered[max(place - 1, 0)], ordered[min(place + 1, len(values) - 1)]
    return value, max(error, float(after - before) / 2)


def band_of(by_month: Array) -> tuple[Array, Array, Array]:
    """The three percentiles of flows ``by_month`` (cases, months), each (months,) [money]."""
    low, middle, high = np.quantile(by_month, (LOW, MIDDLE, HIGH), axis=0)
    return low, middle, high


def reached_by_month(times: Array, *, months: int) -> Array:
    """The share of cases (cases,) [-] that have reached a time by the end of each month.

    Months 0, 1, 2 … of the horizon; of ``times`` [month] one that is never reached is infinite.
    """
    return np.searchsorted(np.sort(times), np.arange(months + 1), side="right") / len(times)


def _estimate(
    values: Array, replicate: Array, figure: Callable[[Array], float]
) -> tuple[float, float]:
    """A figure over all cases, and its standard error from the scatter of the replicates."""
    each = np.array([figure(values[replicate == one]) for one in range(REPLICATES)])
    whole = float(figure(values))
    if not np.isfinite(each).all():
        return whole, float("inf")
    return whole, float(each.std(ddof=1) / np.sqrt(REPLICATES))
