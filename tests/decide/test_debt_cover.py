"""Debt service cover, cash and collateral by hand."""

import numpy as np
import pytest
from helpers import MACHINE, TEE, evaluation_of, exactly, money, plan_of

from planner.case import Case
from planner.decide.answer import answer
from planner.decide.cash import cash
from planner.decide.collateral import collateral
from planner.decide.cover import cover, headline_cover, other_debts
from planner.decide.lending import lowest_cover_at

# 1,000 a month from 100 pieces, 400 of them today at nothing: B is 600 a month more than buying in.
TWO_YEARS = {
    "horizon": "24 months",
    "today": {"buy_in_price": "0 USD/m^2"},
    f"{TEE}.today": "10 piece/week",
    f"{TEE}.needs_machine": "100 %",
}
LOAN = {"kind": "loan", "rate": "0 %/year", "term": "12 months", "down_payment": "0 %"}
LEASE = {"kind": "lease", "payment": "100 USD/month", "term": "12 months", "at_end": {"buy": 1}}


def covered(bare, changes=None, offer=LOAN):
    scenario = bare(TWO_YEARS | {"financing": [offer]} | (changes or {}))
    return cover(evaluation_of(scenario, offer["kind"]))


def test_cover_of_the_project_by_year(bare):
    # 1,200 over twelve months without interest: 1,200 a year, none in the second
    found = covered(bare)
    table = [  # flows of B and C are 600 a month; A leaves today's work as it is
        (0, "today_only"),
        (12 * 600 / 1200, "against_buying_in"),
        (12 * 600 / 1200, "whole_plan"),
    ]
    for expected, name in table:
        first, second = found.project[name]
        assert first == exactly(expected)
        assert second is None
    assert found.lowest == exactly(6)
    assert found.shop is None  # not stated, never guessed


def test_what_signing_and_the_end_bring_stays_out(bare):
    changes = {
        f"{MACHINE}.worth": {"share": "50 %"},
        "shop.customers_pay_after": "73 day",  # 2.4 months
        "stock": {"opening": 500},
    }
    # of 24,000 more a year, what customers owe more is not yet there: 2.4 × 600
    found = covered(bare, changes, LOAN | {"term": "24 months"}).project["against_buying_in"]
    assert found == exactly(((12 * 600 - 2.4 * 600) / 600, 12 * 600 / 600))


def test_a_year_cut_short_is_compared_with_its_own_months(bare):
    found = covered(bare, {"horizon": "18 months"}, LOAN | {"term": "24 months"}).project[
        "whole_plan"
    ]
    assert found == exactly((7200 / 600, 3600 / 300))


@pytest.mark.parametrize(
    "keys",
    [{"due": "end"}, {"due": "start"}, {"due": "start", "advance_payments": 3}],
)
def test_a_payment_in_advance_belongs_to_the_month_it_pays_for(bare, keys):
    # a year of 100 a month whenever it is paid; the purchase price stays out
    first, second = covered(bare, offer=LEASE | keys).project["whole_plan"]
    assert (first, second) == (exactly(7200 / 1200), None)


SHOP = {
    "shop.cash_flow_before": "6000 USD/year",
    "shop.owner_draw": "3000 USD/year",
    "shop.debts": [
        {"name": "Van", "balance": 1500, "payment": "50 USD/month", "ends": "2028-06"},
        {"name": "Old", "balance": 0, "payment": "70 USD/month", "ends": "2026-12"},
    ],
    "tax": {"rate": "20 %", "losses": "other income"},
    f"{MACHINE}.life": "24 months",
}


@pytest.fixture
def whole_shop(bare):
    """The whole shop with a van to pay for until June of the second year."""
    return covered(bare, SHOP)


def test_cover_of_the_whole_shop_before_tax(whole_shop):
    # 6,000 a year and 7,200 more; 1,200 of loan and 600 of van, then 300 of van
    found = whole_shop.shop["against_buying_in"].before_tax
    assert found == exactly(((6000 + 7200) / 1800, (6000 + 7200) / 300))


def test_cover_of_the_whole_shop_after_tax_and_draw(whole_shop):
    # 600 a year are written off: 20 % of 6,600 more tax a year; the draw is 3,000
    flow = 6000 - 3000 + 7200 - 0.2 * (7200 - 600)
    found = whole_shop.shop["against_buying_in"].after_tax_and_draw
    assert found == exactly((flow / 1800, flow / 300))
    assert whole_shop.lowest == exactly(flow / 1800)


def test_cover_of_the_project_is_after_tax(bare):
    rest = {key: SHOP[key] for key in ("tax", f"{MACHINE}.life", "shop.owner_draw")}
    # taxed as the whole shop; what the owner takes is the shop's
    found = covered(bare, rest).project["against_buying_in"]
    assert found == (exactly((7200 - 0.2 * (7200 - 600)) / 1200), None)


def test_cover_of_the_project_at_another_volume(bare):
    # 600 of the 1,000 a month come on top of today's 400, which half the volume would just exceed
    evaluated = evaluation_of(bare(TWO_YEARS | {"financing": [LOAN]}), "loan")
    found = lowest_cover_at(evaluated, np.array([0.5, 1.0]))
    assert found == exactly([12 * (500 - 400) / 1200, 12 * (1000 - 400) / 1200])


