"""Annual percentage rate against the examples of Regulation Z."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.finance import (
    BuyForSum,
    LeaseTerms,
    LoanTerms,
    TimedAmount,
    annual_percentage_rate,
    lease_flows,
    level_payment,
    loan_flows,
    unit_periods_between,
)
from planner.finance.apr import UNITS_PER_YEAR

# 12 CFR 1026, Appendix J (c) (R): what is lent, payments, first payment, unit, percent
APPENDIX_J = {
    "(c)(1)(i)": (5_000, 24 * [230], ("1978-01-10", "1978-02-10"), "month", 9.69),
    "(c)(1)(ii)": (6_000, 36 * [200], ("1978-02-10", "1978-04-01"), "month", 11.82),
    "(c)(1)(iii)": (5_000, 24 * [219.17], ("1978-02-23", "1978-03-01"), "semimonth", 10.34),
    "(c)(1)(iv)": (10_000, 40 * [385], ("1978-05-23", "1978-10-01"), "quarter", 8.97),
    "(c)(2)(i)": (5_000, [250, *23 * [230]], ("1978-01-10", "1978-02-10"), "month", 10.08),
    "(c)(3)(i)": (5_000, [*23 * [230], 280], ("1978-01-10", "1978-02-10"), "month", 10.50),
    "(c)(4)(i)": (5_000, [250, *22 * [230], 280], ("1978-01-10", "1978-02-10"), "month", 10.90),
}


@pytest.mark.parametrize("example", APPENDIX_J)
def test_examples_of_the_regulation(example):
    lent, paid, (signed, first), unit, percent = APPENDIX_J[example]
    units, fraction = unit_periods_between(
        date_from=date.fromisoformat(signed), date_to=date.fromisoformat(first), unit=unit
    )
    ours = annual_percentage_rate(
        advances=[TimedAmount(lent, 0)],
        payments=[TimedAmount(amount, units + i, fraction) for i, amount in enumerate(paid)],
        unit_periods_per_year=UNITS_PER_YEAR[unit],
    )
    assert 100 * ours == pytest.approx(percent, abs=0.005)


def test_example_of_one_advance_and_one_payment():
    ours = annual_percentage_rate(
        advances=[TimedAmount(1_000, 0)],
        payments=[TimedAmount(1_080, 1)],
        unit_periods_per_year=365 / 255,  # the unit-period is the term of 255 days
    )
    assert 100 * ours == pytest.approx(11.45, abs=0.005)  # 12 CFR 1026, Appendix J (c)(5)(i) (R)


@pytest.mark.parametrize(
    ("start", "end", "unit", "wanted"),
    [
        ("1978-02-10", "1978-04-01", "month", (1, 19 / 30)),  # Appendix J (c)(1)(ii) (R)
        ("1978-02-23", "1978-03-01", "semimonth", (0, 6 / 15)),  # Appendix J (c)(1)(iii) (R)
        ("1978-05-23", "1978-10-01", "quarter", (1, 39 / 90)),  # Appendix J (c)(1)(iv) (R)
        ("2027-01-01", "2027-01-01", "month", (0, 0.0)),
        ("2026-12-15", "2027-03-15", "month", (3, 0.0)),
        ("2027-01-31", "2027-02-28", "month", (1, 0.0)),  # Appendix J (b)(3)(iv), last days (R)
        ("2027-01-30", "2027-02-28", "month", (1, 0.0)),  # the same, payments on the 30th (R)
        ("2027-02-28", "2027-03-31", "month", (1, 0.0)),  # the same, last days (R)
        ("2028-01-31", "2028-02-28", "month", (0, 28 / 30)),  # 2028-02-28 is not a last day
        ("2027-01-10", "2027-01-31", "week", (3, 0.0)),  # 21 days
        ("2027-01-10", "2027-02-01", "week", (3, 1 / 7)),
        ("2027-01-10", "2027-02-01", "day", (22, 0.0)),
        ("2027-01-10", "2029-04-10", "year", (2, 3 / 12)),  # Appendix J (b)(5)(v) (M)
        ("2027-01-10", "2028-01-15", "year", (1, 5 / 365)),  # Appendix J (b)(5)(v) (M)
        ("2027-01-10", "2027-09-20", "half-year", (1, 70 / 180)),  # 8 months and 10 days
    ],
)
def test_unit_periods_between_dates(start, end, unit, wanted):
    ours = unit_periods_between(
        date_from=date.fromisoformat(start), date_to=date.fromisoformat(end), unit=unit
    )
    assert ours == pytest.approx(wanted)


def test_dates_run_forwards():
    with pytest.raises(ValueError, match="date_to must not be before"):
        unit_periods_between(date_from=date(2027, 2, 1), date_to=date(2027, 1, 31), unit="month")


def test_a_fee_at_signing_raises_the_rate():
    payments = [TimedAmount(230, month) for month in range(1, 25)]
    with_fee, without = (
        annual_percentage_rate(
            advances=[TimedAmount(5_000 - fee, 0)], payments=payments, unit_periods_per_year=12
        )
        for fee in (100, 0)
    )
    assert with_fee > without + 0.01


@given(st.one_of(st.just(0.0), st.floats(1e-6, 0.2)), st.integers(2, 120))
def test_the_rate_of_a_level_loan_is_its_own(rate, periods):
    payment = float(level_payment(rate=rate, periods=periods, present_value=1000))
    ours = annual_percentage_rate(
        advances=[TimedAmount(1000, 0)],
        payments=[TimedAmount(payment, t) for t in range(1, periods + 1)],
        unit_periods_per_year=12,
    )
    assert ours == pytest.approx(12 * rate, abs=1e-9)


def test_two_advances():
    ours = annual_percentage_rate(
        advances=[TimedAmount(100, 0), TimedAmount(100, 1)],
        payments=[TimedAmount(100 * 1.01**2 + 100 * 1.01, 2)],  # each grows at 1 % a month
        unit_periods_per_year=12,
    )
    assert ours == pytest.approx(0.12)


def test_loans_and_leases_state_the_rate_of_the_regulation():
    loan = loan_flows(
        terms=LoanTerms(term=24, rate=0.01, first_payment_after=3, balloon=500.0),
        amount=5_000,
        months=24,
        fee=100,
    )
    lease = lease_flows(
        terms=LeaseTerms(
            term=24, payment=230.0, due="start", document_fee=100.0, at_end=BuyForSum(500.0)
        ),
        price=5_000,
        months=24,
    )
    for flows, lent in ((loan, 4_900), (lease, 4_900)):
        paid = -(flows.principal + flows.interest + flows.rent + flows.purchase)[0]
        ours = annual_percentage_rate(
            advances=[TimedAmount(lent, 0)],
            payments=[TimedAmount(amount, month) for month, amount in enumerate(paid)],
            unit_periods_per_year=12,
        )
        assert flows.annual_percentage_rate == pytest.approx([ours], abs=1e-12)


def test_a_fraction_of_a_unit_period_bears_simple_interest():
    ours = annual_percentage_rate(
        advances=[TimedAmount(100, 0)],
        payments=[TimedAmount(110, 0, 0.5)],  # 1 + i / 2 = 1.1
        unit_periods_per_year=12,
    )
    assert ours == pytest.approx(12 * 0.2)


@pytest.mark.parametrize(("last", "wanted"), [(132, 0.10), (126, 0.05)])
def test_of_two_rates_the_one_nearest_to_zero_is_given(last, wanted):
    ours = annual_percentage_rate(
        advances=[TimedAmount(100, 0), TimedAmount(last, 2)],  # 10 and 20 %, or 5 and 20 %
        payments=[TimedAmount(230 if last == 132 else 225, 1)],
        unit_periods_per_year=1,
    )
    assert ours == pytest.approx(wanted)


def test_nothing_paid_back_has_no_rate():
    with pytest.raises(ValueError, match="payments must repay advances"):
        annual_percentage_rate(
            advances=[TimedAmount(100, 0)], payments=[TimedAmount(0, 1)], unit_periods_per_year=12
        )
