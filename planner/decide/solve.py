"""Where a figure that a lever moves crosses zero for good."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np

from planner.scenario.estimates import Array

FIRST_POINTS: Final = 401  # a dip of a four-hundredth of the range is seen
POINTS: Final = 41
ROUNDS: Final = 9
TOLERANCE: Final = 1e-12


class Outcome(Enum):
    """How a search ended."""

    FOUND = "found"
    ALWAYS = "above zero throughout"
    NEVER = "below zero at the top"


@dataclass(frozen=True)
class Crossing:
    """The lowest value [unit] from which a figure stays at or above zero; None unless found."""

    value: float | None
    outcome: Outcome


def lasting_crossing(figure: Callable[[Array], Array], *, low: float, high: float) -> Crossing:
    """The lowest value between ``low`` and ``high`` from which the figure stays ≥ 0.

    The figure is evaluated on many points at once. Below zero at ``high`` there is none; where it
    is nowhere below zero on the grid, every value does. Between neighbours of the grid the search
    narrows on the last one below zero; a jump is located like a root.

    Parameters
    ----------
    figure : callable
        Takes values (n,), returns the figure (n,), each in a unit of its own.
    low, high : float
        Ends of the search [unit of the value], low < high; none is found where they are not.
    """
    if not high > low:
        return Crossing(None, Outcome.NEVER)
    grid = np.linspace(low, high, FIRST_POINTS)
    for at in range(ROUNDS):
        values = np.asarray(figure(grid))
        below = np.flatnonzero(values < 0)
        if at == 0 and not below.size:
            return Crossing(None, Outcome.ALWAYS)
        if at == 0 and below[-1] == len(grid) - 1:
            return Crossing(None, Outcome.NEVER)
        last = min(int(below[-1]) if below.size else 0, len(grid) - 2)
        low, high = float(grid[last]), float(grid[last + 1])
        if high - low <= TOLERANCE * max(1.0, abs(high)):
            break
        grid = _finer(low, high, float(values[last]), float(values[last + 1]))
    return Crossing(high, Outcome.FOUND)


def _finer(low: float, high: float, at_low: float, at_high: float) -> Array:
    """Points between two neighbours, close together where a straight line crosses zero."""
    grid = np.linspace(low, high, POINTS)
    rise = at_high - at_low
    if rise <= 0:
        return grid
    root = low - at_low / rise * (high - low)
    near = root + np.array([-1.0, 1.0]) * TOLERANCE / 3 * max(1.0, abs(root))
    return np.sort(np.concatenate([grid, np.clip(near, low, high)]))
