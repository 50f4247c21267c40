"""Rates of use per printed area, from measured test prints."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.scenario.schema import TestPrint

KINDS: Final = {"white": "white ink", "colour": "colour ink", "powder": "powder"}
CONFIDENCE: Final = 0.95
WITHIN: Final = 0.15  # half-width ÷ rate at which a rate counts as known
FEWEST_JUDGED: Final = 3
_ROUNDING: Final = 1e-9


@dataclass(frozen=True, kw_only=True)
class Ratio:
    """A rate per area estimated from several prints.

    ``rate`` and ``standard_error`` are in one unit [unit/m²]; the error is NaN for one print.
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

    @property
    def by_kind(self) -> Mapping[str, Ratio]:
        """The three by name, in one order everywhere."""
        return {kind: getattr(self, kind) for kind in KINDS}


@dataclass(frozen=True, kw_only=True)
class Outlier:
    """A print that used more or less than the others lead one to expect.

    ``at`` is its place in the sheet, 0 the first, and ``name`` what it is called there; ``kind`` is
    what it used. ``own`` is its rate, ``low`` to ``high`` where it was to be expected, ``pooled``
    the rate of all prints, ``without`` that of the others [L/m²], of powder [kg/m²].
    """

    at: int
    name: str
    kind: str
    own: float
    low: float
    high: float
    pooled: float
    without: float


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


def interval(ratio: Ratio, *, confidence: float = CONFIDENCE) -> tuple[float, float] | None:
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
    half = _student(degrees=ratio.prints - 1, outside=1 - confidence) * ratio.standard_error
    return max(0.0, ratio.rate - half), ratio.rate + half


def precision(ratio: Ratio) -> float | None:
    """Half the 95 % interval before it is cut ÷ the rate [-]; None for one print, 0 for no use."""
    if ratio.prints < 2:
        return None
    return _half_width(ratio, prints=ratio.prints) / ratio.rate if ratio.rate else 0.0


def further_prints(ratio: Ratio) -> int | None:
    """How many more prints would bring half the 95 % interval to 15 % of the rate [-].

    0 where it is there already, None for one print, whose scatter is unknown.

    Notes
    -----
    Further prints are taken to be as large and to scatter as much as those so far: over m prints
    the error is s·√(n/m), and t has m − 1 degrees. The smallest m ≥ n counts; as t falls with m, it
    is at most n·(half-width ÷ what is allowed)².
    """
    if ratio.prints < 2:
        return None
    now, allowed = _half_width(ratio, prints=ratio.prints), WITHIN * ratio.rate
    if now <= allowed:
        return 0
    most = math.ceil(ratio.prints * (now / allowed) ** 2)
    return bisect_left(
        range(ratio.prints, most),
        True,
        key=lambda prints: _half_width(ratio, prints=prints) <= allowed,
    )


def _half_width(ratio: Ratio, *, prints: int) -> float:
    """Half the 95 % interval when there are so many prints, 2 or more [unit/m²]."""
    error = ratio.standard_error * math.sqrt(ratio.prints / prints)
    return _student(degrees=prints - 1, outside=1 - CONFIDENCE) * error


def _student(*, degrees: int, outside: float) -> float:
    """The t [-] beyond which, on both sides together, the share ``outside`` [-] lies."""
    from scipy.special import stdtrit

    return float(stdtrit(degrees, 1 - outside / 2))


def outliers(prints: Sequence[TestPrint]) -> tuple[Outlier, ...]:
    """Prints whose own rate lies outside the 95 % prediction interval, by kind; none is dropped.

    Each print is held against the others, so that it cannot hide behind the scatter that it makes
    itself; two alike can still hide each other. Fewer than three prints cannot be judged, and a
    print cannot be where no other used any.

    Notes
    -----
    The ratio estimator is the least-squares line through the origin when the variance of an amount
    grows with its area. Under that model, with n prints, X the area of the others, R their rate and
    σ² = Σ((y − R·x)²/x) ÷ (n − 2), a print's own rate lies within R ± t·σ·√(1/xᵢ + 1/X), t with
    n − 2 degrees.

    The 95 % hold for all n prints of a kind together: each is given 5 ÷ n % (Bonferroni), or twelve
    innocent prints would bring nearly two names on a sheet. As it is, a kind has a name by chance
    on 5 sheets in 100, and one of three kinds that go up and down together on 11 to 14, counted in
    simulated sheets of 3 to 30 prints; on 15 to 20 where the rates of large prints scatter as much
    as those of small ones, and on 15 to 28 (3 to 12 prints) where they are skewed as well
    (lognormal, 22 to 35 % apart).

    References
    ----------
    W. G. Cochran, Sampling Techniques, 3rd ed., 1977, chapter 6 (from memory).
    """
    if len(prints) < FEWEST_JUDGED:
        return ()
    names, areas = print_names(prints), [row.area.likely for row in prints]
    return tuple(
        outlier
        for kind in KINDS
        for outlier in _outliers(
            kind=kind, names=names, amounts=[used(row)[kind] for row in prints], areas=areas
        )
    )


def _outliers(
    *, kind: str, names: Sequence[str], amounts: Sequence[float], areas: Sequence[float]
) -> Iterator[Outlier]:
    """Each print of a kind held against the others."""
    y, x = np.asarray(amounts, dtype=float), np.asarray(areas, dtype=float)
    count, pooled = len(x), float(y.sum() / x.sum())
    t = _student(degrees=count - 2, outside=(1 - CONFIDENCE) / count)
    own, off, area = y / x, y - pooled * x, x.sum() - x
    shift = -off / area  # what the rate of the others is above the rate of all
    squares = (off**2 / x).sum() - off**2 / x + 2 * shift * off + shift**2 * area
    half = t * np.sqrt(np.maximum(squares, 0.0) / (count - 2) * (1 / x + 1 / area))
    rate = pooled + shift
    low, high = np.maximum(0.0, rate - half), rate + half
    is_inside = (low * (1 - _ROUNDING) <= own) & (own <= high * (1 + _ROUNDING))
    for at in np.flatnonzero((rate > _ROUNDING * own) & ~is_inside).tolist():
        yield Outlier(
            at=at, name=names[at], kind=kind, own=float(own[at]), low=float(low[at]),
            high=float(high[at]), pooled=pooled, without=float(rate[at]),
        )  # fmt: skip


def print_names(prints: Sequence[TestPrint]) -> tuple[str, ...]:
    """What each print is called: its design, with its place in the sheet where a name repeats."""
    times = Counter(row.design for row in prints)
    return tuple(
        f"{row.design} (print {at})" if times[row.design] > 1 else row.design
        for at, row in enumerate(prints, start=1)
    )


def used(row: TestPrint) -> Mapping[str, float]:
    """What all copies of a print took: white and colour ink [L], powder on the film [kg]."""
    return {
        "white": row.white.likely,
        "colour": row.colour.likely,
        "powder": row.after_powder.likely - row.before_powder.likely,
    }


def own_rates(row: TestPrint) -> Mapping[str, float]:
    """A print's own rates: white and colour ink [L/m²], powder on the film [kg/m²]."""
    return {kind: amount / row.area.likely for kind, amount in used(row).items()}


def measured_rates(prints: Sequence[TestPrint]) -> MeasuredRates:
    """Rates of the three consumables over all test prints; a row counts as one observation."""
    areas = [row.area.likely for row in prints]
    taken = [used(row) for row in prints]
    return MeasuredRates(
        **{kind: ratio(amounts=[one[kind] for one in taken], areas=areas) for kind in KINDS}
    )
