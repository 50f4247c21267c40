"""The schedule of a loan or a lease, one row a month, beside the terms that it follows from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.deliver.workbook.book import Entry, Listing, Sheet, Words
from planner.deliver.workbook.facts import Facts, one
from planner.deliver.workbook.grid import Grid, Line
from planner.deliver.workbook.lease_schedule import lease_entries, lease_lines, schedule_months
from planner.deliver.workbook.schedule import Column, covered, dates

PAYING: Final = "Loan or lease"


def paying_sheet(facts: Facts) -> Sheet:
    """The way to pay month by month; only for a choice that borrows or rents."""
    if facts.plan.choice.financing.kind == "loan":
        last, lines, entries = facts.months, _loan_lines(facts), _loan_entries(facts)
    else:
        last = schedule_months(facts)
        lines, entries = lease_lines(facts), lease_entries(facts)
    grid = Grid(
        alias="paying",
        axis="month",
        labels=tuple(float(month) for month in range(last + 1)),
        blocks=(dates(facts, last), *lines),
        vertical=True,
    )
    terms = Listing(title="Terms worked out", entries=tuple(entries))
    sheet = Sheet(title=PAYING, frozen=(5, 1))
    sheet.add(
        Words(text=f"{PAYING}: {facts.plan.choice.financing.name}", style="title"),
        Words(
            text="Month 0 is signing. Money in is positive, money out negative; what is owed is "
            "positive. The rate and the term may be changed on the inputs, the term up to the "
            "horizon. Payments are not rounded to cents."
        ),
    ).gap()
    sheet.put(sheet.next_row, len(grid.blocks) + 2, terms)
    return sheet.add(grid)


def _loan_lines(facts: Facts) -> Iterator[Line]:
    debt, column = facts.plan.debt, Column(facts.currency, facts.months)
    part = "IF({{month}}<=loan_term,{}(loan_rate_month,{{month}},loan_term,loan_amount),0)"
    yield column.at_signing("loan_paid_out", "paid out", debt.proceeds, "loan_amount")
    yield column.at_signing("fees", "fee", debt.fees, "-loan_fee")
    yield column.later("payment", "payment", debt.interest + debt.principal, "{interest}+{principal}")
    yield column.later("interest", "of it interest", debt.interest, part.format("IPMT"))
    yield column.later("principal", "of it repayment", debt.principal, part.format("PPMT"))
    yield column.later(
        "debt_settled",
        "settled at the horizon",
        debt.settlement,
        "IF(AND({month}=horizon,loan_term>horizon),-({balance.prev}+{principal}),0)",
    )
    yield column.always(
        "balance",
        "still owed",
        debt.balance,
        "IF({month}<loan_term,{balance.prev}+{principal}+{debt_settled},0)",
        first="loan_amount",
    )
    yield column.later(
        "service", "regular payment, in the month it pays for", debt.service, "-{payment}"
    )


def _loan_entries(facts: Facts) -> Iterator[Entry]:
    offer, debt, currency = facts.plan.choice.financing, facts.plan.debt, facts.currency
    solved = "RATE(loan_term,-loan_payment,loan_amount,0,0,0.01)"
    yield Entry(
        name="loan_amount",
        label="covered, less the down payment: borrowed",
        unit=currency,
        value=one(debt.proceeds[:, 0]),
        formula=f"({covered('equipment_total+equipment_tax')})*(1-loan_down_payment)",
    )
    yield Entry(
        name="loan_rate_month",
        label="rate a month",
        unit="%/month",
        value=one(debt.rate),
        formula="loan_rate/12" if offer.rate is not None else solved,
    )
    yield Entry(
        name="loan_payment_month",
        label="payment a month",
        unit=currency,
        value=one(debt.payment_per_month),
        formula="-PMT(loan_rate_month,loan_term,loan_amount)",
    )
    yield Entry(
        name="loan_apr",
        label="annual percentage rate, fee included",
        unit="%/year",
        value=one(debt.annual_percentage_rate),
        formula="12*RATE(loan_term,-loan_payment_month,loan_amount-loan_fee,0,0,0.01)",
        note="by the method of Regulation Z; not a disclosure",
    )
    yield Entry(
        name="goes_back_after",
        label="last month in which the equipment may run",
        unit="month",
        value=float(facts.months),
        formula="horizon",
    )
