"""Risk of shops whose answer can be written down: two inputs that add up, failures alone.

The bare shop sells 100 pieces a month for twelve months at a hurdle rate of 0 and buys a machine
for 1,200, so that a margin of m a piece is worth 1,200 m − 1,200.
"""

from __future__ import annotations

import numpy as np
import pytest
from helpers import equipment, exactly
from scipy import stats
from scipy.integrate import trapezoid

from planner.case import Case, choices
from planner.decide.answer import answer
from planner.decide.evaluation import AGAINST_BUYING_IN, WHOLE_PLAN
from planner.decide.risk.answer import FEWEST_INPUTS, risk
from planner.decide.risk.draws import REPLICATES, slices
from planner.decide.risk.outcomes import outcomes
from planner.decide.risk.spread import share_of, spread_of

DRAWS = 8192
PRICE, GARMENT = (8.0, 12.0), (4.0, 10.0)  # uniform: the margin is from −2 to 8
CASH = (0.0, 2000.0)
NOISE = 4.5  # standard errors of eight scrambles: beyond them lie 3 cases in 1,000


def uniform(low, high):
    return {"low": low, "likely": (low + high) / 2, "high": high, "shape": "uniform"}


def two_sums(share):
    """The margin below which a share of cases lies: a trapezium from −2 over 2 and 4 to 8.

    Its sides are 4 wide and rise to a density of 1/6.
    """
    side = 4 * 4 / (2 * 4 * 6)
    if share < side:
        return -2 + np.sqrt(2 * 4 * 6 * share)
    if share > 1 - side:
        return 8 - np.sqrt(2 * 4 * 6 * (1 - share))
    return 2 + 6 * (share - side)


def chance_above(margin):
    """The chance of a margin above one that lies on the upper side, from 4 to 8."""
    return (8 - margin) ** 2 / (2 * 4 * 6)


RANGES = {
    "products.Tee.price": uniform(*PRICE),
    "products.Tee.garment": uniform(*GARMENT),
    "shop.cash_at_start": uniform(*CASH),
}


@pytest.fixture(scope="module")
def page(bare):
    return answer(
        bare(
            RANGES
            | {
                "conditions.pays_back_within": "2.5 months",
                "conditions.cash_never_below": -700,
                "conditions.chance_of_payback": {"within": "3 months", "at_least": "30 %"},
            }
        )
    )


@pytest.fixture(scope="module")
def found(page):
    return risk(page, draws=DRAWS, seed=0)


@pytest.fixture(scope="module")
def best(found):
    return found.best


def test_the_trapezium_by_counting():
    price, garment = np.meshgrid(
        *(low + (high - low) * (np.arange(1000) + 0.5) / 1000 for low, high in (PRICE, GARMENT))
    )
    margin = np.sort((price - garment).ravel())
    for share in (0.1, 0.5, 0.9):
        assert margin[int(share * len(margin))] == pytest.approx(two_sums(share), abs=0.01)
    assert (margin > 5).mean() == pytest.approx(chance_above(5), abs=0.001)


@pytest.mark.parametrize("comparison", [AGAINST_BUYING_IN, WHOLE_PLAN])
@pytest.mark.parametrize(("name", "share"), [("low", 0.1), ("middle", 0.5), ("high", 0.9)])
def test_percentiles_of_the_value(best, comparison, name, share):
    spread = best.value[comparison]
    expected = 1200 * two_sums(share) - 1200
    error = getattr(spread, f"{name}_error")
    assert 0 < error < 60
    assert abs(getattr(spread, name) - expected) < NOISE * error


def test_percentiles_of_the_cumulative_flow_by_month(found):
    low, middle, high = found.fan
    months = np.arange(13)
    for band, share in ((low, 0.1), (middle, 0.5), (high, 0.9)):
        expected = 100 * months * two_sums(share) - 1200
        assert (np.abs(band - expected) <= 100 * months * 0.05 + 1e-6).all()  # 0.05 of a margin
    assert low[0] == exactly(-1200)


@pytest.mark.parametrize(
    ("name", "months"),
    # the cumulative flow 100 m t − 1,200 is at zero for good from t = 12 ÷ m
    [("limit", 2.5), ("horizon", 12.0)],
)
def test_the_chance_of_payback(best, name, months):
    margin = 12 / months
    chance = chance_above(margin) if margin >= 4 else 1 - (margin + 2) ** 2 / (2 * 4 * 6)
    share = best.within[name]
    assert 0 < share.error < 0.01
    assert abs(share.share - chance) < NOISE * share.error


