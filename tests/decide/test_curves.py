"""Curves that pictures draw: they meet where the figures say."""

from __future__ import annotations

import numpy as np
import pytest
from helpers import SHIPPED, shipped_answer

from planner.decide.curves import break_even_curves, cumulative


@pytest.mark.parametrize("name", SHIPPED)
def test_income_and_cost_meet_at_the_monthly_break_even(name):
    page = shipped_answer(name)
    own = page.best
    drawn = break_even_curves(page.case, own.evaluation.plan, own.figures)
    even = own.figures.break_even.monthly.value
    assert drawn.planned == own.figures.weekly_pieces
    assert drawn.capacity == pytest.approx(drawn.planned * own.figures.break_even.capacity)
    if even is None:
        assert drawn.crossing is None
        return
    assert drawn.crossing is not None
    pieces, money = drawn.crossing
    assert pieces == pytest.approx(even * drawn.planned)
    for curve in (drawn.income, drawn.total_cost):
        assert np.interp(pieces, drawn.volumes, curve) == pytest.approx(money, rel=0.02)


@pytest.mark.parametrize("name", SHIPPED)
def test_cumulative_flows_end_at_their_sum(name):
    evaluation = shipped_answer(name).best.evaluation
    for which, curve in cumulative(evaluation).items():
        flows = evaluation.comparisons[which].before_end[0]
        assert curve[0] == pytest.approx(flows[0])
        assert curve[-1] == pytest.approx(flows.sum())
