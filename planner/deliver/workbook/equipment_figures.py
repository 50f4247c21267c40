"""The equipment in figures: what it takes to buy it, its powers and its upkeep."""

from __future__ import annotations

from collections.abc import Iterator

from planner.deliver.workbook.book import Entry, Listing
from planner.deliver.workbook.facts import Facts, one
from planner.deliver.workbook.grid import total_of
from planner.scenario.derived import WEAR_SHARE
from planner.scenario.estimates import Number
from planner.shop import upkeep
from planner.shop.energy import powers


def outlays(facts: Facts) -> Listing:
    """What is paid at signing, worked out."""
    paid, items = facts.plan.outlays, facts.plan.assets
    currency = facts.currency

    def figure(name: str, label: str, value: Number, formula: str) -> Entry:
        return Entry(name=name, label=label, unit=currency, value=one(value), formula=formula)

    each = [
        figure(
            f"item_{at}_total",
            f"{item.name}: price × number, less discount",
            item.price,
            f"item_{at}_price*item_{at}_quantity*(1-equipment_discount)",
        )
        for at, item in enumerate(items, start=1)
    ]
    return Listing(
        title="Outlays at signing",
        entries=(
            *each,
            figure(
                "equipment_total",
                "equipment",
                paid.equipment,
                total_of([entry.name for entry in each]),
            ),
            figure(
                "equipment_tax",
                "sales tax on equipment",
                paid.sales_tax,
                "equipment_total*equipment_sales_tax",
            ),
            figure("start_up_total", "start-up", paid.start_up, _start_up(facts)),
            figure(
                "first_fill_cost",
                "first fill",
                paid.first_fill,
                "equipment_machines*ink_first_fill*liquid_price" if facts.prints else "0",
            ),
        ),
    )


def _start_up(facts: Facts) -> str:
    """What it takes to make the set run; practice prints cost nothing where nothing is printed."""
    steps = facts.machine.equipment.start_up
    factors = {"cost": "", "hours": "*full_wage", "practice": "*plain_cost"}
    if not facts.prints:
        del factors["practice"]
    if steps is None:
        shared = {"start_up_share": "*equipment_total"}
        shared |= {f"start_up_{key}": factor for key, factor in factors.items() if factor}
        return total_of([name + factor for name, factor in shared.items()])
    return total_of(
        [
            f"start_up_{at}_{key}{factor}"
            for at, step in enumerate(steps, start=1)
            for key, factor in factors.items()
            if getattr(step, key) is not None
        ]
    )


def upkeep_figures(facts: Facts) -> Listing:
    """Powers, and what the set costs a month or each time parts are changed."""
    equipment, values, price = facts.machine.equipment, facts.values, facts.machine.price
    entries = [
        *(_powers(facts) if facts.prints else ()),
        ("supplies_month", "supplies a month", facts.currency,
         upkeep.supplies_cost(equipment=equipment, price=price, values=values),
         "supplies_share/12*equipment_total"
         if equipment.supplies is None else "equipment_supplies"),
        ("insurance_month", "insurance a month", facts.currency,
         upkeep.insurance_cost(equipment=equipment, price=price, values=values),
         "equipment_insurance/12*equipment_total"),
    ]  # fmt: skip
    worked_out = [
        Entry(name=name, label=label, unit=unit, value=one(value), formula=formula)
        for name, label, unit, value, formula in entries
    ]
    return Listing(title="Powers and upkeep", entries=(*worked_out, *_wear_parts(facts)))


def _powers(facts: Facts) -> Iterator[tuple[str, str, str, Number, str]]:
    equipment, values = facts.machine.equipment, facts.values
    power, speed = powers(equipment=equipment, values=values), equipment.print_speed
    assert speed is not None  # asked of a set that prints
    has_one_power, has_own_idle = equipment.power is not None, equipment.idle_power is not None
    own_speed = equipment.dryer_speed or speed
    yield ("power_printer", "printer", "kW", power.printer,
           "0" if has_one_power else "equipment_printer_power")  # fmt: skip
    yield "power_dryer", "dryer", "kW", power.dryer, "equipment_dryer_power"
    yield ("power_idle", "idle circulation", "kW", power.idle,
           "equipment_idle_power" if has_own_idle
           else "equipment_idle_share*(power_printer+power_dryer)")  # fmt: skip
    yield ("dryer_speed", "dryer's speed", "m²/hour", values(own_speed),
           "equipment_print_speed" if own_speed is speed else "equipment_dryer_speed")  # fmt: skip


def _wear_parts(facts: Facts) -> Iterator[Entry]:
    parts = facts.machine.equipment.wear_parts
    if parts is None:
        yield Entry(
            name="wear_part_1_set",
            label="wear parts, each time",
            unit=facts.currency,
            value=WEAR_SHARE * one(facts.machine.price),
            formula="wear_share*equipment_total",
        )
        return
    for at, part in enumerate(parts, start=1):
        yield Entry(
            name=f"wear_part_{at}_set",
            label=f"{part.name}: all of them, each time",
            unit=facts.currency,
            value=facts.values.scalar(part.price)
            * facts.values.whole(part.count)
            * max(1, facts.machine.count),
            formula=f"wear_part_{at}_price*wear_part_{at}_count*equipment_machines",
        )
