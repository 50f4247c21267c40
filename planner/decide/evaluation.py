"""A choice beside what it is compared with: today's work, buying in, the whole plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import Final

import numpy as np

from planner.case import Case, Choice, choices
from planner.ledger import Group, Ledger
from planner.plan import Plan, Shop, Without, financed, machine_under, payment_of, shop_with
from planner.scenario.estimates import Array

TODAY_ONLY: Final = "today_only"
AGAINST_BUYING_IN: Final = "against_buying_in"
WHOLE_PLAN: Final = "whole_plan"
COMPARISONS: Final = (TODAY_ONLY, AGAINST_BUYING_IN, WHOLE_PLAN)


@dataclass(frozen=True, eq=False)
class Comparison:
    """A choice less what it is compared with, month by month."""

    choice: Ledger
    choice_for_cash: Ledger
    other: Ledger

    @cached_property
    def net(self) -> Array:
        """Flows before financing (draws, months + 1) [money]."""
        return self.choice_for_cash.net - self.other.net

    @cached_property
    def before_end(self) -> Array:
        """The same without what only the end of the horizon brings [money]."""
        return self.choice_for_cash.before_end - self.other.before_end

    @cached_property
    def net_financed(self) -> Array:
        """Flows of own cash, financing included (draws, months + 1) [money]."""
        return self.choice.net - self.other.net

    @cached_property
    def before_end_financed(self) -> Array:
        """The same without what only the end of the horizon brings [money]."""
        return self.choice.before_end - self.other.before_end

    def total(self, *groups: Group) -> Array:
        """Difference of groups of lines, financing included (draws, months + 1) [money]."""
        return self.choice.total(*groups) - self.other.total(*groups)


@dataclass(frozen=True, eq=False)
class Evaluation:
    """A choice with the three comparisons that its answer hangs on.

    A, today's work only; B, the plan against buying in; C, the whole plan against today.
    """

    case: Case
    plan: Plan
    plan_today: Plan
    without: Without
    today: Without

    @property
    def choice(self) -> Choice:
        """The choice."""
        return self.plan.choice

    @cached_property
    def comparisons(self) -> dict[str, Comparison]:
        """The three comparisons by name."""
        sides = {
            TODAY_ONLY: (self.plan_today, self.today),
            AGAINST_BUYING_IN: (self.plan, self.without),
            WHOLE_PLAN: (self.plan, self.today),
        }
        return {
            name: Comparison(own.ledger, own.cash_ledger, other.ledger)
            for name, (own, other) in sides.items()
        }

    @property
    def headline(self) -> Comparison:
        """The plan against buying in."""
        return self.comparisons[AGAINST_BUYING_IN]

    @property
    def whole(self) -> Comparison:
        """The whole plan against today."""
        return self.comparisons[WHOLE_PLAN]


def evaluations(case: Case, wanted: tuple[Choice, ...] | None = None) -> Iterator[Evaluation]:
    """Evaluate choices, all of the scenario's where none are named."""
    wanted = choices(case.scenario) if wanted is None else wanted
    for equipment, of_set in groupby(wanted, key=lambda choice: choice.equipment):
        shop = shop_with(case, equipment)
        today = shop.today()
        for _, alike in groupby(of_set, key=lambda choice: choice.warranty):
            yield from _ways_to_pay(shop, today, tuple(alike))


def _ways_to_pay(shop: Shop, today: Shop, alike: tuple[Choice, ...]) -> Iterator[Evaluation]:
    """Evaluate choices that differ in their financing only, one held at a time."""
    warranty = alike[0].warranty
    base, base_today = machine_under(shop, warranty), machine_under(today, warranty)
    for choice in alike:
        payment = payment_of(base, choice)
        yield Evaluation(
            case=shop.case,
            plan=financed(base, choice, payment),
            plan_today=financed(base_today, choice, payment),
            without=shop.without,
            today=today.without,
        )


def headline_for_cash(case: Case, choice: Choice) -> Comparison:
    """The plan against buying in with the machine bought for cash; nothing else is worked out."""
    shop = shop_with(case, choice.equipment)
    own = machine_under(shop, choice.warranty).cash_ledger
    return Comparison(own, own, shop.without.ledger)


def running_total(flows: Array) -> Array:
    """Cumulative ``flows`` (draws, months + 1) [money]."""
    return np.cumsum(flows, axis=-1)
