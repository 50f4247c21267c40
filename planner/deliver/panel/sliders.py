"""The sliders of a scenario: which inputs each moves, and how far."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from planner.decide.stress import own_unit
from planner.deliver.panel.controls import Moved, Slider, slider
from planner.scenario.derived import LOAN_DOWN_PAYMENT
from planner.scenario.estimates import Estimate
from planner.scenario.key_paths import quoted_name
from planner.scenario.schema import Equipment, Financing, Product, Scenario
from planner.shop.upkeep import items_of
from planner.shop.work import can_buy_in

MOST_PRODUCTS: Final = 3  # that have a slider of their own for the work that needs the machine
TERMS: Final = (12.0, 84.0)  # month
POINTS: Final = 0.05  # of a yearly rate, each way
FILM: Final = {  # name, label and share each way of the sliders of a roll
    "roll_price": ("film", "Film, price of a roll", 0.25),
    "margin": ("film edge", "Film left blank along each edge", 1.0),
    "gap": ("film gap", "Film left blank between two prints", 1.0),
}


def sliders(scenario: Scenario) -> tuple[Slider, ...]:
    """Every slider of a scenario; the share of work that needs the machine comes first."""
    return tuple(_sliders(scenario))


def _sliders(scenario: Scenario) -> Iterator[Slider]:
    currency = scenario.currency
    printing = frozenset(one.name for one in scenario.equipment if one.print_speed is not None)
    yield from _needing_the_machine(scenario)
    yield _volume(scenario)
    yield _price(scenario)
    yield from _buying_in(scenario)
    for equipment in scenario.equipment:
        yield _price_of_set(equipment, currency)
    yield _direct("wage", "Wage", scenario.shop.wage, currency)
    yield replace(_ink(scenario), equipment=printing)
    yield from _film(scenario, printing)
    rejected = _direct(
        "spoilage", "Transfers spoiled", scenario.spoilage.transfers, currency, span=(0.0, 0.2)
    )
    yield replace(rejected, equipment=printing)
    for offer in scenario.financing:
        yield from _terms(offer, currency)


# --- the work -----------------------------------------------------------------------------------


def _needing_the_machine(scenario: Scenario) -> Iterator[Slider]:
    """For the products that add most work and could be bought in."""
    growing = [
        product
        for product in scenario.products
        if can_buy_in(product=product, today=scenario.today) and _added(product) > 0
    ]
    for product in sorted(growing, key=_added, reverse=True)[:MOST_PRODUCTS]:
        key = f"products.{quoted_name(product.name)}.needs_machine"
        share = product.needs_machine or _by_default(key, 0.0)
        label = f"Added work that only the machine can do: {product.name}"
        name = f"needs machine: {product.name}"
        yield _direct(name, label, share, scenario.currency, span=(0.0, 1.0))


def _added(product: Product) -> float:
    """Pieces a week beyond today's."""
    return product.planned.likely - product.today.likely


def _volume(scenario: Scenario) -> Slider:
    """Pieces added a week; where none are, all that are planned."""
    products = scenario.products
    added = sum(_added(product) for product in products)
    if added > 0:
        moved = [
            Moved(one.planned, slope=_added(one) / added, base=one.today.likely)
            for one in products
            if _added(one)
        ]
        label, start = "Added work at full volume", added
    else:
        start = sum(product.planned.likely for product in products)
        moved = [Moved(one.planned, slope=one.planned.likely / start) for one in products]
        label = "All work at full volume"
    span = (0.0, 2 * start)
    unit = "pieces a week"
    return slider("volume", label, moved, unit=unit, start=start, span=span, whole=True)


# --- prices -------------------------------------------------------------------------------------


def _price(scenario: Scenario) -> Slider:
    """The price of the product that brings most; the others move alike."""
    products = sorted(
        scenario.products, key=lambda one: one.planned.likely * one.price.likely, reverse=True
    )
    label = "Selling price"
    if len(products) > 1:
        label = f"Selling price: {products[0].name} (other prices move alike)"
    prices = [product.price for product in products]
    return _alike("price", label, prices, scenario.currency)


def _buying_in(scenario: Scenario) -> Iterator[Slider]:
    """The price of bought-in transfers, its breaks and prices a piece alike."""
    today = scenario.today
    if today is None:
        return
    prices = [product.buy_in for product in scenario.products if product.buy_in is not None]
    if today.buy_in_price is not None:
        prices = [today.buy_in_price, *(one.price for one in today.price_breaks), *prices]
    if prices:
        label = "Price of bought-in transfers"
        label += " (breaks and prices a piece move alike)" if len(prices) > 1 else ""
        yield _alike("buy-in price", label, prices, scenario.currency)


