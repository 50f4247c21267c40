"""Transfers, pressed pieces, orders and hours behind the pieces of a month."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.scenario.estimates import Number
from planner.scenario.schema import Product
from planner.shop import labour
from planner.shop.machine import Setting
from planner.shop.work import Work


@dataclass(frozen=True, kw_only=True)
class Volume:
    """Counts of one product's month that follow from its work, each (draws, months).

    ``wanted`` transfers for all that is asked, ``printed`` transfers with rejects, ``bought`` and
    ``hurried`` transfers, ``pressed`` pieces with spoiled and redone ones, ``sold`` pieces and
    ``orders`` delivered, ``handled`` orders set up and packed, with the redone ones.
    """

    wanted: Number
    printed: Number
    bought: Number
    hurried: Number
    pressed: Number
    sold: Number
    orders: Number
    handled: Number


def volume_of(setting: Setting, product: Product, done: Work) -> Volume:
    """Counts behind the pieces of a month.

    Redone work is made again; a garment spoiled at the press takes its transfer with it;
    transfers rejected fall from their share at the start to the usual one through the ramp.
    """
    values, scenario = setting.values, setting.scenario
    start, later = values(scenario.ramp.spoilage_at_start), values(scenario.spoilage.transfers)
    rejected = later + np.maximum(0.0, start - later) * (1 - setting.calendar.ramp)
    again = 1 + values(scenario.spoilage.redone)
    spoiled = values(scenario.spoilage.garments) if product.pressed else 0.0
    each = again / (1 - spoiled)
    orders = done.sold / values.whole(product.pieces_per_order)
    return Volume(
        wanted=done.asked * each,
        printed=done.made * each / (1 - rejected),
        bought=done.bought * each,
        hurried=done.hurried * each,
        pressed=done.sold * each,
        sold=done.sold,
        orders=orders,
        handled=orders * again,
    )


def area_and_hours(
    setting: Setting, volumes: Sequence[Volume], *, care: Number
) -> tuple[Number, labour.Hours]:
    """Area printed [m²] and hours of work of a month; ``care`` of the machine in hours."""
    printed: Number = 0.0
    orders: Number = 0.0
    set_up: Number = 0.0
    cut: Number = 0.0
    pressed: Number = 0.0
    for product, use, count in zip(setting.products, setting.machine.uses, volumes, strict=True):
        printed = printed + count.printed * use.area
        orders = orders + count.orders
        set_up = set_up + count.handled
        cut = cut + (count.printed + count.bought + count.hurried) * use.prints
        pressed = pressed + (count.pressed * use.prints if product.pressed else 0.0)
    hours = labour.hours_of_work(
        labour=setting.scenario.labour,
        orders=orders,
        set_up=set_up,
        printed=printed,
        cut=cut,
        pressed=pressed,
        care=care,
        values=setting.values,
    )
    return printed, hours
