"""The plan is the case of one draw, and every drawn case is the plan of its values."""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace

import numpy as np
import pytest
from helpers import ROOT, SHIPPED, shipped

from planner.case import Case, choices
from planner.decide.evaluation import evaluations
from planner.decide.paying import present_cost
from planner.decide.risk.draws import slices
from planner.decide.risk.outcomes import outcomes, outcomes_of
from planner.decide.risk.spread import spread_of
from planner.decide.risk.uncertain import Uncertain, uncertain_inputs
from planner.scenario.estimates import Estimate, Values
from planner.scenario.fields import reads_at
from planner.scenario.key_paths import split_key
from planner.scenario.load import load
from planner.scenario.tree import leaves
from planner.shop.repairs import Chances

VARIANTS = tuple(sorted(path.stem for path in (ROOT / "tests" / "variants").glob("*.toml")))
SCENARIOS = (*SHIPPED, *VARIANTS)
CASES = 5
SIDES = ("plan", "plan_today", "without", "today")


@functools.cache
def scenario_of(name):
    return shipped(name) if name in SHIPPED else load(ROOT / "tests" / "variants" / f"{name}.toml")


def evaluated(scenario, values=None, chances=None):
    return list(evaluations(Case(scenario, values or Values(), chances=chances)))


def figures(found, at=0):
    """Every figure of one case of a choice, in a row."""
    return np.concatenate(
        [
            [months[at] for months in found.payback.values()],
            [value[at] for value in found.value.values()],
            [found.at_cost_of_debt[at]],
            [found.lowest_cash[at]],
            found.under[at],
            found.cover[at],
            found.total[at],
        ]
    )


def assert_same(ours, theirs):
    """To the ninth digit, and far below a cent where amounts cancel."""
    np.testing.assert_allclose(ours, theirs, rtol=1e-9, atol=1e-6, equal_nan=True)


@pytest.mark.parametrize("name", SCENARIOS)
def test_one_draw_at_the_likely_values_is_the_plan(name):
    scenario = scenario_of(name)
    likely = {one.key: np.full((1, 1), one.estimate.likely) for one in uncertain_inputs(scenario)}
    pairs = zip(evaluated(scenario, Values(likely)), evaluated(scenario), strict=True)
    for drawn, planned in pairs:
        for side in SIDES:
            ours, theirs = getattr(drawn, side).ledger, getattr(planned, side).ledger
            assert list(ours.columns) == list(theirs.columns)
            for line, flow in theirs.columns.items():
                assert np.shape(ours.columns[line]) == (1, ours.months + 1), line
                np.testing.assert_allclose(ours.columns[line], flow, rtol=1e-9, atol=1e-9)
        one, other = (outcomes_of(side, cases=1, replicate=0) for side in (drawn, planned))
        assert_same(figures(one), figures(other))


@pytest.mark.parametrize("name", SCENARIOS)
def test_ways_to_pay_differ_in_a_case_as_their_present_costs_do(name):
    of_machine = {}
    for planned in evaluated(scenario_of(name)):
        found = outcomes_of(planned, cases=1, replicate=0)
        whole = found.at_cost_of_debt[0] + present_cost(planned.plan)
        first = of_machine.setdefault(planned.choice.names[:2], whole)
        assert whole == pytest.approx(first, abs=1e-6)


def without_width(one):
    """An input whose range has closed round its likely value."""
    likely = one.estimate.likely
    return Uncertain(
        replace(one.estimate, low=likely, high=likely), lambda p: np.full(np.shape(p), likely)
    )


