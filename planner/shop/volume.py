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
    """Counts of one product's month that follow from its work [piece], each (draws, months).

    ``done`` is the work, ``sold`` pieces and ``orders`` delivered; ``each`` transfers are used for
    a piece sold, of which ``again`` are made, and of those printed the share ``accepted`` is good.
    """

    done: Work
    sold: Number
    orders: Number
    each: Number
    again: Number
    accepted: Number

    @property
    def wanted(self) -> Number:
        """Transfers for all that is asked [piece]."""
        return self.done.asked * self.each

    @property
    def printed(self) -> Number:
        """Transfers printed, rejects included [piece]."""
        return self.done.made * self.each / self.accepted

    @property
    def bought(self) -> Number:
        """Transfers bought in [piece]."""
        return self.done.bought * self.each

    @property
    def hurried(self) -> Number:
        """Transfers bought in a hurry [piece]."""
        return self.done.hurried * self.each

    @property
    def pressed(self) -> Number:
        """Pieces pressed, those spoiled and redone included [piece]."""
        return self.sold * self.each

    @property
    def handled(self) -> Number:
        """Orders set up and packed, the redone ones included [order]."""
        return self.orders * self.again


def volume_of(setting: Setting, product: Product, done: Work) -> Volume:
    """Counts behind the pieces of a month.

    Redone work is made again; a garment spoiled at the press takes its transfer with it;
    transfers rejected fall from their share at the start to the usual one through the ramp.
    """
    sold = done.sold
    return Volume(
        done=done,
        sold=sold,
        orders=sold / setting.values.whole(product.pieces_per_order),
        each=setting.transfers_each(product),
        again=setting.again,
        accepted=setting.accepted,
    )


def sum_printed(setting: Setting, volumes: Sequence[Volume], of_one: Sequence[Number]) -> Number:
    """What all transfers printed come to, rejects included [unit of ``of_one``].

    ``of_one`` is what one transfer of each product is, in any unit: an area, a length, a number.
    """
    good: Number = 0.0
    for count, one in zip(volumes, of_one, strict=True):
        good = good + count.done.made * (count.each * one)
    return good / setting.accepted if np.any(good) else good


def area_and_hours(
    setting: Setting, volumes: Sequence[Volume], *, care: Number
) -> tuple[Number, labour.Hours]:
    """Area printed [m²] and hours of work of a month, ``care`` of the machine included [hour]."""
    uses = setting.machine.uses
    printed = sum_printed(setting, volumes, [use.area for use in uses])
    cut = sum_printed(setting, volumes, [float(use.prints) for use in uses])
    orders: Number = 0.0
    pressed: Number = 0.0
    for product, use, count in zip(setting.products, uses, volumes, strict=True):
        prints = count.each * use.prints
        orders = orders + count.orders
        cut = cut + (count.done.bought + count.done.hurried) * prints
        pressed = pressed + (count.sold * prints if product.pressed else 0.0)
    hours = labour.hours_of_work(
        labour=setting.scenario.labour,
        orders=orders,
        set_up=orders * setting.again,
        printed=printed,
        cut=cut,
        pressed=pressed,
        care=care,
        values=setting.values,
    )
    return printed, hours
