"""Present value, rates of return, payback."""

import numpy as np
import pytest
import pyxirr
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from planner.finance import (
    LOWEST_MONTHLY,
    RateStatus,
    annual_effective,
    discount_factors,
    discounted_payback,
    effective_from_nominal,
    equivalent_periodic_cost,
    internal_rate,
    internal_rates,
    modified_internal_rate,
    monthly_rate_from_effective,
    net_present_value,
    payback,
    profitability_index,
)

WASHER = np.array([-16_000.0, 2_000, 4_000, 5_000, 5_000, 5_000, 5_000])  # OpenStax Finance 16.1
money = st.integers(-100_000, 100_000).map(float)
series = st.lists(money, min_size=2, max_size=61).map(np.array)
monthly = st.floats(-0.1, 0.5)


# ---------------------------------------------------------------- present value
def test_the_first_flow_is_not_discounted():
    flows = np.array([-40_000.0, 5_000, 8_000, 12_000, 30_000])
    ours = net_present_value(flows=flows, rate=0.08)
    assert ours == pytest.approx(3065.2226681795255, rel=1e-14)  # numpy-financial docs, npv (R)
    assert ours / 1.08 == pytest.approx(2838.1691372032656, rel=1e-14)  # same docs, as spreadsheets


def test_present_value_of_a_textbook_project():
    ours = net_present_value(flows=WASHER, rate=0.09)
    assert ours == pytest.approx(2835.62, abs=0.005)  # OpenStax Finance 16.1, unrounded parts (R)
    ours = net_present_value(flows=np.array([-800_000.0] + 10 * [150_000.0]), rate=0.10)
    assert ours == pytest.approx(121_685, abs=0.5)  # OpenStax Finance 16.6 (R)


@pytest.mark.parametrize(
    ("rate", "value"),  # OpenStax Finance 16.2 (R)
    [
        (0.00, 10_000),
        (0.03, 7_231),
        (0.09, 2_836),
        (0.12, 1_081),
        (0.14, 42),
        (0.15, -442),
        (0.18, -1_773),
        (0.21, -2_939),
    ],
)
def test_present_value_falls_with_the_rate(rate, value):
    assert net_present_value(flows=WASHER, rate=rate) == pytest.approx(value, abs=0.5)


def test_discount_factors_are_those_of_the_table():
    printed = [0.926, 0.857, 0.794, 0.735, 0.681, 0.630, 0.583, 0.540, 0.500, 0.463]
    factors = discount_factors(rate=0.08, count=11)
    assert factors[0] == 1.0
    assert factors[1:] == pytest.approx(printed, abs=0.0005)  # OpenStax Managerial 11.4 (R)


def test_one_rate_a_row_is_the_same_as_row_by_row():
    flows, rates = np.array([WASHER, 2 * WASHER, -WASHER]), np.array([0.0, 0.09, 0.21])
    together = net_present_value(flows=flows, rate=rates)
    alone = [net_present_value(flows=f, rate=r) for f, r in zip(flows, rates, strict=True)]
    assert together.tolist() == [float(x) for x in alone]
    assert net_present_value(flows=WASHER, rate=rates).shape == (3,)


@given(series)
def test_at_rate_zero_present_value_is_the_sum(flows):
    assert net_present_value(flows=flows, rate=0) == flows.sum()  # nothing is discounted


@given(series, monthly, st.floats(0.01, 100))
def test_present_value_scales_with_money(flows, rate, k):
    once, scaled = (net_present_value(flows=f, rate=rate) for f in (flows, k * flows))
    size = net_present_value(flows=np.abs(flows), rate=rate)
    assert scaled == pytest.approx(k * once, abs=1e-9 * k * size + 1e-12)


# ---------------------------------------------------------------- internal rates
@pytest.mark.parametrize(
    ("flows", "rate", "half_digit"),
    [
        (WASHER, 0.140855, 5e-7),  # OpenStax Finance 16.2 (R)
        ([-800_000.0] + 10 * [150_000.0], 0.1343, 5e-5),  # OpenStax Finance 16.6 (R)
        # numpy-financial docs, irr, print 0.2809484212526239 (R), but put back that leaves 1.5e-8
        ([-100, 39, 59, 55, 20], 0.280948421, 5e-10),
    ],
)
def test_published_rates_of_return(flows, rate, half_digit):
    flows = np.array(flows, dtype=float)
    assert internal_rates(flows=flows) == pytest.approx((rate,), abs=half_digit)
    found = internal_rate(flows=flows)
    assert found.value == pytest.approx(rate, abs=half_digit)
    assert found.status == RateStatus.FOUND


