"""Sheets without formulas of their own: all choices as plain values, and the charts."""

from __future__ import annotations

from typing import Final

import pandas as pd

from planner.decide.evaluation import COMPARISONS
from planner.deliver.workbook.book import Chart, Sheet, Table, Words
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.grid import Value
from planner.show.tables import choices_table
from planner.show.words import COMPARISON_LETTERS, comparison_name

CHOICES: Final = "Choices"
CHARTS: Final = "Charts"


def choices_sheet(facts: Facts) -> Sheet:
    """Every choice of the scenario side by side."""
    frame = choices_table(facts.page, facts.page.choices)
    sheet = Sheet(title=CHOICES, frozen=(4, 1))
    sheet.add(
        Words(text="All choices", style="title"),
        Words(
            text="Values from the program when this workbook was written. Not live: changing "
            "inputs does not change this sheet; the other sheets show one choice, "
            f"{facts.answered.choice.label}."
        ),
    ).gap()
    return sheet.add(plain_table(frame, facts.currency))


def plain_table(frame: pd.DataFrame, currency: str) -> Table:
    """A frame as a table without formulas."""
    return Table(
        header=tuple(str(column) for column in frame.columns),
        units=tuple(_unit(str(column), currency) for column in frame.columns),
        rows=tuple(
            tuple(_cell(cell) for cell in row) for row in frame.itertuples(index=False, name=None)
        ),
    )


def _cell(cell: object) -> Value:
    """A value of a frame as a cell: nothing where there is none."""
    if cell is None or cell != cell:
        return None
    return cell if isinstance(cell, str) else float(cell)  # type: ignore[arg-type]


def _unit(column: str, currency: str) -> str:
    """What decides how a column's numbers look; empty for words."""
    if column.endswith(f"[{currency}]"):
        return currency
    units = {
        "annual percentage rate": "%",
        "lowest debt service cover": "cover",
        "lowest cover, B": "cover",
        "share of cases": "%",
        "standard error": "%",
        "in month": "count",
    }
    return "month" if column.endswith("[month]") else units.get(column, "")


def charts_sheet(facts: Facts) -> Sheet:
    """Lines over the months, drawn from the cells."""
    letters = [COMPARISON_LETTERS[name] for name in COMPARISONS]
    names = [
        f"{COMPARISON_LETTERS[name]}: {comparison_name(facts.page, name)}" for name in COMPARISONS
    ]
    sheet = Sheet(title=CHARTS, on_one_page=True)
    sheet.add(
        Words(text=CHARTS, style="title"),
        Words(text="Drawn from the sheet Compared; they follow the inputs."),
    ).gap()
    return sheet.add(
        Chart(
            heading="Cumulative cash flow before financing, without what only the end brings",
            alias="compared",
            lines=tuple(f"total_{letter}" for letter in letters),
            names=tuple(names),
            across="months after signing",
            up=facts.currency,
        ),
        Chart(
            heading="Bank balance at signing and at month ends",
            alias="compared",
            lines=("balance",),
            names=("bank balance",),
            across="months after signing",
            up=facts.currency,
        ),
    )
