"""Loans against published schedules and a second, plain calculation."""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.finance import (
    LoanTerms,
    Step,
    interest_part,
    loan_flows,
    loan_schedule_in_cents,
    net_present_value,
    no_debt,
    principal_part,
)

CAR = LoanTerms(term=36, rate=0.06 / 12)  # OpenStax Finance 8.3: 32,000 at 6 % over 36 months


def test_published_schedule_in_cents():
    rows = loan_schedule_in_cents(terms=CAR, amount=32_000)
    first = rows[1]
    assert first.payment == Decimal("973.50")  # OpenStax Finance 8.3 (R)
    assert (first.interest, first.principal) == (Decimal("160.00"), Decimal("813.50"))  # 8.5 (R)
    assert first.balance == Decimal("31186.50")  # OpenStax Finance 8.5 (R)
    assert rows[12].balance == Decimal("21965.02")  # OpenStax Finance 8.5 (R)
    assert rows[24].balance == Decimal("11311.13")  # OpenStax Finance 8.5 (R)
    assert rows[36].balance == 0


def test_unrounded_flows_agree_with_the_level_payment_formulas():
    flows, months = loan_flows(terms=CAR, amount=32_000, months=36), np.arange(1, 37)
    parts = {"rate": 0.005, "period": months, "periods": 36, "present_value": 32_000}
    assert flows.interest[0, 1:] == pytest.approx(-interest_part(**parts), rel=1e-10)
    assert flows.principal[0, 1:] == pytest.approx(-principal_part(**parts), rel=1e-10)
    assert flows.payment_per_month == pytest.approx([973.502], abs=5e-4)
    assert flows.annual_percentage_rate == pytest.approx([0.06])  # no fee: the rate itself
    assert flows.total[0, 0] == 32_000


TERMS = {
    "level": LoanTerms(term=24, rate=0.01),
    "no interest": LoanTerms(term=24, rate=0.0),
    "balloon": LoanTerms(term=24, rate=0.01, balloon=2_000.0),
    "interest only at first": LoanTerms(term=24, rate=0.01, interest_only_months=6),
    "interest only throughout": LoanTerms(term=24, rate=0.01, balloon=10_000.0),
    "first payment after five months": LoanTerms(term=24, rate=0.01, first_payment_after=5),
    "rising": LoanTerms(term=24, rate=0.01, step=Step(every=6, change=0.10)),
    "falling": LoanTerms(term=24, rate=0.01, step=Step(every=1, change=-0.05)),
    "all of it": LoanTerms(
        term=24,
        rate=0.01,
        balloon=1_000.0,
        interest_only_months=3,
        first_payment_after=4,
        step=Step(every=5, change=0.2),
    ),
    "payment given": LoanTerms(term=24, payment=480.0),
    "all of it, payment given": LoanTerms(
        term=24,
        payment=700.0,
        balloon=1_000.0,
        interest_only_months=3,
        first_payment_after=4,
        step=Step(every=5, change=0.2),
    ),
}
every_loan = pytest.mark.parametrize("terms", TERMS.values(), ids=TERMS)


@every_loan
def test_month_by_month_what_is_owed_grows_by_interest_and_falls_by_payments(terms):
    flows = loan_flows(terms=terms, amount=10_000, months=24)
    rate, owed = float(flows.rate[0]), 10_000.0
    for month in range(1, 25):
        interest = owed * rate
        paid = -(flows.principal + flows.interest)[0, month]
        if month < terms.first_payment_after:
            assert paid == pytest.approx(0, abs=1e-9)
        elif month < terms.first_payment_after + terms.interest_only_months:
            assert paid == pytest.approx(interest)
        else:
            late = month - terms.first_payment_after - terms.interest_only_months
            steps = late // terms.step.every if terms.step else 0
            size = (1 + terms.step.change) ** steps if terms.step else 1
            balloon = terms.balloon if month == 24 else 0
            assert paid == pytest.approx(flows.payment_per_month[0] * size + balloon)
        owed += interest - paid
        assert flows.interest[0, month] == pytest.approx(-interest)
        assert flows.balance[0, month] == pytest.approx(owed, abs=1e-6)
    assert owed == pytest.approx(0, abs=1e-6)


@every_loan
def test_principal_repaid_is_the_amount(terms):
    for months in (6, 23, 24, 40):
        flows = loan_flows(terms=terms, amount=10_000, months=months)
        assert (flows.principal + flows.settlement).sum() == pytest.approx(-10_000)
        assert flows.proceeds.sum() == 10_000
        assert flows.balance[0, -1] == 0


@every_loan
def test_payments_are_worth_the_amount_at_the_rate(terms):
    flows = loan_flows(terms=terms, amount=10_000, months=24)
    assert net_present_value(flows=flows.total, rate=flows.rate) == pytest.approx(0, abs=1e-6)
    assert flows.annual_percentage_rate == pytest.approx(12 * flows.rate, abs=1e-9)


