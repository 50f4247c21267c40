"""Pieces a month: ramp, season, growth, closed months, a late start, and what is bought in."""

import numpy as np
import pytest
from helpers import TEE, exactly, plan_of, product, row, setting_of, shipped

from planner.scenario.estimates import Values
from planner.shop.month import operations_without, pieces_asked
from planner.shop.work import can_buy_in, machine_share

# From 10 to 40 pieces a week, four weeks a month: 40 pieces today, 160 planned.
GROWING = {
    f"{TEE}.today": "10 piece/week",
    f"{TEE}.planned": "40 piece/week",
    "today": {"buy_in_price": "0 USD/m^2"},
    "ramp.start_share": "25 %",
    "ramp.months": "6 months",
}


def asked(scenario, **levers):
    return row(pieces_asked(setting_of(scenario, **levers))[0])


@pytest.mark.parametrize(
    ("expected", "month"),
    [
        (40 + 0.25 * 120, 1),  # the share at the start
        (40 + (0.25 + 0.75 * 1 / 6) * 120, 2),
        (40 + (0.25 + 0.75 * 5 / 6) * 120, 6),  # the last month of the ramp is not yet full
        (160, 7),  # one ramp after month 1
        (160, 12),
    ],
)
def test_the_ramp_month_by_month(bare, expected, month):
    assert asked(bare(GROWING))[month - 1] == exactly(expected)


@pytest.mark.parametrize("months", ["0 months", "0.5 months", "1 months"])
def test_a_ramp_of_at_most_a_month_is_full_in_month_two(bare, months):
    pieces = asked(bare(GROWING | {"ramp.months": months}))
    assert pieces[0] == exactly(160 if months == "0 months" else 70)
    assert pieces[1] == exactly(160)


def test_growth_is_a_twelfth_of_a_year_a_month(bare):
    pieces = asked(bare({"growth.volume": "21 %/year", "horizon": "25 months"}))
    assert pieces[[0, 6, 12, 24]] == exactly([100, 110, 121, 146.41])  # 1.21^½ = 1.1


def test_season_is_normalised_and_starts_in_the_month_of_signing(bare):
    # twelve numbers with mean 2, signed in November: factors of November, December, January
    season = [1, 3, 2, 2, 2, 2, 2, 2, 2, 2, 3, 1]
    pieces = asked(bare({"shop.season": season, "start": "2027-11"}))
    assert pieces[:3] == exactly([150, 50, 50])
    assert pieces.sum() == exactly(1200)  # a year sells what a flat year sells
    doubled = asked(bare({"shop.season": [2 * x for x in season], "start": "2027-11"}))
    assert doubled == exactly(pieces)


def test_a_closed_month_loses_its_sales_and_moves_none(bare):
    pieces = asked(bare({"shop.closed": ["2027-08"]}))
    assert pieces == exactly([100] * 7 + [0] + [100] * 4)


def test_levers_move_all_work_or_the_added_work(bare):
    scenario = bare(GROWING)
    assert asked(scenario, volume=2.0)[11] == exactly(320)
    assert asked(scenario, added=0.5)[11] == exactly(40 + 60)
    assert asked(scenario, added=0.0)[11] == exactly(40)


def test_a_full_year_by_the_whole_formula(bare):
    # k × (today + share × (planned − today)) × growth × season × open weeks / 12, month 4 (April)
    season = [2, 1, 1, 3, 1, 1, 1, 1, 1, 1, 1, 1]
    scenario = bare(
        GROWING
        | {"growth.volume": "10 %/year", "shop.season": season, "shop.open_weeks": "50 week/year"}
    )
    share = 0.25 + 0.75 * 3 / 6
    expected = 1.5 * (10 + share * 30) * 1.1 ** (3 / 12) * (3 * 12 / 15) * 50 / 12
    assert asked(scenario, volume=1.5)[3] == exactly(expected)