def test_the_chance_to_be_worth_more_than_nothing(best, found):
    # 1,200 m − 1,200 is above zero for a margin above 1: all but 3²/48; with garments from 5.5 to
    # 8.5 all but 1.5²/(2·3·4)
    assert abs(best.worth.share - (1 - 9 / 48)) < NOISE * best.worth.error
    halved = found.leading.worth_halved
    assert found.leading.worth == best.worth
    assert abs(halved.share - (1 - 1.5**2 / (2 * 3 * 4))) < NOISE * halved.error


def test_the_spread_of_the_payback(best):
    # 12 ÷ m for a margin of m: what one case in ten falls short of is met by nine
    spread = best.payback[AGAINST_BUYING_IN]
    assert abs(spread.low - 12 / two_sums(0.9)) < NOISE * spread.low_error
    assert abs(spread.middle - 12 / two_sums(0.5)) < NOISE * spread.middle_error
    # a margin below 1 never pays back: 9/48 of cases
    assert (spread.high, spread.high_error) == (np.inf, np.inf)


def test_the_shops_own_condition_on_its_chance(best):
    (asked,) = (one for one in best.conditions if one.condition.startswith("chance of payback"))
    assert asked.figure == pytest.approx(chance_above(4), abs=0.005)  # a third
    assert asked.met
    assert asked.limit == 0.3


def test_the_chance_that_the_bank_balance_breaks_its_floor(best):
    # X − 1,200 at signing, then 100 m a month: under −700 at signing for X < 500, a quarter; a
    # margin below zero takes it lower by twelve months' losses
    assert best.cash_breaks[0] == pytest.approx(0.25, abs=0.002)
    assert best.cash_once.share >= best.cash_breaks.max()
    margin = np.linspace(-2, 0, 200_001)
    density = (margin + 2) / 24
    below = trapezoid(density * (500 - 1200 * margin).clip(max=2000) / 2000, margin)
    once = below + 0.25 * (1 - 4 / 48)  # P(m < 0) = 2²/48
    assert abs(best.cash_once.share - once) < NOISE * best.cash_once.error


def test_the_share_of_the_spread_that_each_input_explains(found):
    # Var of a uniform is width²/12; cash at the start does not touch the value
    shares = {one.estimate.key.rpartition(".")[2]: one.share for one in found.explains}
    price, garment = 4**2, 6**2
    assert shares["garment"] == pytest.approx(garment / (price + garment), abs=0.01)
    leading = found.explains[0]
    assert 0 < leading.error < 0.01
    assert abs(leading.share - garment / (price + garment)) < NOISE * leading.error
    assert shares["price"] == pytest.approx(price / (price + garment), abs=0.01)
    assert shares["cash_at_start"] == pytest.approx(0, abs=0.005)
    assert found.explains[0].estimate.key == 'products."Tee".garment'


def test_what_halving_the_leading_range_does(found):
    # garments from 5.5 to 8.5: margins from −0.5 to 6.5, sides 3 wide and a top of 1 at 1/4;
    # 12 ÷ 2.5 months = 4.8
    leading = found.leading
    assert leading.estimate.key == 'products."Tee".garment'
    halved = (6.5 - 4.8) ** 2 / (2 * 3 * 4)
    assert abs(leading.chance.share - chance_above(4.8)) < NOISE * leading.chance.error
    assert abs(leading.chance_halved.share - halved) < NOISE * leading.chance_halved.error


def test_how_often_each_warranty_is_worth_most(bare):
    # the second costs 300 and spares no repair where none fails; only its price tells them apart
    terms = [
        {"name": "Short", "term": "6 months"},
        {"name": "Long", "term": "12 months", "price": uniform(0.0, 300.0)},
    ]
    changes = RANGES | {"equipment.Set.warranty": terms}
    found = risk(answer(bare(changes)), draws=64, seed=0)
    assert found.best_warranty["Short"].share == 1.0
    assert found.best_warranty["Long"].share == 0.0


