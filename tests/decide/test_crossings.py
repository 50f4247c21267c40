"""Where a figure crosses zero for good: the search itself, and every crossing put back."""

from types import SimpleNamespace

import numpy as np
import pytest
from helpers import SHIPPED, TEE, exactly, money, plan_of, product, row, setting_of, shipped_answer

from planner.decide.breakeven import (
    added_work_needed,
    break_even,
    headline_value,
    make_or_buy,
    own_value,
    slack,
)
from planner.decide.solve import Crossing, Outcome, lasting_crossing
from planner.decide.steady import steady_surplus, transfer_costs
from planner.finance.series import payback
from planner.shop.month import operations_with


@pytest.mark.parametrize(
    ("expected", "figure"),
    [
        (3.0, lambda x: x - 3),
        (2.5, lambda x: (x - 2.5) ** 3),
        (4.0, lambda x: (x - 1) * (x - 2) * (x - 4)),  # the last of three crossings
        (np.pi, lambda x: np.where(x >= np.pi, 5.0, -5.0)),  # a jump
        (7.25, lambda x: np.where(x < 7.25, -1.0, 0.0)),  # zero is not below zero
        (6.0, lambda x: np.where((x > 2) & (x < 6), -0.1, 1.0)),  # below zero in between
        # a part that wears out once more makes a dip of a hundredth of the range
        (6.1, lambda x: np.where((x > 6.0) & (x < 6.1), -1.0, x - 3)),
    ],
)
def test_the_lowest_value_from_which_it_stays(expected, figure):
    found = lasting_crossing(figure, low=0.0, high=10.0)
    assert found.outcome is Outcome.FOUND
    assert found.value == pytest.approx(expected, abs=1e-10)


@pytest.mark.parametrize(
    ("expected", "figure"),
    [
        (Outcome.ALWAYS, lambda x: x + 1),
        (Outcome.ALWAYS, lambda x: 0.0 * x),
        (Outcome.NEVER, lambda x: -1.0 - x),
        (Outcome.NEVER, lambda x: 5 - x),  # above zero at first, below it at the top
    ],
)
def test_no_crossing(expected, figure):
    assert lasting_crossing(figure, low=0.0, high=10.0) == Crossing(None, expected)


def test_no_room_to_search():
    assert lasting_crossing(lambda x: x, low=0.0, high=0.0) == Crossing(None, Outcome.NEVER)


@pytest.fixture(params=SHIPPED)
def shipped_choices(request):
    """Every choice of a shipped scenario, answered."""
    return shipped_answer(request.param).choices


def assert_crosses(figure, crossing):
    """Zero at the crossing; at a jump (a part less to replace, a price break) below and above."""
    if crossing.value is None:
        return
    at = crossing.value
    below, on = figure(np.array([at * (1 - 1e-9), at]))
    assert on == money(0) or below < 0 <= on


def test_break_evens_put_back_give_zero(shipped_choices):
    for answered in shipped_choices:
        plan, found = answered.evaluation.plan, answered.figures.break_even
        case = plan.case
        assert_crosses(lambda k, c=case, p=plan: steady_surplus(c, p, k), found.monthly)
        for crossing, lever in ((found.lifetime, "volume"), (found.price, "price")):
            assert_crosses(
                lambda x, c=case, p=plan, name=lever: own_value(
                    c.moved(**{name: x[:, np.newaxis]}), p
                ),
                crossing,
            )


def test_added_work_put_back_makes_the_value_zero(shipped_choices):
    for answered in shipped_choices:
        case, need = answered.evaluation.case, answered.figures.added_work
        choice = answered.choice
        assert_crosses(
            lambda x, c=case, n=need, o=choice: headline_value(
                c.moved(**{n.lever: x[:, np.newaxis]}), o
            ),
            need.crossing,
        )


def test_make_or_buy_put_back_costs_the_same(shipped_choices):
    for answered in shipped_choices:
        found, plan = answered.figures.make_or_buy, answered.evaluation.plan
        if found is None or found.by_cost.value is None:
            continue
        costs = transfer_costs(plan.case, plan, np.array([found.by_cost.value]))
        assert costs.made[0] == money(costs.bought[0])


