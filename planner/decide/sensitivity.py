"""Which inputs the answer depends on most: each moved alone, over its range or by a fifth."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Final

import numpy as np

from planner.case import Case
from planner.decide.breakeven import HIGHEST_PRICE_FACTOR, headline_value
from planner.decide.evaluation import evaluations
from planner.decide.solve import Crossing, lasting_crossing
from planner.plan import Plan
from planner.scenario.estimates import Array, Estimate, Number, Values
from planner.scenario.fields import reads_at
from planner.scenario.schema import Scenario
from planner.scenario.tree import inputs, leaves
from planner.usage.materials import rate_ranges
from planner.usage.test_prints import measured_rates

CENT: Final = 0.005  # half of it: what moves less changes nothing that is printed
STEP: Final = 0.2  # of its value, by which an input without a range is moved
MOST_COUNTED: Final = 20  # each takes two evaluations of its own
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

    Each is moved a fifth down and up, no further than its key allows; a default that counts whole
    things, such as pieces an order, to whole ones, at most 20 of these. Left out are sizes, months
    and counts that are given, of which no range is meaningful, the hurdle rate, which the owner
    asks for, and what follows from another input without a number of its own.
    """
    found = _ranked(case, plan, list(_untested(case)))
    counted = (_moved_alone(case, plan, one) for one in islice(_uncounted(case), MOST_COUNTED))
    return _widest_first((*found, *counted))


def defaults_that_matter(scenario: Scenario) -> tuple[Influence, ...]:
    """Defaults by how far they move the machine that is worth most, the widest first."""
    case = Case(scenario)
    best = max(evaluations(case), key=lambda one: float(headline_value(case, one.choice)[0]))
    found = without_range(case, best.plan)
    return tuple(one for one in found if one.estimate.basis == "default")


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


def _uncounted(case: Case) -> Iterator[Estimate]:
    """Defaults that count whole things, their ends rounded; those that stay the same are left."""
    for leaf in leaves(case.scenario):
        one = leaf.value
        if not isinstance(one, Estimate) or one.basis != "default" or one.unit:
            continue
        reads = reads_at(leaf.path.split("."))
        if reads is None or not reads.whole:
            continue
        low, high = (round(case.values.whole(one) * share) for share in (1 - STEP, 1 + STEP))
        if low < high:
            yield replace(one, low=float(low), high=float(high))


def _moved_alone(case: Case, plan: Plan, one: Estimate) -> Influence:
    """An input that is one number in every case at its two ends, each worked out by itself."""
    low, high = (
        float(headline_value(case.with_value(one.key, end), plan.choice)[0])
        for end in (one.low, one.high)
    )
    return Influence(one, low, high)


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
    return _widest_first(found)


def _widest_first(found: Iterable[Influence]) -> tuple[Influence, ...]:
    """By how far each moves the plan; what changes nothing that is printed is left out."""
    return tuple(sorted((one for one in found if one.swing >= CENT), key=lambda one: -one.swing))


def _one_at_a_time(ranged: Sequence[Estimate], values: Values) -> Mapping[str, Number]:
    """Columns in which each input stands at its low and high end in two rows, else as planned."""
    drawn: dict[str, Number] = dict(values.drawn)
    for at, estimate in enumerate(ranged):
        column: Array = np.full((2 * len(ranged), 1), values(estimate), dtype=float)
        column[2 * at], column[2 * at + 1] = estimate.low, estimate.high
        drawn[estimate.key] = column
    return drawn
