"""Pieces a month: what is asked for, what is made, bought in or lost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.scenario.estimates import Number, Values
from planner.scenario.schema import Product, Today
from planner.shop.calendar import Calendar, Levers, season_of
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
    return (today + calendar.share * added) * _scale(product, calendar, values, levers)


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
    return (now + calendar.share * added) * _scale(product, calendar, values, levers)


def work_without(*, pieces: Number, served: Number = 1.0) -> Work:
    """Work for which transfers are bought in, as far as people and press serve it."""
    bought = served * pieces
    return Work(asked=pieces, made=0.0, bought=bought, hurried=0.0, lost=pieces - bought)


def work_made(*, pieces: Number) -> Work:
    """Work that is made throughout."""
    return Work(asked=pieces, made=pieces, bought=0.0, hurried=0.0, lost=0.0)


def unmade(*, asked: Number, without: Number, served: Number, calendar: Calendar) -> Number:
    """Pieces that the machine does not serve and bought-in transfers could, while it runs."""
    could_buy = np.minimum(1.0, ratio(without, asked))
    return calendar.running * (1 - served) * asked * could_buy


def work_with(
    *,
    asked: Number,
    before: Work,
    served: Number,
    bought: Number,
    in_a_hurry: bool,
    calendar: Calendar,
) -> Work:
    """Work with the machine when it serves the share ``served`` of what is asked.

    Until it runs, work is as ``before``, without it. Of the rest ``bought`` pieces are bought in;
    what is left is lost.
    """
    runs = calendar.running
    all_asked = runs * asked + (1 - runs) * before.asked
    made = runs * served * asked
    usual = (1 - runs) * before.bought + (0.0 if in_a_hurry else bought)
    hurried = bought if in_a_hurry else 0.0
    lost = np.maximum(0.0, all_asked - made - usual - hurried)
    return Work(asked=all_asked, made=made, bought=usual, hurried=hurried, lost=lost)


def _scale(product: Product, calendar: Calendar, values: Values, levers: Levers) -> Number:
    season = season_of(product, calendar, values)
    return levers.volume * calendar.volume * season * calendar.weeks
