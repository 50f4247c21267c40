"""What a piece of each product costs, part by part, in an average order at month-1 prices."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.decide.prints import PrintCost, print_costs
from planner.deliver.workbook.book import Entry, Listing, Sheet, Words
from planner.deliver.workbook.facts import Facts, one
from planner.deliver.workbook.full_month import full_month
from planner.deliver.workbook.grid import Grid, Heading, Line
from planner.scenario.estimates import Number
from planner.shop.labour import full_wage

PRINT_COST: Final = "Print cost"
_PRINTED: Final = "{products.each}/(1-spoilage_transfers)"
_HANDLED: Final = "{products.orders}*(1+spoilage_redone)"
_PRESS_ENERGY: Final = "equipment_press_power*equipment_press_duty*{products.pressing}"
_PARTS: Final = {
    "garment": "{products.garments}*{products.garment}",
    "ink": f"{_PRINTED}*{{products.covered}}*ink_cost",
    "film": f"{_PRINTED}*{{products.film}}*film_plain_price",
    "powder": f"{_PRINTED}*{{products.covered}}*powder_cost",
    "artwork and set-up": "{products.ordering}*full_wage",
    "printing": f"{_PRINTED}*{{products.area}}*labour_tending*full_wage",
    "cutting": f"{_PRINTED}*{{products.prints}}*labour_cutting*full_wage",
    "pressing": "{products.pressing}*full_wage",
    "energy": f"(power_printer*{_PRINTED}*{{products.area}}/equipment_print_speed"
    f"+power_dryer*{_PRINTED}*{{products.area}}/dryer_speed"
    f"+{_PRESS_ENERGY})*shop_electricity",
    "payment fee": "{products.price}*selling_payment_fee"
    "+selling_payment_fee_each*{products.orders}",
    "packing": f"selling_packing*{_HANDLED}",
    "upkeep and overheads": "overhead_an_area*{products.area}",
}

_BOUGHT_INSTEAD: Final = {
    "transfers": "{products.each}*{products.bought_area}*full_bought_price",
    "delivery": "IF(full_bought_transfers>0,"
    "{transfers}*full_bought_delivery/full_bought_transfers,0)",
}
_OF_PRINTING: Final = ("ink", "film", "powder", "printing")


def print_cost_sheet(facts: Facts) -> Sheet:
    """Parts by product, then the prices and the full month that they rest on."""
    costs = print_costs(facts.case, facts.plan)
    grid = Grid(
        alias="piece",
        axis="product",
        labels=tuple(cost.product for cost in costs),
        blocks=tuple(_lines(facts, costs)),
    )
    sheet = Sheet(title=PRINT_COST, frozen=(4, grid.margin))
    sheet.add(
        Words(text="Cost of a piece", style="title"),
        Words(
            text="One piece sold, at full volume and month-1 prices; every hour is costed, paid or "
            "not; rejects, spoiled garments and redone work are in every part."
        ),
    ).gap()
    return sheet.add(grid).gap().add(_prices(facts)).gap().add(full_month(facts, costs))


def _lines(facts: Facts, costs: tuple[PrintCost, ...]) -> Iterator[Line | Heading]:
    def line(key: str, label: str, values: list[float], formula: str, *, is_sum: bool) -> Line:
        return Line(
            key=key,
            label=label,
            unit=facts.currency,
            values=tuple(values),
            formula=formula,
            is_sum=is_sum,
        )

    parts = _PARTS if facts.prints else _pressed_parts(facts)
    keys = {name: name.replace(" ", "_").replace("-", "_") for name in parts}
    for name, formula in parts.items():
        yield line(keys[name], name, [cost.parts[name] for cost in costs], formula, is_sum=False)
    yield line(
        "full",
        "full cost",
        [cost.full for cost in costs],
        "+".join(f"{{{key}}}" for key in keys.values()),
        is_sum=True,
    )
    yield line(
        "with_equipment",
        "full cost with its share of the equipment",
        [cost.with_equipment for cost in costs],
        "{full}+equipment_month/full_area*{products.area}",
        is_sum=True,
    )
    prices = [cost.price for cost in costs]
    yield line("price", "selling price", prices, "{products.price}", is_sum=False)
    yield line(
        "left",
        "price less full cost with equipment",
        [cost.price - cost.with_equipment for cost in costs],
        "{price}-{with_equipment}",
        is_sum=True,
    )


def _pressed_parts(facts: Facts) -> dict[str, str]:
    """Parts of a piece whose transfer is bought in and pressed."""
    bought = dict(_BOUGHT_INSTEAD)
    if any(product.buy_in for product in facts.scenario.products):
        bought["transfers"] += "+{products.each}*{products.buy_in}"
    kept = {name: formula for name, formula in _PARTS.items() if name not in _OF_PRINTING}
    kept["cutting"] = "{products.each}*{products.prints}*labour_cutting*full_wage"
    kept["energy"] = f"{_PRESS_ENERGY}*shop_electricity"
    return {"garment": kept.pop("garment")} | bought | kept


def _prices(facts: Facts) -> Listing:
    rates, money = facts.machine.rates, facts.currency
    plain_film = one(rates.film_price) * (1 - one(rates.in_roll_ends))
    wage = full_wage(shop=facts.scenario.shop, values=facts.values)
    figures: list[tuple[str, str, str, Number, str]] = [
        ("full_wage", "an hour of work with on-costs", f"{money}/hour", wage,
         "shop_wage*(1+shop_on_costs)"),
        ("white_share", "white in all ink", "%", rates.white / (rates.white + rates.colour),
         "rate_white/(rate_white+rate_colour)"),
        ("ink_cost", "ink, a covered area", f"{money}/m²", rates.ink_cost,
         "rate_white*ink_white_price+rate_colour*ink_colour_price"),
        ("liquid_price", "ink that belongs to no print", f"{money}/L", rates.liquid_price,
         "ink_cost/(rate_white+rate_colour)"),
        ("powder_cost", "powder, a covered area", f"{money}/m²", rates.powder_cost,
         "rate_powder/(1-powder_lost)*powder_price"),
        ("film_price", "film fed, roll ends included", f"{money}/m", rates.film_price,
         "film_roll_price/(film_length-film_roll_ends)"),
        ("film_plain_price", "film fed, without them", f"{money}/m", plain_film,
         "film_roll_price/film_length"),
        ("plain_cost", "ink, powder and film without layout", f"{money}/m²", rates.plain_cost,
         "ink_cost+powder_cost+film_roll_price/(film_length*film_width)"),
    ]  # fmt: skip
    return Listing(
        title="Prices worked out",
        entries=tuple(
            Entry(name=name, label=label, unit=unit, value=one(value), formula=formula)
            for name, label, unit, value, formula in figures
        ),
    )
