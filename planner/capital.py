"""What is bought at the start, replaced on the way and sold at the end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.ledger import once
from planner.scenario.derived import PRACTICE_AREA, START_UP_SHARE, TRAINING_HOURS
from planner.scenario.estimates import Array, Number, Values
from planner.scenario.schema import Item, Scenario, StartUp
from planner.shop.calendar import Calendar
from planner.shop.labour import full_wage
from planner.shop.machine import Machine
from planner.shop.upkeep import item_price, items_of


@dataclass(frozen=True, kw_only=True)
class Asset:
    """One item over the horizon; prices [money], lives in months.

    ``price`` before sales tax and ``cost`` with it, both at signing; ``bought`` the months of
    purchase, 0 first; ``growth`` the factor on the price at each purchase.
    """

    name: str
    price: Number
    cost: Number
    life: float
    worth_after: float
    worth_share: Number
    bought: tuple[int, ...]
    growth: tuple[Number, ...]

    def value_by_month(self, months: int) -> Array:
        """Resale value at each month's end, price × share^(age ÷ after) (draws, months + 1)."""
        number = np.arange(months + 1)
        worth: Number = np.zeros((1, months + 1))
        until = (*self.bought[1:], months + 1)
        for at, (month, end) in enumerate(zip(self.bought, until, strict=True)):
            value = self._value(at, np.maximum(0, number - month))
            worth = worth + np.where((number >= month) & (number < end), value, 0.0)
        return np.asarray(worth)

    def value_at(self, month: int) -> Number:
        """The same at one month's end."""
        at = sum(bought <= month for bought in self.bought) - 1
        return self._value(at, month - self.bought[at])

    def _value(self, at: int, age: NDArray[np.int64] | int) -> Number:
        """Worth of what was bought at one of the purchases, at an age [month]."""
        return self.price * self.growth[at] * self.worth_share ** (age / self.worth_after)


@dataclass(frozen=True, kw_only=True)
class Outlays:
    """Positive amounts at signing by the part a financing may cover [money]."""

    equipment: Number
    sales_tax: Number
    start_up: Number
    warranty: Number
    first_fill: Number
    stock: Number

    @property
    def by_part(self) -> Mapping[str, Number]:
        """Parts under the names that ``covers`` uses; equipment with its sales tax."""
        return {
            "equipment": self.equipment + self.sales_tax,
            "start-up": self.start_up,
            "warranty": self.warranty,
            "first fill": self.first_fill,
            "stock": self.stock,
        }

    @property
    def total(self) -> Number:
        """All that is paid at signing."""
        return sum(self.by_part.values(), 0.0)


def assets(*, machine: Machine, calendar: Calendar, values: Values) -> tuple[Asset, ...]:
    """The items with their replacements: one whose life ends before the horizon is bought again."""
    equipment = machine.equipment
    tax = 1 + values(equipment.sales_tax)
    made = []
    for item in items_of(equipment):
        price = item_price(item=item, equipment=equipment, values=values)
        months = _purchase_months(item, values, int(calendar.held.sum()))
        made.append(
            Asset(
                name=item.name,
                price=price,
                cost=price * tax,
                life=values.scalar(item.life),
                worth_after=values.scalar(item.worth.after),
                worth_share=values(item.worth.share),
                bought=months,
                growth=(1.0, *(_growth_in(calendar, month) for month in months[1:])),
            )
        )
    return tuple(made)


def _purchase_months(item: Item, values: Values, months: int) -> tuple[int, ...]:
    life = values.scalar(item.life)
    replaced = np.arange(1, int(months / life) + 2) * life
    return (0, *(int(np.ceil(at - 1e-9)) for at in replaced if at < months - 1e-9))


def _growth_in(calendar: Calendar, month: int) -> Number:
    costs = np.broadcast_to(calendar.costs, np.broadcast_shapes(np.shape(calendar.costs), (1,)))
    return np.asarray(costs[..., month - 1 : month])


def outlays(*, scenario: Scenario, machine: Machine, values: Values) -> Outlays:
    """What is paid at signing."""
    return Outlays(
        equipment=machine.price,
        sales_tax=machine.price * values(machine.equipment.sales_tax),
        start_up=_start_up(scenario, machine, values),
        warranty=values(machine.warranty.price),
        first_fill=machine.count * values(scenario.ink.first_fill) * machine.rates.liquid_price,
        stock=values(scenario.stock.opening),
    )


def _start_up(scenario: Scenario, machine: Machine, values: Values) -> Number:
    wage = full_wage(shop=scenario.shop, values=values)
    plain = machine.rates.plain_cost if machine.count else 0.0
    if machine.equipment.start_up is None:
        return START_UP_SHARE * machine.price + TRAINING_HOURS * wage + PRACTICE_AREA * plain
    return sum((_step(step, wage, plain, values) for step in machine.equipment.start_up), 0.0)


def _step(step: StartUp, wage: Number, plain: Number, values: Values) -> Number:
    cost = values(step.cost) if step.cost else 0.0
    hours = values(step.hours) if step.hours else 0.0
    practice = values(step.practice) if step.practice else 0.0
    return cost + hours * wage + practice * plain


def replacements(items: tuple[Asset, ...], *, months: int) -> Array:
    """Replacements as a ledger column, money out (draws, months + 1)."""
    column = np.zeros((1, months + 1))
    for asset in items:
        for month, growth in zip(asset.bought[1:], asset.growth[1:], strict=True):
            column = column - once(asset.cost * growth, month=month, months=months)
    return column


def resale_by_month(items: tuple[Asset, ...], *, months: int) -> Array:
    """What all items would fetch at each month's end (draws, months + 1)."""
    return np.asarray(sum((a.value_by_month(months) for a in items), np.zeros((1, months + 1))))


def resale_at(items: tuple[Asset, ...], *, month: int) -> Number:
    """What all items would fetch at one month's end."""
    return sum((asset.value_at(month) for asset in items), 0.0)
