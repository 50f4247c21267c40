"""Ways to pay for one machine against each other: the cheapest, the easiest on cash."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from planner.decide.answer import Answered

CLEAR: Final = 0.01  # of the present cost: a smaller difference is none


def same_machine(answered: Sequence[Answered], as_one: Answered) -> tuple[Answered, ...]:
    """The choices that differ from one only in the way to pay."""
    names = as_one.choice.names[:2]
    return tuple(one for one in answered if one.choice.names[:2] == names)


def cheapest(answered: Sequence[Answered]) -> tuple[Answered, float, bool]:
    """The way to pay with the least present cost, how much less than the next, if that is clear.

    The difference is in [money]; one below 1 % of the present cost is no clear one. Of equals it is
    the first.
    """
    ranked = sorted(answered, key=lambda one: round(one.figures.paying.present_cost, 2))
    least = ranked[0].figures.paying.present_cost
    following = ranked[1].figures.paying.present_cost if len(ranked) > 1 else least
    gap = following - least
    return ranked[0], gap, gap >= CLEAR * abs(least)


def easiest(answered: Sequence[Answered]) -> tuple[Answered, float]:
    """The way to pay with the highest lowest balance, and how far it is above the next [money]."""
    ranked = sorted(answered, key=lambda one: -one.figures.cash.lowest)
    following = ranked[1].figures.cash.lowest if len(ranked) > 1 else ranked[0].figures.cash.lowest
    return ranked[0], ranked[0].figures.cash.lowest - following
