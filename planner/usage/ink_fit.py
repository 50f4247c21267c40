"""Ink and powder of a picture that was never printed, from test prints whose pictures are known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.scenario.estimates import Array
from planner.scenario.faults import PlannerError
from planner.scenario.schema import TestPrint
from planner.usage.artwork import ArtworkError, Coverage, read_artwork

FEWEST: Final = 5
# Which coverage each consumable goes with: the white layer, the colour on it. Powder sticks to the
# white; the colour nozzles fire a little wherever anything is printed.
_GOES_WITH: Final[Mapping[str, tuple[bool, bool]]] = {
    "white": (True, False),
    "colour": (True, True),
    "powder": (True, False),
}


class InkFitError(PlannerError):
    """Too few test prints with a picture."""


@dataclass(frozen=True, kw_only=True)
class CoveredRate:
    """Use of one consumable, in its unit [L or kg] per m².

    ``on_white`` and ``on_colour`` are per covered area, ``mean`` per area of the box over the test
    prints. ``error`` is the root mean square of predicted less measured use per area of the box,
    each picture predicted from the others; ``worst`` the largest of them, on ``worst_design``.
    """

    on_white: float
    on_colour: float
    mean: float
    error: float
    worst: float
    worst_design: str

    @property
    def error_share(self) -> float:
        """The error on held-out prints as a share of the mean use [-]."""
        return self.error / self.mean if self.mean else 0.0

    @property
    def worst_share(self) -> float:
        """The largest of those errors as a share of the mean use, above 0 for too much [-]."""
        return self.worst / self.mean if self.mean else 0.0

    def used(self, coverage: Coverage) -> float:
        """Use per area of the box of a picture with this coverage [L/m² or kg/m²]."""
        return self.on_white * coverage.white + self.on_colour * coverage.colour


@dataclass(frozen=True, kw_only=True)
class InkFit:
    """White ink, colour ink [L] and powder on the film [kg], each by what pictures cover.

    ``white_range`` and ``colour_range`` are the lowest and highest coverage fitted on [-];
    ``pictures`` is how many different pictures were printed.
    """

    white: CoveredRate
    colour: CoveredRate
    powder: CoveredRate
    white_range: tuple[float, float]
    colour_range: tuple[float, float]
    pictures: int

    def notes(self, coverage: Coverage) -> tuple[str, ...]:
        """Why a picture is no like of those that were printed; empty where it is."""
        asked = (
            ("white", coverage.white, self.white_range),
            ("colour", coverage.colour, self.colour_range),
        )
        return tuple(
            f"{name} coverage of {_percent(value)} is outside the test prints' "
            f"{_percent(low)} to {_percent(high)}: the amounts are extrapolated"
            for name, value, (low, high) in asked
            if not round(low, 2) <= round(value, 2) <= round(high, 2)
        )


@dataclass(frozen=True, kw_only=True)
class Amount:
    """An amount and the root-mean-square error to expect of it [L, L/m² or money]."""

    likely: float
    error: float


@dataclass(frozen=True, kw_only=True)
class PictureUse:
    """White ink [L], colour ink [L] and powder that stays on the film [kg]; what to know."""

    white: Amount
    colour: Amount
    powder: Amount
    notes: tuple[str, ...]


def fit_ink(measured: Sequence[tuple[TestPrint, Coverage]]) -> InkFit:
    """Use per covered area by non-negative least squares on test prints.

    Amounts and coverages are both taken per area of the box, so that every print counts the same
    whatever its size. Prints of one picture are held out together.

    Parameters
    ----------
    measured : sequence of (TestPrint, Coverage)
        Test prints that name their picture, each with its coverage.

    Returns
    -------
    InkFit
        Rates [L/m², kg/m²], their errors on held-out prints, and the coverage fitted on [-].

    Raises
    ------
    InkFitError
        For fewer than five different pictures.

    Notes
    -----
    For white ink and powder, amount ÷ area = a × white coverage; for colour ink, amount ÷ area =
    b × colour coverage + c × white coverage; a, b, c ≥ 0 with the least sum of squares.

    References
    ----------
    C. L. Lawson, R. J. Hanson, Solving Least Squares Problems, 1974, chapter 23 (from memory).
    """
    pictures = [row.artwork for row, _ in measured]
    if len(set(pictures)) < FEWEST:
        raise InkFitError(
            f"artwork: must be named by test prints of at least {FEWEST} different pictures "
            f"(got {len(set(pictures))}); print more designs, and write the file of each picture "
            'into the column "artwork" of the sheet of test prints'
        )
    areas = np.array([row.area.likely for row, _ in measured])
    amounts = {
        "white": np.array([row.white.likely for row, _ in measured]),
        "colour": np.array([row.colour.likely for row, _ in measured]),
        "powder": np.array(
            [row.after_powder.likely - row.before_powder.likely for row, _ in measured]
        ),
    }
    covered = np.array([(coverage.white, coverage.colour) for _, coverage in measured])
    held_out = [np.array([name == one for name in pictures]) for one in dict.fromkeys(pictures)]
    designs = [row.design for row, _ in measured]
    rates = {
        name: _rate(covered * _GOES_WITH[name], amount / areas, held_out, designs)
        for name, amount in amounts.items()
    }
    low, high = covered.min(axis=0), covered.max(axis=0)
    return InkFit(
        **rates,
        white_range=(float(low[0]), float(high[0])),
        colour_range=(float(low[1]), float(high[1])),
        pictures=len(held_out),
    )


def _rate(
    covered: Array,
    used: Array,
    held_out: Sequence[NDArray[np.bool_]],
    designs: Sequence[str],
) -> CoveredRate:
    """The rates of one consumable from use per area [unit/m²] and coverage, shape (prints, 2)."""
    errors = np.empty_like(used)
    for held in held_out:
        errors[held] = covered[held] @ _solved(covered[~held], used[~held]) - used[held]
    worst = int(np.abs(errors).argmax())
    on_white, on_colour = (float(rate) for rate in _solved(covered, used))
    return CoveredRate(
        on_white=on_white,
        on_colour=on_colour,
        mean=float(used.mean()),
        error=float(np.sqrt((errors**2).mean())),
        worst=float(errors[worst]),
        worst_design=designs[worst],
    )


def _solved(covered: Array, used: Array) -> Array:
    """The rates, none negative, with the least sum of squares; 0 for what nothing covers."""
    from scipy.optimize import nnls

    return np.asarray(nnls(covered, used)[0])


def fitted(prints: Sequence[TestPrint], folder: Path) -> InkFit:
    """The fit on a sheet's test prints that name their picture, a file in the sheet's folder.

    Raises ``InkFitError`` for fewer than five pictures, ``ArtworkError`` for a picture that cannot
    be read or whose box is not of the print's shape.
    """
    named = [(row, row.artwork) for row in prints if row.artwork]
    pictures = {name: read_artwork(folder / name) for name in dict.fromkeys(n for _, n in named)}
    for row, name in named:
        _check_shape(row, pictures[name], folder / name)
    return fit_ink([(row, pictures[name]) for row, name in named])


def _check_shape(row: TestPrint, coverage: Coverage, path: Path) -> None:
    """The picture's box must have the sides of the print that was measured."""
    if row.size is None:
        return
    width, height = row.size.width.likely, row.size.length.likely
    if not coverage.fits(width=width, height=height):
        raise ArtworkError(
            path,
            f"show the test print {row.design!r}, {width / height:.2f} times as wide as high",
            got=f"{coverage.width / coverage.height:.2f} times, its transparent border trimmed",
        )


def litres_for(fit: InkFit, coverage: Coverage, *, area: float) -> PictureUse:
    """Ink and powder of a picture printed on a box of this area [m²], with the error to expect.

    Nothing is used on no area; outside the coverage fitted on, a note says so.
    """
    white, colour, powder = (
        Amount(likely=rate.used(coverage) * area, error=rate.error * area)
        for rate in (fit.white, fit.colour, fit.powder)
    )
    notes = (coverage.note, *fit.notes(coverage))
    return PictureUse(
        white=white, colour=colour, powder=powder, notes=tuple(note for note in notes if note)
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
