"""Payback over volume and selling price: how far both may fall short together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.case import Case, Choice
from planner.decide.breakeven import pieces_at, volume_lever
from planner.decide.evaluation import headline_for_cash
from planner.finance.series import payback
from planner.scenario.estimates import Array

VOLUMES: Final = (0.5, 0.7, 0.85, 1.0, 1.15, 1.3, 1.5)  # factors; the plan is 1
PRICES: Final = (0.8, 0.9, 0.95, 1.0, 1.05, 1.1, 1.2)


@dataclass(frozen=True, eq=False)
class Grid:
    """Payback of the plan against buying in, before financing, by volume and selling price.

    ``lever`` says what ``volumes`` are factors on: ``added``, the work beyond today's, or
    ``volume``, all of it where nothing is added. ``pieces`` are the pieces a week at each volume,
    ``prices`` factors on all selling prices. ``months`` (volumes, prices) [month] are infinite
    where payback is not reached within the horizon; the cell ``plan`` is the plan itself.
    """

    lever: str
    volumes: tuple[float, ...]
    pieces: tuple[float, ...]
    prices: tuple[float, ...]
    months: Array
    plan: tuple[int, int]


def payback_grid(case: Case, choice: Choice) -> Grid:
    """Payback at every pair of a volume and a price, all worked out in one evaluation."""
    lever = volume_lever(case)
    volumes = np.repeat(VOLUMES, len(PRICES))[:, np.newaxis]
    prices = np.tile(PRICES, len(VOLUMES))[:, np.newaxis]
    headline = headline_for_cash(case.moved(**{lever: volumes, "price": prices}), choice)
    months = payback(flows=headline.before_end).months
    cells = np.broadcast_to(months, (volumes.size,)).reshape(len(VOLUMES), len(PRICES))
    return Grid(
        lever=lever,
        volumes=VOLUMES,
        pieces=tuple(sum(pieces_at(case, lever=lever, factor=factor)) for factor in VOLUMES),
        prices=PRICES,
        months=np.where(np.isnan(cells), np.inf, cells),
        plan=(VOLUMES.index(1.0), PRICES.index(1.0)),
    )
