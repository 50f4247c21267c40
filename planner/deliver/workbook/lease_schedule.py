"""The schedule of a lease: payments in advance or arrears, deposit, tax, and its end."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planner.deliver.workbook.book import Entry
from planner.deliver.workbook.facts import Facts, one
from planner.deliver.workbook.grid import Line, total_of
from planner.deliver.workbook.schedule import Column, covered, schedule_months
from planner.finance.lease import LeaseTerms, payments_by_month
from planner.paying import lease_terms, purchase_option
from planner.scenario.schema import EndOfLease


def _end(facts: Facts) -> EndOfLease:
    end = facts.plan.choice.financing.at_end
    assert end is not None  # the scenario's checks see to it
    return end


def _terms(facts: Facts) -> LeaseTerms:
    offer, equipment = facts.plan.choice.financing, facts.plan.outlays.equipment
    return lease_terms(offer, facts.values, equipment)


def lease_lines(facts: Facts) -> Iterator[Line]:
    """Columns of the schedule; what the lessor is owed runs on to the end of the term."""
    debt, column = facts.plan.debt, Column(facts.currency, schedule_months(facts))
    flows = _Lessor(facts)
    yield Line(
        key="payments",
        label="payments made",
        unit="count",
        values=tuple(float(count) for count in flows.counts),
        formula="IF({month}<=lease_term-lease_at_signing,1,0)",
        first="lease_at_signing",
    )
    signed = np.atleast_2d(facts.plan.ledger.line("paid by the lessor"))
    yield column.at_signing("paid_by_the_lessor", "paid by the lessor", signed, "lease_price")
    yield column.at_signing("fees", "document fee", debt.fees, "-lease_document_fee")
    rent = "-lease_payment_month*{payments}" + _renewed(facts, "{month}+lease_in_advance")
    yield column.always("lease_payments", "payment before tax", debt.rent, rent, first=rent)
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
        "-IF({month}=lease_last,lease_payment_month*MAX(0,lease_term-lease_at_signing-horizon),0)",
    )
    taxed = "lease_sales_tax*({lease_payments}+{purchase_at_lease_end}+{debt_settled})"
    yield column.always(
        "sales_tax_on_lease_payments", "sales tax", debt.tax_on_payments, taxed, first=taxed
    )
    yield column.always(
        "deposit",
        "deposit",
        debt.deposit,
        f"IF({{month}}={'horizon' if _end(facts).kind == 'renew' else 'lease_last'}"
        ",lease_deposit,0)",
        first="-lease_deposit",
    )
    yield column.later(
        "service",
        "regular payment with tax, in the month it pays for",
        debt.service,
        f"(IF({{month}}<=lease_last,lease_payment_month,0){_renewed(facts, '{month}', sign='+')})"
        "*(1+lease_sales_tax)",
    )
    yield from _owed(facts, column, flows)


def _renewed(facts: Facts, month: str, *, sign: str = "-") -> str:
    """Payments of a renewed lease after its term, to the horizon."""
    end = _end(facts)
    if end.kind != "renew":
        return ""
    payment = "lease_payment_month" if end.payment is None else "lease_renewed_payment"
    return f"{sign}IF(AND({month}>lease_term,{month}<=horizon),{payment},0)"


def _owed(facts: Facts, column: Column, flows: _Lessor) -> Iterator[Line]:
    debt = facts.plan.debt
    bought = "IF({month}=lease_term,lease_worth_at_end,0)"
    yield column.always(
        "lessor",
        "lessor's flows",
        flows.lessor,
        f"-lease_payment_month*{{payments}}-{bought}",
        first="lease_price-lease_payment_month*{payments}",
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
        "lease_payment_month*{payments}" + (f"+{bought}" if _end(facts).kind == "buy" else ""),
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
        debt, months = facts.plan.debt, np.arange(schedule_months(facts) + 1)
        terms = _terms(facts)
        tax = one(terms.tax_on_payments)
        payment = one(debt.payment_per_month) / (1 + tax)
        paid = payments_by_month(terms)
        self.counts = np.append(paid, np.zeros(months.size - paid.size))
        worth = worth_at_end(facts) * (months == terms.term)
        at_signing = months == 0
        price = one(facts.plan.payment.financed)
        self.lessor = np.atleast_2d(price * at_signing - payment * self.counts - worth)
        self.with_fee = self.lessor + one(debt.fees[:, 0]) * at_signing
        agreed = worth if _end(facts).kind == "buy" else 0.0
        self.to_come = np.atleast_2d(payment * self.counts + agreed)


def worth_at_end(facts: Facts) -> float:
    """The purchase price, or what the goods are worth where none is agreed [money]."""
    option = purchase_option(_terms(facts).at_end)
    return one(facts.plan.payment.worth_at_lease_end if option is None else option)


def lease_entries(facts: Facts) -> Iterator[Entry]:
    """Terms that follow from the inputs, each a named cell."""
    payment, debt, currency = facts.plan.payment, facts.plan.debt, facts.currency
    offer, end = facts.plan.choice.financing, _end(facts)
    terms = _terms(facts)
    advance = "lease_advance_payments" if offer.advance_payments is not None else "0"
    items = range(1, len(facts.plan.assets) + 1)
    market = [
        f"item_{at}_total*item_{at}_worth_share^(lease_term/item_{at}_worth_after)" for at in items
    ]
    worth = "lease_market"
    if end.kind == "buy":
        worth = "lease_purchase_share*equipment_total" if end.share else "lease_purchase_sum"
    owned = {"buy": "1", "market": "IF(lease_term<=horizon,1,0)"}.get(end.kind, "0")
    back = "lease_term" if end.kind == "return" else "horizon"
    is_back = payment.goes_back_after is not None and end.kind == "return"
    regular = one(debt.payment_per_month) / (1 + one(terms.tax_on_payments))
    figures: list[tuple[str, str, str, float, str]] = [
        ("lease_is_taxed", "sales tax falls on the payments", "1 or 0", payment.untaxed,
         "IF(AND(lease_sales_tax>0,covers_equipment=1),1,0)"),
        ("lease_price", "paid by the lessor", currency, one(payment.financed),
         covered("equipment_total+equipment_tax*(1-lease_is_taxed)")),
        ("lease_at_signing", "payments at signing", "count", payments_by_month(terms)[0],
         f"MIN(lease_term,MAX({advance},lease_in_advance))"),
        ("lease_last", "last month of the lease in the plan", "count",
         min(terms.term, facts.months), "MIN(lease_term,horizon)"),
        ("lease_market", "worth of the goods at its end", currency,
         one(payment.worth_at_lease_end), total_of(market)),
        ("lease_worth_at_end", "purchase price, or that worth", currency, worth_at_end(facts),
         worth),
        ("lease_rate_month", "implicit rate a month", "%/month",
         np.nan_to_num(one(debt.rate)),
         "lease_rate/12" if offer.rate is not None else "IFERROR(IRR({paying.lessor.all},0.01),0)"),
        ("lease_payment_month", "payment before tax", currency, regular, _payment(facts)),
        ("lease_is_owned", "bought by the horizon", "1 or 0", payment.owned_from is not None,
         owned),
        ("goes_back_after", "last month in which the equipment may run", "count",
         terms.term if is_back else facts.months, back),
        ("lease_is_rented", "rent for tax, not a purchase", "1 or 0", payment.rented,
         _rented(facts)),
        ("lease_apr", "annual percentage rate, Regulation Z's method",
         "%/year", np.nan_to_num(one(debt.annual_percentage_rate)),
         "12*IFERROR(IRR({paying.lessor_with_fee.all},0.01),0)"),
    ]  # fmt: skip
    for name, label, unit, value, formula in figures:
        yield Entry(name=name, label=label, unit=unit, value=float(value), formula=formula)


def _payment(facts: Facts) -> str:
    if facts.plan.choice.financing.payment is not None:
        return "lease_payment"
    return (
        "(lease_price-lease_worth_at_end/(1+lease_rate_month)^lease_term)"
        "/({paying.payments.first}+NPV(lease_rate_month,{paying.payments.later}))"
    )


def _rented(facts: Facts) -> str:
    counts_as = facts.plan.choice.financing.counts_as
    if counts_as is not None:
        return "1" if counts_as == "rent" else "0"
    if _end(facts).kind != "buy":
        return "1"
    return "IF(lease_worth_at_end<=lease_nominal_share*lease_market,0,1)"
