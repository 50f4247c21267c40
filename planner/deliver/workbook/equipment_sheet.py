"""The equipment by age: care, repairs, replacement and resale, and what it takes to buy it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from planner.capital import Asset, replacements, resale_by_month
from planner.deliver.workbook.book import Sheet
from planner.deliver.workbook.equipment_figures import outlays, upkeep_figures
from planner.deliver.workbook.facts import Facts, one
from planner.deliver.workbook.grid import Heading, Line, total_of
from planner.deliver.workbook.months import Months, month_sheet
from planner.scenario.estimates import Array
from planner.shop.month import upsets_of
from planner.shop.ratio import ratio

_COVERED: Final = "{calendar.age}<=warranty_term"


def equipment_sheet(facts: Facts, *, title: str, alias: str, instead: Mapping[str, str]) -> Sheet:
    """Monthly lines that do not depend on the volume of work, and the outlays at signing."""
    return month_sheet(
        facts,
        title=title,
        alias=alias,
        about="What follows from the age of the equipment, whatever the volume, in month-1 prices; "
        "outlays and powers worked out stand below.",
        blocks=(*(_care(facts) if facts.prints else ()), *_repairs(facts), *_items(facts)),
        below=() if instead else (outlays(facts), upkeep_figures(facts)),
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
        "{calendar.running}*equipment_machines"
        "*(labour_daily*{calendar.open_days}+labour_weekly*{calendar.weeks}"
        "+long_stop_time*{calendar.long_stops})",
    )
    yield line(
        "ink_lost",
        "ink lost apart from prints",
        "L",
        side.operations.consumed["ink lost"],
        "{calendar.running}*equipment_machines*(ink_daily_loss*{calendar.open_days}"
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
        cost = f"equipment_machines*{{failures}}*IF({_COVERED},warranty_deductible,repairs_cost)"
        days = f"{{failures}}*IF({_COVERED},repairs_down_days_covered,repairs_down_days_uncovered)"
        yield line(
            "failures",
            "failures of a machine expected at this age",
            "-",
            _failures(facts),
            "repairs_in_first_year*((({calendar.age}+equipment_age)/12)^repairs_wear"
            "-((MAX({calendar.age}-1,0)+equipment_age)/12)^repairs_wear)",
        )
    yield line("repair_cost", "repairs at this age", facts.currency, at_age.cost, cost)
    if facts.prints:
        yield from _down(facts, f"{{calendar.running}}*{days}")


def _down(facts: Facts, days: str) -> Iterator[Line]:
    line, down_days = Months(facts.months).line, facts.with_machine.upsets.down_days
    open_days = facts.calendar.open_days
    one_down = np.minimum(1.0, ratio(facts.machine.count * np.asarray(down_days), open_days))
    yield line("down_days", "days down of a machine", "day", down_days, days)
    yield line(
        "one_down",
        "share of open days on which one is down",
        "%",
        one_down,
        "IF({calendar.open_days}>0,MIN(1,equipment_machines*{down_days}/{calendar.open_days}),0)",
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
