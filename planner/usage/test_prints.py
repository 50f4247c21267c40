"""Rates of use per printed area, from measured test prints."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.scenario.schema import TestPrint


@dataclass(frozen=True, kw_only=True)
class Ratio:
    """A rate per area estimated from several prints.

    ``rate`` and ``standard_error`` are in the unit of y per m²; the error is NaN for one print.
    """

    rate: float
    standard_error: float
    prints: int


@dataclass(frozen=True, kw_only=True)
class MeasuredRates:
    """White ink [L/m²], colour ink [L/m²] and powder on the film [kg/m²]."""

    white: Ratio
    colour: Ratio
    powder: Ratio


def ratio(*, amounts: Sequence[float], areas: Sequence[float]) -> Ratio:
    """Ratio estimate of an amount per area and its standard error.

    One print gives a rate without an error. Raises ``ValueError`` when no area was printed.

    Parameters
    ----------
    amounts, areas : sequence of float
        One value a print: the amount used [any unit] and the area printed [m²], > 0.

    Returns
    -------
    Ratio
        Rate [unit/m²] and standard error [unit/m²].

    Notes
    -----
    R = Σy / Σx; s = sqrt(Σ(y − R·x)² / ((n − 1)·n·x̄²)).

    References
    ----------
    W. G. Cochran, Sampling Techniques, 3rd ed., 1977, chapter 6 (from memory).
    """
    y, x = np.asarray(amounts, dtype=float), np.asarray(areas, dtype=float)
    if not len(x) or x.sum() <= 0:
        raise ValueError("areas must add up to more than zero")
    rate = float(y.sum() / x.sum())
    count = len(x)
    if count == 1:
        return Ratio(rate=rate, standard_error=math.nan, prints=1)
    spread = float(((y - rate * x) ** 2).sum()) / ((count - 1) * count * float(x.mean()) ** 2)
    return Ratio(rate=rate, standard_error=math.sqrt(spread), prints=count)


def interval(ratio: Ratio, *, confidence: float = 0.95) -> tuple[float, float] | None:
    """Confidence interval of a ratio by Student's t with n − 1 degrees, cut at 0.

    None for one print, which has no interval.

    Parameters
    ----------
    ratio : Ratio
        The estimate.
    confidence : float
        Share of intervals that would hold the true rate [-], between 0 and 1.
    """
    if ratio.prints < 2:
        return None
    from scipy.special import stdtrit

    half = float(stdtrit(ratio.prints - 1, (1 + confidence) / 2)) * ratio.standard_error
    return max(0.0, ratio.rate - half), ratio.rate + half


def measured_rates(prints: Sequence[TestPrint]) -> MeasuredRates:
    """Rates of the three consumables over all test prints; a row counts as one observation."""
    areas = [row.area.likely for row in prints]
    powder = [row.after_powder.likely - row.before_powder.likely for row in prints]
    return MeasuredRates(
        white=ratio(amounts=[row.white.likely for row in prints], areas=areas),
        colour=ratio(amounts=[row.colour.likely for row in prints], areas=areas),
        powder=ratio(amounts=powder, areas=areas),
    )
