"""Pieces a month: what is asked for, what the stations let through, what is bought in or lost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.deliver.workbook.facts import Facts, Side
from planner.deliver.workbook.grid import Heading, Line
from planner.deliver.workbook.months import Months
from planner.scenario.estimates import Number
from planner.shop.capacity import served_share

Blocks = Iterator[Line | Heading]


def span(facts: Facts, key: str) -> str:
    """The cells of all products' lines of a kind in one month."""
    return f"{{{key}_1}}:{{{key}_{len(facts.scenario.products)}}}"


def by_product(
    facts: Facts, key: str, flows: Sequence[Number], formula: str, *, adds_up: bool = True
) -> Iterator[Line]:
    """A line a product; ``#`` in the formula stands for the product's number."""
    line = Months(facts.months).line
    for at, (product, flow) in enumerate(zip(facts.scenario.products, flows, strict=True), start=1):
        yield line(
            f"{key}_{at}",
            product.name,
            "piece",
            flow,
            formula.replace("#", str(at)),
            adds_up=adds_up,
        )


def could_buy_lines(facts: Facts, side: Side, *, added: bool, key: str) -> Blocks:
    """Pieces that bought-in transfers could serve; ``added`` counts work beyond today's."""
    more = "+{calendar.share}*(product_#_planned-product_#_today)*(1-product_#_needs_machine)"
    yield from by_product(
        facts,
        key,
        side.could_buy,
        f"(product_#_today{more if added else ''})*{{calendar.scale}}*product_#_can_buy",
    )


def asked_lines(facts: Facts, side: Side, *, added: bool) -> Blocks:
    """Pieces asked for with the machine, and what of them bought-in transfers could serve."""
    more = "+{calendar.share}*(product_#_planned-product_#_today)"
    yield Heading("Pieces asked for with the machine")
    yield from by_product(
        facts,
        "asked",
        side.asked,
        f"(product_#_today{more if added else ''})*{{calendar.scale}}",
    )
    yield Heading("Pieces that bought-in transfers could serve")
    yield from could_buy_lines(facts, side, added=added, key="could_buy")


def capacity_lines(facts: Facts, side: Side) -> Blocks:
    """Hours that all which is asked for would take on the days up, and the share that is served."""
    line, stations = Months(facts.months).line, side.operations.stations
    asked = span(facts, "asked")
    up, good = "(1-{equipment.down})", "(1-{calendar.rejected})"
    speed = facts.values(facts.machine.equipment.print_speed)
    yield Heading("Hours that all of it would take, on days without repair")
    yield line(
        "all_area",
        "printed area",
        "m²",
        stations["printer"].work * speed,
        f"SUMPRODUCT({asked},product_each,product_area)*{up}/{good}",
    )
    yield line(
        "all_printer",
        "printer",
        "hour",
        stations["printer"].work,
        "{all_area}/equipment_print_speed",
    )
    yield line("all_dryer", "dryer", "hour", stations["dryer"].work, "{all_area}/dryer_speed")
    yield line(
        "all_press",
        "press, each",
        "hour",
        stations["press"].work,
        f"SUMPRODUCT({asked},product_each,product_prints,product_pressed)*{up}"
        "*(labour_pressing+labour_peel_wait)/equipment_presses",
    )
    yield line(
        "all_people",
        "people, without care of the machine",
        "hour",
        stations["people"].work,
        f"SUMPRODUCT({asked},product_orders)*{up}"
        "*(labour_new_designs*labour_artwork+(1+spoilage_redone)*labour_order_setup)"
        f"+{{all_area}}*labour_tending+SUMPRODUCT({asked},product_each,product_prints)*{up}/{good}"
        "*labour_cutting+{all_press}*equipment_presses",
    )
    yield from _served(facts, side)


def _served(facts: Facts, side: Side) -> Blocks:
    line, stations = Months(facts.months).line, side.operations.stations
    yield Heading("Share of it that each station lets through")
    for name in ("printer", "dryer", "press"):
        yield line(
            f"lets_{name}",
            name,
            "%",
            served_share(stations={name: stations[name]}),
            f"IF({{all_{name}}}>0,MIN(1,{{calendar.machine_hours}}/{{all_{name}}}),1)",
        )
    yield line(
        "lets_people",
        "people, after care of the machine",
        "%",
        served_share(stations={"people": stations["people"]}),
        "IF({all_people}>0,MIN(1,MAX(0,{calendar.people_hours}-{equipment.care})/{all_people}),1)",
    )
    yield line(
        "served",
        "share made, days down included",
        "%",
        side.operations.served,
        "(1-{equipment.down})*MIN({lets_printer},{lets_dryer},{lets_press},{lets_people})",
    )


def outcome_lines(facts: Facts, side: Side) -> Blocks:
    """Pieces made, bought in, hurried, lost and sold."""
    works = side.operations.works
    unserved = "{calendar.running}*(1-{served})*{asked_#}"
    kinds = (
        ("made", "Pieces made here", [done.made for done in works],
         "{calendar.running}*{served}*{asked_#}"),
        ("bought", "Pieces with transfers bought in until the machine runs",
         [done.bought for done in works], "(1-{calendar.running})*{could_buy_#}"),
        ("hurried", "Pieces with transfers bought in a hurry", [done.hurried for done in works],
         f"IF({{asked_#}}>0,{unserved}*MIN(1,{{could_buy_#}}/{{asked_#}}),0)"),
        ("lost", "Pieces that cannot be served", [done.lost for done in works],
         f"{unserved}-{{hurried_#}}"),
        ("sold", "Pieces sold", [done.sold for done in works],
         "{made_#}+{bought_#}+{hurried_#}"),
    )  # fmt: skip
    for key, heading, flows, formula in kinds:
        yield Heading(heading)
        yield from by_product(facts, key, flows, formula)
