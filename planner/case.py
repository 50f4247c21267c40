"""A scenario with the values of one evaluation, and the choices it offers."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final

from planner.scenario.estimates import Number, Values
from planner.scenario.schema import Equipment, Financing, Scenario, Warranty
from planner.shop.calendar import Calendar, Levers, plan_calendar, steady_calendar
from planner.shop.machine import Machine, Setting
from planner.shop.repairs import Chances

CASH: Final = Financing.model_validate({"kind": "cash", "name": "Cash"})


@dataclass(frozen=True)
class Choice:
    """One thing the shop could sign."""

    equipment: Equipment
    warranty: Warranty
    financing: Financing

    @property
    def names(self) -> tuple[str, str, str]:
        """Names of equipment, warranty and financing."""
        return self.equipment.name, self.warranty.name, self.financing.name or ""

    def for_cash(self) -> Choice:
        """The same machine bought for cash."""
        return Choice(self.equipment, self.warranty, CASH)

    @property
    def label(self) -> str:
        """The choice in words."""
        return " · ".join(self.names)


def choices(scenario: Scenario) -> tuple[Choice, ...]:
    """Every combination of equipment, warranty and a way to pay that is offered for it."""
    return tuple(
        Choice(equipment, warranty, financing)
        for equipment in scenario.equipment
        for warranty in equipment.warranty
        for financing in scenario.financing
        if financing.equipment in (None, equipment.name)
    )


@dataclass(frozen=True, eq=False)
class Case:
    """A scenario with the values of one evaluation: the likely ones, or draws of them.

    ``levers`` move volume, added work or selling prices as a whole; ``chances`` decide on failures
    where they are drawn.
    """

    scenario: Scenario
    values: Values = field(default_factory=Values)
    levers: Levers = field(default_factory=Levers)
    chances: Chances | None = None

    @cached_property
    def calendar(self) -> Calendar:
        """The months to the horizon."""
        return plan_calendar(scenario=self.scenario, values=self.values)

    @cached_property
    def months(self) -> int:
        """Months to the horizon."""
        return self.values.whole(self.scenario.horizon)

    @cached_property
    def steady(self) -> Calendar:
        """The one steady month."""
        return steady_calendar(scenario=self.scenario, values=self.values)

    @cached_property
    def hurdle(self) -> Number:
        """The hurdle rate a month, (1 + r)^(1/12) − 1."""
        return (1 + self.values(self.scenario.hurdle_rate)) ** (1 / 12) - 1

    def setting(self, machine: Machine, calendar: Calendar) -> Setting:
        """The machine at work in this shop over the calendar's months."""
        return Setting(
            scenario=self.scenario,
            machine=machine,
            calendar=calendar,
            values=self.values,
            levers=self.levers,
            chances=self.chances,
        )

    def moved(self, **levers: Number) -> Case:
        """The same case with levers moved."""
        return replace(self, levers=replace(self.levers, **levers))

    def with_value(self, key: str, value: Number) -> Case:
        """The same case with the input under a key worth another value, in its own unit."""
        return replace(self, values=self.values.with_value(key, value))

    def today(self) -> Case:
        """The same case with today's work only."""
        return self.moved(added=0.0)
