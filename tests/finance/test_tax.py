"""Income tax by tax years."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.finance import income_tax, tax_year_ends

incomes = st.lists(st.integers(-1000, 1000).map(float), min_size=2, max_size=61).map(
    lambda row: np.array([row])
)
calendar = st.integers(1, 12)


def tax(by_month, *, losses="other income", start=1, end=12, rate=0.25):
    return income_tax(
        taxable_by_month=np.atleast_2d(np.array(by_month, dtype=float)),
        rate=rate,
        tax_year_end_month=end,
        start_month=start,
        losses=losses,
    )


@pytest.mark.parametrize(
    ("start", "end", "months", "ends"),
    [
        (1, 12, 24, (12, 24)),
        (1, 12, 25, (12, 24, 25)),
        (3, 12, 24, (10, 22, 24)),  # March to December is ten months
        (12, 12, 14, (1, 13, 14)),
        (7, 6, 12, (12,)),
        (1, 12, 5, (5,)),
    ],
)
def test_where_tax_years_end(start, end, months, ends):
    assert tax_year_ends(months=months, start_month=start, tax_year_end_month=end) == ends


def test_each_year_is_taxed_in_its_last_month_and_the_rest_at_the_end():
    paid = tax([10.0] * 31, start=3)[0]  # months 0 to 30
    assert np.flatnonzero(paid).tolist() == [10, 22, 30]
    # 25 % of 11 months with month 0, of 12 and of the 8 that are left
    assert paid[[10, 22, 30]] == pytest.approx([-27.5, -30.0, -20.0])


def test_a_loss_saves_tax_on_other_income_at_once():
    paid = tax([-100.0, *[0.0] * 12, *[10.0] * 12])[0]
    assert paid[[12, 24]] == pytest.approx([25.0, -30.0])


def test_a_loss_carried_forward_waits_for_income():
    paid = tax([-100.0, *[0.0] * 12, *[5.0] * 12, *[10.0] * 12], losses="carried forward")[0]
    # loss 100; 60 of it used in year two; the other 40 leave 80 of 120 to be taxed
    assert paid[[12, 24, 36]] == pytest.approx([0.0, 0.0, -20.0])


def test_a_loss_never_used_is_worth_nothing():
    assert tax([-100.0, *[1.0] * 24], losses="carried forward").sum() == 0.0


def test_rows_and_rates_are_kept_apart():
    both = tax(
        [[-24.0] + 24 * [1.0], [0.0] + 24 * [2.0]],
        losses="carried forward",
        rate=np.array([0.5, 0.25]),
    )
    assert both[:, [12, 24]].tolist() == [[0.0, 0.0], [-6.0, -6.0]]


@given(incomes, calendar, calendar)
def test_with_other_income_all_income_is_taxed_once(income, start, end):
    assert tax(income, start=start, end=end).sum() == pytest.approx(-0.25 * income.sum())


@given(incomes, calendar, calendar)
def test_carrying_forward_never_pays_less_and_never_gets_money_back(income, start, end):
    carried = tax(income, start=start, end=end, losses="carried forward")
    at_once = tax(income, start=start, end=end)
    assert np.all(carried <= 0)
    assert np.all(np.cumsum(carried) <= np.cumsum(at_once) + 1e-9)


@given(incomes)
def test_no_income_no_tax(income):
    assert not tax(0 * income).any()
    assert not tax(income, rate=0.0).any()


def test_other_words_for_losses_are_refused():
    with pytest.raises(ValueError, match='losses must be "other income" or "carried forward"'):
        tax([1.0, 2.0], losses="carried back")
