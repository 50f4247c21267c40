"""Several equal machines: what is counted for each, and how one stands in for another."""

import pytest
from helpers import exactly, row, setting_of

from planner.shop.capacity import share_down
from planner.shop.month import operations_with, upsets_of

SET = "equipment.Set"
TWO = {f"{SET}.machines": 2}
LAW = {
    "in_first_year": 12,
    "cost": 100,
    "down_days_covered": "1 day",
    "down_days_uncovered": "1 day",
}


def ran(scenario, **keys):
    return operations_with(setting_of(scenario, steady=True, **keys))


def test_two_machines_do_twice_the_hours(bare):
    slow = {f"{SET}.print_speed": f"{25 / 200} m^2/hour"}  # 200 hours of work, 160 open
    assert row(ran(bare(slow)).served)[0] == exactly(0.8)
    assert row(ran(bare(slow | TWO)).served)[0] == 1.0
    assert row(ran(bare(slow | TWO)).stations["printer"].use)[0] == exactly(200 / 320)


def test_losses_and_care_are_those_of_each(bare):
    changes = {
        "ink.price": "100 USD/L",
        "ink.daily_loss": "10 mL/day",
        "ink.closed_day_loss": "2 mL/day",
        "film.run_ends": "1 m/run",
        "film.roll_price": 300,
        "labour.daily": "30 min/day",
    }
    one, two = ran(bare(changes)).lines, ran(bare(changes | TWO)).lines
    for line in ("ink lost", "film ends"):
        assert row(two[line])[0] == exactly(2 * row(one[line])[0])
        assert row(one[line])[0] < 0
    # 20 days of half an hour at 20, twice
    assert row(two["labour"])[0] == exactly(-400)
    for line in ("ink", "film", "powder"):
        assert row(two[line])[0] == exactly(row(one[line])[0])


def test_packs_keep_in_each_machine(bare):
    # prints take 0.5 L white and 0.25 L colour a month; each machine empties a 1 L white bottle
    # in 1 month and four colour bottles likewise: 2 × 1 − 0.5 and 2 × 4 × 1 − 0.25 thrown away
    changes = {"ink.pack": "1 L", "ink.keeps": "1 month", "ink.price": "10 USD/L"}
    thrown = -row(ran(bare(changes | TWO)).lines["ink thrown away"])[0]
    assert thrown == exactly(10 * (2 - 0.5) + 10 * (8 - 0.25))


def test_idle_circulation_and_warm_up_are_those_of_each(bare):
    changes = {"shop.electricity": "1 USD/kWh", f"{SET}.idle_power": "0.1 kW"}
    hours = 365 / 12 * 24
    printing = 2.5  # 25 m² at 10 m² an hour
    assert -row(ran(bare(changes)).lines["energy"])[0] == exactly(0.1 * (hours - printing))
    assert -row(ran(bare(changes | TWO)).lines["energy"])[0] == exactly(
        0.1 * (2 * hours - printing)
    )


def test_wear_is_by_the_area_of_each(bare):
    part = {"name": "Head", "price": 60, "life": "100 m^2"}
    worn = bare({f"{SET}.wear_parts": [part]} | TWO)
    # 12.5 m² a month on each: both heads fall due in month 8
    paid = -row(operations_with(setting_of(worn)).lines["wear parts"])
    assert paid == exactly([0] * 7 + [120] + [0] * 4)


def test_failures_are_those_of_each(bare):
    one, two = (bare({f"{SET}.repairs": LAW} | more) for more in ({}, TWO))
    assert row(upsets_of(setting_of(two, steady=True)).cost) == exactly(
        2 * row(upsets_of(setting_of(one, steady=True)).cost)
    )
    assert row(upsets_of(setting_of(two)).down_days) == exactly(
        row(upsets_of(setting_of(one)).down_days)
    )


# One day down of 20 on each: with two machines one of them stands still on 10 % of the days.
@pytest.mark.parametrize(
    ("share", "use"),
    [
        (0.0, 0.0),  # nothing to do
        (0.0, 0.3),  # the other does it all
        (0.0, 0.5),  # just
        (0.1 * (1 - 0.5 / 0.8), 0.8),
        (0.05, 1.0),  # half of what falls on these days
        (0.1 * (1 - 0.5 / 1.6), 1.6),
    ],
)
def test_the_other_machine_takes_over_as_far_as_it_has_room(share, use):
    assert share_down(down_days=1.0, open_days=20.0, machines=2, use=use) == exactly(share)


@pytest.mark.parametrize(("share", "down"), [(0.05, 1.0), (1.0, 20.0), (1.0, 30.0)])
def test_one_machine_has_no_other(share, down):
    assert share_down(down_days=down, open_days=20.0, machines=1, use=0.2) == exactly(share)


def test_many_machines_hardly_miss_one():
    shares = [share_down(down_days=1.0, open_days=20.0, machines=n, use=1.0) for n in (1, 2, 4, 20)]
    assert shares == exactly([0.05, 0.05, 0.05, 0.05])  # all full: what one makes is lost
    assert share_down(down_days=1.0, open_days=20.0, machines=20, use=0.95) == exactly(0.0)
