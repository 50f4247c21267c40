"""Overtime: the hours it adds, when they are worked, and what they cost."""

import pytest
from helpers import exactly, row, setting_of

from planner.shop.month import operations_with, operations_without

# 100 prints of 48 min are 80 hours of pressing a month; people have 4 weeks × 15 hours = 60.
TIGHT = {"labour.pressing": "48 min/print", "shop.staff_hours": "15 hour/week"}
TODAY = {
    "products.Tee.today": "25 piece/week",
    "today": {"buy_in_price": "1 USD/m^2"},
}


def overtime(hours, extra="50 %"):
    return {"shop.overtime": {"hours": f"{hours} hour/week", "extra": extra}}


@pytest.mark.parametrize("ask", [operations_with, operations_without])
@pytest.mark.parametrize(
    ("served", "worked", "hours"),
    [
        (60 / 80, 0, 0),  # none allowed: 20 hours of work are turned away
        (68 / 80, 8, 2),  # 2 hours a week are all worked
        (1.0, 20, 5),  # just enough
        (1.0, 20, 9),  # more than is needed is not worked
    ],
)
def test_overtime_serves_what_people_could_not(bare, ask, served, worked, hours):
    ran = ask(setting_of(bare(TIGHT | TODAY | overtime(hours)), steady=True))
    (work,) = ran.works
    assert row(work.sold)[0] == exactly(100 * served)
    assert row(ran.overtime)[0] == exactly(worked)
    assert row(ran.lines["overtime"])[0] == exactly(-worked * 20 * 0.5)
    assert row(ran.lines["labour"])[0] == exactly(-80 * served * 20)  # ordinary pay of all hours


def test_overtime_pays_on_costs_and_grows_with_wages(bare):
    scenario = bare(
        TIGHT | overtime(5, "40 %") | {"shop.on_costs": "10 %", "growth.wages": "12 %/year"}
    )
    paid = row(operations_with(setting_of(scenario)).lines["overtime"])
    assert paid == exactly([-20 * 22 * 0.4 * 1.12 ** (month / 12) for month in range(12)])


def test_efficiency_limits_overtime_as_it_limits_all_hours(bare):
    # 4 weeks × (15 + 5) hours × 75 % = 60 hours of 80, of them 15 of overtime
    ran = operations_with(
        setting_of(bare(TIGHT | overtime(5) | {"shop.efficiency": "75 %"}), steady=True)
    )
    assert row(ran.served)[0] == exactly(60 / 80)
    assert row(ran.overtime)[0] == exactly(15)


def test_the_shop_stays_open_longer_for_a_full_printer(bare):
    # 25 m² at 25/200 m² an hour are 200 hours; open 160, with 5 hours a week more 180
    slow = {"equipment.Set.print_speed": "0.125 m^2/hour"}
    ran = operations_with(setting_of(bare(slow | overtime(5)), steady=True))
    assert row(ran.served)[0] == exactly(180 / 200)
    assert row(ran.overtime)[0] == exactly(20)


def test_a_closed_month_has_no_overtime(bare):
    scenario = bare(TIGHT | overtime(5) | {"shop.closed": ["2027-03"]})
    worked = row(operations_with(setting_of(scenario)).overtime)
    assert worked[2] == 0
    assert worked[1] == exactly(20)
