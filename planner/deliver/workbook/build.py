"""All sheets of a choice in their order."""

from __future__ import annotations

from collections.abc import Iterator

from planner.deliver.workbook.answer_sheet import answer_sheet
from planner.deliver.workbook.book import Book, Sheet
from planner.deliver.workbook.calendar_sheet import calendar_sheet
from planner.deliver.workbook.compared_sheet import compared_sheet
from planner.deliver.workbook.equipment_sheet import equipment_sheet
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.inputs_sheet import inputs_sheet
from planner.deliver.workbook.months_sheet import MONTHS, MONTHS_TODAY, months_sheet
from planner.deliver.workbook.paying_sheet import paying_sheet
from planner.deliver.workbook.plain_sheets import charts_sheet, choices_sheet
from planner.deliver.workbook.print_cost_sheet import print_cost_sheet
from planner.deliver.workbook.products_sheet import products_sheet
from planner.deliver.workbook.tax_sheet import tax_sheet
from planner.deliver.workbook.without_sheet import TODAY, WITHOUT, without_sheet
from planner.deliver.workbook.years_sheet import years_sheet


def build(facts: Facts) -> Book:
    """The workbook of a choice, before it is drawn."""
    return Book(tuple(_sheets(facts)))


def _sheets(facts: Facts) -> Iterator[Sheet]:
    yield answer_sheet(facts)
    yield inputs_sheet(facts)
    yield products_sheet(facts)
    yield print_cost_sheet(facts)
    yield calendar_sheet(facts)
    yield equipment_sheet(facts)
    yield months_sheet(facts, facts.with_machine, title=MONTHS, alias="months", added=True)
    yield months_sheet(
        facts, facts.today_with_machine, title=MONTHS_TODAY, alias="months_today", added=False
    )
    yield without_sheet(facts, facts.without, title=WITHOUT, alias="without", added=True)
    yield without_sheet(facts, facts.as_today, title=TODAY, alias="today", added=False)
    if not facts.is_cash:
        yield paying_sheet(facts)
    if facts.scenario.tax is not None:
        yield tax_sheet(facts)
    yield compared_sheet(facts)
    yield years_sheet(facts)
    yield choices_sheet(facts)
    yield charts_sheet(facts)
