"""Why a figure is missing: a reason for each that is, and for no other."""

from __future__ import annotations

import pytest
from helpers import SHIPPED, shipped_answer

from planner.decide.figures import Figures
from planner.decide.solve import Outcome

NOTHING_BORROWED = "nothing is borrowed"
NO_RATE = "no rate above -99 % a year makes these flows worth nothing"
MANY_RATES = "more than one rate solves these flows; use net present value"
ANY, NONE = "any volume does", "none within the capacity of a steady month"
LITTLE_IN = "so high because little own money is in"


def missing(figures: Figures, months: int) -> dict[str, str]:
    """What must be said of the figures that are None, or are not what they seem."""
    paybacks = {
        "payback_months": figures.payback,
        "discounted_payback_months": figures.discounted_payback,
        "payback_own_cash_months": figures.payback_own_cash,
    }
    said = {
        f"{key}.{name}": f"not within {months} months, short by {time.short:,.0f}"
        for key, times in paybacks.items()
        for name, time in times.items()
        if time.months is None
    }
    for name, rates in figures.internal_rates_of_return.items():
        if len(rates) != 1 or rates[0] > 10:
            why = LITTLE_IN if len(rates) == 1 else MANY_RATES if rates else NO_RATE
            said[f"internal_rates_of_return.{name}"] = why
    if figures.paying.annual_percentage_rate is None:
        said |= dict.fromkeys(("annual_percentage_rate", "payment_per_month"), NOTHING_BORROWED)
    if figures.cover.shop is None:
        said["debt_service_cover_shop_by_year"] = "the shop's cash flow is not stated"
    if figures.cover.lowest is None:
        said["lowest_debt_service_cover"] = "no debt payments fall due"
    if figures.collateral is None:
        said["collateral_cover_lowest"] = "no loan is secured on the equipment"
    return said


def missing_volumes(figures: Figures) -> dict[str, str]:
    """What must be said of the break-evens that no volume is."""
    even, worth = figures.break_even, figures.added_work.crossing
    crossings = {
        "break_even_pieces_per_week": even.monthly,
        "break_even_area_per_week": even.monthly,
        "lifetime_break_even_pieces_per_week": even.lifetime,
        "break_even_price_factor": even.price,
        "worth_more_from_pieces_per_week": worth,
        "worth_more_from_area_per_week": worth,
        "added_work_needed": worth,
    }
    if figures.make_or_buy is not None:
        crossings["make_or_buy_area_per_week"] = figures.make_or_buy.by_cost
    said = {
        key: ANY if crossing.outcome is Outcome.ALWAYS else NONE
        for key, crossing in crossings.items()
        if crossing.value is None
    }
    if figures.make_or_buy is None:
        said["make_or_buy_area_per_week"] = figures.nothing_to_make_or_buy
    return said


@pytest.mark.parametrize("name", SHIPPED)
def test_each_missing_figure_has_its_reason_and_no_other_has_one(name):
    page = shipped_answer(name)
    for one in page.choices:
        expected = missing(one.figures, page.case.months) | missing_volumes(one.figures)
        assert one.figures.reasons == expected, one.choice.label