def test_cover_of_a_shop_whose_owner_takes_nothing(bare):
    found = covered(bare, {key: SHOP[key] for key in SHOP if key != "shop.owner_draw"})
    flow = 6000 + 7200 - 0.2 * (7200 - 600)
    assert found.shop["against_buying_in"].after_tax_and_draw == exactly((flow / 1800, flow / 300))


@pytest.mark.parametrize("measure", ["before tax", "after tax and draw"])
@pytest.mark.parametrize("rest", [SHOP, {key: SHOP[key] for key in SHOP if "shop." not in key}])
def test_cover_of_many_cases_is_that_of_the_plan(bare, rest, measure):
    lender = {"lender": {"measures": measure}}
    evaluated = evaluation_of(bare(TWO_YEARS | {"financing": [LOAN]} | rest | lender), "loan")
    whole, years = cover(evaluated), headline_cover(evaluated)
    expected = whole.project["against_buying_in"]
    if whole.shop:
        shop = whole.shop["against_buying_in"]
        expected = shop.before_tax if measure == "before tax" else shop.after_tax_and_draw
    assert years.shape == (1, 2)
    assert years[0] == pytest.approx(np.array(expected, dtype=float), nan_ok=True)
    assert np.nanmin(years) == exactly(whole.lowest)


def test_other_debts_are_paid_to_the_month_of_their_end(bare):
    debts = other_debts(Case(bare(TWO_YEARS | {"shop.debts": SHOP["shop.debts"]})))
    assert debts.tolist() == [[0.0] + 18 * [50.0] + 6 * [0.0]]


def test_the_lender_may_measure_before_tax(bare):
    found = covered(bare, SHOP | {"lender": {"measures": "before tax"}})
    assert found.lowest == exactly(13200 / 1800)


@pytest.mark.parametrize(("met", "least"), [(True, 5.999), (False, 6.001)])
def test_the_lenders_condition_on_both_sides(bare, met, least):
    lender = {"lender": {"debt_service_cover_at_least": least}}
    page = answer(bare(TWO_YEARS | {"financing": [LOAN]} | lender))
    loan = next(a for a in page.choices if a.choice.financing.kind == "loan")
    (condition,) = loan.conditions
    assert (condition.met, condition.figure) == (met, exactly(6))
    assert condition.distance == exactly(6 - least)


# ---------------------------------------------------------------- cash and collateral
def test_cash_without_the_rest_of_the_shop(bare):
    # C: 600 a month more than today; 5,000 at the start, 1,200 paid at signing
    found = cash(evaluation_of(bare(TWO_YEARS | {"shop.cash_at_start": 5000})))
    assert found.balance == money(5000 - 1200 + 600 * np.arange(25))
    assert (found.lowest, found.lowest_month) == (money(3800), 0)
    assert found.most_money_in == money(-1200)


def test_cash_with_the_rest_of_the_shop(bare):
    # 500 a month less 250 of draw less 50 of van for 18 months, beside 600 less a loan of 100
    rest = {key: SHOP[key] for key in SHOP if key.startswith("shop")}
    scenario = bare(TWO_YEARS | rest | {"shop.cash_at_start": 100, "financing": [LOAN]})
    found = cash(evaluation_of(scenario, "loan"))
    t = np.arange(25)
    expected = 100 + t * (600 + 250) - 100 * np.minimum(t, 12) - 50 * np.minimum(t, 18)
    assert found.balance == money(expected)


def test_resale_and_stock_are_not_cash_of_the_last_month(bare):
    changes = {f"{MACHINE}.worth": {"share": "50 %"}, "stock": {"opening": 500}}
    found = cash(evaluation_of(bare(TWO_YEARS | changes)))
    assert found.balance[-1] == money(-1700 + 24 * 600)


@pytest.mark.parametrize(("met", "floor"), [(True, 3799.99), (False, 3800.01)])
def test_the_condition_on_cash_on_both_sides(bare, met, floor):
    changes = {"shop.cash_at_start": 5000, "conditions": {"cash_never_below": floor}}
    (condition,) = answer(bare(TWO_YEARS | changes)).best.conditions
    assert condition.met is met


def test_collateral_by_hand(bare):
    # worth falls by half every 6 months, the debt by 100 a month; half of the worth counts
    worth = {f"{MACHINE}.worth": {"after": "6 months", "share": "50 %"}}
    found = collateral(plan_of(bare({"financing": [LOAN]} | worth), "loan"))
    t = np.arange(12)
    value, owed = 1200 * 0.5 ** (t / 6), 1200 - 100.0 * t
    assert found.cover_lowest == exactly((0.5 * value / owed).min())
    assert found.shortfall == money((owed - value).max())
    assert found.shortfall_month == int(np.argmax(owed - value))


def test_the_share_that_a_lender_counts(bare):
    worth = {f"{MACHINE}.worth": {"after": "6 months", "share": "50 %"}}
    half, all_of_it = (
        collateral(
            plan_of(bare({"financing": [LOAN], "lender": {"counts": share}} | worth), "loan")
        )
        for share in ("50 %", "100 %")
    )
    assert all_of_it.cover_lowest == exactly(2 * half.cover_lowest)
    assert all_of_it.shortfall == half.shortfall  # what is owed after a sale counts it all


def test_what_keeps_its_worth_leaves_no_shortfall(bare):
    worth = {f"{MACHINE}.worth": {"share": "100 %"}}
    assert collateral(plan_of(bare({"financing": [LOAN]} | worth), "loan")).shortfall == 0


def test_cash_has_no_collateral(bare):
    assert collateral(plan_of(bare())) is None