@pytest.mark.parametrize("name", SCENARIOS)
def test_where_nothing_is_uncertain_every_percentile_is_the_plan(name):
    # ranges without width, rates given as values, no failures
    scenario = scenario_of(name)
    laws = [one for one in scenario.equipment if one.repairs is not None]
    never = Values({one.repairs.in_first_year.key: 0.0 for one in laws})
    case = Case(scenario, never)
    parts = slices(
        scenario,
        [without_width(one) for one in uncertain_inputs(scenario)],
        draws=8,
        months=case.months,
        seed=0,
        values=never,
    )
    found = outcomes(case, choices(scenario), parts)
    for planned in evaluated(scenario, never):
        ours, theirs = found[planned.choice.label], outcomes_of(planned, cases=1, replicate=0)
        all_cases = np.stack([figures(ours, at) for at in range(8)])
        assert_same(all_cases, np.broadcast_to(figures(theirs), all_cases.shape))
        for name, value in ours.value.items():
            spread = spread_of(value, ours.replicate)
            assert_same([spread.low, spread.middle, spread.high], np.full(3, theirs.value[name]))
            assert spread.low_error < 1e-6


def test_a_range_without_width_is_no_range(bare):
    # one test print, no failures, low = likely = high in the file itself
    scenario = bare({"products.Tee.price": {"low": 10, "likely": 10, "high": 10}})
    assert uncertain_inputs(scenario) == ()
    case = Case(scenario)
    parts = slices(scenario, (), draws=8, months=case.months, seed=0, values=case.values)
    (found,) = outcomes(case, choices(scenario), parts).values()
    (planned,) = evaluated(scenario)
    for at in range(8):
        assert_same(figures(found, at), figures(outcomes_of(planned, cases=1, replicate=0)))


@dataclass(frozen=True, kw_only=True)
class LuckOfOne(Chances):
    """The luck of a single case among many."""

    at: int

    def numbers(self, *what):
        return super().numbers(*what)[self.at : self.at + 1]


@pytest.mark.parametrize("is_lucky", [False, True], ids=["mean repairs", "drawn repairs"])
@pytest.mark.parametrize("name", SCENARIOS)
def test_every_drawn_case_is_the_plan_of_its_values(name, is_lucky):
    scenario = scenario_of(name)
    months = Case(scenario).months
    (part, *_) = slices(
        scenario,
        uncertain_inputs(scenario),
        draws=8 * CASES,
        months=months,
        seed=3,
        values=Values(),
    )
    chances = part.chances if is_lucky else None
    together = [
        outcomes_of(one, cases=CASES, replicate=0)
        for one in evaluated(scenario, part.values, chances)
    ]
    assert all(np.isfinite(value).all() for one in together for value in one.value.values())
    drawn = part.values.drawn
    for at in range(CASES):
        own = Values({key: float(value[at, 0]) for key, value in drawn.items()})
        luck = LuckOfOne(cases=CASES, months=months, seed=part.chances.seed, at=at)
        alone = evaluated(scenario, own, luck if is_lucky else None)
        for many, one in zip(together, alone, strict=True):
            assert_same(figures(many, at), figures(outcomes_of(one, cases=1, replicate=0)))


def may_vary(scenario):
    """Inputs that a file may give a range, whether it does or not, away from zero."""
    for leaf in leaves(scenario):
        if isinstance(leaf.value, Estimate) and leaf.value.at_plan != 0:
            reads = reads_at(split_key(leaf.place))
            if reads is not None and not reads.single:
                yield leaf.value, min(reads.at_most, 1.02 * leaf.value.at_plan)


@pytest.mark.parametrize("name", SCENARIOS)
def test_every_input_that_may_have_a_range_can_be_drawn(name):
    scenario = scenario_of(name)
    moved = {
        one.key: np.array([[0.97 * one.at_plan], [one.at_plan], [high]])
        for one, high in may_vary(scenario)
    }
    assert len(moved) > 30
    together = [
        outcomes_of(one, cases=3, replicate=0) for one in evaluated(scenario, Values(moved))
    ]
    for at in range(3):
        own = Values({key: float(value[at, 0]) for key, value in moved.items()})
        for many, one in zip(together, evaluated(scenario, own), strict=True):
            assert_same(figures(many, at), figures(outcomes_of(one, cases=1, replicate=0)))
