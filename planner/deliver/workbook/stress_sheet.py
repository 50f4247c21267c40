"""Ranges, chances and stress as plain values: what could go wrong with the choice."""

from __future__ import annotations

from typing import Final

from planner.decide.risk.answer import Risk
from planner.decide.stress import stress_lines
from planner.deliver.workbook.book import Sheet, Words
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.plain_sheets import plain_table
from planner.show.lender import stress_table
from planner.show.tables import chances_table, ranges_table, sets_table
from planner.show.words import risk_sentences

STRESS: Final = "Ranges and stress"
NOT_LIVE: Final = (
    "Values from the program when this workbook was written. Not live: changing inputs does not "
    "change this sheet."
)


def stress_sheet(facts: Facts, found: Risk | None) -> Sheet:
    """The plan under one change at a time, and what drawn cases say where there are any."""
    sheet = Sheet(title=STRESS, frozen=(2, 1))
    sheet.add(Words(text=STRESS, style="title"), Words(text=NOT_LIVE)).gap()
    if found is not None:
        sheet.add(*(Words(text=said) for said in risk_sentences(facts.page, found))).gap()
    if found is not None and found.choices:
        for frame in (ranges_table(facts.page, found), chances_table(facts.page, found)):
            sheet.add(plain_table(frame, facts.currency)).gap()
    lines = stress_lines(facts.case, facts.answered.choice)
    sheet.add(plain_table(stress_table(facts.page, lines), facts.currency)).gap()
    return sheet.add(plain_table(sets_table(lines), facts.currency))
