"""Make or buy at other buy-in prices: by hand, put back, and against a file with other prices."""

import numpy as np
import pytest
from helpers import MACHINE, ROOT, exactly, money, plan_of, product, shipped_answer

from planner.decide.answer import answer
from planner.decide.breakeven import make_or_buy
from planner.decide.buy_in_prices import (
    at_buy_in_price,
    break_even_buy_in_price,
    buy_in_prices,
    crossing_at,
    factor_in_balance,
    make_or_buy_by_price,
)
from planner.decide.curves import make_or_buy_curves
from planner.decide.steady import transfer_costs
from planner.scenario.load import load

# Making costs 100 a month whatever the volume: the machine of 1,200 over twelve months at 0 %.
# The plan is 25 m² a month, 6.25 m² a week of four weeks a month.
EIGHT = {"today": {"buy_in_price": "8 USD/m^2"}}


def asked_of(scenario):
    own = plan_of(scenario)
    return buy_in_prices(own.case, own, make_or_buy(own.case, own))


def test_crossings_worked_out_by_hand(bare):
    rows = asked_of(bare(EIGHT)).rows
    assert [row.name for row in rows] == [
        "80% of likely",
        "90% of likely",
        "likely",
        "110% of likely",
        "120% of likely",
    ]
    for row, factor in zip(rows, (0.8, 0.9, 1.0, 1.1, 1.2), strict=True):
        assert row.price == exactly(8 * factor)
        assert row.area == exactly(100 / (8 * factor) / 4)
        assert (row.factor, row.reason) == (factor, "")


def test_the_price_in_balance_worked_out_by_hand(bare):
    balance = asked_of(bare(EIGHT)).balance
    # 25 m² a month bought for 100 cost 4 a square metre
    assert (balance.factor, balance.price) == (exactly(0.5), exactly(4.0))
    assert (balance.area, balance.is_planned) == (exactly(6.25), True)


def test_the_range_names_its_own_prices(bare):
    price = {"low": "7.2 USD/m^2", "likely": "8 USD/m^2", "high": "12 USD/m^2"}
    rows = asked_of(bare({"today": {"buy_in_price": price}})).rows
    assert [row.name for row in rows] == [
        "80% of likely",
        "low end of the range",  # 90 % of likely, once
        "likely",
        "110% of likely",
        "120% of likely",
        "high end of the range",
    ]
    assert [row.price for row in rows][1::4] == [exactly(7.2), exactly(12.0)]


def test_a_price_that_is_likely_nothing_has_no_ends(bare):
    price = {"low": "0 USD/m^2", "likely": "0 USD/m^2", "high": "4 USD/m^2"}
    asked = asked_of(bare({"today": {"buy_in_price": price}}))
    assert "low end of the range" not in [row.name for row in asked.rows]
    assert asked.balance.factor is None


def test_where_making_never_becomes_cheaper_the_reason_is_said(bare):
    # the printer fills at 30 m² a month: at 3.2 a square metre 31.25 m² would be needed
    full = {"equipment.Set.print_speed": f"{30 / 160} m^2/hour"}
    rows = asked_of(bare(full | {"today": {"buy_in_price": "4 USD/m^2"}})).rows
    assert (rows[0].area, rows[0].reason) == (None, "buying stays cheaper up to capacity")
    assert rows[1].area == exactly(100 / 3.6 / 4)


def test_where_making_is_cheaper_at_any_volume_the_reason_is_said(bare):
    # a machine that is sold for what it cost makes its transfers for nothing
    free = {f"{MACHINE}.worth.share": "100 %", "film.roll_price": 0}
    asked = asked_of(bare(EIGHT | free))
    assert all(row.area is None for row in asked.rows)
    assert {row.reason for row in asked.rows} == {"making is cheaper at any volume"}
    assert (asked.balance.factor, asked.balance.price) == (None, None)
    assert asked.balance.reason == "making costs less at any price"


def test_no_price_within_ten_times_puts_them_in_balance(bare):
    balance = asked_of(bare({"today": {"buy_in_price": "0.39 USD/m^2"}})).balance
    assert (balance.factor, balance.price) == (None, None)
    assert balance.reason == "making costs more even at 10 times the price"
    assert asked_of(bare({"today": {"buy_in_price": "0.41 USD/m^2"}})).balance.price == exactly(4.0)


def test_a_plan_beyond_capacity_is_asked_at_what_fills_the_shop(bare):
    full = {"equipment.Set.print_speed": f"{20 / 160} m^2/hour"}
    balance = asked_of(bare(EIGHT | full)).balance
    assert (balance.area, balance.is_planned) == (exactly(5.0), False)
    assert balance.price == exactly(100 / 20)