@every_loan
def test_rate_and_payment_give_the_same_loan(terms):
    first = loan_flows(terms=terms, amount=10_000, months=24)
    given_rate = {"rate": float(first.rate[0]), "payment": None}
    given_payment = {"rate": None, "payment": float(first.payment_per_month[0])}
    for known in (given_rate, given_payment):
        again = loan_flows(terms=LoanTerms(**(vars(terms) | known)), amount=10_000, months=24)
        assert again.total == pytest.approx(first.total, abs=1e-5)


@every_loan
def test_the_schedule_in_cents_follows_the_unrounded_one(terms):
    rows = loan_schedule_in_cents(terms=terms, amount=10_000)
    flows = loan_flows(terms=terms, amount=10_000, months=24)
    assert sum(row.principal for row in rows) == Decimal("10000.00")
    assert all(row.payment == row.interest + row.principal for row in rows)
    assert all(row.payment == row.payment.quantize(Decimal("0.01")) for row in rows)
    for row in rows:
        # each month rounds payment and interest by half a cent; a cent a month covers its growth
        assert float(row.balance) == pytest.approx(flows.balance[0, row.month], abs=0.012 * 24)
    assert rows[-1].balance == 0


def test_half_cents_are_rounded_up():
    rows = loan_schedule_in_cents(terms=LoanTerms(term=2, rate=0.005), amount=Decimal("101.00"))
    assert rows[1].interest == Decimal("0.51")  # 101.00 x 0.005 = 0.505


def test_interest_before_the_first_payment_is_added_to_the_debt():
    flows = loan_flows(
        terms=LoanTerms(term=4, rate=0.01, first_payment_after=3), amount=10_000, months=4
    )
    assert flows.total[0, 1:3].tolist() == [0.0, 0.0]
    assert flows.balance[0, 2] == pytest.approx(10_201)  # 10,000 x 1.01^2
    assert flows.principal[0, 1] == pytest.approx(100)  # interest that becomes debt
    assert flows.interest[0, 1] == pytest.approx(-100)


def test_a_fee_paid_at_signing_is_a_finance_charge():
    flows = loan_flows(terms=CAR, amount=32_000, months=36, fee=320)
    own = flows.total[0].copy()
    assert own[0] == 31_680
    yearly = flows.annual_percentage_rate[0]
    assert yearly > 0.06
    assert net_present_value(flows=own, rate=yearly / 12) == pytest.approx(0, abs=1e-6)


def test_a_financed_fee_is_borrowed_and_leaves_the_amount_to_spend():
    flows = loan_flows(terms=CAR, amount=32_000, months=36, fee=320, fee_financed=True)
    assert flows.proceeds[0, 0] == 32_320
    assert flows.total[0, 0] == 32_000
    assert (flows.principal.sum(), flows.fees.sum()) == (pytest.approx(-32_320), -320)
    assert flows.payment_per_month == pytest.approx([973.502 * 1.01], abs=1e-3)  # 1 % more debt
    yearly = flows.annual_percentage_rate[0]
    assert net_present_value(flows=flows.total[0], rate=yearly / 12) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(("months", "early"), [(35, True), (36, False), (37, False)])
def test_a_loan_longer_than_the_months_is_settled_in_the_last_one(months, early):
    terms = LoanTerms(term=36, rate=0.005, early_repayment_charge=0.02)
    flows = loan_flows(terms=terms, amount=32_000, months=months)
    left = -flows.settlement[0, -1]
    assert (left > 900) == early  # one payment of about 974, less its interest
    assert flows.fees[0, -1] == pytest.approx(-0.02 * left)
    assert flows.total.shape == (1, months + 1)
    assert flows.service[0, 1:].sum() == pytest.approx(973.502 * min(months, 36), abs=0.01)
    whole = loan_flows(terms=terms, amount=32_000, months=36)
    assert flows.annual_percentage_rate == whole.annual_percentage_rate  # of the whole contract


def test_total_paid_counts_fees_and_settlement():
    flows = loan_flows(terms=CAR, amount=32_000, months=36, fee=320)
    assert flows.total_paid == pytest.approx([36 * 973.50200 + 320], abs=0.01)
    short = loan_flows(terms=CAR, amount=32_000, months=12, fee=320)
    left = loan_flows(terms=CAR, amount=32_000, months=36).balance[0, 12]
    assert short.total_paid == pytest.approx([12 * 973.50200 + left + 320], abs=0.01)


