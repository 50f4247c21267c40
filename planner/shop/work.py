"""Pieces a month: what is asked for, what is made, bought in or lost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.scenario.estimates import Number, Values
from planner.scenario.schema import Product, Today
from planner.shop.calendar import Calendar, Levers
from planner.shop.ratio import ratio


@dataclass(frozen=True, kw_only=True)
class Work:
    """Pieces of one product a month, each broadcasting to (draws, months).

    asked = made + bought + hurried + lost. ``hurried`` are bought in because the machine could
    not serve them, ``lost`` could not be served at all.
    """

    asked: Number
    made: Number
    bought: Number
    hurried: Number
    lost: Number

    @property
    def sold(self) -> Number:
        """Pieces delivered and paid."""
        return self.asked - self.lost


def can_buy_in(*, product: Product, today: Today | None) -> bool:
    """Whether a price for bought-in transfers stands for this product."""
    return today is not None and (product.buy_in is not None or today.buy_in_price is not None)


def machine_share(*, product: Product, today: Today | None, values: Values) -> Number:
    """Share of the added work that bought-in transfers could not serve [-]."""
    if product.needs_machine is not None:
        return values(product.needs_machine)
    return 0.0 if can_buy_in(product=product, today=today) else 1.0


def pieces_asked(*, product: Product, calendar: Calendar, values: Values, levers: Levers) -> Number:
    """Pieces a month with the machine: k·(today + share·(planned − today))·growth·season·weeks."""
    today = values(product.today)
    added = levers.added * (values(product.planned) - today)
    return (today + calendar.share * added) * _scale(calendar, levers)


def pieces_bought_in(
    *,
    product: Product,
    today: Today | None,
    calendar: Calendar,
    values: Values,
    levers: Levers,
) -> Number:
    """Pieces a month that bought-in transfers serve when nothing is signed."""
    if not can_buy_in(product=product, today=today):
        return 0.0 * pieces_asked(product=product, calendar=calendar, values=values, levers=levers)
    now = values(product.today)
    needs = machine_share(product=product, today=today, values=values)
    added = levers.added * (values(product.planned) - now) * (1 - needs)
    return (now + calendar.share * added) * _scale(calendar, levers)


def work_without(*, pieces: Number) -> Work:
    """Work that is bought in throughout."""
    zero = 0.0 * pieces
    return Work(asked=pieces, made=zero, bought=pieces, hurried=zero, lost=zero)


def work_made(*, pieces: Number) -> Work:
    """Work that is made throughout."""
    zero = 0.0 * pieces
    return Work(asked=pieces, made=pieces, bought=zero, hurried=zero, lost=zero)


def work_with(
    *, asked: Number, without: Number, served: Number, buys_in: bool, calendar: Calendar
) -> Work:
    """Work with the machine when it serves the share ``served`` of what is asked.

    Until it runs, sales stay as without it. Of what it cannot serve, the part that bought-in
    transfers could have served is bought in a hurry where a price stands; the rest is lost.
    """
    runs = calendar.running
    open_pieces = runs * asked + (1 - runs) * without
    unserved = runs * (1 - served) * asked
    could_buy = np.minimum(1.0, ratio(without, asked))
    hurried = unserved * could_buy if buys_in else 0.0 * unserved
    return Work(
        asked=open_pieces,
        made=runs * served * asked,
        bought=(1 - runs) * without,
        hurried=hurried,
        lost=unserved - hurried,
    )


def _scale(calendar: Calendar, levers: Levers) -> Number:
    return levers.volume * calendar.volume * calendar.season * calendar.weeks
