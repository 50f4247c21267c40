"""The months: what is open, how far the ramp is, how prices have grown, when the machine runs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from planner.deliver.workbook.book import Sheet
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.grid import Heading, Line
from planner.deliver.workbook.months import Months, month_sheet
from planner.scenario.schema import Product
from planner.shop.calendar import season_of

_GROWN: Final = {
    "prices": "selling prices",
    "wages": "wages",
    "buy_in": "bought-in transfers",
    "costs": "all other costs",
}


def calendar_sheet(facts: Facts, *, title: str, alias: str) -> Sheet:
    """What every other sheet's months rest on."""
    return month_sheet(
        facts,
        title=title,
        alias=alias,
        about="Open time, the arrival of the work and the growth of prices; month 0 is signing.",
        blocks=(*_open_time(facts), *_work(facts), *_running(facts)),
    )


def _open_time(facts: Facts) -> Iterator[Line | Heading]:
    line, calendar = Months(facts.months).line, facts.calendar
    years = np.ceil(np.arange(facts.months + 1) / 12)
    yield line("year", "year from signing", "count", years, "ROUNDUP({month}/12,0)")
    yield Heading("Open time")
    yield line(
        "open", "open", "1 or 0", np.sign(calendar.weeks), "IF(COUNTIF(closed_months,{date})>0,0,1)"
    )
    yield line("weeks", "weeks open", "week", calendar.weeks, "{open}*shop_open_weeks/12")
    yield line("open_days", "days open", "day", calendar.open_days, "shop_open_days*{weeks}")
    yield line("closed_days", "other days", "day", calendar.closed_days, "365/12-{open_days}")
    yield line(
        "long_stops",
        "pauses that call for a flush",
        "number",
        calendar.long_stops,
        "{open}*IF(long_stop_after<=7,MAX(0,52-shop_open_weeks)/12,0)"
        "+(1-{open})*IF({month}=1,1,{open.prev})*IF(long_stop_after<365/12,1,0)",
    )


def _work(facts: Facts) -> Iterator[Line | Heading]:
    line, calendar = Months(facts.months).line, facts.calendar
    scenario, values = facts.scenario, facts.values
    start, later = scenario.ramp.spoilage_at_start, scenario.spoilage.transfers
    begun = np.maximum(0.0, values(start) - values(later))
    rejected = values(later) + begun * (1 - calendar.ramp)
    yield Heading("How the work arrives and prices grow")
    yield line(
        "ramp",
        "ramp, 0 to 1",
        "-",
        calendar.ramp,
        "IF(ramp_months>0,MIN(1,({month}-1)/ramp_months),1)",
    )
    yield line(
        "share",
        "share of the added work that has come",
        "%",
        calendar.share,
        "ramp_start_share+(1-ramp_start_share)*{ramp}",
    )
    yield line(
        "season",
        "season of the shop",
        "-",
        calendar.season,
        "INDEX(season,MONTH({date}))/AVERAGE(season)",
    )
    yield line("volume", "growth of volume", "-", calendar.volume, _growth("volume"))
    for at, product in enumerate(scenario.products, start=1):
        yield from _scale(facts, at, product)
    for key, label in _GROWN.items():
        yield line(key, f"growth of {label}", "-", getattr(calendar, key), _growth(key))
    yield line(
        "rejected",
        "transfers rejected",
        "%",
        rejected,
        "spoilage_transfers+MAX(0,ramp_spoilage_at_start-spoilage_transfers)*(1-{ramp})",
    )


def _scale(facts: Facts, at: int, product: Product) -> Iterator[Line]:
    """What the pieces of a week become in a month; some products have a season of their own."""
    line, calendar, season = Months(facts.months).line, facts.calendar, "season"
    factors = season_of(product, calendar, facts.values)
    if product.season is not None:
        season = f"season_{at}"
        formula = f"INDEX({season},MONTH({{date}}))/AVERAGE({season})"
        yield line(season, f"season of {product.name}", "-", factors, formula)
    scale = calendar.volume * factors * calendar.weeks
    label = f"weeks open × season × growth: {product.name}"
    yield line(f"scale_{at}", label, "week", scale, f"{{volume}}*{{{season}}}*{{weeks}}")


def _growth(key: str) -> str:
    return f"(1+growth_{key})^(({{month}}-1)/12)"


def _running(facts: Facts) -> Iterator[Line | Heading]:
    line, calendar = Months(facts.months).line, facts.calendar
    scenario, values = facts.scenario, facts.values
    back = "horizon" if facts.is_cash else "goes_back_after"
    hours = values(scenario.shop.open_hours) * calendar.open_days * values(scenario.shop.efficiency)
    people = values(scenario.shop.staff_hours) * calendar.weeks * values(scenario.shop.efficiency)
    overtime = 0.0 * calendar.weeks
    if scenario.shop.overtime is not None:
        a_week = values(scenario.shop.overtime.hours)
        overtime = a_week * calendar.weeks * values(scenario.shop.efficiency)
    yield Heading("When the machine runs, and the hours there are")
    yield line(
        "held",
        "the machine is in the shop",
        "1 or 0",
        calendar.held,
        f"IF({{month}}<={back},1,0)",
    )
    yield line(
        "running",
        "the machine prints",
        "1 or 0",
        calendar.running,
        "IF({month}>runs_from,{held},0)",
    )
    yield line(
        "age",
        "months since it first ran",
        "count",
        np.concatenate([[0.0], calendar.age]),
        "MAX(0,{month}-runs_from)",
    )
    yield line(
        "machine_hours",
        "usual hours of each station",
        "hour",
        hours,
        "shop_open_hours*{open_days}*shop_efficiency",
    )
    yield line(
        "people_hours",
        "usual hours of people",
        "hour",
        people,
        "shop_staff_hours*{weeks}*shop_efficiency",
    )
    yield line(
        "overtime",
        "hours of overtime that may be worked",
        "hour",
        overtime,
        "overtime_hours*{weeks}*shop_efficiency",
    )
