"""The shop that signs nothing, month by month, and what today's work has it waiting for."""

from __future__ import annotations

from planner.deliver.workbook.book import Sheet
from planner.deliver.workbook.buying import usual_lines
from planner.deliver.workbook.facts import CASH, Facts, Side
from planner.deliver.workbook.materials import hour_lines, order_lines
from planner.deliver.workbook.money import (
    formulas_of_buying,
    ledger_lines,
    working_capital_lines,
)
from planner.deliver.workbook.months import month_sheet
from planner.deliver.workbook.opening import opening
from planner.deliver.workbook.pieces import Blocks, bought_lines, could_buy_lines, span
from planner.deliver.workbook.running import formulas_without, running_lines
from planner.deliver.workbook.stations import bought_capacity_lines


def without_sheet(facts: Facts, side: Side, *, title: str, alias: str, added: bool) -> Sheet:
    """A shop that buys its transfers in; ``added`` counts work beyond today's."""
    work = "as much of the planned work as they can serve" if added else "today's work"
    about = f"Nothing is signed: {work}, with transfers bought in."
    if facts.scenario.today is None:
        about = "Nothing is signed and the work is not taken: no price for transfers was given."
    return month_sheet(
        facts,
        title=title,
        alias=alias,
        about=about,
        blocks=_blocks(facts, side, alias, added),
        below=() if added else (opening(facts, side),),
    )


def _blocks(facts: Facts, side: Side, alias: str, added: bool) -> Blocks:
    yield from could_buy_lines(facts, side, added=added)
    yield from bought_capacity_lines(facts, side)
    yield from bought_lines(facts, side)
    yield from order_lines(facts, side)
    if facts.scenario.today is not None:
        yield from usual_lines(facts, side, pieces="sold")
    cut = f"SUMPRODUCT({span(facts, 'sold')},product_each,product_prints)*labour_cutting"
    yield from hour_lines(facts, side, {"cutting": cut})
    yield from running_lines(facts, side, formulas_without(facts))
    yield from working_capital_lines(facts, side, formulas_without(facts))
    yield from ledger_lines(facts, side, formulas_of_buying(facts, alias), CASH)
