"""The share of added work that only the machine can do, and where the answer turns on it."""

import pytest
from helpers import TEE, exactly, money

from planner.case import Case
from planner.decide.answer import answer
from planner.decide.breakeven import headline_value
from planner.decide.sensitivity import price_worth_nothing
from planner.decide.solve import Outcome
from planner.decide.verdict import Answer

# a transfer is bought for 0.50; one made costs nothing but the machine's 1,200 over 1,200 pieces
HALF = {"today": {"buy_in_price": "2 USD/m^2"}}
NEEDS = f"{TEE}.needs_machine"


def test_the_share_from_which_it_is_worth_more_than_buying_in(bare):
    # of 1,200 pieces N sell only with the machine: 1,200·(N·10 + (1 − N)·0.50) = 1,200 at 1/19
    found = answer(bare(HALF | {NEEDS: "50 %"})).verdict
    assert found.answer is Answer.YES
    assert found.hinge is not None
    assert (found.hinge.least, found.hinge.planned) == exactly((1 / 19, 0.5))
    assert found.hinge.products == ("Tee",)


@pytest.mark.parametrize(("share", "expected"), [("5 %", Answer.NOT_YET), ("6 %", Answer.YES)])
def test_the_answer_is_another_on_its_two_sides(bare, share, expected):
    assert answer(bare(HALF | {NEEDS: share})).verdict.answer is expected


def test_a_share_that_is_not_stated_is_none_of_the_work(bare):
    found = answer(bare(HALF)).verdict
    assert found.answer is not Answer.YES
    assert found.hinge is not None
    assert (found.hinge.least, found.hinge.planned) == exactly((1 / 19, 0.0))


def test_two_products_have_one_share_and_a_mean_by_pieces(bare):
    both = [
        {"name": name, "prints": ["50 cm x 50 cm"], "price": 10, "garment": 0,
         "pieces_per_order": 1, "planned": f"{planned} piece/week", "needs_machine": needs}
        for name, planned, needs in (("One", 20, "40 %"), ("Two", 5, "90 %"))
    ]  # fmt: skip
    found = answer(bare(HALF | {"products": both})).verdict.hinge
    assert found is not None
    assert found.products == ("One", "Two")
    assert (found.least, found.planned) == exactly((1 / 19, 0.5))


@pytest.mark.parametrize(
    "changes",
    [
        {},  # no price: all of it needs the machine, whatever is said
        {"today": {"buy_in_price": "8 USD/m^2"}},  # worth it with transfers at 2 saved alone
        HALF | {f"{TEE}.today": "25 piece/week"},  # nothing is added
        HALF | {"equipment.Set.items.Machine.price": 20000},  # not even all of it pays
    ],
)
def test_where_it_does_not_matter_nothing_is_named(bare, changes):
    assert answer(bare(changes)).verdict.hinge is None


def test_the_value_at_the_share_is_nothing(bare):
    page = answer(bare(HALF | {NEEDS: "50 %"}))
    least = page.verdict.hinge.least
    moved = Case(page.scenario, page.case.values.with_value('products."Tee".needs_machine', least))
    assert headline_value(moved, page.best.choice)[0] == money(0)


def test_the_gain_is_the_added_work_where_made_is_dearer(bare):
    # made at 1.00 of machine a piece, bought at 0.50
    found = answer(bare(HALF | {NEEDS: "50 %"})).verdict
    assert found.made_dearer
    assert found.lives_on_added
    cheaper = answer(bare({"today": {"buy_in_price": "8 USD/m^2"}, NEEDS: "50 %"})).verdict
    assert not cheaper.made_dearer
    assert not cheaper.lives_on_added


def test_prices_at_which_the_plan_is_worth_nothing_against_buying_in(bare):
    # half of 1,200 pieces sell only with the machine; 600·(10·f + 0.50) = 1,200 at f = 0.15
    page = answer(bare(HALF | {NEEDS: "50 %"}))
    found = price_worth_nothing(page.case, page.best.evaluation.plan)
    assert found.outcome is Outcome.FOUND
    assert found.value == exactly(0.15)
