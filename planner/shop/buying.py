"""What transfers cost when they are bought in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.scenario.estimates import Number, Values
from planner.scenario.schema import Today
from planner.shop.calendar import Calendar
from planner.shop.ratio import ratio


@dataclass(frozen=True, kw_only=True)
class Purchase:
    """Transfers of one product to buy a month.

    ``transfers`` [piece], each of ``area`` [m²] as the supplier counts it; ``piece_price``
    [money] where a price a piece stands, else None and the price by area holds.
    """

    transfers: Number
    area: float
    piece_price: Number | None


@dataclass(frozen=True, kw_only=True)
class BuyingCost:
    """Transfers and their delivery a month [money]."""

    transfers: Number
    delivery: Number


def buying_cost(
    purchases: Sequence[Purchase],
    *,
    today: Today,
    calendar: Calendar,
    values: Values,
    share_of_orders: Number = 1.0,
    hurry: bool = False,
) -> BuyingCost:
    """Cost of buying transfers in [money], with price breaks by order size and delivery an order.

    The month's area is spread over the month's orders; the price break that an order of that
    size reaches holds for the whole order. Nothing bought costs nothing. A hurry surcharge falls
    on the transfers, and only ``share_of_orders`` [-], that of the hurried work, is delivered.
    """
    area = _area(purchases)
    orders = values(today.orders) * calendar.weeks * share_of_orders
    cost = area * _price(ratio(area, orders), today, values)
    for bought in purchases:
        if bought.piece_price is not None:
            cost = cost + bought.transfers * bought.piece_price
    growth = calendar.buy_in
    transfers = cost * (growth * (1 + values(today.hurry_extra)) if hurry else growth)
    charged = orders * _delivery_due(transfers, orders, today, values)
    return BuyingCost(transfers=transfers, delivery=charged * (values(today.delivery) * growth))


def area_price(
    purchases: Sequence[Purchase], *, today: Today, calendar: Calendar, values: Values
) -> Number:
    """Price by area at the size of order that the month's transfers make [money/m²]."""
    orders = values(today.orders) * calendar.weeks
    return _price(ratio(_area(purchases), orders), today, values)


def _area(purchases: Sequence[Purchase]) -> Number:
    return sum((p.transfers * p.area for p in purchases if p.piece_price is None), 0.0)


def _price(size: Number, today: Today, values: Values) -> Number:
    """Price by area for orders of a size [money/m²]."""
    price: Number = values(today.buy_in_price) if today.buy_in_price else 0.0
    for step in sorted(today.price_breaks, key=lambda step: values.scalar(step.from_)):
        price = np.where(size >= values(step.from_), values(step.price), price)
    return price


def _delivery_due(
    transfers: Number, orders: Number, today: Today, values: Values
) -> NDArray[np.bool_]:
    """Where an order is charged for delivery: not where it is free or nothing is bought."""
    buys = np.asarray(transfers > 0)
    if today.delivery_free_from is None:
        return buys
    return buys & (ratio(transfers, orders) < values(today.delivery_free_from))
