"""The schedule of a loan or a lease, one row a month, beside the terms that it follows from."""

from __future__ import annotations

from planner.deliver.workbook.book import Listing, Sheet, Words
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.grid import Grid
from planner.deliver.workbook.lease_schedule import lease_entries, lease_lines
from planner.deliver.workbook.loan_schedule import loan_entries, loan_lines
from planner.deliver.workbook.schedule import dates, schedule_months


def paying_sheet(facts: Facts) -> Sheet:
    """The way to pay month by month; only for a choice that borrows or rents."""
    offer = facts.plan.choice.financing
    is_lease = offer.kind == "lease"
    lines = lease_lines(facts) if is_lease else loan_lines(facts)
    entries = lease_entries(facts) if is_lease else loan_entries(facts)
    grid = Grid(
        alias="paying",
        axis="month",
        labels=tuple(float(month) for month in range(schedule_months(facts) + 1)),
        blocks=(dates(facts), *lines),
        vertical=True,
    )
    sheet = Sheet(title="Loan or lease", frozen=(5, 1))
    sheet.add(
        Words(text=f"Way to pay: {offer.name}", style="title"),
        Words(
            text="Month 0 is signing. Money in is positive, money out negative; what is owed, and "
            "regular payments as cover counts them, are positive. Not rounded to cents; the annual "
            "percentage rate is not a disclosure."
        ),
    ).gap()
    terms = Listing(title="Terms worked out", entries=tuple(entries))
    sheet.put(sheet.next_row, len(grid.blocks) + 2, terms)
    return sheet.add(grid)