def test_pieces_and_area_at_the_crossing_are_of_one_mix(bare):
    # bought at 6 a square metre, today's 10 tees of 0.25 m² cost 720 in 48 weeks; a third of the 10
    # banners of 0.5 m² cost the missing 480 of 1,200
    tees = product("Tee", today="10 piece/week", planned="10 piece/week")
    size = {"prints": ["50 cm x 100 cm"], "pressed": False}
    banners = product("Banner", planned="10 piece/week", **size)
    bought = {"products": [tees, banners], "today": {"buy_in_price": "6 USD/m^2"}}
    need = added_work_needed(*_case_and_plan(bare(bought)))
    assert need.crossing.value == exactly(1 / 3)
    assert need.pieces == exactly(10 + 10 / 3)
    assert need.area == exactly(10 * 0.25 + 10 / 3 * 0.5)


def test_without_a_crossing_there_are_no_pieces_and_no_area(bare):
    for price in ("0.001 USD/m^2", "1000 USD/m^2"):  # never and always
        changes = {f"{TEE}.today": "10 piece/week", "today": {"buy_in_price": price}}
        need = added_work_needed(*_case_and_plan(bare(changes)))
        assert need.crossing.value is None
        assert (need.pieces, need.area) == (None, None)


def test_nothing_within_capacity_is_an_answer(bare):
    # the printer does 100 pieces at 10 a month; fixed costs are 1,000.01
    overheads = [{"name": "Fixed costs", "cost": "900.01 USD/month"}]
    full = {"equipment.Set.print_speed": f"{25 / 160} m^2/hour", "overheads": overheads}
    plan = plan_of(bare(full))
    found = break_even(plan.case, plan)
    assert found.monthly == Crossing(None, Outcome.NEVER)
    assert found.capacity == exactly(1.0)


def test_the_most_added_work_just_fills_the_shop(bare):
    # today's jackets keep the press half busy, the added banners the printer at six tenths: the
    # added work may grow to 10/6, when the printer is full
    jackets = product("Jacket", prints=["10 cm x 10 cm"], today="25 piece/week")
    banners = product("Banner", pressed=False, planned="25 piece/week")
    scenario = bare(
        {
            "products": [jackets, banners],
            "today": {"buy_in_price": "1 USD/m^2"},
            "labour.pressing": "48 min/print",  # 80 of 160 hours for 100 jackets
            "equipment.Set.print_speed": f"{26 / 96} m^2/hour",  # 96 hours for 25 + 1 m²
        }
    )
    plan = plan_of(scenario)
    top = added_work_needed(plan.case, plan).top

    def served(added):
        return float(row(operations_with(setting_of(scenario, steady=True, added=added)).served)[0])

    assert served(top * 0.999) == 1.0
    assert served(top * 1.001) < 1.0


def test_without_a_price_for_bought_transfers_there_is_nothing_to_compare(bare):
    plan = plan_of(bare())
    assert make_or_buy(plan.case, plan) is None


def test_work_that_is_not_growing_is_moved_as_a_whole(bare):
    plan = plan_of(bare({f"{TEE}.today": "25 piece/week", "today": {"buy_in_price": "8 USD/m^2"}}))
    need = added_work_needed(plan.case, plan)
    # 12 months × 25 m² × 8 = 2,400 of savings against 1,200
    assert (need.lever, need.crossing.value) == ("volume", exactly(0.5))


def test_only_work_that_can_be_bought_in_counts_for_make_or_buy(bare):
    # a second product without a price at the supplier adds nothing to the area compared
    priced = product("Tee", planned="25 piece/week", buy_in=4)
    unpriced = product("Banner", planned="10 piece/week", pressed=False)
    found = make_or_buy(*_case_and_plan(bare({"products": [priced, unpriced], "today": {}})))
    assert found.buyable_area == exactly(25 * 0.25)


def _case_and_plan(scenario):
    own = plan_of(scenario)
    return own.case, own


@pytest.mark.parametrize("within", [4, 7.5, 11.25, 24])
def test_there_is_slack_exactly_where_the_money_is_back_in_time(within):
    rng = np.random.default_rng(5)
    flows = rng.normal(scale=3.0, size=(4000, 13)) + 1.0
    flows[:, 0] = -rng.uniform(1, 12, size=4000)
    in_time = payback(flows=flows).months <= within
    found = slack(SimpleNamespace(before_end=flows), within=within)
    assert 500 < in_time.sum() < 3500
    np.testing.assert_array_equal(found >= 0, in_time)
