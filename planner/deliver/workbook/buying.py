"""What bought-in transfers cost: the price that an order's size reaches, and delivery."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from planner.deliver.workbook.book import Entry
from planner.deliver.workbook.facts import Facts, Side, by_month, one
from planner.deliver.workbook.grid import Heading
from planner.deliver.workbook.months import Months
from planner.deliver.workbook.pieces import Blocks, span
from planner.scenario.estimates import Array, Number
from planner.scenario.schema import Today
from planner.shop import costs
from planner.shop.buying import area_price, buying_cost
from planner.shop.volume import volume_of
from planner.shop.work import work_without

_TRACE: Final = 1e-9  # of an order, left by rounding where people or press have no room


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
    size = np.where(orders > _TRACE, area / np.where(orders > _TRACE, orders, 1.0), 0.0)
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
        f"IF({{{key}_orders}}>{_TRACE:.9f},{{{key}_area}}/{{{key}_orders}},0)",
    )
    yield line(
        f"{key}_price",
        "price that an order of that size reaches",
        f"{facts.currency}/m²",
        price_for(facts, today, size),
        f"LOOKUP({{{key}_size}},buy_in_from,buy_in_price)",
    )


def steady_transfers(
    facts: Facts, *, name: str, pieces: Sequence[float], weekly: str, served: str = ""
) -> list[Entry]:
    """Area, orders, price, transfers and delivery of a steady month, at month-1 prices.

    ``pieces`` of a month by product; ``weekly`` names the columns that multiply to those of a
    week, ``served`` the factor on them.
    """
    today, setting = facts.scenario.today, facts.case.setting(facts.machine, facts.case.steady)
    assert today is not None
    volumes = [
        volume_of(setting, product, work_without(pieces=count))
        for product, count in zip(setting.products, pieces, strict=True)
    ]
    bought = costs.purchases(setting, [count.bought for count in volumes])
    calendar, values, money = setting.calendar, setting.values, facts.currency
    cost = buying_cost(bought, today=today, calendar=calendar, values=values)
    price = area_price(bought, today=today, calendar=calendar, values=values)
    area = sum(one(own.transfers) * own.area for own in bought if own.piece_price is None)
    month = f"*shop_open_weeks/12{served}"
    paid = f"{name}_area*{name}_price"
    if any(product.buy_in for product in facts.scenario.products):
        paid += f"+SUMPRODUCT({weekly},product_each,product_buy_in){month}"
    charged = f"IF({name}_transfers>0,1,0)"
    if today.delivery_free_from is not None:
        charged += f"*IF({name}_transfers/{name}_orders<buy_in_delivery_free_from,1,0)"
    figures: list[tuple[str, str, str, Number, str]] = [
        ("area", "area to buy", "m²", area,
         f"SUMPRODUCT({weekly},product_each,product_bought_area){month}"),
        ("orders", "orders of transfers", "order", values(today.orders) * calendar.weeks,
         "buy_in_orders*shop_open_weeks/12"),
        ("price", "price that an order of that size reaches", f"{money}/m²", price,
         f"LOOKUP({name}_area/{name}_orders,buy_in_from,buy_in_price)"),
        ("transfers", "transfers", money, cost.transfers, paid),
        ("delivery", "delivery", money, cost.delivery,
         f"{name}_orders*{charged}*buy_in_delivery"),
    ]  # fmt: skip
    return [
        Entry(name=f"{name}_{key}", label=label, unit=unit, value=one(value), formula=formula)
        for key, label, unit, value, formula in figures
    ]


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