def test_a_balloon_is_a_lump_sum_and_not_service():
    flows = loan_flows(terms=TERMS["balloon"], amount=10_000, months=24)
    assert flows.lump_sums.sum() == flows.lump_sums[0, 24] == 2_000
    assert flows.service[0, 24] == pytest.approx(flows.service[0, 1])
    assert -flows.total[0, 24] == pytest.approx(flows.service[0, 24] + 2_000)


@every_loan
def test_the_finance_charge_of_a_loan_is_its_interest(terms):
    for months in (10, 24, 30):
        flows = loan_flows(terms=terms, amount=10_000, months=months)
        assert flows.finance_charge == pytest.approx(-flows.interest, abs=1e-8)


def test_draws_are_loans_of_their_own():
    rates, amounts = np.array([0.0, 0.005, 0.02]), np.array([1_000.0, 32_000.0, 5.0])
    together = loan_flows(
        terms=LoanTerms(term=36, rate=rates), amount=amounts, months=20, fee=np.array([0.0, 1, 2])
    )
    for i in range(3):
        alone = loan_flows(
            terms=LoanTerms(term=36, rate=float(rates[i])),
            amount=float(amounts[i]),
            months=20,
            fee=float(i),
        )
        assert together.total[i] == pytest.approx(alone.total[0], rel=1e-12)
        assert together.annual_percentage_rate[i] == pytest.approx(alone.annual_percentage_rate[0])


def arrays_of(flows):
    """The flows and figures, with the rate that is worked out only when it is asked for."""
    held = [value for value in vars(flows).values() if isinstance(value, np.ndarray)]
    return [*held, flows.annual_percentage_rate]


def test_every_array_has_the_same_shape_whichever_input_has_draws():
    three = np.array([0.01, 0.02, 0.03])
    for name in ("rate", "balloon", "early_repayment_charge"):
        terms = LoanTerms(**({"term": 12, "rate": 0.01} | {name: three}))
        flows = loan_flows(terms=terms, amount=100.0, months=6)
        assert {value.shape[0] for value in arrays_of(flows)} == {3}, name
    terms = LoanTerms(term=12, payment=10.0)
    for known in ({"amount": 100 * three}, {"amount": 100.0, "fee": three}):
        flows = loan_flows(terms=terms, months=6, **known)
        assert {value.shape[0] for value in arrays_of(flows)} == {3}, known


@pytest.mark.long
@given(st.one_of(st.just(0.0), st.floats(1e-6, 0.03)), st.integers(1, 600), st.floats(0.01, 1000))
def test_money_times_k_is_every_flow_times_k(rate, term, k):
    terms = LoanTerms(term=term, rate=rate)
    once = loan_flows(terms=terms, amount=1_000, months=60, fee=10)
    scaled = loan_flows(terms=terms, amount=1_000 * k, months=60, fee=10 * k)
    assert scaled.total == pytest.approx(k * once.total, rel=1e-9, abs=1e-9 * k)
    assert scaled.annual_percentage_rate == pytest.approx(once.annual_percentage_rate, rel=1e-6)


@pytest.mark.parametrize(
    ("faults", "message"),
    [
        ({}, "exactly one of rate and payment"),
        ({"rate": 0.01, "payment": 10.0}, "exactly one of rate and payment"),
        ({"rate": 0.01, "first_payment_after": 0}, "first_payment_after must be at least 1"),
        ({"rate": 0.01, "interest_only_months": -1}, "interest_only_months must be at least 0"),
        ({"rate": 0.01, "interest_only_months": 12}, "term must be at least 13 months, got 12"),
        ({"rate": 0.01, "first_payment_after": 13}, "term must be at least 13 months, got 12"),
    ],
)
def test_terms_that_make_no_loan_are_refused(faults, message):
    with pytest.raises(ValueError, match=message):
        LoanTerms(term=12, **faults)


@pytest.mark.parametrize(
    ("every", "change", "message"),
    [(0, 0.1, "every must be at least 1"), (1, -1.0, "change must be above -1")],
)
def test_steps_that_lead_nowhere_are_refused(every, change, message):
    with pytest.raises(ValueError, match=message):
        Step(every=every, change=change)


def test_terms_at_the_limit_are_legal():
    assert LoanTerms(term=12, rate=0.01, interest_only_months=11).repaying_months == 1
    assert LoanTerms(term=12, rate=0.01, first_payment_after=12).repaying_months == 1


def test_a_payment_of_nothing_is_refused():
    with pytest.raises(ValueError, match="payment must repay the debt at some rate"):
        loan_flows(terms=LoanTerms(term=12, payment=0.0), amount=100, months=12)


def test_cash_is_no_debt():
    flows = no_debt(months=3, draws=2)
    assert flows.total.tolist() == [[0.0] * 4] * 2
    assert flows.total_paid.tolist() == [0.0, 0.0]
    assert np.isnan(flows.annual_percentage_rate).all()
