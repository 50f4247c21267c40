"""Level payments and the rates within them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from planner.finance import (
    RateStatus,
    interest_part,
    level_payment,
    net_present_value,
    principal_part,
    rate_from_payment,
)


def test_published_payments():
    ours = level_payment(rate=0.08 / 12, periods=10, present_value=10_000)
    assert ours == pytest.approx(1037.032089359164, rel=1e-14)  # spreadsheets' PMT (R)
    ours = level_payment(rate=0.08 / 12, periods=10, present_value=10_000, due="start")
    assert ours == pytest.approx(1030.164327177977, rel=1e-14)  # spreadsheets' PMT, due (R)
    ours = level_payment(rate=0.06 / 12, periods=36, present_value=32_000)
    assert ours == pytest.approx(973.50, abs=0.005)  # OpenStax Finance 8.3 (R)


def test_published_present_values_of_annuities():
    paid_late = level_payment(rate=0.08, periods=5, present_value=99_817.75)
    assert paid_late == pytest.approx(25_000, abs=0.002)  # OpenStax Finance 8.5 (R)
    paid_early = level_payment(rate=0.08, periods=5, present_value=107_803.17, due="start")
    assert paid_early == pytest.approx(25_000, abs=0.002)  # OpenStax Finance 8.5, due (R)


def test_published_parts_of_payments():
    ours = interest_part(rate=0.0085, period=3, periods=3, present_value=8_000)
    assert ours == pytest.approx(22.858787457480013, rel=1e-13)  # spreadsheets' IPMT (R)
    ours = principal_part(rate=0.10 / 12, period=1, periods=24, present_value=2_000)
    assert ours == pytest.approx(75.623186008367, abs=5e-13)  # spreadsheets' PPMT (R)


@pytest.mark.parametrize(
    ("part", "by_year"),  # spreadsheets' CUMIPMT and CUMPRINC at 0.4175 % a month, 60, 50,000 (R)
    [
        (
            interest_part,
            [
                2299.6141712553544,
                1836.8883999349455,
                1350.4402595996685,
                839.0535854569902,
                301.4498641014851,
            ],
        ),
        (
            principal_part,
            [
                9025.875084814226,
                9488.600856134633,
                9975.04899646991,
                10486.435670612591,
                11024.039391968092,
            ],
        ),
    ],
)
def test_published_sums_by_year(part, by_year):
    months = np.arange(1, 61)
    ours = part(rate=0.004175, period=months, periods=60, present_value=50_000)
    assert ours.reshape(5, 12).sum(axis=1) == pytest.approx(by_year, rel=1e-12)


@pytest.mark.parametrize("periods", [1, 600])
def test_at_rate_zero_the_debt_is_shared_out(periods):
    ours = level_payment(rate=0, periods=periods, present_value=1200, balloon=300)
    assert ours == pytest.approx(900 / periods)  # 1200 - 300 in equal parts
    part = interest_part(rate=0, period=1, periods=periods, present_value=1200, balloon=300)
    assert part == 0.0


def test_one_period_pays_the_debt_and_its_interest():
    assert level_payment(rate=0.02, periods=1, present_value=100) == pytest.approx(102.0)


def test_six_hundred_periods_at_a_high_rate_pay_little_more_than_interest():
    ours = level_payment(rate=0.02, periods=600, present_value=1000)
    assert 20.0 < ours < 20.001  # 2 % of 1000, and next to nothing


def test_whole_number_rates_are_not_cut():
    whole = level_payment(rate=np.array([0, 1]), periods=3, present_value=np.array([100, 100]))
    assert whole == pytest.approx([100 / 3, 100 * 8 / 7])  # 100 r (1+r)^3 / ((1+r)^3 - 1) at r = 1


@pytest.mark.parametrize("periods", [0, -1])
def test_there_must_be_a_period(periods):
    with pytest.raises(ValueError, match="periods must be at least 1"):
        level_payment(rate=0.1, periods=periods, present_value=1)
    with pytest.raises(ValueError, match="periods must be at least 1"):
        rate_from_payment(payment=1, present_value=1, periods=periods)


@pytest.mark.parametrize("period", [0, 4])
def test_a_part_belongs_to_a_payment(period):
    with pytest.raises(ValueError, match="period must be between 1 and 3"):
        interest_part(rate=0.1, period=period, periods=3, present_value=1)


@pytest.mark.parametrize("rate", [-1e-8, -1e-10, 1e-18, 1e-10, 1e-8])
def test_payments_are_continuous_at_rate_zero(rate):
    ours = level_payment(rate=rate, periods=600, present_value=1200)
    assert ours == pytest.approx(2.0 * (1 + 300.5 * rate), rel=1e-6)  # first order in the rate


rates = st.one_of(st.just(0.0), st.floats(1e-6, 0.2))


@given(rates, st.integers(1, 120), st.floats(1, 1e6), st.floats(0.0, 1.0))
def test_principal_parts_add_up_to_what_is_repaid(rate, periods, debt, share):
    balloon = share * debt
    parts = principal_part(
        rate=rate,
        period=np.arange(1, periods + 1),
        periods=periods,
        present_value=debt,
        balloon=balloon,
    )
    assert parts.sum() == pytest.approx(debt - balloon, rel=1e-6, abs=1e-6 * debt)


# ---------------------------------------------------------------- the rate
def test_published_rate():
    ours = rate_from_payment(payment=200, present_value=8_000, periods=48)
    assert ours.value == pytest.approx([0.0077014724882014], abs=1e-15)  # spreadsheets' RATE (R)
    assert ours.status.tolist() == [RateStatus.FOUND]


def test_a_rate_that_other_solvers_miss():
    ours = rate_from_payment(payment=5_000, present_value=25_000, periods=60).value[0]
    brent = brentq(lambda r: 5_000 * (1 - (1 + r) ** -60) / r - 25_000, 0.01, 1)
    assert ours == pytest.approx(brent, abs=1e-12)
    assert ours == pytest.approx(0.2, abs=1e-4)  # 5000 / 25000, less the last payment's share


def test_payments_short_of_the_debt_have_a_rate_below_zero():
    ours = rate_from_payment(payment=10, present_value=200, periods=12).value[0]
    flows = np.array([200.0] + 12 * [-10.0])
    assert ours < 0
    assert net_present_value(flows=flows, rate=ours) == pytest.approx(0, abs=1e-9)


def test_payments_equal_to_the_debt_have_the_rate_zero():
    assert rate_from_payment(payment=10, present_value=120, periods=12).value.tolist() == [0.0]


def test_nothing_paid_has_no_rate_but_a_balloon_alone_has():
    none = rate_from_payment(payment=0, present_value=200, periods=12)
    assert np.isnan(none.value).all()
    assert none.status.tolist() == [RateStatus.NONE]
    balloon = rate_from_payment(payment=0, present_value=200, periods=2, balloon=242)
    assert balloon.value == pytest.approx([0.10])  # 200 x 1.1 x 1.1


def test_the_whole_debt_paid_at_once_has_no_rate():
    at_once = rate_from_payment(payment=100, present_value=100, periods=1, due="start")
    assert at_once.status.tolist() == [RateStatus.NONE]


def test_deferred_periods_accrue_interest():
    waited = rate_from_payment(payment=110, present_value=100, periods=1, deferred=1).value
    assert waited == pytest.approx([1.1**0.5 - 1])  # 100 (1 + r)^2 = 110
    early = rate_from_payment(payment=110, present_value=100, periods=1, deferred=1, due="start")
    assert early.value == pytest.approx([0.1])  # 100 (1 + r) = 110
    with pytest.raises(ValueError, match="deferred must be 0 or more"):
        rate_from_payment(payment=1, present_value=1, periods=1, deferred=-1)


@given(
    st.one_of(st.floats(-0.02, -1e-6), rates),
    st.integers(1, 120),
    st.floats(0.0, 1.0),
    st.sampled_from(["start", "end"]),
)
def test_rate_and_payment_are_inverse(rate, periods, share, due):
    if due == "start" and periods == 1 and share < 0.1:
        return  # all is paid back at once: the rate is not determined
    paid = level_payment(
        rate=rate, periods=periods, present_value=1000, balloon=1000 * share, due=due
    )
    if paid <= 0:
        return  # the balloon alone is more than the debt grows to
    ours = rate_from_payment(
        payment=paid, present_value=1000, periods=periods, balloon=1000 * share, due=due
    )
    assert ours.value == pytest.approx([rate], abs=1e-8)


def test_a_draw_has_its_own_rate():
    payments = np.array([200.0, 250.0, 0.0])
    together = rate_from_payment(payment=payments, present_value=8_000, periods=48)
    alone = [rate_from_payment(payment=p, present_value=8_000, periods=48) for p in payments]
    assert together.value == pytest.approx([a.value[0] for a in alone], nan_ok=True, rel=1e-12)
    assert together.status.tolist() == [RateStatus.FOUND, RateStatus.FOUND, RateStatus.NONE]
