"""A set without a printer: transfers are bought in and pressed, nothing is printed."""

import numpy as np
import pytest
from helpers import equipment, exactly, money, product, row

from planner.case import Case, choices
from planner.decide.answer import answer
from planner.decide.identities import print_checks
from planner.decide.verdict import Reason
from planner.plan import plan
from planner.scenario.faults import ScenarioError

PRINTER = ("print_speed", "power", "dryer_on", "dryer_warm_up")
WORK = {
    "today": {"buy_in_price": "12 USD/m^2", "delivery": "5 USD/order", "hurry_extra": "50 %"},
    "products.Tee.today": "10 piece/week",
    "products.Tee.needs_machine": "40 %",
    "products.Tee.garment": 2,
    "labour.pressing": "3 min/print",
    "labour.tending": "6 min/m^2",
    "labour.daily": "20 min/day",
    "ink.price": "90 USD/L",
    "ink.daily_loss": "10 mL/day",
    "ink.first_fill": "1 L",
}


@pytest.fixture
def pressing(bare):
    def scenario(**more):
        bare_set = equipment(name="Press", **dict.fromkeys(PRINTER))
        return bare(WORK | {"equipment": [bare_set]} | more)

    return scenario


def own_plan(scenario):
    return plan(Case(scenario), choices(scenario)[0])


def test_nothing_is_printed_and_what_can_be_is_bought_at_the_ordinary_price(pressing):
    done = own_plan(pressing()).operations
    (work,) = done.works
    # asked 100 a month; today's 40 and 60 % of the added 60 could be bought
    assert (np.asarray(work.made) == 0).all()
    assert row(work.bought) == exactly(np.full(12, 76.0))
    assert (np.asarray(work.hurried) == 0).all()
    assert row(work.lost) == exactly(np.full(12, 24.0))
    # 76 × 0.25 m² × 12, and four orders delivered
    assert row(done.lines["transfers bought in"]) == exactly(np.full(12, -228.0))
    assert row(done.lines["delivery of transfers"]) == exactly(np.full(12, -20.0))
    assert row(done.lines["labour"]) == exactly(np.full(12, -76 * 3 / 60 * 20))  # no care
    for line in ("ink", "film", "powder", "ink lost", "ink thrown away", "film ends"):
        assert row(done.lines[line] * np.ones((1, 12))) == exactly(np.zeros(12))


def test_against_buying_in_only_the_set_itself_counts(pressing):
    # the same transfers are bought either way: what is left is the price, less what it fetches
    page = answer(pressing())
    (one,) = page.choices
    assert one.figures.net_present_value["against_buying_in"] == money(-1200)
    assert page.verdict.reason is Reason.PRINTS_NOTHING
    assert one.figures.make_or_buy is None
    assert "prints nothing" in one.figures.reasons["make_or_buy_area_per_week"]


def test_a_second_press_pays_where_the_press_is_full(bare):
    # 100 pieces of 2 hours are 200 hours of pressing; one press has 160 open hours
    tight = WORK | {"labour.pressing": "120 min/print", "products.Tee.today": "25 piece/week"}
    bought = {}
    for presses in (1, 2):
        own = equipment(name="Press", presses=presses, **dict.fromkeys(PRINTER))
        (work,) = own_plan(bare(tight | {"equipment": [own]})).operations.works
        bought[presses] = row(work.bought)[0]
    assert bought == {1: exactly(80), 2: exactly(100)}


def test_a_piece_costs_its_transfer_and_the_parts_add_up(pressing):
    page = answer(pressing())
    (piece,) = page.prints
    assert piece.parts["garment"] == exactly(2)
    assert piece.parts["transfers"] == exactly(0.25 * 12)
    assert piece.parts["delivery"] == exactly(4 * 5 / 100)  # four orders a month, 100 pieces
    assert piece.parts["pressing"] == exactly(1)
    assert "ink" not in piece.parts
    assert all(holds for _, holds, _ in print_checks(page))


def test_a_set_that_only_presses_needs_a_price_for_transfers(bare):
    own = equipment(name="Press", **dict.fromkeys(PRINTER))
    with pytest.raises(ScenarioError, match="hold print_speed, or"):
        bare({"equipment": [own]})


@pytest.mark.parametrize("key", ["power", "dryer_on"])
def test_what_belongs_to_a_printer_asks_for_its_speed(bare, key):
    own = equipment(name="Press", **dict.fromkeys(set(PRINTER) - {key}))
    with pytest.raises(ScenarioError, match="print_speed: must be given"):
        bare(WORK | {"equipment": [own]})


def test_a_product_of_which_none_is_planned_still_has_its_cost(bare):
    own = equipment(name="Press", **dict.fromkeys(PRINTER))
    tee, cap = product("Tee"), product("Cap", planned="0 piece/week")
    scenario = bare({"today": WORK["today"], "products": [tee, cap], "equipment": [own]})
    costs = {one.product: one.parts["transfers"] for one in answer(scenario).prints}
    assert costs == {"Tee": exactly(3), "Cap": exactly(3)}
