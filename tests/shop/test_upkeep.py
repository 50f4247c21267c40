"""Wear parts by area and by age, supplies and insurance."""

import numpy as np
import pytest
from helpers import MACHINE, equipment, exactly, machine_of, row, setting_of

from planner.case import Case
from planner.scenario.estimates import Values
from planner.shop.month import operations_with

# 25 m² are printed every month.
PART = {"name": "Head", "price": 100, "count": 2}


def paid(scenario, name="wear parts", **levers):
    return -row(operations_with(setting_of(scenario, **levers)).lines[name])


def months_paid(scenario, **levers):
    flows = paid(scenario, **levers)
    return {int(month) + 1: float(flows[month]) for month in np.flatnonzero(flows)}


def wear(bare, part, **changes):
    return bare({"equipment.Set.wear_parts": [PART | part]} | changes)


@pytest.mark.parametrize(
    ("expected", "part"),
    [
        ({4: 200, 8: 200}, {"life": "100 m^2"}),  # month 12 is the last: none
        ({5: 200, 9: 200}, {"life": "101 m^2"}),  # what is printed beyond counts for the next
        (dict.fromkeys(range(1, 12), 400), {"life": "12.5 m^2"}),  # two lives in a month
        ({5: 200, 10: 200}, {"life_at_most": "5 months"}),
        ({5: 200, 10: 200}, {"life_at_most": "4.5 months"}),  # passed within the fifth month
        ({3: 200, 6: 200, 9: 200}, {"life": "100 m^2", "life_at_most": "3 months"}),
        ({4: 200, 8: 200}, {"life": "100 m^2", "life_at_most": "5 months"}),
    ],
)
def test_paid_in_the_month_in_which_a_life_is_passed(bare, expected, part):
    assert months_paid(wear(bare, part)) == exactly(expected)


def test_a_new_part_starts_anew_in_area_and_age(bare):
    # by area in month 4 (100 of 100 m²); then 20 m² a month: by age five months later, in month 9
    scenario = wear(
        bare, {"life": "100 m^2", "life_at_most": "5 months"}, **{"growth.volume": "-50 %/year"}
    )
    area = np.cumsum(25 * 0.5 ** (np.arange(12) / 12))
    first = int(np.argmax(area >= 100)) + 1
    assert sorted(months_paid(scenario)) == [first, first + 5]


def test_age_counts_from_the_first_month_of_running(bare):
    assert sorted(months_paid(wear(bare, {"life_at_most": "5 months"}, runs_from="2 months"))) == [
        7
    ]


@pytest.mark.parametrize(("first", "term"), [(8, "4 months"), (4, "3 months"), (4, "0 months")])
def test_a_covered_part_costs_nothing_under_warranty(bare, first, term):
    # lives end in months 4, 8 and 12
    scenario = wear(bare, {"life": "100 m^2", "covered": True},
                    **{"equipment.Set.warranty.Included.term": term})  # fmt: skip
    assert min(months_paid(scenario)) == first


def test_a_part_that_is_not_covered_is_paid_under_warranty(bare):
    assert min(months_paid(wear(bare, {"life": "100 m^2"}))) == 4


def test_the_steady_month_accrues_the_faster_wear(bare):
    for part, expected in (
        ({"life": "100 m^2"}, 200 * 25 / 100),
        ({"life_at_most": "10 months"}, 200 / 10),
        ({"life": "100 m^2", "life_at_most": "10 months"}, 200 * 25 / 100),
        ({"life": "500 m^2", "life_at_most": "10 months"}, 200 / 10),
    ):
        setting = setting_of(wear(bare, part), steady=True)
        assert -row(operations_with(setting).lines["wear parts"])[0] == exactly(expected)


@pytest.mark.parametrize(
    ("key", "written", "lives"),
    [
        ("life", "100 m^2", [60.0, 100.0, 260.0]),
        ("life_at_most", "5 months", [3.0, 4.5, 5.0, 30.0]),
    ],
)
def test_lives_drawn_side_by_side_are_the_single_ones(bare, key, written, lives):
    scenario = wear(bare, {key: written}, horizon="24 months")

    def flows(life):
        drawn = {f'equipment."Set".wear_parts."Head".{key}': life}
        case = Case(scenario, Values(drawn))
        setting = case.setting(machine_of(scenario, drawn), case.calendar)
        return operations_with(setting).lines["wear parts"]

    for single, together in zip(lives, flows(np.array(lives)[:, np.newaxis]), strict=True):
        assert together == exactly(row(flows(float(single))))


def test_without_data_a_share_of_the_price_wears_out(bare):
    # defaults: 8 % of 1,200 each 24 months; supplies 4 %, insurance 2 % a year
    unknown = equipment(wear_parts=None, supplies=None, insurance=None)
    scenario = bare({"horizon": "60 months", "equipment": [unknown]})
    assert months_paid(scenario) == exactly({24: 96, 48: 96})
    longer = equipment(wear_parts=None, warranty=[{"name": "Long", "term": "36 months"}])
    under = bare({"horizon": "60 months", "equipment": [longer]})
    assert months_paid(under) == exactly({24: 96, 48: 96})  # no warranty pays for them
    assert paid(scenario, "supplies") == exactly([4] * 60)
    assert paid(scenario, "insurance") == exactly([2] * 60)


def test_insurance_is_a_share_of_the_discounted_price_from_signing(bare):
    scenario = bare(
        {
            "equipment.Set.insurance": "3 %/year",
            "equipment.Set.discount": "20 %",
            f"{MACHINE}.quantity": 2,
            "runs_from": "2 months",
        }
    )
    assert paid(scenario, "insurance") == exactly([0.03 / 12 * 2400 * 0.8] * 12)


def test_supplies_begin_when_the_machine_runs(bare):
    scenario = bare({"equipment.Set.supplies": "7 USD/month", "runs_from": "2 months"})
    assert paid(scenario, "supplies") == exactly([0, 0] + [7] * 10)