@pytest.mark.parametrize(
    ("runs_from", "months_without"),
    [("0 months", 0), ("1 month", 1), ("1.5 months", 2), ("2 months", 2)],
)
def test_until_the_machine_runs_sales_stay_as_without_it(bare, runs_from, months_without):
    # nothing can be bought in for the added work, so only today's 40 pieces are sold at 10
    scenario = bare(GROWING | {f"{TEE}.needs_machine": "100 %", "runs_from": runs_from})
    sales = row(plan_of(scenario).operations.sales)
    with_machine = row(plan_of(bare(GROWING)).operations.sales)
    assert sales[:months_without] == exactly([400] * months_without)
    assert sales[months_without:] == exactly(with_machine[months_without:])


def test_until_the_machine_runs_transfers_are_bought_as_without_it(bare):
    # today's 40 pieces of 0.25 m² at 8 a square metre, then nothing
    priced = GROWING | {"today": {"buy_in_price": "8 USD/m^2"}, f"{TEE}.needs_machine": "100 %"}
    plan = plan_of(bare(priced | {"runs_from": "2 months"}))
    assert row(plan.operations.lines["transfers bought in"]) == exactly([-80] * 2 + [0] * 10)
    assert row(plan.operations.area)[:2] == exactly([0, 0])


def test_the_ramp_counts_from_signing(bare):
    late = asked(bare(GROWING | {"runs_from": "3 months"}))
    assert late == exactly(asked(bare(GROWING)))


@pytest.mark.parametrize(
    ("expected", "keys", "today"),
    [
        (1.0, {}, None),  # no price for bought-in transfers: nothing could be bought
        (0.0, {}, {"buy_in_price": "5 USD/m^2"}),  # a price stands: all could be bought
        (0.0, {"buy_in": 2}, {"orders": "1 order/week"}),  # a price a piece
        (0.3, {"needs_machine": "30 %"}, {"buy_in_price": "5 USD/m^2"}),
        (0.3, {"needs_machine": "30 %"}, None),
    ],
)
def test_share_that_needs_the_machine_and_its_defaults(bare, expected, keys, today):
    changes = {"products": [product("Tee", **keys)]} | ({"today": today} if today else {})
    scenario = bare(changes)
    tee = scenario.products[0]
    assert machine_share(product=tee, today=scenario.today, values=Values()) == expected
    assert can_buy_in(product=tee, today=scenario.today) == (today is not None and expected != 1.0)


def test_without_the_machine_the_part_that_needs_it_is_not_served(bare):
    # today's 40 and 70 % of the added 120 × share
    scenario = bare(GROWING | {f"{TEE}.needs_machine": "30 %"})
    (work,) = operations_without(setting_of(scenario)).works
    ramp = np.minimum(1, 0.25 + 0.75 * np.arange(12) / 6)
    assert row(work.bought) == exactly(40 + 0.7 * 120 * ramp)
    assert (np.asarray(work.made) == 0).all()


def test_without_any_price_nothing_is_sold_without_the_machine(bare):
    assert row(operations_without(setting_of(bare())).sales) == exactly(np.zeros(12))


@pytest.mark.parametrize("name", ["larkspur-lane", "two-widths"])
def test_prices_grow_each_at_its_own_rate(name):
    scenario = shipped(name)
    calendar = setting_of(scenario).calendar
    for growth in ("prices", "wages", "buy_in", "costs"):
        rate = getattr(scenario.growth, growth).likely
        assert getattr(calendar, growth)[[0, 12, 24]] == exactly([1, 1 + rate, (1 + rate) ** 2])


def test_a_products_own_season_stands_in_place_of_the_shops(bare):
    season = [2, 1, 1, 3, 1, 1, 1, 1, 1, 1, 1, 1]
    own = bare({f"{TEE}.season": season, "shop.season": [5, *[1] * 11]})
    assert asked(own) == exactly(np.array(season) * 12 / 15 * 100)
    assert asked(own) == exactly(asked(bare({"shop.season": season})))


def test_the_steady_month_has_no_season(bare):
    scenario = bare({f"{TEE}.season": [2, *[1] * 11]})
    (pieces,) = pieces_asked(setting_of(scenario, steady=True))
    assert row(pieces)[0] == exactly(100)