def test_prices_a_piece_move_too_and_have_no_price_by_area(bare):
    tee = product("Tee", planned="25 piece/week", buy_in=2)
    asked = asked_of(bare({"products": [tee], "today": {}}))
    # a piece of 0.25 m² at 2 is 8 a square metre
    assert [row.area for row in asked.rows] == [
        exactly(100 / (8 * row.factor) / 4) for row in asked.rows
    ]
    assert {row.price for row in asked.rows} == {None}
    assert (asked.balance.factor, asked.balance.price) == (exactly(0.5), None)


def test_delivery_stays_as_it_is(bare):
    # one order a week at 10: 40 a month of the 100, so that 60 are left for 25 m²
    balance = asked_of(bare({"today": {"buy_in_price": "8 USD/m^2", "delivery": "10 USD/order"}}))
    assert balance.balance.price == exactly(60 / 25)


@pytest.mark.long
@pytest.mark.parametrize("factor", [0.8, 1.2])
def test_the_same_as_a_file_with_every_buy_in_price_moved(factor):
    """Larkspur Lane buys by the sheet, with a price break and delivery free from a sum."""
    breaks = [{"from": "60 ft^2/order", "price": f"{2.75 * factor} USD/ft^2"}]
    changes = {"today.buy_in_price": f"{3.10 * factor} USD/ft^2", "today.price_breaks": breaks}
    moved = answer(load(ROOT / "scenarios" / "larkspur-lane.toml", changes=changes)).choices[0]
    own = shipped_answer("larkspur-lane").choices[0]
    asked = buy_in_prices(own.evaluation.case, own.evaluation.plan, own.figures.make_or_buy)
    (row,) = (row for row in asked.rows if row.factor == factor)
    found = moved.figures.make_or_buy
    assert row.area == exactly(found.by_cost.value * found.buyable_area)


@pytest.mark.parametrize("name", ["larkspur-lane", "shortest", "two-widths"])
def test_crossings_and_balance_put_back_cost_the_same(name):
    page = shipped_answer(name)
    plan, found = page.best.evaluation.plan, page.best.figures.make_or_buy
    asked = buy_in_prices(page.case, plan, found)
    points = [
        (row.factor, row.area / found.buyable_area) for row in asked.rows if row.area is not None
    ]
    points.append((asked.balance.factor, asked.balance.area / found.buyable_area))
    assert len(points) >= 5
    for factor, volume in points:
        at = volume * np.array([1 - 1e-9, 1.0])
        costs = transfer_costs(at_buy_in_price(page.case, factor), plan, at)
        saved = costs.bought - costs.made
        assert saved[1] == money(0) or saved[0] < 0 <= saved[1]  # at a jump: below, then above


def test_a_dearer_supplier_never_asks_for_more_area():
    for name in ("larkspur-lane", "two-widths"):
        page = shipped_answer(name)
        asked = buy_in_prices(page.case, page.best.evaluation.plan, page.best.figures.make_or_buy)
        areas = [row.area for row in asked.rows]
        assert areas == sorted(areas, reverse=True)


def test_many_prices_at_once_are_the_same_as_one_by_one():
    page = shipped_answer("two-widths")
    plan = page.best.evaluation.plan
    balance = factor_in_balance(page.case, plan, share=1.0).value
    alone = crossing_at(at_buy_in_price(page.case, balance), plan, capacity=1.1)
    assert alone.value == pytest.approx(1.0, abs=1e-6)


def test_without_a_price_there_is_nothing_to_ask(bare):
    assert asked_of(bare()) is None
    assert make_or_buy_by_price(None) == []
    assert break_even_buy_in_price(None) is None


def test_figures_are_plain(bare):
    asked = asked_of(bare(EIGHT))
    (first, *_) = make_or_buy_by_price(asked)
    assert first == {
        "buy_in_price": "80% of likely",
        "price_factor": 0.8,
        "price": exactly(6.4),
        "make_or_buy_area_per_week": exactly(100 / 6.4 / 4),
        "reason": None,
    }
    assert break_even_buy_in_price(asked) == {
        "area_per_week": exactly(6.25),
        "is_planned": True,
        "price_factor": exactly(0.5),
        "price": exactly(4.0),
        "reason": None,
    }


def test_the_curves_cross_where_the_rows_say():
    page = shipped_answer("larkspur-lane")
    plan, found = page.best.evaluation.plan, page.best.figures.make_or_buy
    curves = make_or_buy_curves(page.case, plan, found)
    rows = {row.name: row for row in buy_in_prices(page.case, plan, found).rows}
    assert curves.crossing_low == exactly(rows["low end of the range"].area)
    assert curves.crossing_high == exactly(rows["high end of the range"].area)
    assert curves.areas[-1] > curves.crossing_low > curves.crossing > curves.crossing_high
    assert (curves.bought_low <= curves.bought).all()
    assert (curves.bought <= curves.bought_high).all()


def test_curves_without_a_range_have_no_band(bare):
    own = plan_of(bare(EIGHT))
    curves = make_or_buy_curves(own.case, own, make_or_buy(own.case, own))
    assert (curves.crossing_low, curves.crossing_high) == (None, None)
    assert (curves.bought_low == curves.bought).all()
