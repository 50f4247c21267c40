"""What a warranty covers, and what that is worth: failures, days down, heads, second-hand machines.

The machine sells 100 pieces at 10 on 20 days of every month and prints 25 m².
"""

import numpy as np
import pytest
from helpers import ROOT, exactly, money, row

from planner.case import Case, choices
from planner.decide.evaluation import evaluations
from planner.finance.series import net_present_value
from planner.scenario.load import load

LAW = {
    "in_first_year": 1.8,
    "wear": 1.5,
    "cost": {"low": 70, "likely": 120, "high": 350},  # PERT mean (70 + 480 + 350)/6 = 150
    "down_days_covered": "1 day",
    "down_days_uncovered": "5 day",
}
TERMS = [
    {"name": "Bare", "term": "0 months"},
    {"name": "Included", "term": "12 months", "deductible": 25},
    {"name": "Extended", "term": "24 months", "price": 400},
]
HEAD = {"name": "Head", "price": 100, "count": 2}
SOUND = {"equipment.Set.repairs": {"in_first_year": 0, "cost": 0}}  # prints on every open day


def evaluated(scenario, warranty):
    """The machine bought for cash under that warranty, beside what it is compared with."""
    wanted = next(c for c in choices(scenario) if c.warranty.name == warranty).for_cash()
    (found,) = evaluations(Case(scenario), (wanted,))
    return found


def line(scenario, warranty, name):
    """A line of the ledger in months 1 to the last."""
    return row(evaluated(scenario, warranty).plan.ledger.line(name))[1:]


def value(scenario, warranty):
    """Net present value against doing nothing, for cash."""
    found = evaluated(scenario, warranty)
    flows = row(found.headline.net)
    return float(net_present_value(flows=flows, rate=found.case.hurdle))


def present(flows, effective):
    """Flows of months 1, 2 … at signing, by hand."""
    return sum(flow / (1 + effective) ** (t / 12) for t, flow in enumerate(flows, start=1))


def failures(months, age=0):
    """1.8·a^1.5, month by month."""
    t = np.arange(age, age + months + 1) / 12
    return np.diff(1.8 * t**1.5)


@pytest.fixture
def failing(bare):
    """Loads the shop with that law, three warranties and 10 % a year over two years."""

    def loads(**changes):
        return bare(
            {
                "equipment.Set.repairs": LAW,
                "equipment.Set.warranty": TERMS,
                "horizon": "24 months",
                "hurdle_rate": "10 %/year",
            }
            | changes
        )

    return loads


@pytest.mark.parametrize(
    ("warranty", "covered_until", "deductible"),
    [("Bare", 0, 0), ("Included", 12, 25), ("Extended", 24, 0)],
)
def test_repairs_and_down_days_inside_and_outside_the_cover(
    failing, warranty, covered_until, deductible
):
    covered = np.arange(1, 25) <= covered_until
    cost = np.where(covered, deductible, 150) * failures(24)
    down = np.where(covered, 1, 5) * failures(24) / 20  # of twenty open days
    assert line(failing(), warranty, "repairs") == exactly(-cost)
    assert line(failing(), warranty, "sales lost") == exactly(-1000 * down)


def test_an_extension_is_worth_the_repairs_and_the_days_that_it_covers(failing):
    # months 13 to 24: 150 and four of twenty days of 1,000 more a failure; in the first year the
    # extension asks for no deductible of 25; it costs 400 at signing
    saved = np.where(np.arange(1, 25) <= 12, 25, 150 + 4 / 20 * 1000) * failures(24)
    expected = present(saved, 0.10) - 400
    found = value(failing(), "Extended") - value(failing(), "Included")
    assert found == exactly(expected)
    assert expected > 0  # 1.8·2^1.5 − 1.8 = 3.3 failures of 350 are worth more than 400


def test_a_deductible_as_dear_as_the_repair_covers_only_days(failing):
    terms = [TERMS[0], TERMS[1] | {"deductible": 150}]
    scenario = failing(**{"equipment.Set.warranty": terms})
    days = np.where(np.arange(1, 25) <= 12, 4 / 20 * 1000, 0) * failures(24)
    found = value(scenario, "Included") - value(scenario, "Bare")
    assert found == exactly(present(days, 0.10))


