"""Bought transfers are pressed, too: people and press limit them, with the machine and without."""

import pytest
from helpers import exactly, row, setting_of

from planner.shop.capacity import handled_share
from planner.shop.month import operations_with, operations_without

# 100 pieces a month, 30 min of pressing each: 50 hours. All is today's work, at 4 a piece bought.
PRESSED = {
    "labour.pressing": "30 min/print",
    "products.Tee.today": "25 piece/week",
    "today": {"buy_in_price": "16 USD/m^2", "hurry_extra": "0 %"},
}
HALF_PRINTED = {"equipment.Set.print_speed": f"{25 / 320} m^2/hour"}  # the printer serves half


def pieces(ran):
    (work,) = ran.works
    return [float(row(part)[0]) for part in (work.made, work.bought, work.hurried, work.lost)]


@pytest.mark.parametrize(
    ("expected", "people"),
    [
        ([50, 0, 50, 0], 12.5),  # 50 hours: just enough
        ([50, 0, 30, 20], 10),  # 40 hours: 25 for what is made, 15 for 30 pieces more
        ([50, 0, 0, 50], 6.25),  # 25 hours: nothing is left
        ([40, 0, 0, 60], 5),  # 20 hours: people are fuller than the printer
    ],
)
def test_people_press_what_is_bought_in_a_hurry(bare, expected, people):
    changes = PRESSED | HALF_PRINTED | {"shop.staff_hours": f"{people} hour/week"}
    ran = operations_with(setting_of(bare(changes), steady=True))
    assert pieces(ran) == exactly(expected)
    assert row(ran.lines["sales lost"])[0] == exactly(-10 * expected[3])
    assert row(ran.lines["transfers bought in a hurry"])[0] == exactly(-4 * expected[2])


def test_the_press_limits_bought_work_alike(bare):
    # two hours of pressing each: 200 hours, 160 open; 100 of them for the 50 pieces printed
    changes = PRESSED | HALF_PRINTED | {"labour.pressing": "120 min/print"}
    ran = operations_with(setting_of(bare(changes), steady=True))
    assert pieces(ran) == exactly([50, 0, 30, 20])


@pytest.mark.parametrize(("done", "people"), [(100, 12.5), (80, 10), (0.8, 0.1)])
def test_without_the_machine_the_same_people_limit(bare, done, people):
    changes = PRESSED | {"shop.staff_hours": f"{people} hour/week"}
    ran = operations_without(setting_of(bare(changes), steady=True))
    assert pieces(ran) == exactly([0, done, 0, 100 - done])
    assert row(ran.sales)[0] == exactly(10 * done)


def test_care_of_the_machine_takes_its_hours_first(bare):
    # 20 days of 30 min leave 40 of 50 hours: 80 pieces, all made, and nothing more can be pressed
    changes = PRESSED | {"shop.staff_hours": "12.5 hour/week", "labour.daily": "30 min/day"}
    assert pieces(operations_with(setting_of(bare(changes), steady=True))) == exactly(
        [80, 0, 0, 20]
    )


def test_handled_share_on_both_sides_of_the_room():
    hours = {"press": 10.0, "people": 0.0}
    for room, share in ((0.0, 0.0), (5.0, 0.5), (10.0, 1.0), (30.0, 1.0)):
        assert handled_share(rooms={"press": room, "people": 0.0}, hours=hours) == exactly(share)
    assert handled_share(rooms={"press": 30.0}, hours={"press": 10.0}) == 1.0
