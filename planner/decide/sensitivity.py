"""Which inputs the answer depends on most: each moved alone, over its range or by a fifth."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from planner.case import Case
from planner.decide.breakeven import HIGHEST_PRICE_FACTOR, headline_value
from planner.decide.solve import Crossing, lasting_crossing
from planner.plan import Plan
from planner.scenario.estimates import Array, Estimate, Number, Values
from planner.scenario.fields import reads_at
from planner.scenario.tree import inputs, leaves
from planner.usage.materials import rate_ranges
from planner.usage.test_prints import measured_rates

CENT: Final = 0.005  # half of it: what moves less changes nothing that is printed
STEP: Final = 0.2  # of its value, by which an input without a range is moved
UNTESTED: Final = ("default", "estimated")  # bases of numbers that nobody measured or quoted
WANTED: Final = "hurdle_rate"  # what the owner asks for: there is nothing to be found out


@dataclass(frozen=True)
class Influence:
    """One input and what the headline value becomes at its ends [money].

    The ends are the estimate's ``low`` and ``high``.
    """

    estimate: Estimate
    at_low: float
    at_high: float

    @property
    def swing(self) -> float:
        """How far the two ends lie apart [money]."""
        return abs(self.at_high - self.at_low)


def influences(case: Case, plan: Plan) -> tuple[Influence, ...]:
    """Inputs whose range moves the plan against buying in, the one that moves it most first."""
    measured = rate_ranges(measured_rates(case.scenario.prints))
    known = (*inputs(case.scenario), *measured)
    return _ranked(case, plan, [estimate for estimate in known if estimate.is_range])


def without_range(case: Case, plan: Plan) -> tuple[Influence, ...]:
    """Defaults and estimates that have no range, the one that moves the plan most first.

    Each is moved a fifth down and up, no further than its key allows. Left out are sizes, counts
    and months, of which no range is meaningful, the hurdle rate, which the owner asks for, and what
    follows from another input without a number of its own.
    """
    return _ranked(case, plan, list(_untested(case)))


def price_worth_nothing(case: Case, plan: Plan) -> Crossing:
    """The factor on all selling prices from which the plan is worth more than buying in [-]."""
    return lasting_crossing(
        lambda factors: headline_value(case.moved(price=factors[:, np.newaxis]), plan.choice),
        low=0.0,
        high=HIGHEST_PRICE_FACTOR,
    )


def _untested(case: Case) -> Iterator[Estimate]:
    for leaf in leaves(case.scenario):
        one = leaf.value
        if not isinstance(one, Estimate) or one.is_range or one.basis not in UNTESTED:
            continue
        reads = reads_at(leaf.path.split("."))
        if reads is None or reads.single or one.key == WANTED:
            continue
        least = -np.inf if reads.at_least is None else reads.at_least
        ends = sorted(case.values.scalar(one) * share for share in (1 - STEP, 1 + STEP))
        yield replace(one, low=max(least, ends[0]), high=min(reads.at_most, ends[1]))


def _ranked(case: Case, plan: Plan, ranged: Sequence[Estimate]) -> tuple[Influence, ...]:
    """All ends are worked out in one evaluation, two draws an input."""
    if not ranged:
        return ()
    moved = Case(case.scenario, Values(_one_at_a_time(ranged, case.values)), case.levers)
    values = np.broadcast_to(headline_value(moved, plan.choice), (2 * len(ranged),))
    found = [
        Influence(estimate, float(values[2 * at]), float(values[2 * at + 1]))
        for at, estimate in enumerate(ranged)
    ]
    return tuple(sorted((one for one in found if one.swing >= CENT), key=lambda one: -one.swing))


def _one_at_a_time(ranged: Sequence[Estimate], values: Values) -> Mapping[str, Number]:
    """Columns in which each input stands at its low and high end in two rows, else as planned."""
    drawn: dict[str, Number] = dict(values.drawn)
    for at, estimate in enumerate(ranged):
        column: Array = np.full((2 * len(ranged), 1), values(estimate), dtype=float)
        column[2 * at], column[2 * at + 1] = estimate.low, estimate.high
        drawn[estimate.key] = column
    return drawn