@pytest.mark.parametrize("age", [0, 24, 25.5])
def test_equipment_with_a_past_fails_like_its_age_from_the_first_day(failing, age):
    # at two years the first month holds the failures of month 25, and the warranty starts anew
    scenario = failing(**{"equipment.Set.age": f"{age} months"})
    expected = failures(24, age)
    cost = np.where(np.arange(1, 25) <= 12, 25, 150) * expected
    assert line(scenario, "Included", "repairs") == exactly(-cost)
    assert line(scenario, "Bare", "repairs") == exactly(-150 * expected)


def test_two_years_of_age_bring_months_25_to_48_of_a_new_machine(failing):
    young = failing(horizon="48 months")
    old = failing(**{"equipment.Set.age": "24 months"})
    assert line(old, "Bare", "repairs") == exactly(line(young, "Bare", "repairs")[24:])


# Two heads of 100 in the months in which their life ends; month 24 is the last, in which none is
# bought. By area 100 m² are four months; by age five.
@pytest.mark.parametrize(
    ("life", "inside", "after"),
    [
        ({"life": "100 m^2"}, (4, 8, 12), (16, 20)),
        ({"life_at_most": "5 months"}, (5, 10), (15, 20)),
        ({"life": "100 m^2", "life_at_most": "3 months"}, (3, 6, 9, 12), (15, 18, 21)),
        ({"life": "150 m^2", "life_at_most": "11 months"}, (6, 12), (18,)),
    ],
)
def test_a_head_outside_the_warranty_changes_the_answer_by_its_price(failing, life, inside, after):
    def loads(covered):
        heads = {"equipment.Set.wear_parts": [HEAD | life | {"covered": covered}]}
        return failing(**SOUND | heads | {"growth.costs": "6 %/year"})

    def price(month):
        return 200 * 1.06 ** ((month - 1) / 12)

    paid = {month: price(month) for month in after}
    found = line(loads(True), "Included", "wear parts")
    assert {t + 1: -found[t] for t in np.flatnonzero(found)} == exactly(paid)
    expected = sum(price(month) / 1.10 ** (month / 12) for month in inside)
    gain = value(loads(True), "Included") - value(loads(False), "Included")
    assert gain == exactly(expected)
    assert value(loads(True), "Bare") == exactly(value(loads(False), "Bare"))


@pytest.mark.parametrize(("free", "term"), [((4, 8, 12), 12), ((4, 8), 11), ((4, 8), 11.9)])
def test_the_last_month_of_the_warranty_still_covers_a_head(failing, free, term):
    heads = {"equipment.Set.wear_parts": [HEAD | {"life": "100 m^2", "covered": True}]}
    terms = {"equipment.Set.warranty": [TERMS[1] | {"term": f"{term} months"}]}
    found = line(failing(**SOUND | heads | terms), "Included", "wear parts")
    assert {4, 8, 12, 16, 20} - {int(t) + 1 for t in np.flatnonzero(found)} == set(free)


def test_a_covered_head_in_the_shop_that_comes_with_the_program():
    """Two heads of 620 are due in month 28: inside 36 months of warranty, outside 12.

    They save 24 % tax at the end of their year, in month 34 (December 2029).
    """
    path, heads = ROOT / "scenarios" / "larkspur-lane.toml", "Print head"
    own = 'equipment."24-inch printer and shaker dryer"'
    excluded = load(path)
    covered = load(path, changes={f'{own}.wear_parts."{heads}".covered': True})
    paid = -line(excluded, "Extended, 36 months", "wear parts")
    assert np.flatnonzero(paid)[0] + 1 == 28
    price = 2 * 620 * 1.03 ** (27 / 12)
    assert paid[27] == money(price)
    expected = price / 1.14 ** (28 / 12) - 0.24 * price / 1.14 ** (34 / 12)
    gain = [
        value(covered, warranty) - value(excluded, warranty)
        for warranty in ("Extended, 36 months", "Included, 12 months")
    ]
    assert gain == money([expected, 0])


@pytest.mark.parametrize(("warranty", "covered_until"), [("Bare", 0), ("Included", 12)])
def test_a_supplier_at_hand_turns_days_down_into_hurried_orders(failing, warranty, covered_until):
    # 100 transfers of 0.25 m² at 12 a square metre, 30 % more in a hurry: 390 a month wholly down
    scenario = failing(today={"buy_in_price": "12 USD/m^2", "hurry_extra": "30 %"})
    down = np.where(np.arange(1, 25) <= covered_until, 1, 5) * failures(24) / 20
    assert line(scenario, warranty, "transfers bought in a hurry") == exactly(-390 * down)
    assert line(scenario, warranty, "sales lost") == exactly(0 * down)
