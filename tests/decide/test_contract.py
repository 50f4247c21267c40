"""A contract by itself: its annual percentage rate by dates, the published tests of a lease."""

import pytest
from helpers import MACHINE, exactly, plan_of

from planner.decide.contract import lease_tests, rate_by_dates

HORIZON = {"horizon": "48 months"}


@pytest.mark.parametrize(
    ("percent", "amount", "payments", "payment", "signed", "first"),
    # Regulation Z, 12 CFR 1026, Appendix J (c)(1)(i) and (ii)
    [
        (9.69, 5000, 24, 230, "1978-01-10", "1978-02-10"),
        (11.82, 6000, 36, 200, "1978-02-10", "1978-04-01"),
    ],
)
def test_annual_percentage_rate_of_published_loans(
    bare, percent, amount, payments, payment, signed, first
):
    loan = {
        "kind": "loan",
        "payment": f"{payment} USD/month",
        "term": f"{payments} months",
        "down_payment": "0 %",
        "signed": signed,
        "first_payment": first,
    }
    plan = plan_of(bare(HORIZON | {"financing": [loan], f"{MACHINE}.price": amount}), "loan")
    assert 100 * rate_by_dates(plan) == pytest.approx(percent, abs=0.005)


def test_a_month_between_the_dates_is_the_plain_rate(bare):
    loan = {"kind": "loan", "rate": "12 %/year", "term": "24 months", "fee": 40}
    dated = loan | {"signed": "2027-01-15", "first_payment": "2027-02-15"}
    plain, by_dates = (
        rate_by_dates(plan_of(bare(HORIZON | {"financing": [offer]}), "loan"))
        for offer in (loan, dated)
    )
    assert by_dates == pytest.approx(plain, abs=1e-9)


def test_cash_has_no_rate(bare):
    assert rate_by_dates(plan_of(bare())) is None


LEASE = {"kind": "lease", "payment": "100 USD/month", "term": "12 months", "at_end": "return"}


def lease_of(bare, changes=None, **keys):
    scenario = bare(HORIZON | {"financing": [LEASE | keys]} | (changes or {}))
    return lease_tests(plan_of(scenario, "lease"))


def test_payments_that_repay_the_whole_price_make_a_finance_lease(bare):
    # twelve of 100 repay 1,200 without interest; a tenth of the life of 120 months
    found = lease_of(bare)
    assert (found.term_share, found.present_value_share) == exactly((0.1, 1.0))
    assert found.is_finance_lease


WORTH = {f"{MACHINE}.worth": {"after": "12 months", "share": "50 %"}}  # 600 at the end


def test_a_lease_of_a_machine_that_keeps_its_worth_is_none(bare):
    # payments of 50 make up 600 of 1,200, the goods the rest: half of the value
    found = lease_of(bare, WORTH, payment="50 USD/month")
    assert found.present_value_share == exactly(0.5)
    assert (found.expected_worth, found.option) == (exactly(600), None)
    assert not found.is_finance_lease


@pytest.mark.parametrize(("is_finance", "life"), [(True, "16 months"), (False, "16.1 months")])
def test_the_major_part_of_the_life(bare, is_finance, life):
    # 12 of 16 months are three quarters (one accepted reading of ASC 842-10-55-2)
    found = lease_of(bare, WORTH | {f"{MACHINE}.life": life}, payment="50 USD/month")
    assert found.is_finance_lease is is_finance


@pytest.mark.parametrize(("is_finance", "price"), [(True, 300), (False, 301)])
def test_a_purchase_price_of_at_most_half_the_worth(bare, is_finance, price):
    # payments of 75 and 300 repay 1,200: three quarters of the value
    found = lease_of(bare, WORTH, payment="75 USD/month", at_end={"buy": price})
    assert found.option_is_nominal is is_finance
    assert found.is_finance_lease is is_finance
    assert found.is_rent is not is_finance


def test_only_a_lease_is_tested(bare):
    assert lease_tests(plan_of(bare())) is None
