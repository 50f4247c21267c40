"""What is odd about a scenario without being wrong; each doubt is one line."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from planner.scenario.estimates import Estimate
from planner.scenario.key_paths import quoted_name
from planner.scenario.plausible import implausible, own_unit_of, rounded
from planner.scenario.schema import Equipment, Financing, Item, Product, Scenario, Today
from planner.scenario.shapes import value_at
from planner.scenario.tree import leaves
from planner.scenario.units import factor

FEWEST_PRINTS: Final = 5
LEANS: Final = 0.05  # of the range, by which an end may be off before it is said
EVEN: Final = {  # shapes without a lean, and what they have on both sides
    "normal": "as much below the likely value as above it",
    "lognormal": "the same proportion below the likely value as above it",
}

# What a machine needs to run, and the parts of words by which a list says so.
_NEEDS: Final = {
    "extraction": ("extract", "ventilat", "exhaust", "fume"),
    "a circuit for the dryer": ("circuit", "electri", "wiring"),
    "humidity control": ("humid",),
}


def doubts_about(scenario: Scenario) -> Iterator[str]:
    """Every doubt, values first; each line begins with its key."""
    for leaf in leaves(scenario):
        if isinstance(leaf.value, Estimate) and not leaf.is_default:
            said = implausible(leaf.path, leaf.value, currency=scenario.currency)
            if said:
                yield f"{leaf.key}: {said}"
            yield from _lopsided(leaf.key, leaf.value, currency=scenario.currency)
    yield from _test_prints(scenario)
    yield from _season(scenario)
    yield from _limits(scenario)
    for product in scenario.products:
        yield from _product(product, scenario.today)
    yield from _price_breaks(scenario.today)
    for offer in scenario.financing:
        yield from _offer(offer, scenario.equipment)
    for equipment in scenario.equipment:
        if equipment.print_speed is not None:
            yield from _unready(equipment)
        yield from _short_lived(equipment, horizon=scenario.horizon)


def _lopsided(key: str, one: Estimate, *, currency: str) -> Iterator[str]:
    """A range that leans to one side in a shape that cannot: it does not end where it says."""
    if not one.is_range or one.shape not in EVEN:
        return
    ends = value_at(replace(one, least=-math.inf, most=math.inf), np.array([0.1, 0.9]))
    if np.abs(ends - [one.low, one.high]).max() <= LEANS * (one.high - one.low):
        return
    own, unit = own_unit_of(one, currency)
    low, high = (f"{rounded(float(end) / own)} {unit}".strip() for end in ends)
    yield (
        f"{key}: {one.written} has not {EVEN[one.shape]}, as shape {one.shape!r} has: the likely "
        f"value and the width are held, low and high are not; 1 case in 10 lies below {low}, 1 in "
        f"10 above {high}. Shape 'pert' or 'triangular' ends at low and high"
    )


def _test_prints(scenario: Scenario) -> Iterator[str]:
    """Rates per area over all prints that no usual print has, and too few prints."""
    rows = scenario.prints
    if len(rows) < FEWEST_PRINTS:
        some = "one print gives no range" if len(rows) == 1 else f"{len(rows)} prints are few"
        yield f"test_prints: {some}; print and weigh at least {FEWEST_PRINTS} designs"
    area = sum(row.area.likely for row in rows)
    used = {
        "white": (sum(row.white.likely for row in rows), "litre/metre**2"),
        "colour": (sum(row.colour.likely for row in rows), "litre/metre**2"),
        "powder": (
            sum(row.after_powder.likely - row.before_powder.likely for row in rows),
            "kilogram/metre**2",
        ),
    }
    for name, (amount, unit) in used.items():
        shown = rate_in_words(amount / area, kind=name, units=scenario.units)
        rate = Estimate(likely=amount / area, unit=unit, written=shown)
        said = implausible(f"test_prints.{name}", rate, currency=scenario.currency)
        if said:
            yield f"test_prints: {name}: {said}"


def rate_in_words(value: float, *, kind: str, units: str) -> str:
    """A rate of ink [L/m²] or powder [kg/m²] in the units in which the scenario is shown."""
    area = "ft^2" if units == "inch" else "m^2"
    shown = value * 1000 * factor(area, "metre**2", "")
    return f"{rounded(shown)} {'g' if kind == 'powder' else 'mL'}/{area}"


def _season(scenario: Scenario) -> Iterator[str]:
    has_own = all(product.season is not None for product in scenario.products)
    if scenario.shop.season is None and not has_own and scenario.horizon.likely >= 12:
        yield (
            "shop.season: no season is given, so every month sells the same; "
            "twelve months of invoiced sales would show the lean ones"
        )


def _limits(scenario: Scenario) -> Iterator[str]:
    horizon = scenario.horizon
    limit = scenario.conditions.pays_back_within
    if limit is not None and limit.likely > horizon.likely:
        yield (
            f"conditions.pays_back_within: {limit.written} lies beyond the horizon of "
            f"{horizon.written}; a payback after the horizon is not seen"
        )
    for debt in scenario.shop.debts:
        if debt.ends < scenario.start:
            key = f"shop.debts.{quoted_name(debt.name)}.ends"
            yield f"{key}: {debt.ends} lies before the start, {scenario.start}"


def _product(product: Product, today: Today | None) -> Iterator[str]:
    key = f"products.{quoted_name(product.name)}"
    if product.planned.likely < product.today.likely:
        yield (
            f"{key}.planned: {product.planned.written} is less than today's {product.today.written}"
        )
    if not product.garment_supplied and product.price.likely <= product.garment.likely:
        yield f"{key}.price: {product.price.written} does not pay for the garment alone"
    has_price = today is not None and (product.buy_in or today.buy_in_price)
    needs = product.needs_machine
    if needs is not None and needs.low < 1 and not has_price:
        yield (
            f"{key}.needs_machine: {needs.written} says that the rest could be bought in, "
            "but no price for bought-in transfers stands"
        )


def _price_breaks(today: Today | None) -> Iterator[str]:
    """Breaks at which a larger order costs as much or more by area."""
    if today is None or today.buy_in_price is None:
        return
    steps = sorted(today.price_breaks, key=lambda step: step.from_.likely)
    before = today.buy_in_price
    for step in steps:
        if step.price.likely >= before.likely:
            yield (
                f"{step.price.key}: {step.price.written} from {step.from_.written} is not less "
                f"than the {before.written} of smaller orders"
            )
        before = step.price


def _unready(equipment: Equipment) -> Iterator[str]:
    """What a machine needs to run and nothing says is bought or there."""
    bought = [step.name for step in equipment.start_up or ()]
    bought += [item.name for item in equipment.items or ()]
    said = " ".join([*bought, *equipment.in_place]).lower()
    lacking = [need for need, words in _NEEDS.items() if not any(word in said for word in words)]
    if lacking:
        yield (
            f"equipment.{quoted_name(equipment.name)}: nothing says that {_and(lacking)} "
            f"{'is' if len(lacking) == 1 else 'are'} bought or there; "
            "name it under start_up with its cost, or in in_place"
        )


def _offer(offer: Financing, sets: Sequence[Equipment]) -> Iterator[str]:
    """An amount above the price that it is for; who pays sales tax on a lease's payments."""
    key = f"financing.{quoted_name(offer.name or '')}"
    mine = [one for one in sets if offer.equipment in (None, one.name)]
    if offer.amount is not None and offer.covers == ("equipment",):
        for one in mine:
            most = _price_with_tax(one)
            if offer.amount.likely > most + 0.005:
                yield (
                    f"{key}.amount: {offer.amount.written} is more than the {most:.2f} that "
                    f"{quoted_name(one.name)} costs with sales tax; no more than that is lent"
                )
    is_silent = offer.kind == "lease" and "sales_tax" not in offer.model_fields_set
    if is_silent and "equipment" in offer.covers and any(one.sales_tax.likely for one in mine):
        yield (
            f"{key}.sales_tax: nothing says who pays sales tax on the lease payments, and the plan "
            f'takes the lessor to pay it; set {key}.sales_tax, "0 %" where the lessor does'
        )


def _price_with_tax(equipment: Equipment) -> float:
    """Price of a set after discount, with sales tax [money]."""
    items = equipment.items or ()
    listed = sum(item.price.likely * item.quantity.likely for item in items)
    price = equipment.price.likely if equipment.price is not None else listed
    return price * (1 - equipment.discount.likely) * (1 + equipment.sales_tax.likely)


def _and(words: list[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]


def _short_lived(equipment: Equipment, *, horizon: Estimate) -> Iterator[str]:
    """Items that are bought again before the horizon."""
    base = f"equipment.{quoted_name(equipment.name)}"
    items = [(f"{base}.items.{quoted_name(one.name)}.life", one) for one in equipment.items or ()]
    if equipment.price is not None:
        items = [(base, Item(name=equipment.name, price=equipment.price))]
    for key, item in items:
        if item.life.likely < horizon.likely - 1e-9:
            yield (
                f"{key}: a life of {item.life.written} ends before the horizon of "
                f"{horizon.written}; the plan buys it again"
            )