def _price_of_set(equipment: Equipment, currency: str) -> Slider:
    """The price of all items of a set, each in proportion."""
    items = items_of(equipment)
    prices = [equipment.price] if equipment.price is not None else [item.price for item in items]
    start = sum(item.price.likely * item.quantity.likely for item in items)
    made = slider(
        f"price of {equipment.name}",
        "Price of the equipment, before discount and sales tax",
        [Moved(price, slope=price.likely / start) for price in prices],
        unit=currency,
        start=start,
        span=_around(start, 0.25),
    )
    return replace(made, equipment=frozenset({equipment.name}))


# --- materials ----------------------------------------------------------------------------------


def _ink(scenario: Scenario) -> Slider:
    """Ink and powder on a print: the coverage, a share of that of the test prints."""
    products = sorted(scenario.products, key=lambda one: -one.planned.likely)
    label = "Ink and powder on a print, against the test prints"
    if len(products) > 1:
        label += f": {products[0].name} (others move alike)"
    return _alike("ink", label, [one.coverage for one in products], scenario.currency)


def _film(scenario: Scenario, printing: frozenset[str]) -> Iterator[Slider]:
    """Price, edges and gaps of the film, for the sets that use it; a set's own film comes first."""
    for key, (name, label, each_way) in FILM.items():
        shared = printing
        for equipment in scenario.equipment:
            own = getattr(equipment.film, key)
            if own is not None:
                whose = frozenset({equipment.name})
                shared -= whose
                of_its_own = f"{name} of {equipment.name}"
                made = _direct(of_its_own, label, own, scenario.currency, each_way=each_way)
                yield replace(made, equipment=whose)
        if shared:
            estimate = getattr(scenario.film, key)
            made = _direct(name, label, estimate, scenario.currency, each_way=each_way)
            yield replace(made, equipment=shared)


# --- the ways to pay ----------------------------------------------------------------------------


def _terms(offer: Financing, currency: str) -> Iterator[Slider]:
    """Rate or payment, term and down payment of a loan or lease."""
    name = offer.name or ""
    if offer.rate is not None:
        span = (max(0.0, offer.rate.likely - POINTS), offer.rate.likely + POINTS)
        yield _of_offer(name, "rate", "Interest rate", offer.rate, currency, span=span)
    if offer.payment is not None:
        yield _of_offer(name, "payment", "Payment", offer.payment, currency)
    if offer.term is not None:
        yield _of_offer(name, "term", "Term", offer.term, currency, span=TERMS, whole=True)
    if offer.amount is not None:
        yield _of_offer(name, "amount", "Amount lent", offer.amount, currency)
    elif offer.is_loan:
        key = f"financing.{quoted_name(name)}.down_payment"
        down = offer.down_payment or _by_default(key, LOAN_DOWN_PAYMENT)
        yield _of_offer(name, "down payment", "Down payment", down, currency, span=(0.0, 0.6))


def _of_offer(
    offer: str,
    name: str,
    label: str,
    estimate: Estimate,
    currency: str,
    *,
    span: tuple[float, float] | None = None,
    whole: bool = False,
) -> Slider:
    made = _direct(f"{name} of {offer}", label, estimate, currency, span=span, whole=whole)
    return replace(made, financing=offer)


# --- inputs alone and together ------------------------------------------------------------------


def _direct(
    name: str,
    label: str,
    estimate: Estimate,
    currency: str,
    *,
    span: tuple[float, float] | None = None,
    each_way: float = 0.25,
    whole: bool = False,
) -> Slider:
    """A slider that is its one input, in the unit of the file; ``span`` in canonical units."""
    unit, scale = own_unit(estimate, currency)
    start = float(f"{estimate.likely / scale:.12g}")
    return slider(
        name,
        label,
        [Moved(estimate, slope=scale)],
        unit=unit,
        start=start,
        span=(span[0] / scale, span[1] / scale) if span else _around(start, each_way),
        whole=whole,
    )


def _alike(name: str, label: str, estimates: list[Estimate], currency: str) -> Slider:
    """A slider that is its first input; the others move in proportion."""
    first = _direct(name, label, estimates[0], currency)
    if not first.start:
        return first
    others = [Moved(one, slope=one.likely / first.start) for one in estimates[1:]]
    return slider(
        name,
        label,
        [*first.moved, *others],
        unit=first.unit,
        start=first.start,
        span=_around(first.start, 0.25),
    )


def _around(start: float, each_way: float) -> tuple[float, float]:
    """A share less and more; from nothing to one where there is nothing."""
    return ((1 - each_way) * start, (1 + each_way) * start) if start else (0.0, 1.0)


def _by_default(key: str, share: float) -> Estimate:
    """A share that the file leaves to follow from another input."""
    written = f"{100 * share:g} %"
    return Estimate(likely=share, unit="share", written=written, key=key, basis="default")
