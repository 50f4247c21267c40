"""Warranties: price against repairs and margin lost, each part by hand."""

import pytest
from helpers import equipment, exactly, money, shipped_answer

from planner.decide.answer import answer
from planner.decide.warranties import MARGIN, PRICE, best_of, warranty_costs

# One failure a month: under warranty nothing is paid and half a day lost, later 100 and a day.
LAW = {
    "in_first_year": 12,
    "cost": 100,
    "down_days_covered": "0.5 day",
    "down_days_uncovered": "1 day",
}
SHORT = {"name": "Short", "term": "3 months"}
LONG = {"name": "Long", "term": "9 months", "price": 450}


def costs_of(page):
    return warranty_costs(page.case, [(one.evaluation, one.figures) for one in page.choices])


@pytest.fixture
def page(bare):
    own = equipment(repairs=LAW, warranty=[SHORT, LONG])
    return answer(bare({"equipment": [own]}))


def test_each_part_by_hand(page):
    short, long = costs_of(page)
    # 100 pieces a month at 10; nothing can be bought in, so a day down of 20 loses 50
    assert dict(short.years) == {
        PRICE: (0.0,),
        "wear parts": (0.0,),
        "repairs": (exactly(9 * 100),),
        MARGIN: (exactly(3 * 25 + 9 * 50),),
    }
    assert dict(long.years) == {
        PRICE: (450.0,),
        "wear parts": (0.0,),
        "repairs": (exactly(3 * 100),),
        MARGIN: (exactly(9 * 25 + 3 * 50),),
    }
    assert long.total_by_year == (exactly(450 + 300 + 375),)


def test_the_difference_in_value_is_the_difference_in_cost(page):
    # before tax, at a hurdle rate of 0 and paid at once
    short, long = costs_of(page)
    assert long.value - short.value == money(short.total - long.total)
    assert short.total - long.total == money(525 + 900 - 1125)
    assert best_of((short, long), "Set") is long


@pytest.mark.parametrize(("dearer", "best"), [(749.99, "Long"), (750.01, "Short")])
def test_the_price_at_which_it_is_no_longer_worth_it(bare, dearer, best):
    own = equipment(repairs=LAW, warranty=[SHORT, LONG | {"price": dearer}])
    assert best_of(costs_of(answer(bare({"equipment": [own]}))), "Set").warranty == best


def test_a_deductible_is_paid_of_each_failure_under_warranty(bare):
    own = equipment(repairs=LAW, warranty=[SHORT | {"deductible": 40}])
    (one,) = costs_of(answer(bare({"equipment": [own]})))
    assert one.years["repairs"] == (exactly(3 * 40 + 9 * 100),)


def test_present_values_add_up_by_year_at_the_hurdle_rate(bare):
    # 24 % a year effective; the price is paid at signing
    own = equipment(repairs=LAW, warranty=[LONG])
    (one,) = costs_of(answer(bare({"equipment": [own], "hurdle_rate": "24 %/year"})))
    monthly = 1.24 ** (1 / 12)
    assert one.present[PRICE] == exactly(450)
    assert one.present["repairs"] == exactly(sum(100 / monthly**t for t in (10, 11, 12)))


@pytest.mark.parametrize("name", ["larkspur-lane", "new-shop", "shortest", "two-widths"])
def test_every_warranty_of_a_shipped_scenario_stands_once(name):
    page = shipped_answer(name)
    costs = costs_of(page)
    offered = [(e.name, w.name) for e in page.scenario.equipment for w in e.warranty]
    assert [(one.equipment, one.warranty) for one in costs] == offered
    for one in costs:
        assert all(amount >= 0 for years in one.years.values() for amount in years)