def test_two_rates_are_both_reported_and_the_nearer_one_is_the_value():
    flows = np.array([-100.0, 230, -132])
    assert internal_rates(flows=flows) == pytest.approx((0.10, 0.20))  # numpy-financial docs (R)
    found = internal_rate(flows=flows)
    assert found.value == pytest.approx(0.10)
    assert found.status == RateStatus.SEVERAL


def test_many_rates_on_both_sides_of_zero():
    rates = [-0.2, -0.05, 0.0, 0.04, 0.3, 2.0]
    flows = np.poly(1 + np.array(rates))  # the factors (1 + rate) give the rates
    assert internal_rates(flows=flows) == pytest.approx(rates, abs=1e-9)
    assert internal_rate(flows=flows).value == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("flows", [[-1.0, -2.0], [3.0, 0.0, 4.0], [0.0, 0.0], [5.0]])
def test_flows_of_one_sign_have_no_rate(flows):
    flows = np.array(flows)
    assert internal_rates(flows=flows) == ()
    found = internal_rate(flows=flows)
    assert np.isnan(found.value)
    assert found.status == RateStatus.NONE


def test_flows_without_a_real_rate_have_none():
    assert internal_rates(flows=np.array([100.0, -200, 101])) == ()  # (10 - 10 v)^2 + v^2 > 0


def test_rates_end_at_the_lowest_on_both_sides():
    for rate, found in [(LOWEST_MONTHLY + 1e-6, 1), (LOWEST_MONTHLY - 1e-6, 0)]:
        assert len(internal_rates(flows=np.array([-1.0, 1 + rate]))) == found
        assert internal_rate(flows=np.array([-1.0, 1 + rate])).status == found
    assert annual_effective(LOWEST_MONTHLY) == pytest.approx(-0.99)  # 99 % lost in a year
    assert len(internal_rates(flows=np.array([-1.0, 0.5]), lowest=-0.99)) == 1


@pytest.mark.parametrize("others", [[], [0.5], [0.5, 1.7]])
def test_a_double_rate_of_zero_is_given_once(others):
    flows = np.poly([1.0, 1.0, *others])  # the factors give the rates 0 and other - 1
    wanted = sorted([0.0] + [r - 1 for r in others])
    assert internal_rates(flows=flows, lowest=-0.99) == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize(("lowest", "flows"), [(-0.5, [-1.0, 0.5]), (0.0, [-1.0, 1.0])])
def test_the_lowest_rate_itself_is_not_looked_for(lowest, flows):
    assert internal_rates(flows=np.array(flows), lowest=lowest) == ()
    assert internal_rate(flows=np.array(flows), lowest=lowest).status == RateStatus.NONE


def test_a_huge_rate_is_found():
    assert internal_rates(flows=np.array([-1.0, 5e5])) == pytest.approx((499_999.0,))  # 5e5 - 1


def test_zeros_before_and_after_do_not_change_the_rate():
    flows = np.concatenate([np.zeros(40), WASHER, np.zeros(40)])
    assert internal_rates(flows=flows) == pytest.approx(internal_rates(flows=WASHER), rel=1e-12)


def test_internal_rates_wants_one_row():
    with pytest.raises(ValueError, match="flows must be one row"):
        internal_rates(flows=np.zeros((2, 3)))


@settings(max_examples=300)
@given(series)
def test_present_value_at_every_rate_is_zero(flows):
    for rate in internal_rates(flows=flows):
        size = net_present_value(flows=np.abs(flows), rate=rate)
        assert abs(net_present_value(flows=flows, rate=rate)) < 2e-9 * size


@settings(max_examples=300)
@given(series)
def test_the_fast_way_agrees_with_all_rates(flows):
    every, found = internal_rates(flows=flows), internal_rate(flows=flows)
    assert found.status == min(len(every), 2)
    if every:
        assert abs(found.value) == pytest.approx(min(abs(r) for r in every), rel=1e-9, abs=1e-12)


