"""The shop with the machine, month by month, from the pieces asked for to the money left."""

from __future__ import annotations

from collections.abc import Mapping

from planner.deliver.workbook.book import Sheet
from planner.deliver.workbook.buying import hurried_lines, usual_lines
from planner.deliver.workbook.facts import Facts, Side
from planner.deliver.workbook.grid import total_of
from planner.deliver.workbook.materials import (
    energy_lines,
    hour_lines,
    material_lines,
    order_lines,
)
from planner.deliver.workbook.money import (
    formulas_of_machine,
    ledger_lines,
    working_capital_lines,
)
from planner.deliver.workbook.months import month_sheet
from planner.deliver.workbook.pieces import (
    Blocks,
    asked_lines,
    kinds_of,
    made_lines,
    outcome_lines,
    span,
)
from planner.deliver.workbook.running import formulas_with_machine, running_lines
from planner.deliver.workbook.stations import capacity_lines, room_lines
from planner.deliver.workbook.wear import wear_lines


def months_sheet(
    facts: Facts,
    side: Side,
    *,
    title: str,
    alias: str,
    added: bool,
    instead: Mapping[str, str],
) -> Sheet:
    """A shop with the machine; ``added`` counts work beyond today's."""
    work = "the planned work" if added else "today's work only"
    if not facts.prints:
        work += ", pressed on transfers that are bought in"
    return month_sheet(
        facts,
        title=title,
        alias=alias,
        about=f"{facts.plan.choice.label}: {work}. Every figure is a formula on the inputs.",
        blocks=_with_machine(facts, side, alias, added),
        instead=instead,
    )


def _with_machine(facts: Facts, side: Side, alias: str, added: bool) -> Blocks:
    without = "without" if added else "today"
    yield from asked_lines(facts, side, added=added)
    if facts.prints:
        yield from capacity_lines(facts, side)
    yield from made_lines(facts, side, without=without)
    yield from room_lines(facts, side)
    yield from outcome_lines(facts, side, without=without)
    yield from order_lines(facts, side)
    yield from material_lines(facts, side)
    if facts.scenario.today is not None:
        yield from usual_lines(facts, side, pieces="bought")
        if facts.prints:
            yield from hurried_lines(facts, side)
    yield from _hours(facts, side)
    yield from energy_lines(facts, side)
    yield from wear_lines(facts, side)
    yield from running_lines(facts, side, formulas_with_machine(facts))
    yield from working_capital_lines(facts, side, formulas_with_machine(facts))
    for way in facts.ways:
        yield from ledger_lines(facts, side, formulas_of_machine(facts, alias, way), way)


def _hours(facts: Facts, side: Side) -> Blocks:
    transfers = {
        kind: f"SUMPRODUCT({span(facts, kind)},product_each,product_prints)"
        for kind in kinds_of(facts)
    }
    if not facts.prints:
        yield from hour_lines(facts, side, {"cutting": f"{transfers['bought']}*labour_cutting"})
        return
    transfers["made"] += "/(1-{calendar.rejected})"
    steps = {
        "tending": "{area}*labour_tending",
        "cutting": f"({total_of(list(transfers.values()))})*labour_cutting",
        "care": "{equipment.care}",
    }
    yield from hour_lines(facts, side, steps, machines=("printing_hours", "drying_hours"))
