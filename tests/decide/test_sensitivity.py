"""What matters most, the busiest station, and ways to pay in their order."""

import pytest
from helpers import MACHINE, SHIPPED, TEE, exactly, money, shipped, shipped_answer

from planner.case import Case
from planner.decide.answer import answer
from planner.decide.breakeven import headline_value
from planner.decide.ranking import cheapest, easiest, same_machine
from planner.decide.sensitivity import influences
from planner.scenario.estimates import Values


def test_an_input_alone_at_both_its_ends(bare):
    # 12 months of 100 pieces, 1,200 of machine: each dollar of price is 1,200
    scenario = bare(
        {
            f"{TEE}.price": {"low": 8, "likely": 10, "high": 11},
            f"{TEE}.garment": {"low": 0, "likely": 2, "high": 7},
        }
    )
    found = influences(Case(scenario), answer(scenario).best.evaluation.plan)
    table = [  # key, at low, at high: the widest first
        ('products."Tee".garment', 10 * 1200 - 1200, 3 * 1200 - 1200),
        ('products."Tee".price', 6 * 1200 - 1200, 9 * 1200 - 1200),
    ]
    assert [one.estimate.key for one in found] == [key for key, _, _ in table]
    for one, (_, low, high) in zip(found, table, strict=True):
        assert (one.at_low, one.at_high) == money((low, high))
        assert one.swing == money(abs(high - low))


def test_no_ranges_no_influences(bare):
    scenario = bare()
    assert influences(Case(scenario), answer(scenario).best.evaluation.plan) == ()


@pytest.mark.parametrize("name", SHIPPED)
def test_ends_worked_out_together_are_the_single_ones(name):
    page = shipped_answer(name)
    for one in page.influences:
        for end, expected in ((one.estimate.low, one.at_low), (one.estimate.high, one.at_high)):
            case = Case(shipped(name), Values({one.estimate.key: end}))
            assert headline_value(case, page.best.choice)[0] == exactly(expected)


def test_the_busiest_station_and_its_month(bare):
    # 25 m² a month in 160 hours; in the season's peak, March, twice as much
    season = [1, 1, 2, 1, 1, 1, 1, 1, 1, 1, 1, 0.0001]
    speed = {"equipment.Set.print_speed": f"{25 / 80} m^2/hour", "shop.season": season}
    busiest = answer(bare(speed)).best.figures.busiest
    assert busiest.month == 3
    assert busiest.station in ("printer", "dryer")  # they run equally long
    assert busiest.share == exactly(0.5 * 2 * 12 / sum(season))


OFFERS = [
    {"name": "Dear", "kind": "loan", "rate": "12 %/year", "term": "12 months", "fee": 100},
    {"name": "Cheap", "kind": "loan", "rate": "12 %/year", "term": "24 months", "fee": 5},
]


def test_ways_to_pay_in_their_order(bare):
    # at 1 % a month a loan costs what cash costs, and its fee; the longer one is easier on cash
    worth = {f"{MACHINE}.worth": {"after": "12 months", "share": "25 %"}}
    page = answer(bare(worth | {"financing": OFFERS, "shop.cash_at_start": 2000}))
    ways = same_machine(page.choices, page.best)
    first, gap, is_clear = cheapest(ways)
    assert len(ways) == 3
    assert (first.choice.financing.kind, is_clear) == ("cash", False)
    assert gap == money(5)  # less than 1 % of 1,200 less 300/1.01^12
    assert cheapest([way for way in ways if way.choice.financing.name != "Cheap"])[2]
    assert easiest(ways)[0].choice.financing.name == "Cheap"
