"""Pieces a month: what is asked for, what is made, bought in or lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.scenario.estimates import Number, Values
from planner.scenario.schema import Product, Today
from planner.shop.calendar import Calendar, Levers, season_of


@dataclass(frozen=True, kw_only=True)
class Work:
    """Pieces of one product a month [piece], each broadcasting to (draws, months).

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
        """Pieces delivered and paid [piece]."""
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
    """Pieces a month with the machine [piece].

    Notes
    -----
    k·(today + share·(planned − today))·growth·season·weeks.
    """
    today = values(product.today)
    added = levers.added * (values(product.planned) - today)
    return (today + calendar.share * added) * _scale(product, calendar, values, levers)


def pieces_bought_in(
    *, product: Product, today: Today | None, calendar: Calendar, values: Values, levers: Levers
) -> Number:
    """Pieces a month that bought-in transfers serve when nothing is signed [piece]."""
    if not can_buy_in(product=product, today=today):
        return 0.0 * pieces_asked(product=product, calendar=calendar, values=values, levers=levers)
    now = values(product.today)
    needs = machine_share(product=product, today=today, values=values)
    added = levers.added * (values(product.planned) - now) * (1 - needs)
    return (now + calendar.share * added) * _scale(product, calendar, values, levers)


def work_without(*, pieces: Number, served: Number = 1.0) -> Work:
    """Work for which transfers are bought in: of ``pieces`` [piece] the share ``served`` [-]."""
    bought = served * pieces
    return Work(asked=pieces, made=0.0, bought=bought, hurried=0.0, lost=pieces - bought)


def work_made(*, pieces: Number) -> Work:
    """Work whose ``pieces`` are all made [piece]."""
    return Work(asked=pieces, made=pieces, bought=0.0, hurried=0.0, lost=0.0)


def unmade(
    *, asked: Sequence[Number], without: Sequence[Number], served: Number, calendar: Calendar
) -> list[Number]:
    """Pieces that the machine does not serve and bought-in transfers could, while it runs [piece].

    Product by product; of those ``asked`` for [piece] the share ``served`` [-] is made; ``without``
    are the pieces that transfers would serve if there were no machine [piece].
    """
    left = calendar.running * (1 - served)
    return [
        left * np.minimum(pieces, bought) for pieces, bought in zip(asked, without, strict=True)
    ]


def work_with(
    *, asked: Number, made: Number, until: Number, bought: Number, in_a_hurry: bool
) -> Work:
    """Work with the machine, which makes ``made`` of the pieces ``asked`` for [piece].

    ``until`` are bought in until it runs [piece]; of the rest ``bought`` are [piece], and what is
    left is lost.
    """
    usual, hurried = (until, bought) if in_a_hurry else (until + bought, 0.0)
    lost = np.maximum(asked - made - usual - hurried, 0.0)
    return Work(asked=asked, made=made, bought=usual, hurried=hurried, lost=lost)


def _scale(product: Product, calendar: Calendar, values: Values, levers: Levers) -> Number:
    season = season_of(product, calendar, values)
    return levers.volume * calendar.volume * season * calendar.weeks
