"""Stations, the bottleneck, and what is served on both sides of 100 %."""

import math

import pytest
from helpers import exactly, machine_of, row, setting_of

from planner.case import Case
from planner.decide.steady import capacity_factor
from planner.shop.capacity import Station, served_share, share_down
from planner.shop.month import operations_with


def operations(scenario, **levers):
    return operations_with(setting_of(scenario, steady=True, **levers))


# 25 m² a month; 160 open hours: just full at 25/160 m² an hour.
@pytest.mark.parametrize(
    ("served", "speed"), [(1.0, 25 / 160 * 1.0001), (1.0, 25 / 160), (0.8, 0.8 * 25 / 160)]
)
def test_served_on_both_sides_of_a_full_printer(bare, served, speed):
    ran = operations(bare({"equipment.Set.print_speed": f"{speed!r} m^2/hour"}))
    assert row(ran.served)[0] == exactly(served)
    assert row(ran.lines["sales lost"])[0] == exactly(-1000 * (1 - served))
    assert row(ran.area)[0] == exactly(25 * served)


@pytest.mark.parametrize(
    ("station", "use", "changes"),
    [
        ("printer", 0.5, {"equipment.Set.print_speed": f"{25 / 80} m^2/hour"}),
        ("dryer", 0.5, {"equipment.Set.dryer_speed": f"{25 / 80} m^2/hour"}),
        ("press", 0.5, {"labour.pressing": "48 min/print"}),  # 100 prints: 80 hours
        ("people", 0.5, {"labour.pressing": "48 min/print", "shop.staff_hours": "40 hour/week"}),
        ("press", 0.25, {"labour.pressing": "48 min/print", "equipment.Set.presses": 2}),
        ("printer", 1 / 1.2, {"equipment.Set.print_speed": f"{25 / 80} m^2/hour",
                              "shop.efficiency": "60 %"}),
        ("people", 0.8, {"labour.tending": "96 min/m^2", "shop.staff_hours": "20 hour/week",
                         "shop.efficiency": "62.5 %"}),  # 40 hours in 50
    ],
)  # fmt: skip
def test_use_of_each_station_by_hand(bare, station, use, changes):
    assert row(operations(bare(changes)).stations[station].use)[0] == exactly(use)


def test_the_dryer_is_as_fast_as_the_printer_where_nothing_is_said(bare):
    stations = operations(bare()).stations
    assert row(stations["dryer"].work)[0] == row(stations["printer"].work)[0]


def test_the_fullest_station_decides():
    stations = {
        "one": Station(fixed=0.0, work=50.0, available=40.0),  # 0.8
        "two": Station(fixed=10.0, work=60.0, available=40.0),  # (40 − 10) / 60 = 0.5
        "idle": Station(fixed=0.0, work=0.0, available=0.0),  # nothing to do does not limit
    }
    assert served_share(stations=stations) == exactly(0.5)


def test_care_comes_before_work():
    # 8 of 10 hours of care leave 2 of 4 hours of work; care beyond what is open leaves none
    assert served_share(stations={"people": Station(fixed=8.0, work=4.0, available=10.0)}) == 0.5
    assert served_share(stations={"people": Station(fixed=12.0, work=4.0, available=10.0)}) == 0.0
    # and where there is room for more than there is to do, all of it is done
    assert served_share(stations={"people": Station(fixed=1.0, work=4.0, available=10.0)}) == 1.0


@pytest.mark.parametrize(
    ("expected", "down", "open_days"),
    [(0.25, 5.0, 20.0), (1.0, 20.0, 20.0), (1.0, 30.0, 20.0), (0.0, 5.0, 0.0)],
)
def test_share_of_days_down(expected, down, open_days):
    assert share_down(down_days=down, open_days=open_days) == expected


def test_one_machine_of_several_stands_still():
    # half the days one of two is down; if both were full, the other could not take its half over
    assert share_down(down_days=5.0, open_days=20.0, machines=2) == exactly(0.5 * (1 - 1 / 2))
    # one machine is missed however little there is to do
    assert share_down(down_days=5.0, open_days=20.0, machines=1, use=0.0) == 0.25
    assert share_down(down_days=5.0, open_days=20.0, machines=0) == 0.0


@pytest.mark.parametrize(
    ("room", "work"), [(30.0, 0.0), (20.0, 10.0), (0.5, 29.5), (0.0, 30.0), (0.0, 50.0)]
)
def test_room_is_what_care_and_work_leave(room, work):
    assert Station(fixed=10.0, work=work, available=40.0).room == room


@pytest.mark.parametrize(
    ("worked", "work"), [(0.0, 180.0), (0.0, 190.0), (5.0, 200.0), (20.0, 230.0), (20.0, 300.0)]
)
def test_overtime_begins_where_the_usual_hours_end(worked, work):
    # two machines of 100 usual hours and 20 more, 10 of care among the usual ones
    station = Station(fixed=10.0, work=work, available=240.0, overtime=40.0, count=2)
    assert station.overtime_worked == worked


def test_a_station_is_one_machine_without_overtime_unless_more_is_said():
    assert Station(fixed=0.0, work=50.0, available=40.0).overtime_worked == 0.0
    assert Station(fixed=0.0, work=50.0, available=40.0, overtime=20.0).overtime_worked == 20.0


def test_down_days_fall_out_before_capacity_is_tested(bare):
    # a quarter of the days down: 75 of 100 pieces remain, and the printer can do 80
    repairs = {"in_first_year": 12, "cost": 0, "down_days_covered": "5 day"}
    scenario = bare(
        {
            "equipment.Set.repairs": repairs,
            "equipment.Set.print_speed": f"{0.8 * 25 / 160} m^2/hour",
        }
    )
    assert row(operations(scenario).served)[0] == exactly(0.75)
    slower = bare(
        {
            "equipment.Set.repairs": repairs,
            "equipment.Set.print_speed": f"{0.6 * 25 / 160} m^2/hour",
        }
    )
    assert row(operations(slower).served)[0] == exactly(0.75 * 60 / 75)


@pytest.mark.parametrize("station", ["printer", "people"])
def test_the_capacity_factor_put_back_just_fills_the_bottleneck(bare, station):
    changes = {
        "printer": {"equipment.Set.print_speed": f"{25 / 50} m^2/hour"},  # 50 of 160 hours
        "people": {"labour.tending": "96 min/m^2", "shop.staff_hours": "25 hour/week",
                   "labour.weekly": "10 hour/week"},  # 40 of 100 − 40 hours
    }  # fmt: skip
    scenario = bare(changes[station])
    factor = capacity_factor(Case(scenario), machine_of(scenario))
    assert factor == exactly({"printer": 3.2, "people": 1.5}[station])
    assert row(operations(scenario, volume=factor).served)[0] == exactly(1.0)
    assert row(operations(scenario, volume=factor * 1.01).served)[0] == exactly(1 / 1.01)


def test_no_work_has_no_limit(bare):
    scenario = bare()
    assert capacity_factor(Case(scenario).moved(volume=0.0), machine_of(scenario)) == math.inf


def test_rejects_and_spoilage_use_the_printer_too(bare):
    # a fifth rejected, a tenth of garments spoiled, a quarter redone
    scenario = bare(
        {"spoilage.transfers": "20 %", "spoilage.garments": "10 %", "spoilage.redone": "25 %"}
    )
    assert row(operations(scenario).area)[0] == exactly(25 * 1.25 / 0.9 / 0.8)
