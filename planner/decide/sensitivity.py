"""Which inputs the answer depends on most: each moved alone from its low to its high end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.case import Case
from planner.decide.breakeven import headline_value
from planner.plan import Plan
from planner.scenario.estimates import Array, Estimate, Number, Values
from planner.scenario.tree import inputs
from planner.usage.materials import rate_ranges
from planner.usage.test_prints import measured_rates

CENT: Final = 0.005  # half of it: what moves less changes nothing that is printed


@dataclass(frozen=True)
class Influence:
    """One input and what the headline value becomes at its ends [money]."""

    estimate: Estimate
    at_low: float
    at_high: float

    @property
    def swing(self) -> float:
        """How far the two ends lie apart [money]."""
        return abs(self.at_high - self.at_low)


def influences(case: Case, plan: Plan) -> tuple[Influence, ...]:
    """Inputs whose range moves the plan against buying in, the one that moves it most first.

    All ends are worked out in one evaluation, two draws an input.
    """
    ranged = [estimate for estimate in _uncertain(case) if estimate.is_range]
    if not ranged:
        return ()
    moved = Case(case.scenario, Values(_one_at_a_time(ranged, case.values)), case.levers)
    values = np.broadcast_to(headline_value(moved, plan.choice), (2 * len(ranged),))
    found = [
        Influence(estimate, float(values[2 * at]), float(values[2 * at + 1]))
        for at, estimate in enumerate(ranged)
    ]
    return tuple(sorted((one for one in found if one.swing >= CENT), key=lambda one: -one.swing))


def _uncertain(case: Case) -> list[Estimate]:
    measured = rate_ranges(measured_rates(case.scenario.prints))
    return [*inputs(case.scenario), *measured]


def _one_at_a_time(ranged: list[Estimate], values: Values) -> Mapping[str, Number]:
    """Columns in which each input stands at its low and high end in two rows, else as planned."""
    drawn: dict[str, Number] = dict(values.drawn)
    for at, estimate in enumerate(ranged):
        column: Array = np.full((2 * len(ranged), 1), values(estimate), dtype=float)
        column[2 * at], column[2 * at + 1] = estimate.low, estimate.high
        drawn[estimate.key] = column
    return drawn
