"""Which inputs explain the spread of the plan's value."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.decide.risk.draws import REPLICATES
from planner.decide.risk.uncertain import Uncertain
from planner.scenario.estimates import Array, Estimate

MOST_GROUPS: Final = 64  # of cases with like values of an input


@dataclass(frozen=True)
class Explains:
    """An input, the share of the spread that it explains alone [-] and its standard error [-]."""

    estimate: Estimate
    share: float
    error: float


def explained(
    uncertain: Sequence[Uncertain], drawn: Sequence[Array], figure: Array, replicate: Array
) -> tuple[Explains, ...]:
    """Inputs by the share of a figure's variance that each explains alone, the largest first.

    What is left is how inputs act together, and the luck of failures. Inputs that move together
    each explain what they share: their shares may add up to more than 1.

    Parameters
    ----------
    drawn : sequence of Array
        Values of each input by case (cases,) [unit of the input].
    figure : Array
        The figure by case (cases,) [unit of the figure].
    replicate : Array
        The scramble of each case (cases,) [-], from whose scatter comes the standard error.

    Notes
    -----
    Var(E[Y | X]) ÷ Var(Y), the first-order index of variance-based sensitivity, with the mean of Y
    in groups of cases with like X; less what scatter within the groups alone would show if cases
    were drawn apart. They are spread evenly, so that less may be due: no error is less than that.

    References
    ----------
    A. Saltelli and others, Global Sensitivity Analysis, 2008, chapter 4 (from memory).
    """
    found = [
        _explains(one.estimate, values, figure, replicate)
        for one, values in zip(uncertain, drawn, strict=True)
    ]
    return tuple(sorted(found, key=lambda one: -one.share))


def _explains(estimate: Estimate, values: Array, figure: Array, replicate: Array) -> Explains:
    """The share of one input; its error is that of the scrambles, or what was taken off it."""
    index, taken_off = _index(values, figure)
    each = [
        _index(values[part], figure[part])[0]
        for part in (replicate == one for one in range(REPLICATES))
    ]
    scatter = float(np.std(each, ddof=1) / np.sqrt(REPLICATES))
    return Explains(estimate, min(1.0, max(0.0, index)), max(scatter, taken_off))


def groups_of(cases: int) -> int:
    """How many groups so many cases are put into [-]: as many as there are cases in each."""
    return min(MOST_GROUPS, math.isqrt(cases))


def _index(values: Array, figure: Array) -> tuple[float, float]:
    """The index, by scatter a little below 0 or above 1 at times, and what was taken off it."""
    total, groups = float(figure.var()), groups_of(len(values))
    if total <= 0 or groups < 2:
        return 0.0, 0.0
    order = np.argsort(values, kind="stable")
    parts = np.array_split(figure[order], groups)
    between = float(np.var([part.mean() for part in parts]))
    within = float(np.mean([part.var() / len(part) for part in parts]))
    taken_off = within * (groups - 1) / groups / total
    return between / total - taken_off, taken_off
