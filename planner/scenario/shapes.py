"""From a probability to the value of an input: the inverse distribution of each shape."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from planner.scenario.estimates import DECILE, Array, Estimate

SMALLEST: Final = 2.0**-33  # a probability is kept this far from 0 and 1


def value_at(estimate: Estimate, probability: Array) -> Array:
    """The value of an input below which a share of cases lies.

    Values beyond what the scenario's key allows, which normal and lognormal shapes may reach, are
    cut at that limit.

    Parameters
    ----------
    estimate : Estimate
        The input; without a range it has its likely value in every case.
    probability : Array
        Shares of cases, any shape [-], 0 to 1.

    Returns
    -------
    Array
        Values, of the same shape [the input's unit].

    Notes
    -----
    PERT is a beta distribution between low and high with α = 1 + 4(m − a)/(b − a) and
    β = 1 + 4(b − m)/(b − a). For normal and lognormal shapes low and high are the values below
    and above which one case in ten lies, so that σ = (high − low)/(2 z) with z = 1.2816, and
    likewise of the logarithms.

    References
    ----------
    D. G. Malcolm and others, Operations Research 7, 1959 (from memory).
    """
    if not estimate.is_range:
        return np.full(np.shape(probability), estimate.likely)
    p = np.clip(probability, SMALLEST, 1 - SMALLEST)
    low, likely, high = estimate.low, estimate.likely, estimate.high
    match estimate.shape:
        case "pert":
            return _pert(p, low, likely, high)
        case "triangular":
            return _triangular(p, low, likely, high)
        case "uniform":
            return low + (high - low) * p
        case "normal":
            values = likely + (high - low) / (2 * DECILE) * standard_normal_at(p)
            return np.clip(values, estimate.least, estimate.most)
        case "lognormal":
            sigma = math.log(high / low) / (2 * DECILE)
            values = likely * np.exp(sigma * standard_normal_at(p))
            return np.clip(values, estimate.least, estimate.most)


def standard_normal_at(probability: Array) -> Array:
    """Quantile of the standard normal distribution [-]."""
    from scipy.special import ndtri

    return np.asarray(ndtri(probability))


def _pert(p: Array, low: float, likely: float, high: float) -> Array:
    from scipy.special import betaincinv

    width = high - low
    alpha, beta = 1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width
    return np.asarray(low + width * betaincinv(alpha, beta, p))


def _triangular(p: Array, low: float, likely: float, high: float) -> Array:
    width, left = high - low, likely - low
    rising = low + np.sqrt(p * width * left)
    falling = high - np.sqrt((1 - p) * width * (high - likely))
    return np.where(p * width < left, rising, falling)
