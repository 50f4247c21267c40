"""Tax by tax year, with losses brought forward, and the tax on the sale at the horizon."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from planner.deliver.workbook.book import Entry, Listing
from planner.deliver.workbook.deductions import Deductions
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.grid import Grid, Heading, Line, Value
from planner.deliver.workbook.tax_payers import Payer, year_of
from planner.scenario.estimates import Array


def tax_years(facts: Facts, payers: Sequence[Payer]) -> Grid:
    """One column a tax year of the plan; years behind the horizon stay at 0."""
    years = math.ceil(facts.months / 12) + 1
    blocks: list[Line | Heading] = []
    for payer in payers:
        blocks.append(Heading(f"By tax year: {payer.label}"))
        blocks += _lines(facts, payer, _Years(facts, payer, years))
    return Grid(
        alias="tax_years",
        axis="tax_year",
        labels=tuple(float(year) for year in range(1, years + 1)),
        blocks=tuple(blocks),
    )


class _Years:
    """Income, losses brought forward and income taxed by tax year (years,) [money]."""

    def __init__(self, facts: Facts, payer: Payer, years: int) -> None:
        tax = facts.scenario.tax
        assert tax is not None
        at = year_of(facts).astype(int) - 1
        self.income: Array = np.zeros(years)
        np.add.at(self.income, at, payer.taxable)
        self.brought: Array = np.zeros(years)
        self.taxed: Array = self.income.copy()
        if tax.losses == "carried forward":
            for year in range(1, years):
                left = self.brought[year - 1] - self.income[year - 1]
                self.brought[year] = max(0.0, left)
            self.taxed = np.maximum(0.0, self.income - self.brought)
        self.tax: Array = -facts.values.scalar(tax.rate) * self.taxed


def _lines(facts: Facts, payer: Payer, years: _Years) -> Iterator[Line]:
    key = payer.key

    def line(name: str, label: str, amounts: Array, formula: str, first: str = "") -> Line:
        values: tuple[Value, ...] = tuple(float(amount) for amount in amounts)
        return Line(
            key=f"{name}_{key}",
            label=label,
            unit=facts.currency,
            values=values,
            formula=formula,
            first=first,
        )

    income, brought = f"{{income_{key}}}", f"{{brought_{key}}}"
    yield line(
        "income",
        "taxable income",
        years.income,
        f"SUMIF({{tax.tax_year.all}},{{tax_year}},{{tax.taxable_{key}.all}})",
    )
    yield line(
        "brought",
        "losses brought forward",
        years.brought,
        f"losses_carried_forward*MAX(0,{{brought_{key}.prev}}-{{income_{key}.prev}})",
        first="0",
    )
    yield line(
        "taxed",
        "income taxed",
        years.taxed,
        f"IF(losses_carried_forward=1,MAX(0,{income}-{brought}),{income})",
    )
    yield line("tax", "tax", years.tax, f"-tax_rate*{{taxed_{key}}}")


def sale_of(facts: Facts, payers: Sequence[Payer]) -> Listing:
    """The sale at the horizon: book value, gain, and the tax that it adds to the last tax year."""
    entries = [
        Entry(
            name="last_tax_year",
            label="last tax year",
            unit="count",
            value=float(year_of(facts)[-1]),
            formula="{tax.tax_year.last}",
        )
    ]
    for payer in payers:
        if payer.deductions is not None:
            entries += _sale(facts, payer, payer.deductions)
    return Listing(title="Sale at the horizon", entries=tuple(entries))


def _sale(facts: Facts, payer: Payer, own: Deductions) -> Iterator[Entry]:
    """Figures of the sale of one shop's machine."""
    key, way, ledger = payer.key, payer.way, payer.side.ledgers[payer.way]
    income, brought, taxed = (
        f"INDEX({{tax_years.{name}_{key}.all}},last_tax_year)"
        for name in ("income", "brought", "taxed")
    )
    grid, gain = key.removesuffix(f"_{way}"), float(ledger.line("resale").sum()) - own.book
    figures = (
        ("book", "book value", own.book, own.book_formula),
        ("gain", "gain over it", gain, f"{{{grid}.resale_{way}.last}}-book_{key}"),
        (
            "sale_tax",
            "tax on the sale",
            float(ledger.line("tax on resale").sum()),
            f"-tax_rate*(IF(losses_carried_forward=1,MAX(0,{income}+gain_{key}-{brought})"
            f",{income}+gain_{key})-{taxed})",
        ),
    )
    for name, words, value, formula in figures:
        yield Entry(
            name=f"{name}_{key}",
            label=f"{words}: {payer.label}",
            unit=facts.currency,
            value=value,
            formula=formula,
        )
