"""Tax by tax year, with losses brought forward, and the tax on the sale at the horizon."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from planner.deliver.workbook.book import Entry, Listing
from planner.deliver.workbook.deductions import Deductions
from planner.deliver.workbook.facts import CASH, Facts
from planner.deliver.workbook.grid import Grid, Heading, Line, Value
from planner.deliver.workbook.money import NAMES
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
        self.income: Array = np.bincount(at, weights=payer.taxable, minlength=years)
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


def sale_of(
    facts: Facts, payers: Sequence[Payer], found: Mapping[str, Deductions]
) -> Listing:
    """The sale at the horizon: book value, gain, and the tax that it adds to the last tax year."""
    entries = [
        Entry(
            name="last_tax_year",
            label="last tax year",
            unit="number",
            value=float(year_of(facts)[-1]),
            formula="{tax.tax_year.last}",
        )
    ]
    sides = {CASH: facts.plan.cash_ledger, facts.way: facts.plan.ledger}
    for way, ledger in sides.items():
        book, resale = found[way].book, float(ledger.line("resale").sum())
        entries += [
            Entry(
                name=f"book_{way}",
                label=f"book value, {NAMES[way]}",
                unit=facts.currency,
                value=book,
                formula=found[way].book_formula,
            ),
            Entry(
                name=f"gain_{way}",
                label=f"gain over book value, {NAMES[way]}",
                unit=facts.currency,
                value=resale - book,
                formula=f"{{months.resale_{way}.last}}-book_{way}",
            ),
        ]
    entries += [_sale_tax(facts, payer) for payer in payers if payer.key.startswith("months")]
    return Listing(title="Sale at the horizon", entries=tuple(entries))


def _sale_tax(facts: Facts, payer: Payer) -> Entry:
    income, brought, taxed = (
        f"INDEX({{tax_years.{name}_{payer.key}.all}},last_tax_year)"
        for name in ("income", "brought", "taxed")
    )
    gain = f"gain_{payer.way}"
    return Entry(
        name=f"sale_tax_{payer.key}",
        label=f"tax on the sale: {payer.label}",
        unit=facts.currency,
        value=float(payer.side.ledgers[payer.way].line("tax on resale").sum()),
        formula=f"-tax_rate*(IF(losses_carried_forward=1,MAX(0,{income}+{gain}-{brought})"
        f",{income}+{gain})-{taxed})",
    )
