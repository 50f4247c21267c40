"""The schedule of a lease: payments in advance or arrears, deposit, tax, and its end."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planner.deliver.workbook.book import Entry
from planner.deliver.workbook.facts import Facts, one
from planner.deliver.workbook.grid import Line, total_of
from planner.deliver.workbook.schedule import Column, covered
from planner.scenario.schema import EndOfLease

_RETURN = EndOfLease.model_validate("return")


def _end(facts: Facts) -> EndOfLease:
    return facts.plan.choice.financing.at_end or _RETURN


def schedule_months(facts: Facts) -> int:
    """The last month of the schedule: the horizon, or the lease's end where it comes later."""
    term = facts.plan.choice.financing.term
    assert term is not None
    return max(facts.months, facts.values.whole(term))


def lease_lines(facts: Facts) -> Iterator[Line]:
    """Columns of the schedule; what the lessor is owed runs on to the end of the term."""
    debt, column = facts.plan.debt, Column(facts.currency, schedule_months(facts))
    flows = _Lessor(facts)
    yield Line(
        key="payments",
        label="payments made",
        unit="number",
        values=tuple(float(count) for count in flows.counts),
        formula="IF({month}<=lease_term-lease_at_signing,1,0)",
        first="lease_at_signing",
    )
    signed = np.atleast_2d(facts.plan.ledger.line("paid by the lessor"))
    yield column.at_signing("paid_by_the_lessor", "paid by the lessor", signed, "lease_price")
    yield column.at_signing("fees", "document fee", debt.fees, "-lease_document_fee")
    yield column.always(
        "lease_payments",
        "payment before tax",
        debt.rent,
        "-lease_payment*{payments}",
        first="-lease_payment*{payments}",
    )
    yield column.later(
        "purchase_at_lease_end",
        "purchase before tax",
        debt.purchase,
        "-IF({month}=lease_last,lease_worth_at_end*lease_is_owned,0)",
    )
    yield column.later(
        "debt_settled",
        "settled at the horizon",
        debt.settlement,
        "-IF({month}=lease_last,lease_payment*MAX(0,lease_term-lease_at_signing-horizon),0)",
    )
    taxed = "lease_sales_tax*({lease_payments}+{purchase_at_lease_end}+{debt_settled})"
    yield column.always(
        "sales_tax_on_lease_payments", "sales tax", debt.tax_on_payments, taxed, first=taxed
    )
    yield column.always(
        "deposit",
        "deposit",
        debt.deposit,
        "IF({month}=lease_last,lease_deposit,0)",
        first="-lease_deposit",
    )
    yield column.later(
        "service",
        "regular payment with tax, in the month it pays for",
        debt.service,
        "IF({month}<=lease_last,lease_payment*(1+lease_sales_tax),0)",
    )
    yield from _owed(facts, column, flows)


def _owed(facts: Facts, column: Column, flows: _Lessor) -> Iterator[Line]:
    debt = facts.plan.debt
    bought = "IF({month}=lease_term,lease_worth_at_end,0)"
    yield column.always(
        "lessor",
        "lessor's flows",
        flows.lessor,
        f"-lease_payment*{{payments}}-{bought}",
        first="lease_price-lease_payment*{payments}",
    )
    yield column.always(
        "lessor_with_fee",
        "the same, fee included",
        flows.with_fee,
        "{lessor}",
        first="{lessor}-lease_document_fee",
    )
    yield column.later(
        "to_come",
        "payments and agreed price, as owed",
        flows.to_come,
        "lease_payment*{payments}" + (f"+{bought}" if _end(facts).kind == "buy" else ""),
    )
    yield column.always(
        "balance",
        "still owed, at the implicit rate",
        debt.balance,
        "IF({month}<lease_last,{balance.prev}*(1+lease_rate_month)-{to_come},0)",
        first="NPV(lease_rate_month,{to_come.later})",
    )
    yield column.later(
        "finance_charge",
        "payments beyond the fall in what is owed",
        debt.finance_charge,
        "-({lease_payments}+{purchase_at_lease_end}+{debt_settled})+{balance}-{balance.prev}",
    )