def test_how_often_each_way_to_pay_costs_least(bare):
    # by present cost a loan at the cost of debt costs what cash does, one with a fee of 40 more;
    # at a hurdle rate of 60 % a year both would be worth more than cash
    loan = {"kind": "loan", "rate": "12 %/year", "term": "12 months", "down_payment": "25 %"}
    offers = [
        {"kind": "cash", "name": "Cash"},
        loan | {"name": "Plain"},
        loan | {"name": "Fee", "fee": uniform(20.0, 60.0)},
    ]
    page = answer(bare(RANGES | {"financing": offers, "hurdle_rate": "60 %/year"}))
    found = risk(page, draws=64, seed=0)
    shares = {name: one.share for name, one in found.cheapest_financing.items()}
    assert shares == {"Cash": 1.0, "Plain": 1.0, "Fee": 0.0}
    worth = {
        one.choice.financing.name: one.figures.net_present_value_financed[AGAINST_BUYING_IN]
        for one in page.choices
    }
    assert worth["Fee"] > worth["Cash"]


def test_with_fewer_than_three_ranges_no_chance_is_stated(bare):
    two = {key: value for key, value in RANGES.items() if "cash" not in key}
    found = risk(answer(bare(two)), draws=64, seed=0)
    assert len(found.uncertain) == FEWEST_INPUTS - 1
    assert (found.choices, found.best, found.explains, found.leading) == ((), None, (), None)
    assert found.draws == 0


# --- failures alone ------------------------------------------------------------------------------

LAW = {
    "in_first_year": 2.0,
    "cost": 250,
    "down_days_covered": "0 day",
    "down_days_uncovered": "0 day",
}


def by_luck(bare, **changes):
    """16,384 cases of a shop in which only failures are not known."""
    scenario = bare(
        {"equipment": [equipment(repairs=LAW)], "equipment.Set.warranty": [{"term": "0 months"}]}
        | changes
    )
    case = Case(scenario)
    parts = slices(scenario, (), draws=8 * 2048, months=case.months, seed=0, values=case.values)
    (one,) = outcomes(case, choices(scenario), parts).values()
    return one


@pytest.fixture(scope="module")
def lucky(bare):
    return by_luck(bare)


def test_failures_alone_make_a_poisson_number_of_repairs(lucky):
    # two expected in the year at 250 each: 1,200·10 − 1,200 − 250 N
    one = lucky
    value = one.value[AGAINST_BUYING_IN]
    repairs = (10_800 - value) / 250
    assert repairs == pytest.approx(repairs.round(), abs=1e-6)
    for number in range(6):
        low, high = stats.binom.interval(0.9999, len(value), stats.poisson.pmf(number, 2.0))
        assert low <= (repairs.round() == number).sum() <= high
    spread = spread_of(value, one.replicate)
    quartiles = 10_800 - 250 * stats.poisson.ppf([0.9, 0.5, 0.1], 2.0)
    assert [spread.low, spread.middle, spread.high] == pytest.approx(quartiles, abs=0.01)


def test_the_error_of_a_chance_that_hangs_on_luck_alone(lucky):
    # √(p(1 − p)/n): scrambles do not spread luck evenly. Chi-square limits with 7 degrees
    one = lucky
    share = share_of(one.value[AGAINST_BUYING_IN] > 10_799, one.replicate)
    none = np.exp(-2.0)
    expected = none * (1 - none) / len(one.replicate)
    low, high = stats.chi2(REPLICATES - 1).ppf((0.001, 0.999)) / (REPLICATES - 1)
    assert low < share.error**2 / expected < high
    assert abs(share.share - none) < 4 * np.sqrt(expected)


def test_days_down_lose_sales_in_proportion(bare):
    # each failure takes 2 of the 20 open days of its month, a tenth of 1,000 of sales, up to all
    law = LAW | {"cost": 0, "down_days_uncovered": "2 day"}
    one = by_luck(bare, equipment=[equipment(repairs=law, warranty=[{"term": "0 months"}])])
    lost = (10_800 - one.value[AGAINST_BUYING_IN]) / 100
    assert lost == pytest.approx(lost.round(), abs=1e-6)
    assert abs(lost.mean() - 2.0) < 4 * np.sqrt(2.0 / len(lost))


SEEDS = 30


@pytest.mark.long
def test_an_explained_share_is_no_further_off_than_its_error_tells(page):
    truth = {"garment": 36 / (16 + 36), "price": 16 / (16 + 36), "cash_at_start": 0.0}
    for seed in range(SEEDS):
        for one in risk(page, draws=512, seed=seed).explains:
            off = abs(one.share - truth[one.estimate.key.rpartition(".")[2]])
            assert off < NOISE * one.error
            assert one.error < 0.05
