"""Inputs of the set of equipment that is bought, and what it takes to make it run."""

from __future__ import annotations

from collections.abc import Iterator

from planner.deliver.workbook.book import Entry, Listing
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.given import Given, fallback, switch
from planner.scenario import derived
from planner.scenario.schema import Equipment
from planner.shop.upkeep import items_of


def equipment_listings(facts: Facts, given: Given) -> Iterator[Listing]:
    """Lists of the equipment's inputs."""
    equipment = facts.machine.equipment
    groups = {
        f"Equipment: {equipment.name}": _items(equipment, given),
        "Start-up": _start_up(equipment, given),
        "Speed, power and people": _running(equipment, given),
        "Supplies, insurance and parts that wear out": _keeping(equipment, given),
        "Repairs and warranty": _repairs(facts, given),
    }
    for title, entries in groups.items():
        yield Listing(title=title, entries=tuple(entries), with_origin=True)


def _items(equipment: Equipment, given: Given) -> Iterator[Entry]:
    for at, item in enumerate(items_of(equipment), start=1):
        names = f"item_{at}"
        yield from given.entries(item, ("price",), names=names, labels=item.name)
        yield given.entry(
            f"{names}_quantity", item.quantity, label=f"{item.name}: number", whole=True
        )
        yield from given.entries(item, ("life",), names=names, labels=item.name)
        yield given.entry(
            f"{names}_worth_after", item.worth.after, label=f"{item.name}: resale, after"
        )
        yield given.entry(
            f"{names}_worth_share", item.worth.share, label=f"{item.name}: resale, share of price"
        )
    yield from given.entries(equipment, ("discount", "sales_tax"), names="equipment")


def _start_up(equipment: Equipment, given: Given) -> Iterator[Entry]:
    if equipment.start_up is None:
        yield fallback("start_up_share", "share of the price", "%", derived.START_UP_SHARE)
        yield fallback("start_up_hours", "training", "hour", derived.TRAINING_HOURS)
        if equipment.print_speed is not None:
            yield fallback("start_up_practice", "practice prints", "m²", derived.PRACTICE_AREA)
        return
    for at, step in enumerate(equipment.start_up, start=1):
        keys = ("cost", "hours", "practice")
        yield from given.entries(step, keys, names=f"start_up_{at}", labels=step.name)


def _running(equipment: Equipment, given: Given) -> Iterator[Entry]:
    prints = equipment.print_speed is not None
    if prints:
        yield from _printing(equipment, given)
    yield given.entry(
        "equipment_machines",
        equipment.machines,
        label="printers with a dryer, alike",
        whole=True,
        is_input=prints,
        note="the price is that of all" if prints else "none: this set only presses",
    )
    yield from given.entries(equipment, ("press_power", "press_duty"), names="equipment")
    yield given.entry("equipment_presses", equipment.presses, label="presses", whole=True)


def _printing(equipment: Equipment, given: Given) -> Iterator[Entry]:
    yield from given.entries(equipment, ("print_speed", "dryer_speed"), names="equipment")
    if equipment.power is not None:
        yield given.entry(
            "equipment_dryer_power",
            equipment.power,
            label="power",
            note="one figure for all counts as the dryer's while the dryer is on",
        )
    else:
        powers = ("printer_power", "dryer_power")
        yield from given.entries(equipment, powers, names="equipment")
    if equipment.idle_power is None:
        yield fallback(
            "equipment_idle_share",
            "idle power, share of the powers above",
            "%",
            derived.IDLE_SHARE,
        )
    keys = ("idle_power", "dryer_warm_up", "dryer_on")
    yield from given.entries(equipment, keys, names="equipment")


def _keeping(equipment: Equipment, given: Given) -> Iterator[Entry]:
    if equipment.supplies is None:
        yield fallback(
            "supplies_share",
            "supplies, share of the price",
            "%/year",
            derived.SUPPLIES_SHARE_A_YEAR,
        )
    yield from given.entries(equipment, ("supplies", "insurance"), names="equipment")
    if equipment.wear_parts is None:
        yield fallback(
            "wear_share", "wear parts, share of the price each time", "%", derived.WEAR_SHARE
        )
        yield fallback(
            "wear_part_1_life_at_most", "wear parts: life at most", "month", derived.WEAR_MONTHS
        )
        return
    for at, part in enumerate(equipment.wear_parts, start=1):
        names = f"wear_part_{at}"
        yield given.entry(f"{names}_count", part.count, label=f"{part.name}: number", whole=True)
        yield from given.entries(
            part, ("price", "life", "life_at_most"), names=names, labels=part.name
        )
        yield switch(f"{names}_covered", f"{part.name}: under warranty", part.covered)


def _repairs(facts: Facts, given: Given) -> Iterator[Entry]:
    equipment, repairs = facts.machine.equipment, facts.machine.equipment.repairs
    if repairs is None:
        yield fallback(
            "repairs_share",
            "repairs after the warranty, share of the price",
            "%/year",
            derived.REPAIRS_SHARE_A_YEAR,
        )
        yield fallback(
            "down_days_covered", "down under warranty", "day/year", derived.DOWN_DAYS_COVERED
        )
        yield fallback(
            "down_days_uncovered", "down after it", "day/year", derived.DOWN_DAYS_UNCOVERED
        )
    else:
        yield from given.entries(equipment, ("age",), names="equipment", labels="at purchase")
        failures = ("in_first_year", "wear", "cost", "down_days_covered", "down_days_uncovered")
        yield from given.entries(repairs, failures, names="repairs", labels="repairs")
    keys = ("term", "price", "deductible")
    yield from given.entries(facts.machine.warranty, keys, names="warranty", labels="warranty")
