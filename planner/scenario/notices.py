"""What a reader of the answer must know about its inputs, in words; one line each.

Each line is ``key: words`` with the key as ``--set`` takes it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from planner.scenario.checks import KEYS_OF_KIND
from planner.scenario.derived import (
    DOWN_DAYS_COVERED,
    DOWN_DAYS_UNCOVERED,
    IDLE_SHARE,
    LOAN_DOWN_PAYMENT,
    PRACTICE_AREA,
    PRICE_LIST_QUANTITIES,
    REPAIRS_SHARE_A_YEAR,
    START_UP_SHARE,
    SUPPLIES_SHARE_A_YEAR,
    TRAINING_HOURS,
    WEAR_MONTHS,
    WEAR_SHARE,
)
from planner.scenario.doubtful import doubts_about
from planner.scenario.estimates import Estimate
from planner.scenario.key_paths import quoted_name
from planner.scenario.schema import Equipment, Financing, Item, Product, Scenario, Today, Warranty
from planner.scenario.tree import Leaf, leaves

_NOT_OF_THE_PLAN: Final = (
    "title",
    "prepared_for",
    "prepared_by",
    "locale",
    "units",
    "selling.minimum_order",
)

# What the owner asks for, and what only prices single orders: nobody else knows it.
_WISHES: Final = ("conditions.", "hurdle_rate", "selling.", "orders.", "lender.", "price_list.")

# A way to pay that stays under it loses to one that reaches it, where both are worth the same.
_NOT_ASKED_FOR: Final = ", which no bank asked for; it may decide which way to pay is spoken of"

# Money that is zero where nothing is written, by its place in the schema.
LEFT_OUT: Final = {
    "today.delivery": "delivery of bought-in transfers",
    "selling.payment_fee_each": "fixed part of the fee for each payment",
    "selling.packing": "packing",
    "stock.opening": "materials in stock from the first day",
    "equipment.sales_tax": "sales tax or VAT on the equipment, as far as it is not recovered",
    "equipment.warranty.price": "price of this warranty",
    "equipment.warranty.deductible": "what the shop pays of a repair under warranty",
    "financing.fee": "fee of the loan",
    "financing.deposit": "deposit of the lease",
    "financing.document_fee": "document fee of the lease",
    "financing.sales_tax": "sales tax on lease payments",
}

_LISTS: Final = {
    "start_up": "what it takes to make the equipment run",
    "wear_parts": "parts that wear out",
}


def defaults_in_words(scenario: Scenario) -> tuple[str, ...]:
    """Every default in use that is no amount of money, with those that follow from other inputs."""
    written = (
        f"{leaf.written_key}: {_words(leaf.value)}" for leaf in leaves(scenario) if _acts(leaf)
    )
    return (*written, *_derived(scenario))


def is_default_cover(scenario: Scenario) -> bool:
    """Whether the least cover of debt payments is the plan's own, asked for by no bank."""
    return "debt_service_cover_at_least" not in scenario.lender.model_fields_set


def costs_left_out(scenario: Scenario) -> tuple[str, ...]:
    """Costs that stand at zero because the file says nothing of them."""
    return tuple(_left_out(scenario))


def doubts(scenario: Scenario) -> tuple[str, ...]:
    """Warnings of implausible or missing inputs, none of which stops the plan."""
    return tuple(doubts_about(scenario))


def prices_and_rates(scenario: Scenario) -> tuple[Estimate, ...]:
    """Amounts of money and yearly rates that the file gives, what the owner wishes aside."""
    return tuple(
        leaf.value
        for leaf in leaves(scenario)
        if isinstance(leaf.value, Estimate)
        and not leaf.is_default
        and leaf.value.unit.startswith(("money", "share/year"))
        and not leaf.path.startswith(_WISHES)
    )


def is_sourced(estimate: Estimate) -> bool:
    """Whether a table, a part of the value or a comment says where a number is from."""
    return bool(estimate.source) or estimate.basis != "estimated"


def _acts(leaf: Leaf) -> bool:
    """Whether a leaf is a default that changes what is computed and is no amount of money."""
    if not leaf.is_default or leaf.path in _NOT_OF_THE_PLAN or leaf.path in LEFT_OUT:
        return False
    if leaf.path == "lender.debt_service_cover_at_least":  # said with what it decides
        return False
    if leaf.value is None or leaf.value == () or leaf.path.endswith((".source", ".date")):
        return False
    return _applies(leaf)


def _applies(leaf: Leaf) -> bool:
    """Whether the table that holds a leaf lets it act."""
    name = leaf.path.rpartition(".")[2]
    match leaf.table:
        case Financing(kind=kind):
            return name in KEYS_OF_KIND[kind]
        case Today(buy_in_by="picture"):
            return name not in ("sheet_width", "sheet_gap")
        case Warranty():
            return name != "name"
        case _:
            return True


