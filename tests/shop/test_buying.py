"""Bought-in transfers: price breaks, delivery, hurry; both sides of every limit."""

import numpy as np
import pytest
from helpers import TEE, exactly, money, row, setting_of

from planner.shop.month import operations_with, operations_without

# 100 pieces of 0.25 m² in 4 orders a month: 6.25 m² an order.
TODAY = {
    "buy_in_price": "20 USD/m^2",
    "delivery": "9 USD/order",
    "price_breaks": [{"from": "6 m^2/order", "price": "16 USD/m^2"}],
}
ALL_TODAY = {"today": TODAY, f"{TEE}.today": "25 piece/week"}


def bought(scenario, **levers):
    """Transfers and delivery of the steady month without the machine [money]."""
    lines = operations_without(setting_of(scenario, steady=True, **levers)).lines
    return tuple(
        -float(row(lines[name])[0]) for name in ("transfers bought in", "delivery of transfers")
    )


def test_the_break_holds_for_the_whole_order(bare):
    assert bought(bare(ALL_TODAY)) == money((25 * 16, 4 * 9))


@pytest.mark.parametrize(
    ("price", "area"),
    [(20, 5.9999), (16, 6.0001), (16, 13.9999), (12, 14.0001), (12, 40.0)],
)
def test_both_sides_of_every_price_break(bare, price, area):
    breaks = [
        {"from": "14 m^2/order", "price": "12 USD/m^2"},  # in any order in the file
        {"from": "6 m^2/order", "price": "16 USD/m^2"},
    ]
    scenario = bare(ALL_TODAY | {"today": TODAY | {"price_breaks": breaks}})
    transfers, _ = bought(scenario, volume=area / 6.25)
    assert transfers == money(4 * area * price)


def test_an_order_of_exactly_the_break_gets_it(bare):
    # 24 pieces of 0.25 m² a week in one order a week: 6 m²
    scenario = bare(
        ALL_TODAY | {f"{TEE}.today": "24 piece/week", f"{TEE}.planned": "24 piece/week"}
    )
    assert bought(scenario) == money((24 * 16, 4 * 9))


@pytest.mark.parametrize(
    ("delivered", "limit"),
    [
        (0, 99.99),  # an order is worth 6.25 × 16 = 100
        (0, 100.0),  # free from this sum on
        (4, 100.01),
        (4, None),
    ],
)
def test_both_sides_of_free_delivery(bare, delivered, limit):
    today = TODAY | ({} if limit is None else {"delivery_free_from": limit})
    assert bought(bare(ALL_TODAY | {"today": today})) == money((400, 9 * delivered))


def test_nothing_bought_costs_nothing(bare):
    assert bought(bare(ALL_TODAY), volume=0.0) == (0.0, 0.0)


def test_more_orders_mean_smaller_ones(bare):
    # eight orders of 3.125 m² miss the break
    scenario = bare(ALL_TODAY | {"today": TODAY | {"orders": "2 order/week"}})
    assert bought(scenario) == money((25 * 20, 8 * 9))


def test_a_price_a_piece_stands_beside_the_price_by_area(bare):
    # 2.50 a piece whatever its size; it opens no price break, but pays for delivery
    scenario = bare(ALL_TODAY | {f"{TEE}.buy_in": 2.5})
    assert bought(scenario) == money((250, 36))


def test_buy_in_prices_and_delivery_grow_together(bare):
    lines = operations_without(
        setting_of(bare(ALL_TODAY | {"growth.buy_in": "21 %/year", "horizon": "13 months"}))
    ).lines
    for name, amount in (("transfers bought in", -400), ("delivery of transfers", -36)):
        assert row(lines[name])[[0, 6, 12]] == exactly([amount, 1.1 * amount, 1.21 * amount])


def test_spoiled_and_redone_work_takes_more_transfers(bare):
    # a tenth of garments spoiled with their transfers, a quarter done again
    scenario = bare(ALL_TODAY | {"spoilage.garments": "10 %", "spoilage.redone": "25 %"})
    transfers, _ = bought(scenario)
    assert transfers == money(400 * 1.25 / 0.9)


def test_rejects_of_the_printer_do_not_touch_bought_transfers(bare):
    scenario = bare(ALL_TODAY | {"spoilage.transfers": "50 %", "ramp.spoilage_at_start": "50 %"})
    assert bought(scenario) == money((400, 36))


def test_work_beyond_capacity_is_bought_in_a_hurry(bare):
    # the printer does half of 25 m²; 12.5 m² in half the orders, so the break still holds,
    # 30 % dearer, and two of four deliveries
    half = {"equipment.Set.print_speed": f"{25 / 160 / 2} m^2/hour"}
    lines = operations_with(setting_of(bare(ALL_TODAY | half), steady=True)).lines
    table = [  # expected, line
        (-12.5 * 16 * 1.3, "transfers bought in a hurry"),
        (-2 * 9, "delivery of transfers"),
        (0, "transfers bought in"),
        (0, "sales lost"),
    ]
    for expected, name in table:
        assert row(lines[name])[0] == money(expected)


def test_the_hurry_surcharge_counts_towards_free_delivery(bare):
    # an order in a hurry is worth 100 × 1.3
    half = {"equipment.Set.print_speed": f"{25 / 160 / 2} m^2/hour"}
    for limit, expected in ((129.99, 0), (130.01, -18)):
        today = {"today": TODAY | {"delivery_free_from": limit}}
        lines = operations_with(setting_of(bare(ALL_TODAY | half | today), steady=True)).lines
        assert row(lines["delivery of transfers"])[0] == money(expected)


def test_the_part_that_needs_the_machine_cannot_be_bought_in_a_hurry(bare):
    # all 100 pieces are added, 60 % need the machine; half is unserved: 20 bought, 30 lost
    half = {"equipment.Set.print_speed": f"{25 / 160 / 2} m^2/hour"}
    scenario = bare({"today": TODAY, f"{TEE}.needs_machine": "60 %"} | half)
    (work,) = operations_with(setting_of(scenario, steady=True)).works
    found = [float(row(n)[0]) for n in (work.made, work.hurried, work.lost, work.bought)]
    assert found == exactly([50, 20, 30, 0])
    assert work.sold + work.lost == exactly(np.atleast_1d(work.asked))
