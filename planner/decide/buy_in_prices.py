"""Make or buy at other prices of bought-in transfers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.case import Case
from planner.decide.breakeven import MakeOrBuy
from planner.decide.solve import Crossing, Outcome, lasting_crossing
from planner.decide.steady import transfer_costs
from planner.plan import Plan
from planner.scenario.estimates import Array, Estimate, Number

FACTORS: Final = (0.8, 0.9, 1.0, 1.1, 1.2)
HIGHEST_FACTOR: Final = 10.0


def at_buy_in_price(case: Case, factor: Number) -> Case:
    """The case with every price of bought-in transfers multiplied by a factor [-].

    The price by area, its breaks by order size and prices a piece move together; delivery stays.
    """
    moved = case
    for price in _prices(case):
        moved = moved.with_value(price.key, case.values(price) * factor)
    return moved


def price_range(case: Case) -> tuple[float, float] | None:
    """Ends of the range of the price by area as factors on it [-].

    None where it has no range, or is likely to be nothing.
    """
    today = case.scenario.today
    price = today.buy_in_price if today else None
    likely = case.values.scalar(price) if price else 0.0
    if price is None or not price.is_range or likely == 0:
        return None
    return price.low / likely, price.high / likely


def _prices(case: Case) -> Iterator[Estimate]:
    today = case.scenario.today
    if today is not None and today.buy_in_price is not None:
        yield today.buy_in_price
        yield from (step.price for step in today.price_breaks)
    yield from (product.buy_in for product in case.scenario.products if product.buy_in)


@dataclass(frozen=True, kw_only=True)
class AtPrice:
    """From which area making stays cheaper when bought-in transfers cost ``factor`` times as much.

    ``name`` says which price that is, ``price`` is the one by area [money/m²], None where transfers
    have prices a piece only; ``area`` [m²/week], None with a ``reason`` where there is none.
    """

    name: str
    factor: float
    price: float | None
    area: float | None
    reason: str


@dataclass(frozen=True, kw_only=True)
class Balance:
    """The buy-in price from which making costs less than buying.

    ``area`` is the planned one, or what fills the shop where that is less [m²/week]; ``is_planned``
    tells which. ``factor`` is that on all buy-in prices, None with a ``reason`` where there is
    none; ``price`` the price by area that it makes [money/m²], None where there is none.
    """

    area: float
    is_planned: bool
    factor: float | None
    price: float | None
    reason: str


@dataclass(frozen=True, kw_only=True)
class BuyInPrices:
    """Make or buy over the price of bought-in transfers, ``rows`` by price."""

    rows: tuple[AtPrice, ...]
    balance: Balance


def buy_in_prices(case: Case, plan: Plan, found: MakeOrBuy | None) -> BuyInPrices | None:
    """Crossings over the price's range and up to a fifth off it, and the price in balance.

    None where there is nothing to make or buy.
    """
    if found is None:
        return None
    return BuyInPrices(
        rows=tuple(
            _at_price(case, plan, found, factor=factor, name=name) for factor, name in _asked(case)
        ),
        balance=_balance(case, plan, found),
    )


def _asked(case: Case) -> list[tuple[float, str]]:
    """Factors on the price with their names, the lowest first."""
    ends = price_range(case) or ()
    asked = list(zip(ends, ("low end of the range", "high end of the range"), strict=False))
    for factor in FACTORS:
        if not any(math.isclose(factor, end) for end in ends):
            asked.append((factor, "likely" if factor == 1 else f"{factor:.0%} of likely"))
    return sorted(asked)


def _at_price(case: Case, plan: Plan, found: MakeOrBuy, *, factor: float, name: str) -> AtPrice:
    moved = at_buy_in_price(case, factor)
    crossing = crossing_at(moved, plan, capacity=found.capacity)
    return AtPrice(
        name=name,
        factor=factor,
        price=_price(case, factor),
        area=None if crossing.value is None else crossing.value * found.buyable_area,
        reason={
            Outcome.FOUND: "",
            Outcome.ALWAYS: "making is cheaper at any volume",
            Outcome.NEVER: "buying stays cheaper up to capacity",
        }[crossing.outcome],
    )


def _balance(case: Case, plan: Plan, found: MakeOrBuy) -> Balance:
    share = min(1.0, found.capacity)
    crossing = factor_in_balance(case, plan, share=share)
    return Balance(
        area=share * found.buyable_area,
        is_planned=found.capacity >= 1,
        factor=crossing.value,
        price=_price(case, crossing.value),
        reason={
            Outcome.FOUND: "",
            Outcome.ALWAYS: "making costs less at any price",
            Outcome.NEVER: f"making costs more even at {HIGHEST_FACTOR:g} times the price",
        }[crossing.outcome],
    )


def _price(case: Case, factor: float | None) -> float | None:
    today = case.scenario.today
    if factor is None or today is None or today.buy_in_price is None:
        return None
    return factor * case.values.scalar(today.buy_in_price)


def crossing_at(case: Case, plan: Plan, *, capacity: float) -> Crossing:
    """Factor on the planned volume from which making stays cheaper up to capacity [-]."""

    def saved(factors: Array) -> Array:
        costs = transfer_costs(case, plan, factors)
        return costs.bought - costs.made

    return lasting_crossing(saved, low=0.0, high=capacity)


def factor_in_balance(case: Case, plan: Plan, *, share: float) -> Crossing:
    """Factor on all buy-in prices from which a share of the planned volume is cheaper made [-]."""

    def saved(factors: Array) -> Array:
        moved = at_buy_in_price(case, factors[:, np.newaxis])
        costs = transfer_costs(moved, plan, np.full(len(factors), share))
        return costs.bought - costs.made

    return lasting_crossing(saved, low=0.0, high=HIGHEST_FACTOR)


def make_or_buy_by_price(asked: BuyInPrices | None) -> list[dict[str, object]]:
    """The rows as plain data: prices [money/m²], areas [m²/week]."""
    return [
        {
            "buy_in_price": row.name,
            "price_factor": row.factor,
            "price": row.price,
            "make_or_buy_area_per_week": row.area,
            "reason": row.reason or None,
        }
        for row in (asked.rows if asked else ())
    ]


def break_even_buy_in_price(asked: BuyInPrices | None) -> dict[str, object] | None:
    """The price in balance as plain data: price [money/m²], area [m²/week]."""
    if asked is None:
        return None
    found = asked.balance
    return {
        "area_per_week": found.area,
        "is_planned": found.is_planned,
        "price_factor": found.factor,
        "price": found.price,
        "reason": found.reason or None,
    }