def _words(value: Any) -> str:
    """A value as a user would write it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, tuple):
        return ", ".join(str(part) for part in value)
    return value.written if isinstance(value, Estimate) else str(value)


def _derived(scenario: Scenario) -> Iterator[str]:
    """Defaults that follow from another input."""
    if scenario.shop.season is None and any(p.season is None for p in scenario.products):
        yield "shop.season: the same in every month"
    for product in scenario.products:
        yield from _of_product(product, scenario.today)
    for equipment in scenario.equipment:
        base = f"equipment.{quoted_name(equipment.name)}"
        yield from (f"{base}.{line}" for line in _of_equipment(equipment))
    for offer in scenario.financing:
        if offer.is_loan and offer.amount is None and offer.down_payment is None:
            key = f"financing.{quoted_name(offer.name or '')}.down_payment"
            yield f"{key}: {_percent(LOAN_DOWN_PAYMENT)} of what the loan covers"
    cover = scenario.lender.debt_service_cover_at_least
    if is_default_cover(scenario):
        yield f"lender.debt_service_cover_at_least: {cover.written}{_NOT_ASKED_FOR}"
    if scenario.price_list.quantities is None:
        yield f"price_list.quantities: {', '.join(map(str, PRICE_LIST_QUANTITIES))}"
    if scenario.conditions.pays_back_within is None:
        yield f"conditions.pays_back_within: the horizon, {scenario.horizon.written}"


def _of_product(product: Product, today: Today | None) -> Iterator[str]:
    if product.needs_machine is not None:
        return
    key = f"products.{quoted_name(product.name)}.needs_machine"
    if today is not None and (product.buy_in or today.buy_in_price):
        yield f"{key}: 0 %, since bought-in transfers have a price"
    else:
        yield f"{key}: 100 %, since bought-in transfers have no price"


def _of_equipment(equipment: Equipment) -> Iterator[str]:
    if equipment.items is None and equipment.price is not None:
        whole = Item(name=equipment.name, price=equipment.price)
        worth = f"{whole.worth.share.written} of it after {whole.worth.after.written}"
        yield f"price: for one thing with a life of {whole.life.written}, worth {worth}"
    if equipment.print_speed is None:
        yield "print_speed: none; the set only presses, and transfers are bought in"
    elif equipment.dryer_speed is None:
        yield "dryer_speed: the printer's"
    if equipment.idle_power is None and equipment.print_speed is not None:
        yield f"idle_power: {_percent(IDLE_SHARE)} of printer and dryer power"
    if equipment.power is not None:
        yield "power: counts as the dryer's while the dryer is on"
    if equipment.supplies is None:
        yield f"supplies: {_percent(SUPPLIES_SHARE_A_YEAR)}/year of the price"
    if equipment.wear_parts is None:
        yield f"wear_parts: {_percent(WEAR_SHARE)} of the price each {WEAR_MONTHS:g} months"
    if equipment.repairs is None:
        yield (
            f"repairs: {_percent(REPAIRS_SHARE_A_YEAR)}/year of the price after the warranty; "
            f"down {DOWN_DAYS_COVERED:g} days a year under it, {DOWN_DAYS_UNCOVERED:g} after it"
        )
    if equipment.start_up is None:
        yield (
            f"start_up: {_percent(START_UP_SHARE)} of the price, {TRAINING_HOURS:g} hours of "
            f"training and {PRACTICE_AREA / 0.3048**2:g} ft^2 of practice prints"
        )


def _percent(share: float) -> str:
    return f"{share * 100:g} %"


def _left_out(scenario: Scenario) -> Iterator[str]:
    for leaf in leaves(scenario):
        if leaf.is_default and leaf.path in LEFT_OUT and _is_cost(leaf):
            yield f"{leaf.key}: {LEFT_OUT[leaf.path]}"
    if not scenario.overheads:
        yield "overheads: floor space, software and other fixed costs that begin with the purchase"
    if scenario.tax is None:
        yield "tax: income tax; every figure is before tax"
    for equipment in scenario.equipment:
        for name, what in _LISTS.items():
            if getattr(equipment, name) == ():
                yield f"equipment.{quoted_name(equipment.name)}.{name}: {what}; the list is empty"
        steps = equipment.start_up
        if steps and not any(step.hours for step in steps):
            key = f"equipment.{quoted_name(equipment.name)}.start_up"
            yield f"{key}: training; the list names no hours"


def _is_cost(leaf: Leaf) -> bool:
    """Whether a zero may be a cost forgotten; the warranty that comes with the price is none."""
    if isinstance(leaf.table, Warranty):
        return bool(leaf.table.model_fields_set - {"name"})
    return _applies(leaf)
