"""The equipment by age: care, repairs, replacement and resale, and what it takes to buy it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from planner.capital import Asset, replacements, resale_by_month
from planner.deliver.workbook.book import Entry, Listing, Sheet
from planner.deliver.workbook.facts import Facts, one
from planner.deliver.workbook.grid import Heading, Line, total_of
from planner.deliver.workbook.months import Months, month_sheet
from planner.scenario.derived import WEAR_SHARE
from planner.scenario.estimates import Array, Number
from planner.shop import upkeep
from planner.shop.energy import powers
from planner.shop.month import upsets_of

_COVERED: Final = "{calendar.age}<=warranty_term"


def equipment_sheet(facts: Facts, *, title: str, alias: str, instead: Mapping[str, str]) -> Sheet:
    """Monthly lines that do not depend on the volume of work, and the outlays at signing."""
    return month_sheet(
        facts,
        title=title,
        alias=alias,
        about="What follows from the age of the equipment, whatever the volume, in month-1 prices; "
        "outlays and powers worked out stand below.",
        blocks=(*_care(facts), *_repairs(facts), *_items(facts)),
        below=() if instead else (_outlays(facts), _running(facts)),
        instead=instead,
    )


def _care(facts: Facts) -> Iterator[Line | Heading]:
    line, side = Months(facts.months).line, facts.with_machine
    yield Heading("Care and idle ink")
    yield line(
        "care",
        "daily, weekly and long-stop care",
        "hour",
        side.care,
        "{calendar.running}*(labour_daily*{calendar.open_days}+labour_weekly*{calendar.weeks}"
        "+long_stop_time*{calendar.long_stops})",
    )
    yield line(
        "ink_lost",
        "ink lost apart from prints",
        "L",
        side.operations.consumed["ink lost"],
        "{calendar.running}*(ink_daily_loss*{calendar.open_days}"
        "+ink_closed_day_loss*{calendar.closed_days}+long_stop_ink*{calendar.long_stops})",
    )


def _repairs(facts: Facts) -> Iterator[Line | Heading]:
    line, side = Months(facts.months).line, facts.with_machine
    running = replace(facts.calendar, running=np.ones(facts.months))
    at_age = upsets_of(replace(side.setting, calendar=running))
    cost = f"IF({_COVERED},0,repairs_share/12*equipment_total)"
    days = f"IF({_COVERED},down_days_covered,down_days_uncovered)/12"
    yield Heading("Repairs")
    if facts.machine.equipment.repairs is not None:
        cost = f"{{failures}}*IF({_COVERED},warranty_deductible,repairs_cost)"
        days = f"{{failures}}*IF({_COVERED},repairs_down_days_covered,repairs_down_days_uncovered)"
        yield line(
            "failures",
            "failures expected at this age",
            "-",
            _failures(facts),
            "repairs_in_first_year*((({calendar.age}+equipment_age)/12)^repairs_wear"
            "-((MAX({calendar.age}-1,0)+equipment_age)/12)^repairs_wear)",
        )
    yield line("repair_cost", "repairs at this age", facts.currency, at_age.cost, cost)
    yield line(
        "down_days", "days down", "day", side.upsets.down_days, f"{{calendar.running}}*{days}"
    )
    yield line(
        "down",
        "share of open days that are down",
        "%",
        side.down,
        "IF({calendar.open_days}>0,MIN(1,{down_days}/{calendar.open_days}),0)",
    )


def _failures(facts: Facts) -> Array:
    """Failures expected in the month of each age."""
    repairs, age = facts.machine.equipment.repairs, facts.calendar.age
    assert repairs is not None
    first_year, wear = facts.values(repairs.in_first_year), facts.values(repairs.wear)
    at_start = facts.values.scalar(facts.machine.equipment.age)
    until, since = (age + at_start) / 12, (np.maximum(age - 1, 0) + at_start) / 12
    return np.asarray(first_year * until**wear - first_year * since**wear)


def _items(facts: Facts) -> Iterator[Line | Heading]:
    line, count = Months(facts.months).line, facts.months
    assets = facts.plan.assets
    numbered = range(1, len(assets) + 1)
    for at, asset in enumerate(assets, start=1):
        yield from _item(facts, at, asset)
    yield Heading("All items")
    yield line(
        "replacements",
        "replacements, with sales tax",
        facts.currency,
        replacements(assets, months=count)[:, 1:],
        "-("
        + total_of([f"{{bought_{at}}}*{{price_{at}}}" for at in numbered])
        + ")*(1+equipment_sales_tax)",
        adds_up=True,
    )
    yield line(
        "worth",
        "resale value",
        facts.currency,
        resale_by_month(assets, months=count),
        total_of([f"{{worth_{at}}}" for at in numbered]),
        is_sum=True,
    )


def _item(facts: Facts, at: int, asset: Asset) -> Iterator[Line | Heading]:
    line, count = Months(facts.months).line, facts.months
    bought = np.zeros(count + 1)
    bought[list(asset.bought)] = 1.0
    since = np.array(
        [month - max(m for m in asset.bought if m <= month) for month in range(count + 1)]
    )
    growth = [
        one(asset.growth[sum(m <= month for m in asset.bought) - 1]) for month in range(count + 1)
    ]
    held = "horizon" if facts.is_cash else "goes_back_after"
    yield Heading(asset.name)
    yield line(
        f"bought_{at}",
        "bought",
        "1 or 0",
        bought,
        f"MAX(0,INT((MIN({{month}},{held}-0.000001)+0.000000001)/item_{at}_life)"
        f"-INT(({{month}}-1+0.000000001)/item_{at}_life))",
        first="1",
    )
    yield line(
        f"price_{at}",
        "price when last bought",
        facts.currency,
        one(asset.price) * np.array(growth),
        f"IF({{bought_{at}}}>0,item_{at}_total*{{calendar.costs}},{{price_{at}.prev}})",
        first=f"item_{at}_total",
    )
    yield line(
        f"since_{at}",
        "months since",
        "count",
        since,
        f"IF({{bought_{at}}}>0,0,{{since_{at}.prev}}+1)",
        first="0",
    )
    yield line(
        f"worth_{at}",
        "resale value",
        facts.currency,
        asset.value_by_month(count),
        f"IF({{since_{at}}}=0,{{price_{at}}},"
        f"{{price_{at}}}*item_{at}_worth_share^({{since_{at}}}/item_{at}_worth_after))",
    )


def _outlays(facts: Facts) -> Listing:
    paid, items = facts.plan.outlays, facts.plan.assets
    steps, currency = facts.machine.equipment.start_up, facts.currency
    start_up = (
        "start_up_share*equipment_total+start_up_hours*full_wage+start_up_practice*plain_cost"
    )
    if steps is not None:
        factors = {"cost": "", "hours": "*full_wage", "practice": "*plain_cost"}
        start_up = total_of(
            [
                f"start_up_{at}_{key}{factor}"
                for at, step in enumerate(steps, start=1)
                for key, factor in factors.items()
                if getattr(step, key) is not None
            ]
        )

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
            figure("start_up_total", "start-up", paid.start_up, start_up),
            figure("first_fill_cost", "first fill", paid.first_fill, "ink_first_fill*liquid_price"),
        ),
    )


def _running(facts: Facts) -> Listing:
    equipment, values = facts.machine.equipment, facts.values
    power, price = powers(equipment=equipment, values=values), facts.machine.price
    has_one_power = equipment.power is not None
    entries = [
        ("power_printer", "printer", "kW", power.printer,
         "0" if has_one_power else "equipment_printer_power"),
        ("power_dryer", "dryer", "kW", power.dryer, "equipment_dryer_power"),
        ("power_idle", "idle circulation", "kW", power.idle,
         "equipment_idle_share*(power_printer+power_dryer)"
         if equipment.idle_power is None else "equipment_idle_power"),
        ("dryer_speed", "dryer's speed", "m²/hour", values(facts.machine.dryer_speed),
         "equipment_print_speed" if equipment.dryer_speed is None else "equipment_dryer_speed"),
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
            value=facts.values.scalar(part.price) * facts.values.whole(part.count),
            formula=f"wear_part_{at}_price*wear_part_{at}_count",
        )
