"""What bought-in transfers cost: the price that an order's size reaches, and delivery."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.deliver.workbook.facts import Facts, Side, by_month
from planner.deliver.workbook.grid import Heading
from planner.deliver.workbook.months import Months
from planner.deliver.workbook.pieces import Blocks, span
from planner.scenario.estimates import Array, Number
from planner.scenario.schema import Today


def usual_lines(facts: Facts, side: Side, *, pieces: str) -> Blocks:
    """Transfers bought in as usual for the pieces of a kind."""
    transfers = [count.bought for count in side.volumes]
    yield Heading("Transfers bought in")
    yield from _lines(facts, transfers, pieces=pieces, key="buy", of_orders=1.0, share="")


def hurried_lines(facts: Facts, side: Side) -> Blocks:
    """Transfers bought in a hurry; only their share of the month's orders is delivered."""
    line, uses = Months(facts.months).line, facts.machine.uses
    transfers = [count.hurried for count in side.volumes]
    printed = [use.area for use in uses]
    hurried = _area(facts, transfers, printed)
    wanted = _area(facts, [count.wanted for count in side.volumes], printed)
    area = ",product_each,product_area)"
    all_area = f"(SUMPRODUCT({span(facts, 'sold')}{area}+SUMPRODUCT({span(facts, 'lost')}{area})"
    share = np.where(wanted > 0, hurried / np.where(wanted > 0, wanted, 1.0), 0.0)
    yield Heading("Transfers bought in a hurry")
    yield line(
        "hurry_share",
        "share of all transfers",
        "%",
        share,
        f"IF({all_area}>0,SUMPRODUCT({span(facts, 'hurried')}{area}/{all_area},0)",
    )
    yield from _lines(
        facts, transfers, pieces="hurried", key="hurry", of_orders=share, share="*{hurry_share}"
    )


def _area(facts: Facts, transfers: Sequence[Number], areas: Sequence[float]) -> Array:
    """Area of all products' transfers by month (months,) [m²]."""
    return by_month(
        sum((count * area for count, area in zip(transfers, areas, strict=True)), 0.0),
        months=facts.months,
    )


def _lines(
    facts: Facts,
    transfers: Sequence[Number],
    *,
    pieces: str,
    key: str,
    of_orders: Number,
    share: str,
) -> Blocks:
    line, values, today = Months(facts.months).line, facts.values, facts.scenario.today
    assert today is not None
    area = _area(facts, transfers, facts.bought_areas)
    orders = np.asarray(values(today.orders) * facts.calendar.weeks * of_orders)
    size = np.where(orders > 0, area / np.where(orders > 0, orders, 1.0), 0.0)
    yield line(
        f"{key}_area",
        "area, as the supplier counts it",
        "m²",
        area,
        f"SUMPRODUCT({span(facts, pieces)},product_each,product_bought_area)",
        adds_up=True,
    )
    yield line(
        f"{key}_orders", "orders", "number", orders, "buy_in_orders*{calendar.weeks}" + share
    )
    yield line(
        f"{key}_size",
        "area an order",
        "m²",
        size,
        f"IF({{{key}_orders}}>0,{{{key}_area}}/{{{key}_orders}},0)",
    )
    yield line(
        f"{key}_price",
        "price that an order of that size reaches",
        f"{facts.currency}/m²",
        price_for(facts, today, size),
        f"LOOKUP({{{key}_size}},buy_in_from,buy_in_price)",
    )


def price_for(facts: Facts, today: Today, size: Array) -> Array:
    """Price by area for orders of a size, in month-1 prices [money/m²]."""
    values = facts.values
    breaks = sorted(today.price_breaks, key=lambda step: values.scalar(step.from_))
    first = values.scalar(today.buy_in_price) if today.buy_in_price else 0.0
    prices = np.array([first, *(values.scalar(step.price) for step in breaks)])
    reached = np.searchsorted([values.scalar(step.from_) for step in breaks], size, side="right")
    return np.asarray(prices[reached])


def transfers_formula(facts: Facts, *, pieces: str, key: str) -> str:
    """What the transfers of a kind cost in a month, at that month's prices."""
    cost = f"{{{key}_area}}*{{{key}_price}}"
    if any(product.buy_in for product in facts.scenario.products):
        cost += f"+SUMPRODUCT({span(facts, pieces)},product_each,product_buy_in)"
    hurry = "*(1+buy_in_hurry_extra)" if key == "hurry" else ""
    return f"({cost})*{{calendar.buy_in}}{hurry}"


def delivery_formula(facts: Facts, *, cost: str, key: str) -> str:
    """Delivery of the orders of a kind; ``cost`` is what their transfers cost, positive."""
    today = facts.scenario.today
    assert today is not None
    orders = f"{{{key}_orders}}"
    charged = f"IF({cost}>0,1,0)"
    if today.delivery_free_from is not None:
        charged = (
            f"IF(AND({orders}>0,{cost}>0),IF({cost}/{orders}<buy_in_delivery_free_from,1,0),0)"
        )
    return f"{orders}*{charged}*buy_in_delivery*{{calendar.buy_in}}"