class _Lessor:
    """Counts and flows over the whole term, as the lessor sees them."""

    def __init__(self, facts: Facts) -> None:
        offer, debt, last = facts.plan.choice.financing, facts.plan.debt, schedule_months(facts)
        assert offer.term is not None
        assert offer.payment is not None
        values, term = facts.values, facts.values.whole(offer.term)
        payment = values.scalar(offer.payment)
        self.at_signing = _at_signing(facts)
        months = np.arange(last + 1)
        self.counts = np.where(months <= term - self.at_signing, 1.0, 0.0)
        self.counts[0] = self.at_signing
        worth = worth_at_end(facts) * (months == term)
        price = one(facts.plan.payment.financed)
        fee = one(debt.fees[:, 0])
        at_signing = months == 0
        self.lessor = np.atleast_2d(price * at_signing - payment * self.counts - worth)
        self.with_fee = self.lessor + fee * at_signing
        agreed = worth if _end(facts).kind == "buy" else 0.0
        self.to_come = np.atleast_2d(payment * self.counts + agreed)


def _at_signing(facts: Facts) -> int:
    offer, values = facts.plan.choice.financing, facts.values
    assert offer.term is not None
    advance = values.whole(offer.advance_payments) if offer.advance_payments else 0
    return min(values.whole(offer.term), max(advance, int(offer.due == "start")))


def _market(facts: Facts) -> float:
    term = facts.plan.choice.financing.term
    assert term is not None
    months = facts.values.whole(term)
    return sum(
        one(item.price) * one(item.worth_share) ** (months / item.worth_after)
        for item in facts.plan.assets
    )


def worth_at_end(facts: Facts) -> float:
    """The purchase price, or what the goods are worth where none is agreed [money]."""
    end = _end(facts)
    if end.share is not None:
        return facts.values.scalar(end.share) * one(facts.plan.payment.financed)
    return facts.values.scalar(end.sum) if end.sum is not None else _market(facts)


def lease_entries(facts: Facts) -> Iterator[Entry]:
    """Terms that follow from the inputs, each a named cell."""
    payment, debt, currency = facts.plan.payment, facts.plan.debt, facts.currency
    offer, end = facts.plan.choice.financing, _end(facts)
    assert offer.term is not None
    term = facts.values.whole(offer.term)
    is_owned = payment.owned_from is not None

    def figure(name: str, label: str, unit: str, value: float, formula: str) -> Entry:
        return Entry(name=name, label=label, unit=unit, value=value, formula=formula)

    advance = "lease_advance_payments" if offer.advance_payments is not None else "0"
    items = range(1, len(facts.plan.assets) + 1)
    worth = "lease_market"
    if end.kind == "buy":
        worth = "lease_purchase_share*lease_price" if end.share else "lease_purchase_sum"
    owned = {"buy": "1", "market": "IF(lease_term<=horizon,1,0)", "return": "0"}[end.kind]
    nominal = "IF(lease_worth_at_end<=lease_nominal_share*lease_market,0,1)"
    yield figure("lease_is_taxed", "sales tax falls on the payments", "1 or 0",
                 float(payment.untaxed), "IF(AND(lease_sales_tax>0,covers_equipment=1),1,0)")
    yield figure("lease_price", "paid by the lessor", currency, one(payment.financed),
                 covered("equipment_total+equipment_tax*(1-lease_is_taxed)"))
    yield figure("lease_at_signing", "payments at signing", "number", _at_signing(facts),
                 f"MIN(lease_term,MAX({advance},lease_in_advance))")
    yield figure("lease_last", "last month of the lease in the plan", "number",
                 min(term, facts.months), "MIN(lease_term,horizon)")
    yield figure("lease_market", "worth of the goods at its end", currency, _market(facts),
                 total_of([f"item_{at}_total*item_{at}_worth_share^(lease_term/item_{at}_worth_after)"
                           for at in items]))
    yield figure("lease_worth_at_end", "purchase price, or that worth", currency,
                 worth_at_end(facts), worth)
    yield figure("lease_is_owned", "bought by the horizon", "1 or 0", float(is_owned), owned)
    yield figure("goes_back_after", "last month in which the equipment may run", "number",
                 facts.months if is_owned else term,
                 "IF(lease_is_owned=1,horizon,lease_term)")
    yield figure("lease_is_rented", "rent for tax, not a purchase", "1 or 0",
                 float(payment.rented), nominal if end.kind == "buy" else "1")
    yield figure("lease_rate_month", "implicit rate a month", "%/month",
                 float(np.nan_to_num(one(debt.rate))), "IFERROR(IRR({paying.lessor.all},0.01),0)")
    yield figure("lease_apr", "annual percentage rate, fee included", "%/year",
                 float(np.nan_to_num(one(debt.annual_percentage_rate))),
                 "12*IFERROR(IRR({paying.lessor_with_fee.all},0.01),0)")