@settings(max_examples=300)
@given(series)
def test_no_rate_that_brent_finds_is_lost(flows):
    scan = np.expm1(np.linspace(np.log1p(LOWEST_MONTHLY), np.log(20.0), 400))
    values = net_present_value(flows=np.tile(flows, (400, 1)), rate=scan)
    size = net_present_value(flows=np.tile(np.abs(flows), (400, 1)), rate=scan)
    sure = np.abs(values) > 1e-7 * size
    ours = np.array(internal_rates(flows=flows))
    for i in np.flatnonzero((values[:-1] * values[1:] < 0) & sure[:-1] & sure[1:]):
        theirs = brentq(lambda r: net_present_value(flows=flows, rate=r), scan[i], scan[i + 1])
        assert np.any((ours >= scan[i]) & (ours <= scan[i + 1])), theirs


@given(
    st.lists(st.integers(1, 10_000), min_size=1, max_size=30),
    st.lists(st.integers(1, 10_000), min_size=1, max_size=30),
)
def test_one_change_of_the_cumulative_flow_means_one_rate_above_zero(below, above):
    total = np.array([-float(x) for x in below] + [float(x) for x in above])
    flows = np.diff(total, prepend=0.0)
    # Norstrom, J. Financial and Quantitative Analysis 7 (1972)
    assert sum(rate > 1e-9 for rate in internal_rates(flows=flows)) == 1


def draws(rows=400, seed=7):
    """Outlays followed by months that pay back in most rows, and never do in some."""
    random = np.random.default_rng(seed)
    flows = random.normal(400, 600, (rows, 61))
    flows[:, 0] = -random.uniform(5_000, 40_000, rows)
    return flows


def test_rows_agree_with_another_library():
    flows = draws()
    found = internal_rate(flows=flows)
    theirs = np.array([pyxirr.irr(row) for row in flows], dtype=float)
    single = (found.status == RateStatus.FOUND) & ~np.isnan(theirs) & (theirs > LOWEST_MONTHLY)
    assert single.sum() > 200
    assert found.value[single] == pytest.approx(theirs[single], abs=1e-9)  # pyxirr
    real = ~np.isnan(theirs) & (theirs > LOWEST_MONTHLY)
    assert not np.any(real & (found.status == RateStatus.NONE))


def test_put_back_every_row_gives_zero():
    flows = draws()
    found = internal_rate(flows=flows)
    held = found.status != RateStatus.NONE
    left = net_present_value(flows=flows[held], rate=found.value[held])
    assert np.max(np.abs(left) / -flows[held, 0]) < 1e-6


def test_rows_do_not_depend_on_their_neighbours_or_the_shape():
    flows = draws(rows=24)
    flat, cube = internal_rate(flows=flows), internal_rate(flows=flows.reshape(4, 6, 61))
    alone = [internal_rate(flows=row).value for row in flows]
    assert np.array_equal(cube.value.ravel(), flat.value, equal_nan=True)
    assert flat.value == pytest.approx(np.array(alone), rel=1e-12, nan_ok=True)
    assert cube.status.shape == (4, 6)


@given(series, st.floats(0.01, 1000))
def test_rates_do_not_change_when_all_money_is_multiplied(flows, k):
    once, scaled = internal_rate(flows=flows), internal_rate(flows=k * flows)
    assume(once.status == RateStatus.FOUND)
    assert scaled.value == pytest.approx(float(once.value), rel=1e-6, abs=1e-9)


# ---------------------------------------------------------------- modified rate, index, level cost
def test_published_modified_rates():
    flows = np.array([-120_000.0, 39_000, 30_000, 21_000, 37_000, 46_000])
    ours = modified_internal_rate(flows=flows, finance_rate=0.10, reinvest_rate=0.12)
    assert ours.value == pytest.approx(0.12609413036591, abs=5e-15)  # spreadsheets' MIRR (R)
    ours = modified_internal_rate(flows=WASHER, finance_rate=0.09, reinvest_rate=0.09)
    assert ours.value == pytest.approx(0.120048, abs=5e-7)  # OpenStax Finance 16.4 (R)
    assert ours.status == RateStatus.FOUND


def test_modified_rate_at_its_limits():
    none = modified_internal_rate(flows=np.array([0.0, 5]), finance_rate=0.1, reinvest_rate=0.1)
    assert np.isnan(none.value)
    assert none.status == RateStatus.NONE
    lost = modified_internal_rate(flows=np.array([-5.0, 0]), finance_rate=0.1, reinvest_rate=0.1)
    assert lost.value == -1.0  # nothing comes back


