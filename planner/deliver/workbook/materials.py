"""What the pieces of a month take: area, ink, film, powder, hours, electricity, parts that wear."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from planner.deliver.workbook.facts import Facts, Side
from planner.deliver.workbook.grid import Heading, total_of
from planner.deliver.workbook.months import Months
from planner.deliver.workbook.pieces import Blocks, span
from planner.shop.energy import machine_energy, press_energy

PRESS_ENERGY: Final = "equipment_press_power*equipment_press_duty*{hours_pressing}"


def material_lines(facts: Facts, side: Side) -> Blocks:
    """Area printed and what it takes of ink, powder and film; nothing where a set only presses."""
    line, used = Months(facts.months).line, side.operations.consumed
    if not facts.prints:
        yield Heading("Printed: nothing")
        yield line("area", "area printed", "m²", side.operations.area, "0")
        return
    made, good = span(facts, "made"), "(1-{calendar.rejected})"

    def printed(key: str) -> str:
        return f"SUMPRODUCT({made},product_each,product_{key})/{good}"

    covered = sum(
        count.printed * use.covered
        for count, use in zip(side.volumes, facts.machine.uses, strict=True)
    )
    yield Heading("Printed and used")
    yield line(
        "area",
        "area printed, with rejects",
        "m²",
        side.operations.area,
        printed("area"),
        adds_up=True,
    )
    yield line("covered", "of it covered with ink", "m²", covered, printed("covered"), adds_up=True)
    yield line("white", "white ink", "L", used["white ink"], "{covered}*rate_white", adds_up=True)
    yield line(
        "colour", "colour ink", "L", used["colour ink"], "{covered}*rate_colour", adds_up=True
    )
    yield line(
        "powder_used",
        "powder",
        "kg",
        used["powder"],
        "{covered}*rate_powder/(1-powder_lost)",
        adds_up=True,
    )
    yield line("film_fed", "film fed with prints", "m", used["film"], printed("film"), adds_up=True)
    yield line(
        "days",
        "days on which it prints",
        "day",
        side.printing_days,
        "IF({area}>0,{calendar.running}*{calendar.open_days}*(1-{down}),0)",
    )
    yield line(
        "film_at_ends",
        "film at the ends of runs",
        "m",
        used["film ends"],
        "equipment_machines*{days}*film_runs*film_run_ends",
        adds_up=True,
    )
    least = "{calendar.running}*MAX(0,equipment_machines*ink_pack/ink_keeps-"
    yield line(
        "white_thrown",
        "white ink thrown away",
        "L",
        used["white thrown away"],
        f"{least}({{white}}+{{equipment.ink_lost}}*white_share))",
        adds_up=True,
    )
    yield line(
        "colour_thrown",
        "colour ink thrown away",
        "L",
        used["colour thrown away"],
        f"{least}({{colour}}+{{equipment.ink_lost}}*(1-white_share))/ink_colours)*ink_colours",
        adds_up=True,
    )


def order_lines(facts: Facts, side: Side) -> Blocks:
    """Orders delivered, and set up and packed with the redone ones."""
    line = Months(facts.months).line
    orders = sum(count.orders for count in side.volumes)
    handled = sum(count.handled for count in side.volumes)
    yield Heading("Orders")
    yield line(
        "orders",
        "orders delivered",
        "number",
        orders,
        f"SUMPRODUCT({span(facts, 'sold')},product_orders)",
        adds_up=True,
    )
    yield line(
        "handled",
        "orders set up and packed, redone ones included",
        "number",
        handled,
        "{orders}*(1+spoilage_redone)",
        adds_up=True,
    )


def hour_lines(
    facts: Facts, side: Side, formulas: Mapping[str, str], machines: Sequence[str] = ()
) -> Blocks:
    """Hours of work by step, and how far they go beyond the usual ones.

    ``formulas`` for the steps that differ with and without a machine; ``machines`` are the lines
    of hours that printers and dryers run.
    """
    line, hours = Months(facts.months).line, side.operations.hours
    pressing = f"SUMPRODUCT({span(facts, 'sold')},product_pressing)"
    steps = {
        "artwork": ("artwork", hours.artwork, "{orders}*labour_new_designs*labour_artwork"),
        "set_up": ("setting up orders", hours.order_setup, "{handled}*labour_order_setup"),
        "tending": ("printing", hours.tending, ""),
        "cutting": ("cutting", hours.cutting, ""),
        "pressing": ("pressing", hours.pressing, pressing),
        "care": ("care of the machine", hours.care, ""),
    }
    kept = {key: step for key, step in steps.items() if step[2] or key in formulas}
    yield Heading("Hours of work")
    for key, (label, flow, formula) in kept.items():
        yield line(f"hours_{key}", label, "hour", flow, formulas.get(key, formula), adds_up=True)
    yield line(
        "hours",
        "all hours",
        "hour",
        hours.total,
        total_of([f"{{hours_{key}}}" for key in kept]),
        adds_up=True,
        is_sum=True,
    )
    open_longer = ["{hours_pressing}/equipment_presses"]
    open_longer += [f"{{{key}}}/equipment_machines" for key in machines]
    beyond = ["{hours}-{calendar.people_hours}"]
    beyond += [f"{needed}-{{calendar.machine_hours}}" for needed in open_longer]
    yield line(
        "overtime_worked",
        "overtime, of people or the station that needs most",
        "hour",
        side.operations.overtime,
        f"MAX(0,MIN({{calendar.overtime}},MAX({','.join(beyond)})))",
        adds_up=True,
    )


def energy_lines(facts: Facts, side: Side) -> Blocks:
    """Electricity of printer, dryer and press; of the press alone where a set only presses."""
    line, equipment, values = Months(facts.months).line, facts.machine.equipment, facts.values
    press = press_energy(
        equipment=equipment, pressing=side.operations.hours.pressing, values=values
    )
    yield Heading("Electricity")
    if not facts.prints:
        yield line("energy_used", "press", "kWh", press, PRESS_ENERGY, adds_up=True)
        return
    area = side.operations.area
    printing = facts.machine.printing_hours(area, values)
    drying = facts.machine.drying_hours(area, values)
    machine = machine_energy(
        equipment=equipment,
        machines=facts.machine.count,
        printing=printing,
        drying=drying,
        days=side.printing_days,
        calendar=side.setting.calendar,
        values=values,
    )
    yield line(
        "printing_hours",
        "printers run",
        "hour",
        printing,
        "{area}/equipment_print_speed",
        adds_up=True,
    )
    yield line("drying_hours", "dryers run", "hour", drying, "{area}/dryer_speed", adds_up=True)
    yield line(
        "energy_used",
        "printer, dryer and press",
        "kWh",
        machine + press,
        "power_printer*{printing_hours}"
        "+power_dryer*(MAX(equipment_dryer_on*{days}*equipment_machines,{drying_hours})"
        "+equipment_dryer_warm_up*{days}*equipment_machines)"
        "+power_idle*MAX(0,equipment_machines*365/12*24-{printing_hours})*{calendar.running}"
        f"+{PRESS_ENERGY}",
        adds_up=True,
    )
