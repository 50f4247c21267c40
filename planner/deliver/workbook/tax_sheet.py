"""Income tax: deductions month by month, and tax by tax year for each shop that is compared."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from planner.deliver.workbook.book import Sheet
from planner.deliver.workbook.deductions import deductions, other_deductions
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.grid import Heading, Line
from planner.deliver.workbook.months import Months, month_sheet
from planner.deliver.workbook.pieces import Blocks
from planner.deliver.workbook.tax_payers import Payer, payers_of, year_ends, year_of
from planner.deliver.workbook.tax_years import sale_of, tax_years

TAX: Final = "Tax"


def tax_sheet(facts: Facts) -> Sheet:
    """Only for a scenario that states a tax."""
    found = deductions(facts)
    payers = tuple(payers_of(facts, found))
    lines: list[Line | Heading] = [*_tax_years(facts), *other_deductions(facts)]
    for own in dict.fromkeys(found.values()):
        lines += own.lines
    sheet = month_sheet(
        facts,
        title=TAX,
        alias="tax",
        about="Deductions and taxable income by month; tax by tax year and on the sale at the "
        "horizon stand below. Simplified: ask your accountant which rules apply.",
        blocks=(*lines, *_taxable(facts, payers), *_paid(facts, payers)),
    )
    return sheet.gap().add(tax_years(facts, payers)).gap().add(sale_of(facts, payers))


def _tax_years(facts: Facts) -> Blocks:
    line, ends = Months(facts.months).line, year_ends(facts)
    yield line(
        "tax_year_end",
        "a tax year ends",
        "1 or 0",
        np.asarray(np.isin(np.arange(facts.months + 1), ends), dtype=float),
        "IF(OR({month}=horizon,MONTH({date})=tax_year_ends),1,0)",
        first="0",
    )
    yield line(
        "tax_year",
        "tax year of the plan",
        "count",
        year_of(facts),
        "{tax_year.prev}+{tax_year_end.prev}",
        first="1",
    )


def _taxable(facts: Facts, payers: Sequence[Payer]) -> Blocks:
    yield Heading("Taxable income")
    for payer in payers:
        yield Months(facts.months).line(
            f"taxable_{payer.key}",
            payer.label,
            facts.currency,
            payer.taxable,
            payer.formula,
            adds_up=True,
        )


def _paid(facts: Facts, payers: Sequence[Payer]) -> Blocks:
    yield Heading("Income tax as paid, in the last month of each tax year")
    for payer in payers:
        yield Months(facts.months).line(
            payer.key,
            payer.label,
            facts.currency,
            payer.side.ledgers[payer.way].line("income tax")[:, 1:],
            f"IF({{tax_year_end}}=1,INDEX({{tax_years.tax_{payer.key}.all}},{{tax_year}}),0)",
            adds_up=True,
        )
