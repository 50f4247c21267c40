"""Which inputs explain the spread of the plan's value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.decide.risk.uncertain import Uncertain
from planner.scenario.estimates import Array, Estimate

GROUPS: Final = 16  # of cases with like values of an input


@dataclass(frozen=True)
class Explains:
    """An input and the share of the spread that it explains alone [-]."""

    estimate: Estimate
    share: float


def explained(
    uncertain: Sequence[Uncertain], drawn: Sequence[Array], figure: Array
) -> tuple[Explains, ...]:
    """Inputs by the share of a figure's variance that each explains alone, the largest first.

    What is left is how inputs act together, and the luck of failures.

    Parameters
    ----------
    drawn : sequence of Array
        Values of each input by case (cases,).
    figure : Array
        The figure by case (cases,).

    Notes
    -----
    Var(E[Y | X]) ÷ Var(Y), the first-order index of variance-based sensitivity, with the mean of Y
    in groups of cases with like X; less what scatter within the groups alone would show.

    References
    ----------
    A. Saltelli and others, Global Sensitivity Analysis, 2008, chapter 4 (from memory).
    """
    found = [
        Explains(one.estimate, _index(values, figure))
        for one, values in zip(uncertain, drawn, strict=True)
    ]
    return tuple(sorted(found, key=lambda one: -one.share))


def _index(values: Array, figure: Array) -> float:
    total = float(figure.var())
    groups = min(GROUPS, len(values) // 4)
    if total <= 0 or groups < 2:
        return 0.0
    order = np.argsort(values, kind="stable")
    parts = np.array_split(figure[order], groups)
    between = float(np.var([part.mean() for part in parts]))
    within = float(np.mean([part.var() / len(part) for part in parts]))
    return min(1.0, max(0.0, (between - within * (groups - 1) / groups) / total))
