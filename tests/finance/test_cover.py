"""Debt service cover by year."""

import numpy as np
import pytest

from planner.finance import LoanTerms, debt_service_cover, loan_flows, sums_by_year


def test_years_run_from_months_twelve_y_less_eleven_to_twelve_y():
    by_month = np.arange(31.0)[np.newaxis]  # month t holds t
    years = sums_by_year(by_month)
    assert years.tolist() == [[78, 222, 165]]  # 1 to 12, 13 to 24, 25 to 30; month 0 stays out


def test_cover_is_cash_flow_over_payments():
    cover = debt_service_cover(
        cash_flow_by_month=np.full((1, 25), 125.0), debt_service_by_month=np.full((1, 25), 100.0)
    )
    assert cover.value.tolist() == [[1.25, 1.25]]
    assert cover.exists.all()


def test_a_year_without_payments_has_no_cover():
    debt = loan_flows(terms=LoanTerms(term=12, rate=0.0), amount=1_200, months=24)
    cover = debt_service_cover(
        cash_flow_by_month=np.full((1, 25), 115.0), debt_service_by_month=debt.service
    )
    assert cover.value[0, 0] == pytest.approx(1.15)  # 115 a month over 100
    assert np.isnan(cover.value[0, 1])
    assert cover.exists.tolist() == [[True, False]]
    assert cover.reason == "no debt payment falls in the year"


def test_many_cash_flows_against_one_debt():
    flows = np.array([[100.0] * 13, [-50.0] * 13])
    cover = debt_service_cover(cash_flow_by_month=flows, debt_service_by_month=np.ones((1, 13)))
    assert cover.value.tolist() == [[100.0], [-50.0]]


def test_small_payments_are_payments_and_money_paid_back_is_none():
    # 0.12 a year is owed in the first year; in the second the lender gives 0.12 back
    service = np.concatenate([[0.0], np.full(12, 0.01), np.full(12, -0.01)])[np.newaxis]
    cover = debt_service_cover(
        cash_flow_by_month=np.full((1, 25), 0.03), debt_service_by_month=service
    )
    assert cover.exists.tolist() == [[True, False]]
    assert cover.value[0, 0] == pytest.approx(3.0)
