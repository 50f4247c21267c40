"""Hours of the stations: what all the work would take, what there are, what they let through."""

from __future__ import annotations

import numpy as np

from planner.deliver.workbook.facts import Facts, Side
from planner.deliver.workbook.grid import Heading
from planner.deliver.workbook.months import Months
from planner.deliver.workbook.pieces import Blocks, span
from planner.shop.capacity import handled_share, served_share
from planner.shop.month import stations_for
from planner.shop.volume import area_and_hours, volume_of
from planner.shop.work import work_made, work_without

_OPEN = "({calendar.machine_hours}+{calendar.overtime})"
_PEOPLE = "({calendar.people_hours}+{calendar.overtime})"
_GOOD = "(1-{calendar.rejected})"


def _press(pieces: str) -> str:
    """Hours of each press for pieces, made or bought."""
    return f"SUMPRODUCT({pieces},product_pressing)/equipment_presses"


def _handling(pieces: str) -> str:
    """Hours of people for pieces, made or bought: all but printing and cutting."""
    return f"SUMPRODUCT({pieces},product_ordering)+SUMPRODUCT({pieces},product_pressing)"


def _prints(pieces: str) -> str:
    return f"SUMPRODUCT({pieces},product_each,product_prints)"


def _people_for_bought(pieces: str) -> str:
    return f"{_handling(pieces)}+{_prints(pieces)}*labour_cutting"


def _lets(needed: str, available: str) -> str:
    """Share of the hours needed that are there; a station without work lets all through."""
    return f"IF({{{needed}}}>0,MIN(1,{available}/{{{needed}}}),1)"


def capacity_lines(facts: Facts, side: Side) -> Blocks:
    """Hours that all which is asked for would take on the days up, and the share that is served."""
    line, stations = Months(facts.months).line, side.stations
    asked, up = span(facts, "asked"), "(1-{down})"
    yield from _down(facts, side)
    yield Heading("Hours that all of it would take, on days without repair")
    yield line(
        "all_printer",
        "printer",
        "hour",
        stations["printer"].work,
        f"{{asked_area}}*{up}/equipment_print_speed",
    )
    yield line(
        "all_dryer",
        "dryer",
        "hour",
        stations["dryer"].work,
        f"{{asked_area}}*{up}/dryer_speed",
    )
    yield line(
        "all_press",
        "press, each",
        "hour",
        stations["press"].work,
        f"{_press(asked)}*{up}",
    )
    yield line(
        "all_people",
        "people, without care of the machine",
        "hour",
        stations["people"].work,
        f"({_handling(asked)}+{{asked_area}}*labour_tending"
        f"+{_prints(asked)}/{_GOOD}*labour_cutting)*{up}",
    )
    yield from _served(facts, side)


def _down(facts: Facts, side: Side) -> Blocks:
    """The share of the work that falls out; of several machines the others take over."""
    line, machines = Months(facts.months).line, "equipment_machines"
    works = [work_made(pieces=pieces) for pieces in side.asked]
    volumes = [
        volume_of(side.setting, product, done)
        for product, done in zip(side.products, works, strict=True)
    ]
    area, _ = area_and_hours(side.setting, volumes, care=0.0)
    full = stations_for(side.setting, side.asked)
    yield Heading("Days down")
    yield line(
        "asked_area",
        "area of all that is asked for, with rejects",
        "m²",
        area,
        f"SUMPRODUCT({span(facts, 'asked')},product_each,product_area)/{_GOOD}",
    )
    yield line(
        "use",
        "fuller of printer and dryer, if nothing were down",
        "%",
        np.maximum(full["printer"].use, full["dryer"].use),
        f"IF({_OPEN}>0,MAX({{asked_area}}/equipment_print_speed,{{asked_area}}/dryer_speed)"
        f"/({machines}*{_OPEN}),0)",
    )
    yield line(
        "down",
        "share of the work that falls out",
        "%",
        side.down,
        f"{{equipment.one_down}}*IF({{use}}>0,MAX(0,1-({machines}-1)/({machines}*{{use}})),"
        f"IF({machines}>1,0,1))",
    )


def _served(facts: Facts, side: Side) -> Blocks:
    line, stations = Months(facts.months).line, side.stations
    available = {
        "printer": f"equipment_machines*{_OPEN}",
        "dryer": f"equipment_machines*{_OPEN}",
        "press": _OPEN,
        "people": f"MAX(0,{_PEOPLE}-{{equipment.care}})",
    }
    yield Heading("Share of it that each station lets through")
    for name, hours in available.items():
        yield line(
            f"lets_{name}",
            "people, after care of the machine" if name == "people" else name,
            "%",
            served_share(stations={name: stations[name]}),
            _lets(f"all_{name}", hours),
        )
    yield line(
        "served",
        "share made, days down included",
        "%",
        side.operations.served,
        "(1-{down})*MIN({lets_printer},{lets_dryer},{lets_press},{lets_people})",
    )


def room_lines(facts: Facts, side: Side) -> Blocks:
    """Hours that what could be bought in would take, and those left beside what is made."""
    line, stations = Months(facts.months).line, side.operations.stations
    presses = facts.values.whole(facts.machine.equipment.presses)
    made = side.hours_of([work_made(pieces=done.made) for done in side.operations.works])
    more = side.hours_of([work_without(pieces=pieces) for pieces in side.buyable])
    hours = {"press": more.pressing / presses, "people": more.total}
    rooms = {
        "press": np.maximum(0.0, stations["press"].available - made.pressing / presses),
        "people": np.maximum(0.0, stations["people"].available - side.care - made.total),
    }
    buyable, here = span(facts, "buyable"), span(facts, "made")
    by_people = f"{_handling(here)}+{{area}}*labour_tending+{_prints(here)}/{_GOOD}*labour_cutting"
    left = {"press": _OPEN, "people": _PEOPLE}
    if facts.prints:
        left = {
            "press": f"MAX(0,{_OPEN}-{_press(here)})",
            "people": f"MAX(0,{_PEOPLE}-{{equipment.care}}-({by_people}))",
        }
    yield Heading("Hours that these would take, and hours left for them")
    needed = {"press": _press(buyable), "people": _people_for_bought(buyable)}
    for name, formula in needed.items():
        yield line(f"more_{name}", f"{name}, needed", "hour", hours[name], formula)
    for name, formula in left.items():
        yield line(f"left_{name}", f"{name}, left", "hour", rooms[name], formula)
    yield line(
        "fits",
        "share of these that is bought in",
        "%",
        handled_share(rooms=rooms, hours=hours),
        f"MIN({_lets('more_press', '{left_press}')},{_lets('more_people', '{left_people}')})",
    )


def bought_capacity_lines(facts: Facts, side: Side) -> Blocks:
    """Hours that all which could be bought in would take, and the share that is served."""
    line, stations = Months(facts.months).line, side.operations.stations
    could_buy = span(facts, "could_buy")
    needed = {"press": _press(could_buy), "people": _people_for_bought(could_buy)}
    yield Heading("Hours that all of it would take")
    for name, formula in needed.items():
        label = "press, each" if name == "press" else name
        yield line(f"all_{name}", label, "hour", stations[name].work, formula)
    yield line(
        "served",
        "share that people and press serve",
        "%",
        served_share(stations=stations),
        f"MIN({_lets('all_press', _OPEN)},{_lets('all_people', _PEOPLE)})",
    )
