"""Sheets with one column a month, the same month in the same column on each of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from planner.deliver.workbook.book import Listing, Sheet, Words
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.grid import Grid, Heading, Line, Value
from planner.deliver.workbook.looks import serial
from planner.scenario.estimates import Number

CALENDAR: Final = "Calendar"


@dataclass(frozen=True)
class Months:
    """Makes lines over signing and the months 1…H."""

    count: int

    def line(
        self,
        key: str,
        label: str,
        unit: str,
        flows: Number,
        formula: str,
        *,
        first: str = "",
        adds_up: bool = False,
        is_sum: bool = False,
    ) -> Line:
        """A line with the engine's flows; what has no month 0 leaves its cell empty."""
        return Line(
            key=key,
            label=label,
            unit=unit,
            values=self.values(flows),
            formula=formula,
            first=first,
            adds_up=adds_up,
            is_sum=is_sum,
        )

    def at_signing(self, key: str, label: str, unit: str, amount: Number, formula: str) -> Line:
        """A line with one flow, at signing."""
        value = float(np.ravel(np.asarray(amount))[0])
        values = (value, *([None] * self.count))
        return Line(key=key, label=label, unit=unit, values=values, first=formula, adds_up=True)

    def values(self, flows: Number) -> tuple[Value, ...]:
        """Flows as cells: one number for all months, (1, months) or (1, months + 1)."""
        row = np.atleast_2d(np.asarray(flows, dtype=float))[0]
        if row.size == self.count + 1:
            return tuple(float(value) for value in row)
        return (None, *(float(value) for value in np.broadcast_to(row, (self.count,))))


def month_sheet(
    facts: Facts,
    *,
    title: str,
    alias: str,
    about: str,
    blocks: Iterable[Line | Heading],
    below: Iterable[Listing] = (),
    instead: Mapping[str, str] = MappingProxyType({}),
) -> Sheet:
    """A sheet of monthly lines, with lists of figures below them."""
    grid = Grid(
        alias=alias,
        axis="month",
        labels=tuple(float(month) for month in range(facts.months + 1)),
        blocks=(_dates(facts, title), *blocks),
        instead=instead,
    )
    sheet = Sheet(title=title, frozen=(4, grid.margin))
    sheet.add(Words(text=title, style="title"), Words(text=about), grid)
    for listing in below:
        sheet.gap().add(listing)
    return sheet


def _dates(facts: Facts, title: str) -> Line:
    first = "DATE(start_year,start_month+{month}-1,1)"
    formula = first if title.startswith(CALENDAR) else "{calendar.date}"
    days = np.array([serial(facts.scenario.start.plus(at)) for at in range(facts.months)])
    return Months(facts.months).line("date", "date", "date", days, formula)
