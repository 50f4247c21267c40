"""A choice beside what it is compared with: today's work, buying in, the whole plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from planner.case import Case, Choice, choices
from planner.ledger import Group, Ledger
from planner.plan import Plan, Without, plan, plans, without
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
        """Flows before financing (draws, months + 1)."""
        return self.choice_for_cash.net - self.other.net

    @cached_property
    def before_end(self) -> Array:
        """The same without what only the end of the horizon brings."""
        return self.choice_for_cash.before_end - self.other.before_end

    @cached_property
    def net_financed(self) -> Array:
        """Flows of own cash, financing included (draws, months + 1)."""
        return self.choice.net - self.other.net

    @cached_property
    def before_end_financed(self) -> Array:
        """The same without what only the end of the horizon brings."""
        return self.choice.before_end - self.other.before_end

    def total(self, *groups: Group) -> Array:
        """Difference of groups of lines, the choice with its financing (draws, months + 1)."""
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
    sides: dict[str, tuple[Without, Without]] = {}
    for own, own_today in zip(plans(case, wanted), plans(case.today(), wanted), strict=True):
        key = own.choice.equipment.name  # its press is all that counts without it
        if key not in sides:
            sides[key] = without(case, own.machine), without(case.today(), own.machine)
        yield Evaluation(case, own, own_today, *sides[key])


def headline_for_cash(case: Case, choice: Choice) -> Comparison:
    """The plan against buying in with the machine bought for cash; nothing else is worked out."""
    own = plan(case, choice.for_cash())
    return Comparison(own.ledger, own.cash_ledger, without(case, own.machine).ledger)


def running_total(flows: Array) -> Array:
    """Cumulative flows (draws, months + 1)."""
    return np.cumsum(flows, axis=-1)
