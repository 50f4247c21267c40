"""Parts that wear out, supplies and insurance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.scenario.derived import SUPPLIES_SHARE_A_YEAR, WEAR_MONTHS, WEAR_SHARE
from planner.scenario.estimates import Array, Number, Values
from planner.scenario.schema import Equipment, Item, Warranty
from planner.shop.calendar import Calendar
from planner.shop.total import total


def items_of(equipment: Equipment) -> tuple[Item, ...]:
    """The things bought; a price for the whole set counts as one thing."""
    if equipment.items is not None:
        return equipment.items
    assert equipment.price is not None  # the scenario's checks see to it
    return (Item.model_validate({"name": equipment.name, "price": equipment.price}),)


def item_price(*, item: Item, equipment: Equipment, values: Values) -> Number:
    """Price of an item times its number after discount, before sales tax [money]."""
    return values(item.price) * values.whole(item.quantity) * (1 - values(equipment.discount))


def equipment_price(*, equipment: Equipment, values: Values) -> Number:
    """Price of the whole set after discount, before sales tax [money]."""
    return sum(
        (item_price(item=item, equipment=equipment, values=values) for item in items_of(equipment)),
        0.0,
    )


@dataclass(frozen=True, kw_only=True)
class _Wear:
    """A wear part as numbers: cost of a set [money], lives [m², month], covered or not."""

    cost: Number
    life: Number
    life_at_most: Number
    covered: bool


def wear_cost(
    *,
    equipment: Equipment,
    warranty: Warranty,
    machines: int,
    price: Number,
    printed: Number,
    calendar: Calendar,
    values: Values,
) -> Number:
    """Wear parts a month [money, month-1 prices].

    A part is paid in the month in which its life in area or its age is reached, none in the last
    month; area printed beyond a life counts for the next part. In the steady month the cost
    accrues: price × max(area ÷ life, 1 ÷ life at most). Several machines share what is ``printed``
    [m²], and listed parts are those of each.
    """
    machines = max(1, machines)
    printed = printed / machines
    costs = (
        _wear_of(part, printed, warranty, calendar, values)
        for part in _wear_parts(equipment, machines, price, values)
    )
    return total([0.0 * printed, *costs])


def _wear_of(
    part: _Wear, printed: Number, warranty: Warranty, calendar: Calendar, values: Values
) -> Number:
    """What one part costs a month, ``printed`` the area of one machine."""
    if calendar.is_steady:
        return part.cost * np.maximum(printed / part.life, 1 / part.life_at_most)
    free = part.covered & (calendar.age <= values.scalar(warranty.term))
    return _replacements(part, np.atleast_2d(printed), calendar) * (part.cost * ~free)


def _wear_parts(
    equipment: Equipment, machines: int, price: Number, values: Values
) -> Iterator[_Wear]:
    if equipment.wear_parts is None:
        yield _Wear(cost=WEAR_SHARE * price, life=np.inf, life_at_most=WEAR_MONTHS, covered=False)
        return
    for part in equipment.wear_parts:
        yield _Wear(
            cost=values(part.price) * values.whole(part.count) * machines,
            life=values(part.life) if part.life else np.inf,
            life_at_most=values(part.life_at_most) if part.life_at_most else np.inf,
            covered=part.covered,
        )


def _replacements(part: _Wear, printed: Array, calendar: Calendar) -> Array:
    """How many sets of the part are paid in each month, shape (draws, months)."""
    lives = np.ravel(part.life), np.ravel(part.life_at_most)
    (draws,) = np.broadcast_shapes(printed.shape[:1], *(one.shape for one in lives))
    life, life_at_most = (np.broadcast_to(one, (draws,)) for one in lives)
    area, age = np.zeros(draws), np.zeros(draws)
    paid = np.zeros((draws, calendar.months))
    printed = np.broadcast_to(printed, (draws, calendar.months))
    for month in range(calendar.months - 1):
        area += printed[:, month]
        age += calendar.running[month]
        by_area, by_age = np.floor(area / life + 1e-12), age >= life_at_most
        if not (by_area.any() or by_age.any()):
            continue
        by_age &= by_area == 0
        paid[:, month] = by_area + by_age
        used = by_area * np.where(by_area > 0, life, 0.0)
        area = np.where(by_age, 0.0, area - used)
        age = np.where(by_age | (by_area > 0), 0.0, age)
    return paid


def supplies_cost(*, equipment: Equipment, price: Number, values: Values) -> Number:
    """Cleaning supplies a month, by default a share of the ``price`` [money, month-1 prices]."""
    if equipment.supplies is not None:
        return values(equipment.supplies)
    return SUPPLIES_SHARE_A_YEAR / 12 * price


def insurance_cost(*, equipment: Equipment, price: Number, values: Values) -> Number:
    """Insurance and property tax a month, a share of the ``price`` [money, month-1 prices]."""
    return values(equipment.insurance) / 12 * price
