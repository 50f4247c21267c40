"""The schedule of a loan: level or stepped payments, interest only, deferral, balloon."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planner.deliver.workbook.book import Entry
from planner.deliver.workbook.facts import Facts, one
from planner.deliver.workbook.grid import Line
from planner.deliver.workbook.schedule import Column, covered, schedule_months
from planner.finance.debt import DebtFlows
from planner.finance.loan import loan_flows
from planner.paying import loan_terms
from planner.scenario.estimates import Array

_LEVEL = "(loan_rate_month,{month}-loan_repays_from+1,loan_repayments,loan_owed_then,-loan_balloon)"


def loan_lines(facts: Facts) -> Iterator[Line]:
    """Columns of the schedule to the end of the term, and what the horizon settles."""
    debt, column = _whole_term(facts), Column(facts.currency, schedule_months(facts))
    is_stepped = facts.plan.choice.financing.step is not None
    yield column.at_signing("loan_paid_out", "paid out", debt.proceeds, "loan_amount")
    yield column.later(
        "payment", "payment", debt.interest + debt.principal, "{interest}+{principal}"
    )
    interest = "-{balance.prev}*loan_rate_month"
    repaid = f"-{_regular(facts)}-{{interest}}" if is_stepped else f"PPMT{_LEVEL}"
    yield column.later(
        "interest",
        "of it interest",
        debt.interest,
        f"IF({{month}}>loan_term,0,IF({{month}}<loan_repays_from,{interest},"
        f"{interest if is_stepped else f'IPMT{_LEVEL}'}))",
    )
    yield column.later(
        "principal",
        "of it repayment, balloon included",
        debt.principal,
        "IF({month}>loan_term,0,IF({month}<loan_first_payment_after,-{interest},"
        f"IF({{month}}<loan_repays_from,0,{repaid}-IF({{month}}=loan_term,loan_balloon,0))))",
    )
    yield column.always(
        "balance",
        "still owed",
        debt.balance,
        "IF({month}<loan_term,{balance.prev}+{principal},0)",
        first="loan_amount",
    )
    yield from _in_plan(facts)
    yield from _for_rates(facts, debt, column)


def _whole_term(facts: Facts) -> DebtFlows:
    """The flows of the loan if the plan ran to the end of its term."""
    offer, values = facts.plan.choice.financing, facts.values
    return loan_flows(
        terms=loan_terms(offer, values),
        amount=np.ravel(facts.plan.payment.financed),
        months=schedule_months(facts),
        fee=values.scalar(offer.fee),
        fee_financed=offer.fee_financed,
    )


def _regular(facts: Facts) -> str:
    """The regular payment of a repaying month."""
    if facts.plan.choice.financing.step is None:
        return "loan_payment_month"
    return "loan_payment_month*(1+loan_step_change)^INT(({month}-loan_repays_from)/loan_step_every)"


def _in_plan(facts: Facts) -> Iterator[Line]:
    """Columns that end with the plan: what is settled then, fees, regular payments."""
    debt, column = facts.plan.debt, Column(facts.currency, schedule_months(facts))
    is_cut = "AND({month}=horizon,loan_term>horizon)"
    yield column.later(
        "debt_settled", "settled at the horizon", debt.settlement, f"-IF({is_cut},{{balance}},0)"
    )
    charge = f"-IF({is_cut},loan_early_repayment_charge*{{balance}},0)"
    yield column.always("fees", "fee and charge", debt.fees, charge, first="-loan_fee")
    yield column.later(
        "service",
        "regular payment",
        debt.service,
        "-{payment}-IF({month}=loan_term,loan_balloon,0)",
    )


def _for_rates(facts: Facts, debt: DebtFlows, column: Column) -> Iterator[Line]:
    flows = debt.proceeds + debt.interest + debt.principal
    flows[:, 0] += one(facts.plan.debt.fees[:, 0])
    yield column.always(
        "for_apr",
        "received less fee, and paid",
        flows,
        "{payment}",
        first="loan_amount-loan_fee",
    )
    if facts.plan.choice.financing.payment is None:
        return
    last = "loan_first_payment_after+loan_repayments-1"
    regular = _regular(facts).replace("loan_repays_from", "loan_first_payment_after")
    yield column.always(
        "for_rate",
        "the same without fee and months of interest only",
        _without_interest_only(facts, debt),
        f"-IF(AND({{month}}>=loan_first_payment_after,{{month}}<={last}),{regular},0)"
        f"-IF({{month}}={last},loan_balloon,0)",
        first="loan_amount",
    )


def _without_interest_only(facts: Facts, debt: DebtFlows) -> Array:
    """Received and paid, the months that hold only interest taken out (1, months + 1) [money]."""
    terms = loan_terms(facts.plan.choice.financing, facts.values)
    paid = (debt.proceeds + debt.interest + debt.principal)[0]
    first, left_out = terms.first_payment_after, terms.interest_only_months
    kept = np.delete(paid, np.s_[first : first + left_out])
    return np.atleast_2d(np.append(kept, np.zeros(left_out)))


def loan_entries(facts: Facts) -> Iterator[Entry]:
    """Terms that follow from the inputs, each a named cell."""
    offer, debt, currency = facts.plan.choice.financing, facts.plan.debt, facts.currency
    terms = loan_terms(offer, facts.values)
    repays_from = terms.first_payment_after + terms.interest_only_months
    rate = one(debt.rate)
    owed = one(debt.proceeds[:, 0]) * (1 + rate) ** (terms.first_payment_after - 1)

    def figure(name: str, label: str, unit: str, value: float, formula: str) -> Entry:
        return Entry(name=name, label=label, unit=unit, value=float(value), formula=formula)

    yield figure(
        "loan_amount",
        "borrowed of what is covered",
        currency,
        one(debt.proceeds[:, 0]),
        f"{_lent(facts)}+loan_fee_financed*loan_fee",
    )
    yield figure(
        "loan_repays_from",
        "first month that repays",
        "count",
        repays_from,
        "loan_first_payment_after+loan_interest_only",
    )
    yield figure(
        "loan_repayments",
        "payments that repay",
        "count",
        terms.repaying_months,
        "loan_term-loan_repays_from+1",
    )
    yield figure(
        "loan_rate_month",
        "rate a month",
        "%/month",
        rate,
        "loan_rate/12" if offer.rate is not None else "IRR({paying.for_rate.all},0.01)",
    )
    yield figure(
        "loan_owed_then",
        "owed when payments begin",
        currency,
        owed,
        "loan_amount*(1+loan_rate_month)^(loan_first_payment_after-1)",
    )
    yield figure(
        "loan_payment_month",
        "payment a month, the first where it changes",
        currency,
        one(debt.payment_per_month),
        _payment_formula(facts),
    )
    yield figure(
        "loan_apr",
        "annual percentage rate, Regulation Z's method",
        "%/year",
        one(debt.annual_percentage_rate),
        "12*IRR({paying.for_apr.all},0.01)",
    )
    yield figure(
        "goes_back_after",
        "last month in which the equipment may run",
        "count",
        facts.months,
        "horizon",
    )


def _lent(facts: Facts) -> str:
    """The amount of the offer, but never more than it covers; else less the down payment."""
    outlays = covered("equipment_total+equipment_tax")
    if facts.plan.choice.financing.amount is not None:
        return f"MIN(loan_offered,{outlays})"
    return f"({outlays})*(1-loan_down_payment)"


def _payment_formula(facts: Facts) -> str:
    offer = facts.plan.choice.financing
    if offer.payment is not None:
        return "loan_payment"
    if offer.step is None:
        return "-PMT(loan_rate_month,loan_repayments,loan_owed_then,-loan_balloon)"
    since = "({paying.month.all}-loan_repays_from)"
    sizes = (
        f"SUMPRODUCT(({{paying.month.all}}>=loan_repays_from)*({{paying.month.all}}<=loan_term)"
        f"*(1+loan_step_change)^INT({since}/loan_step_every)*(1+loan_rate_month)^(-{since}-1))"
    )
    return f"(loan_owed_then-loan_balloon*(1+loan_rate_month)^(-loan_repayments))/{sizes}"
