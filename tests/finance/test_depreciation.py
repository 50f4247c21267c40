"""Depreciation against published tables, and by month."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.finance import (
    RULES,
    DecliningBalance,
    DepreciationRule,
    GivenShares,
    StraightLine,
    SumOfYears,
    UnitsOfProduction,
    depreciation_by_month,
    depreciation_rule,
    yearly_shares,
)


def rule(method):
    return DepreciationRule("under test", method, "", "", from_memory=False)


def us(life, convention="half-year"):
    return rule(DecliningBalance(life=life, factor=2.0, convention=convention))


@pytest.mark.parametrize(
    ("life", "percent"),  # IRS Publication 946, Table A-1 (R)
    [
        (3, [33.33, 44.45, 14.81, 7.41]),
        (5, [20.00, 32.00, 19.20, 11.52, 11.52, 5.76]),
        (7, [14.29, 24.49, 17.49, 12.49, 8.93, 8.92, 8.93, 4.46]),
        (10, [10.00, 18.00, 14.40, 11.52, 9.22, 7.37, 6.55, 6.55, 6.56, 6.55, 3.28]),
    ],
)
def test_published_half_year_table(life, percent):
    # the last digits of the table are adjusted so that they add up to 100.00
    assert 100 * yearly_shares(rule=us(life)) == pytest.approx(percent, abs=0.01)


@pytest.mark.parametrize(
    ("life", "months", "percent"),  # IRS Publication 946
    [
        (5, 12, [35.00, 26.00, 15.60, 11.01, 11.01, 1.38]),  # Table A-2 (R)
        (7, 12, [25.00, 21.43, 15.31, 10.93, 8.75, 8.74, 8.75, 1.09]),  # Table A-2 (R)
        (5, 8, [25.00, 30.00, 18.00, 11.37, 11.37]),  # Table A-3, the last year not seen (R)
        (7, 8, [17.85, 23.47, 16.76, 11.97, 8.87]),  # Table A-3, the last years not seen (R)
        (5, 5, [15.00, 34.00, 20.40, 12.24, 11.30]),  # Table A-4, the last year not seen (R)
        (7, 5, [10.71, 25.51, 18.22, 13.02, 9.30]),  # Table A-4, the last years not seen (R)
        (5, 1, [5.00, 38.00, 22.80, 13.68, 10.94, 9.58]),  # Table A-5 (R)
        (7, 1, [3.57, 27.55, 19.68, 14.06, 10.04, 8.73, 8.73, 7.64]),  # Table A-5 (R)
    ],
)
def test_published_mid_quarter_tables(life, months, percent):
    ours = 100 * yearly_shares(rule=us(life, "mid-quarter"), months_in_first_year=months)
    assert ours[: len(percent)] == pytest.approx(percent, abs=0.01)


def test_the_named_rules_are_the_published_ones():
    assert yearly_shares(rule=RULES["US 7-year"]).tolist() == yearly_shares(rule=us(7)).tolist()
    by_quarter = yearly_shares(rule=RULES["US 5-year, mid-quarter"], months_in_first_year=1)
    assert by_quarter[0] == pytest.approx(0.05)  # Table A-5 (R)
    from_memory = {name for name, known in RULES.items() if known.from_memory}
    assert from_memory == {"UK writing-down allowance, main pool", "Canadian class 8"}
    assert all(known.source and known.name == name for name, known in RULES.items())


def test_a_pool_deducts_a_share_of_what_is_left():
    # 18 % of what is left, the first year in full whatever the month (M); 20 %, half of it in the
    # first year (M)
    uk = yearly_shares(rule=RULES["UK writing-down allowance, main pool"], months_in_first_year=3)
    assert uk[:4] == pytest.approx([0.18 * 0.82**year for year in range(4)])
    canada = yearly_shares(rule=RULES["Canadian class 8"], months_in_first_year=3)
    assert canada[:3] == pytest.approx([0.10, 0.90 * 0.20, 0.90 * 0.80 * 0.20])


@pytest.mark.parametrize(
    ("months", "first"),
    [(12, 0.875), (10, 0.875), (9, 0.625), (7, 0.625), (6, 0.375), (4, 0.375), (3, 0.125)],
)
def test_quarters_begin_after_three_months(months, first):
    shares = yearly_shares(rule=us(5, "mid-quarter"), months_in_first_year=months)
    assert shares[0] == pytest.approx(0.4 * first)


def test_a_machine_bought_in_the_first_quarter():
    # IRS Publication 946, chapter 4: 4,000, seven years, first quarter: 1,000, then 857 (R)
    shares = yearly_shares(rule=RULES["US 7-year, mid-quarter"], months_in_first_year=12)
    assert 4_000 * shares[:2] == pytest.approx([1_000, 857], abs=0.5)


def test_published_declining_balance_between_periods():
    method = DecliningBalance(life=36, factor=2.0, convention="full-month", salvage=7_500 / 35_000)
    between = 35_000 * yearly_shares(rule=rule(method))[10:20].sum()
    assert between == pytest.approx(8603.80245372397, rel=1e-12)  # spreadsheets' VDB (R)


def test_published_press_written_down_to_its_salvage():
    method = DecliningBalance(
        life=5, factor=2.0, convention="full-month", switch=False, salvage=10 / 58
    )
    ours = 58_000 * yearly_shares(rule=rule(method))
    # Principles of Accounting vol. 1, OpenStax, 11.3 (R)
    assert ours == pytest.approx([23_200, 13_920, 8_352, 2_528, 0], abs=1e-9)


def test_published_straight_line_and_units():
    level = 48_000 * yearly_shares(rule=rule(StraightLine(60)))
    assert level == pytest.approx([9_600] * 5)  # OpenStax Financial 11.3: 58,000 - 10,000 (R)
    pages = rule(UnitsOfProduction(960_000))
    shares = yearly_shares(rule=pages, units_by_year=np.array([20.0, 0.0, 500_000, 900_000]))
    assert 48_000 * shares[0] == pytest.approx(20 * 0.05)  # OpenStax Financial 11.3, a page (R)
    assert shares.sum() == pytest.approx(1)  # what is printed beyond its life deducts nothing


def test_published_sum_of_years():
    ours = 9_000 * yearly_shares(rule=rule(SumOfYears(5)))
    assert ours == pytest.approx([3_000, 2_400, 1_800, 1_200, 600])  # spreadsheets' SYD (R)


def test_a_first_year_of_some_months_moves_shares_on():
    ours = yearly_shares(rule=rule(SumOfYears(2)), months_in_first_year=3)
    assert ours == pytest.approx([2 / 3 / 4, 2 / 3 * 3 / 4 + 1 / 3 / 4, 1 / 3 * 3 / 4])  # by hand
    ours = yearly_shares(rule=rule(StraightLine(24)), months_in_first_year=3)
    assert ours == pytest.approx([3 / 24, 12 / 24, 9 / 24])


methods = st.one_of(
    st.floats(0.5, 600).map(StraightLine),
    st.integers(1, 40).map(SumOfYears),
    st.builds(
        DecliningBalance,
        life=st.floats(1, 40),
        factor=st.sampled_from([1.0, 1.25, 1.5, 2.0, 3.0]),
        convention=st.sampled_from(["half-year", "mid-quarter", "full-month"]),
    ),
    st.just(GivenShares((1.0,))),
    st.just(GivenShares((0.5, 0.3, 0.2))),
)


@given(methods, st.integers(1, 12))
def test_shares_add_up_to_the_whole_price(method, months):
    shares = yearly_shares(rule=rule(method), months_in_first_year=months)
    assert shares.sum() == pytest.approx(1)
    assert shares.min() >= 0


@given(methods, st.integers(1, 12), st.integers(1, 12), st.integers(1, 30))
def test_months_add_up_to_tax_years_and_to_the_base(method, start, end, first):
    by_month = depreciation_by_month(
        rule=rule(method),
        base=1_000.0,
        months=700,
        start_month=start,
        tax_year_end_month=end,
        first_month=first,
    )[0]
    assert by_month.sum() == pytest.approx(1_000)
    assert by_month[:first].sum() == 0
    calendar = (start + np.arange(701) - 2) % 12 + 1
    year = np.cumsum(calendar == end % 12 + 1)  # a new year begins after the end month
    months = int(np.sum((year == year[first]) & (np.arange(701) >= first)))
    shares = yearly_shares(rule=rule(method), months_in_first_year=months)
    for later, share in enumerate(shares):
        assert by_month[year == year[first] + later].sum() == pytest.approx(1_000 * share)


def test_straight_line_begins_in_the_first_month_of_use():
    ours = depreciation_by_month(
        rule=depreciation_rule("straight line", life_months=4),
        base=np.array([100.0, 200.0]),
        months=6,
        start_month=11,
        tax_year_end_month=12,
        first_month=2,
    )
    assert ours.tolist() == [[0, 0, 25, 25, 25, 25, 0], [0, 0, 50, 50, 50, 50, 0]]


def test_a_life_longer_than_the_months_leaves_a_book_value():
    ours = depreciation_by_month(
        rule=depreciation_rule("straight line", life_months=60),
        base=600.0,
        months=36,
        start_month=1,
        tax_year_end_month=12,
    )
    assert 600 - ours.sum() == pytest.approx(240)  # 24 of 60 months


def test_units_are_counted_from_the_first_month_of_use():
    units = np.array([[5.0, 5.0, 10.0, 0.0, 60.0, 60.0]])
    ours = depreciation_by_month(
        rule=rule(UnitsOfProduction(100)),
        base=1_000.0,
        months=5,
        start_month=1,
        tax_year_end_month=12,
        first_month=2,
        units_by_month=units,
    )
    assert ours[0] == pytest.approx([0, 0, 100, 0, 600, 300])  # 300: the last 30 units of 100


def test_rules_by_name():
    assert depreciation_rule("US 5-year", life_months=36) is RULES["US 5-year"]
    assert depreciation_rule("sum of years", life_months=25).method == SumOfYears(3)
    double = depreciation_rule("declining balance 200 %", life_months=60)
    assert yearly_shares(rule=double)[0] == pytest.approx(0.4)
    half_more = depreciation_rule("declining balance 150 %", life_months=60)
    assert yearly_shares(rule=half_more)[0] == pytest.approx(0.3)
    with pytest.raises(ValueError, match=r'name must be one of straight line, .*, got "guess"'):
        depreciation_rule("guess", life_months=60)


@pytest.mark.parametrize("shares", [(0.5, 0.4), (1.2, -0.2)])
def test_given_shares_are_a_whole(shares):
    with pytest.raises(ValueError, match="shares must be 0 or more and add up to 1"):
        GivenShares(shares)


@pytest.mark.parametrize("months", [0, 13])
def test_a_first_year_has_one_to_twelve_months(months):
    with pytest.raises(ValueError, match="months_in_first_year must be 1 to 12"):
        yearly_shares(rule=us(5), months_in_first_year=months)


def test_missing_units_and_months_before_signing_are_refused():
    pages = rule(UnitsOfProduction(10))
    known = {"base": 1.0, "months": 3, "start_month": 1, "tax_year_end_month": 12}
    with pytest.raises(ValueError, match="units_by_year must be given"):
        yearly_shares(rule=pages)
    with pytest.raises(ValueError, match="units_by_month must be given"):
        depreciation_by_month(rule=pages, **known)
    with pytest.raises(ValueError, match="first_month must be at least 1"):
        depreciation_by_month(rule=us(5), first_month=0, **known)
