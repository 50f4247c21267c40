"""Ways to pay on one footing: what is paid in all, and what that costs today."""

import numpy as np
import pytest
from helpers import MACHINE, SHIPPED, exactly, money, plan_of, row, shipped_answer

from planner.decide.paying import cost_of_paying
from planner.decide.steady import monthly_burden

WORTH = {f"{MACHINE}.worth": {"after": "12 months", "share": "25 %"}}  # 300 at the end of a year
LOAN = {"kind": "loan", "rate": "12 %/year", "term": "12 months", "down_payment": "25 %"}
LEASE = {"kind": "lease", "payment": "100 USD/month", "term": "10 months", "deposit": 150,
         "document_fee": 30, "at_end": "return"}  # fmt: skip


def paying(bare, offer=None, **changes):
    kind = offer["kind"] if offer else "cash"
    return cost_of_paying(
        plan_of(bare(WORTH | ({"financing": [offer]} if offer else {}) | changes), kind)
    )


def test_cash_costs_its_price_less_the_discounted_resale(bare):
    # no loan is offered: discounted at the hurdle rate ÷ 12
    found = paying(bare, hurdle_rate="12 %/year")
    assert found.present_cost == exactly(1200 - 300 / 1.01**12)
    assert found.total_paid == money(1200)
    assert found.payment_per_month is None
    assert found.annual_percentage_rate is None


def test_a_loan_at_the_cost_of_debt_costs_what_cash_costs(bare):
    # the present value of a loan at its own rate is nothing; a fee comes on top
    found = paying(bare, LOAN)
    assert found.present_cost == exactly(1200 - 300 / 1.01**12)
    assert paying(bare, LOAN | {"fee": 40}).present_cost == exactly(found.present_cost + 40)


def test_a_loan_by_hand(bare):
    # 900 at 1 % a month over twelve months
    found, payment = paying(bare, LOAN), 900 * 0.01 / (1 - 1.01**-12)
    assert found.payment_per_month == exactly(payment)
    assert found.total_paid == exactly(300 + 12 * payment)
    assert found.annual_percentage_rate == pytest.approx(0.12, abs=1e-9)
    assert paying(bare, LOAN | {"fee": 40}).annual_percentage_rate > 0.12


def test_taxes_lower_the_cost_of_debt_and_the_cost_of_paying(bare):
    # tax of 25 %: 0.75 % a month; 1,200 written off over 10 years, the rest against the resale
    found = paying(bare, LOAN, tax={"rate": "25 %", "losses": "other income"})
    rate, payment = 0.0075, 900 * 0.01 / (1 - 1.01**-12)
    interest = 12 * payment - 900
    saved = 0.25 * (120 + interest)  # all in December, month 12
    on_resale = 0.25 * (300 - (1200 - 120))
    later = sum(payment / (1 + rate) ** t for t in range(1, 13))
    expected = 300 + later + (-saved - 300 + on_resale) / (1 + rate) ** 12
    assert found.present_cost == exactly(expected)


@pytest.mark.parametrize("tax", [0, 8])
def test_a_lease_by_hand(bare, tax):
    found = paying(bare, LEASE | {"sales_tax": f"{tax} %"})
    assert found.payment_per_month == money(100 + tax)
    assert found.total_paid == money(10 * (100 + tax) + 30)  # the deposit comes back


@pytest.mark.parametrize("tax", [0, 8])
def test_while_a_debt_runs_its_payment_is_the_burden(bare, tax):
    plan = plan_of(bare(WORTH | {"financing": [LEASE | {"sales_tax": f"{tax} %"}]}), "lease")
    assert monthly_burden(plan) == money(100 + tax)


def test_a_loan_that_is_settled_early_counts_the_settlement(bare):
    found = paying(bare, LOAN | {"term": "24 months", "rate": "0 %/year"})
    assert found.total_paid == money(1200)


@pytest.mark.parametrize("name", SHIPPED)
def test_a_payment_of_the_figures_is_a_payment_of_the_ledger(name):
    lines = ("principal", "interest", "lease payments", "sales tax on lease payments")
    for answered in shipped_answer(name).choices:
        ledger = answered.evaluation.plan.ledger
        paid = -sum(row(ledger.line(line)) for line in lines)
        expected = None if answered.choice.financing.kind == "cash" else money(float(paid[2]))
        assert answered.figures.paying.payment_per_month == expected


@pytest.mark.parametrize("name", SHIPPED)
def test_what_is_paid_in_all_is_in_the_ledger(name):
    # month 0 less the first tax, and the financing lines after it
    for answered in shipped_answer(name).choices:
        plan = answered.evaluation.plan
        ledger = plan.ledger
        later = sum(
            row(flow)[1:].sum()
            for (group, line), flow in ledger.columns.items()
            if group.value == "financing" or line == "debt settled"
        )
        expected = -(row(ledger.net)[0] + later)
        assert answered.figures.paying.total_paid == money(expected)
        assert np.isfinite(answered.figures.paying.present_cost)