def test_modified_rate_of_rows_is_that_of_each_row():
    rows = np.array([WASHER, 3 * WASHER[::-1]])
    together = modified_internal_rate(flows=rows, finance_rate=0.09, reinvest_rate=0.05)
    for row, value in zip(rows, together.value, strict=True):
        alone = modified_internal_rate(flows=row, finance_rate=0.09, reinvest_rate=0.05)
        assert value == pytest.approx(float(alone.value), rel=1e-14)


def test_outlays_below_one_unit_of_money_are_outlays():
    flows = np.array([-0.5, 1.0])  # doubled in a period
    ours = modified_internal_rate(flows=flows, finance_rate=0.0, reinvest_rate=0.0)
    assert ours.value == pytest.approx(1.0)
    assert profitability_index(flows=flows, rate=0.0).value == pytest.approx(2.0)


@given(series, st.floats(0.0, 0.2))
def test_modified_rate_is_the_adjusted_rate_of_return(flows, rate):
    assume((flows < 0).any() and (flows > 0).any())
    saved = net_present_value(flows=np.maximum(flows, 0), rate=rate)
    invested = net_present_value(flows=-np.minimum(flows, 0), rate=rate)
    adjusted = (1 + rate) * (saved / invested) ** (
        1 / (flows.size - 1)
    ) - 1  # NIST Handbook 135 (R)
    ours = modified_internal_rate(flows=flows, finance_rate=rate, reinvest_rate=rate)
    assert ours.value == pytest.approx(float(adjusted), rel=1e-9, abs=1e-12)


def test_profitability_index():
    ours = profitability_index(flows=WASHER, rate=0.09)
    assert ours.value == pytest.approx(1.18, abs=0.005)  # OpenStax Finance 16.3 (R)
    assert ours.exists


@pytest.mark.parametrize("first", [0.0, 10.0])
def test_profitability_index_needs_an_outlay(first):
    ours = profitability_index(flows=np.array([first, -5.0, 20.0]), rate=0.01)
    assert np.isnan(ours.value)
    assert not ours.exists
    assert ours.reason == "nothing is paid at time 0"


@pytest.mark.parametrize(
    ("years", "factor"), [(5, 4.58), (10, 8.53), (15, 11.94), (20, 14.88)]
)  # NIST Handbook 135, uniform present value at 3 % (M)
def test_level_cost_is_present_cost_over_the_published_factor(years, factor):
    cost = equivalent_periodic_cost(present_cost=1.0, rate=0.03, periods=years)
    assert 1 / cost == pytest.approx(factor, abs=0.005)


def test_level_cost_at_rate_zero_is_an_even_share_and_continuous():
    assert equivalent_periodic_cost(present_cost=1200, rate=0, periods=12) == 100.0  # shared out
    near = equivalent_periodic_cost(present_cost=1200, rate=1e-13, periods=12)
    assert near == pytest.approx(100.0, rel=1e-12)


@given(money, monthly, st.integers(1, 600))
def test_level_cost_has_the_present_value_it_came_from(cost, rate, periods):
    assume(rate > -0.02)
    level = equivalent_periodic_cost(present_cost=cost, rate=rate, periods=periods)
    flows = np.concatenate([[0.0], np.full(periods, float(level))])
    assert net_present_value(flows=flows, rate=rate) == pytest.approx(cost, rel=1e-7, abs=1e-6)


def test_level_cost_needs_periods():
    with pytest.raises(ValueError, match="periods must be above 0"):
        equivalent_periodic_cost(present_cost=1, rate=0.1, periods=0)
    with pytest.raises(ValueError, match="periods must be above 0, got -1"):
        equivalent_periodic_cost(present_cost=1, rate=0.1, periods=np.array([12.0, -1.0]))


# ---------------------------------------------------------------- payback
@pytest.mark.parametrize(
    ("flows", "years", "half_digit"),
    [
        ([-150.0] + 8 * [20.0], 7.5, 1e-12),  # OpenStax Managerial 11.2 (R)
        ([-150.0, 10, 20, 20, 15, 15, 20, 20, 20, 20], 8.5, 1e-12),  # the same (R)
        (WASHER, 4.0, 1e-12),  # OpenStax Finance 16.1: 2 + 4 + 5 + 5 = 16 thousand (R)
    ],
)
def test_published_paybacks(flows, years, half_digit):
    ours = payback(flows=np.array(flows, dtype=float))
    assert ours.months == pytest.approx(years, abs=half_digit)
    assert ours.reached
    assert ours.shortfall == 0.0


