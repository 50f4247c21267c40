"""All sheets of a choice in their order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from planner.decide.risk.answer import Risk
from planner.deliver.workbook.answer_sheet import answer_sheet
from planner.deliver.workbook.book import Book, Sheet
from planner.deliver.workbook.calendar_sheet import calendar_sheet
from planner.deliver.workbook.compared_sheet import compared_sheet
from planner.deliver.workbook.equipment_sheet import equipment_sheet
from planner.deliver.workbook.facts import CASH, Facts
from planner.deliver.workbook.inputs_sheet import inputs_sheet
from planner.deliver.workbook.months import CALENDAR
from planner.deliver.workbook.months_sheet import months_sheet
from planner.deliver.workbook.paying_sheet import paying_sheet
from planner.deliver.workbook.plain_sheets import charts_sheet, choices_sheet
from planner.deliver.workbook.print_cost_sheet import print_cost_sheet
from planner.deliver.workbook.products_sheet import products_sheet
from planner.deliver.workbook.stress_sheet import stress_sheet
from planner.deliver.workbook.tax_sheet import tax_sheet
from planner.deliver.workbook.without_sheet import without_sheet
from planner.deliver.workbook.years_sheet import years_sheet


def build(facts: Facts, found: Risk | None = None) -> Book:
    """The workbook of a choice, before it is drawn."""
    return Book(tuple(_sheets(facts, found)))


def _sheets(facts: Facts, found: Risk | None) -> Iterator[Sheet]:
    yield answer_sheet(facts)
    yield inputs_sheet(facts)
    yield products_sheet(facts)
    yield print_cost_sheet(facts)
    yield from _with_machine(facts, words="", mark="", instead={})
    if facts.for_cash is not None:
        mark = f"_{CASH}"
        instead = {"calendar": f"calendar{mark}", "equipment": f"equipment{mark}"}
        yield from _with_machine(facts.for_cash, words=", for cash", mark=mark, instead=instead)
    yield without_sheet(facts, facts.without, title="Without", alias="without", added=True)
    yield without_sheet(facts, facts.as_today, title="Today", alias="today", added=False)
    if not facts.is_cash:
        yield paying_sheet(facts)
    if facts.scenario.tax is not None:
        yield tax_sheet(facts)
    yield compared_sheet(facts)
    yield years_sheet(facts)
    yield choices_sheet(facts)
    yield stress_sheet(facts, found)
    yield charts_sheet(facts)


def _with_machine(
    facts: Facts, *, words: str, mark: str, instead: Mapping[str, str]
) -> Iterator[Sheet]:
    """The sheets of the machine's months; ``instead`` names its own calendar and equipment."""
    yield calendar_sheet(facts, title=f"{CALENDAR}{words}", alias=f"calendar{mark}")
    yield equipment_sheet(
        facts, title=f"Equipment{words}", alias=f"equipment{mark}", instead=instead
    )
    works = {
        "months": ("Months", facts.with_machine, True),
        "months_today": ("Months today only", facts.today_with_machine, False),
    }
    for alias, (title, side, added) in works.items():
        yield months_sheet(
            facts,
            side,
            title=f"{title}{words}",
            alias=f"{alias}{mark}",
            added=added,
            instead=instead,
        )