def test_published_discounted_payback():
    ours = discounted_payback(flows=WASHER, rate=0.09)
    assert ours.months == pytest.approx(5.05, abs=0.005)  # OpenStax Finance 16.4 (R)
    plain = discounted_payback(flows=WASHER, rate=0.0)
    assert plain.months == payback(flows=WASHER).months


def test_payback_not_reached_says_how_much_is_missing():
    ours = payback(flows=np.array([-100.0, 30, 30]))
    assert np.isnan(ours.months)
    assert not ours.reached
    assert ours.shortfall == pytest.approx(40.0)  # 100 - 60


def test_payback_at_the_last_flow_and_one_unit_short_of_it():
    assert payback(flows=np.array([-100.0, 40, 60])).months == 2.0
    assert not payback(flows=np.array([-100.0, 40, 59])).reached


def test_a_later_dip_moves_payback_to_the_last_crossing():
    ours = payback(flows=np.array([-100.0, 120, -60, 80]))  # sums -100, 20, -40, 40
    assert ours.months == pytest.approx(2.5)


def test_money_never_below_zero_is_paid_back_at_once():
    assert payback(flows=np.array([0.0, 5, -5])).months == 0.0
    assert payback(flows=np.array([10.0, -5])).months == 0.0


def test_rounding_dust_is_not_a_debt():
    flows = np.array([-0.9, 0.3, 0.3, 0.3])  # the floats add up to -1.1e-16
    assert payback(flows=flows).months == 3.0


def test_payback_works_row_by_row():
    flows = np.array([[-10.0, 4, 4, 4], [-10.0, 1, 1, 1], [1.0, 1, 1, 1]])
    ours = payback(flows=flows)
    assert ours.months.tolist()[::2] == [2.5, 0.0]
    assert ours.reached.tolist() == [True, False, True]
    assert ours.shortfall.tolist() == [0.0, 7.0, 0.0]


def test_payback_of_rows_is_that_of_each_row():
    rows = np.array([[-10.0, 1, 2, 12], [-5.0, 1, 1, 1]])  # the first has 7 left and 12 to come
    plain, discounted = payback(flows=rows), discounted_payback(flows=rows, rate=0.0)
    assert plain.months[0] == pytest.approx(2 + 7 / 12)
    assert np.isnan(plain.months[1])
    assert np.array_equal(discounted.months, plain.months, equal_nan=True)


def test_rounding_of_one_row_is_no_rounding_of_another():
    ours = payback(flows=np.array([[-1e14, 1e14], [-5.0, 1.0]]))
    assert ours.reached.tolist() == [True, False]


@given(series)
def test_after_payback_the_cumulative_flow_stays_at_or_above_zero(flows):
    ours, total = payback(flows=flows), np.cumsum(flows)
    if not ours.reached:
        assert ours.shortfall == -total[-1] > 0
        return
    after = np.arange(flows.size) >= ours.months
    assert np.all(total[after] >= -1e-6)
    if ours.months > 0:
        assert np.interp(ours.months, np.arange(flows.size), total) == pytest.approx(0, abs=1e-6)
        assert total[int(np.ceil(ours.months)) - 1] < 0


@given(series, st.lists(st.integers(0, 1000).map(float), min_size=61, max_size=61))
def test_more_money_never_pays_back_later(flows, extra):
    less, more = payback(flows=flows), payback(flows=flows + extra[: flows.size])
    if less.reached:
        assert more.reached
        assert more.months <= less.months + 1e-9


# ---------------------------------------------------------------- rates
def test_published_conversions_of_rates():
    assert annual_effective(0.015) == pytest.approx(0.19562, abs=5e-6)  # OpenStax Finance 8.4 (R)
    ours = effective_from_nominal(0.0525, periods_per_year=4)
    assert ours == pytest.approx(0.053542667370758, abs=5e-16)  # spreadsheets' EFFECT (R)


@given(st.floats(-0.9, 10.0))
def test_monthly_and_effective_rates_are_inverse(annual):
    assert annual_effective(monthly_rate_from_effective(annual)) == pytest.approx(annual, abs=1e-12)
