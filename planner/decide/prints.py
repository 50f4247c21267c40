"""What a finished piece of each product costs, part by part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from planner.case import Case
from planner.decide.steady import equivalent_monthly_cost
from planner.plan import Plan
from planner.scenario.estimates import Number
from planner.scenario.schema import Product
from planner.shop import costs, energy
from planner.shop.labour import full_wage
from planner.shop.machine import Setting
from planner.shop.month import care_hours, pieces_asked, upsets_of
from planner.shop.volume import area_and_hours, volume_of
from planner.shop.work import work_made


@dataclass(frozen=True)
class PrintCost:
    """Cost of one piece sold [money], in an average order at full volume and month-1 prices.

    ``parts`` add up to ``full``, which costs every hour whether it is paid or not and holds the
    piece's share of overheads; ``with_equipment`` adds its share of the equipment's equivalent
    monthly cost. ``area_only`` is the ink, powder and film of the printed area alone. ``film_use``
    is printed area ÷ film fed [-].
    """

    product: str
    parts: Mapping[str, float]
    material: float
    full: float
    with_equipment: float
    area_only: float
    film_use: float
    price: float

    @property
    def groups(self) -> Mapping[str, float]:
        """The parts gathered into five [money], for a picture."""
        return {name: sum(self.parts[part] for part in parts) for name, parts in _GROUPS.items()}


_MATERIAL = ("garment", "ink", "film", "powder")
_GROUPS: Final = {
    "garment": ("garment",),
    "materials": ("ink", "film", "powder"),
    "labour": ("artwork and set-up", "printing", "cutting", "pressing"),
    "fees, energy": ("energy", "payment fee", "packing"),
    "overheads": ("overhead share",),
}


def print_costs(case: Case, plan: Plan) -> tuple[PrintCost, ...]:
    """Cost of a piece of every product, made on this machine."""
    setting = case.setting(plan.machine, case.steady)
    share = _overhead_an_area(setting)
    equipment = equivalent_monthly_cost(plan) / _good_area(setting)
    return tuple(_print_cost(setting, at, share, equipment) for at in range(len(setting.products)))


def _good_area(setting: Setting) -> float:
    """Printed area of a steady month's planned pieces, without rejects [m²]."""
    return sum(
        _one(pieces) * use.area
        for pieces, use in zip(pieces_asked(setting), setting.machine.uses, strict=True)
    )


def _overhead_an_area(setting: Setting) -> float:
    """All that belongs to no single print, by planned good area [money/m²]."""
    volumes = [
        volume_of(setting, product, work_made(pieces=pieces))
        for product, pieces in zip(setting.products, pieces_asked(setting), strict=True)
    ]
    care = care_hours(setting)
    printed, hours = area_and_hours(setting, volumes, care=care)
    days = setting.calendar.open_days
    materials = costs.material_costs(setting, costs.consumption(setting, volumes, printed, days))
    power = costs.energy_cost(setting, printed, hours.pressing, days)
    running = _running_energy(setting, printed, hours.pressing)
    parts = (
        sum(setting.values.scalar(overhead.cost) for overhead in setting.scenario.overheads),
        materials["ink lost"],
        materials["ink thrown away"],
        materials["film ends"],
        materials["film"] * setting.machine.rates.in_roll_ends,
        *costs.keeping_costs(setting, printed, upsets_of(setting)).values(),
        care * full_wage(shop=setting.scenario.shop, values=setting.values),
        power - running,
    )
    return _one(sum(parts, 0.0)) / _good_area(setting)


def _running_energy(setting: Setting, printed: Number, pressing: Number) -> Number:
    """Electricity while printing, drying and pressing [money]."""
    values = setting.values
    power = energy.powers(equipment=setting.equipment, values=values)
    used = (
        power.printer * setting.machine.printing_hours(printed, values)
        + power.dryer * setting.machine.drying_hours(printed, values)
        + energy.press_energy(equipment=setting.equipment, pressing=pressing, values=values)
    )
    return used * values(setting.scenario.shop.electricity)


def _print_cost(setting: Setting, at: int, share: float, equipment: float) -> PrintCost:
    product, use = setting.products[at], setting.machine.uses[at]
    alone = _only(setting, at)
    parts = {name: _one(cost) for name, cost in _parts_of_one(alone, product).items()}
    parts["overhead share"] = share * use.area
    full = sum(parts.values())
    rates = setting.machine.rates
    plain = _one(
        use.covered * (rates.ink_cost + rates.powder_cost) + use.area * rates.film_area_price
    )
    width = setting.values.scalar(setting.machine.film.roll.width)
    return PrintCost(
        product=product.name,
        parts=parts,
        material=sum(parts[name] for name in _MATERIAL),
        full=full,
        with_equipment=full + equipment * use.area,
        area_only=plain,
        film_use=use.area / (use.film * width),
        price=setting.values.scalar(product.price),
    )


def _only(setting: Setting, at: int) -> Setting:
    """The setting with one product."""
    scenario = setting.scenario.model_copy(update={"products": (setting.products[at],)})
    machine = replace(
        setting.machine, uses=(setting.machine.uses[at],), bought=(setting.machine.bought[at],)
    )
    return replace(setting, scenario=scenario, machine=machine)


def _parts_of_one(setting: Setting, product: Product) -> dict[str, Number]:
    """What one piece sold takes, redone work, spoilage and rejects included."""
    done = work_made(pieces=1.0)
    count = volume_of(setting, product, done)
    printed, hours = area_and_hours(setting, [count], care=0.0)
    used = costs.material_costs(setting, costs.consumption(setting, [count], printed, 0.0))
    wage = full_wage(shop=setting.scenario.shop, values=setting.values)
    sales = costs.sales_lines(setting, [done])
    selling = costs.selling_costs(setting, sales, [count])
    return {
        "garment": costs.garment_cost(setting, [count]),
        "ink": used["ink"],
        "film": used["film"] * (1 - setting.machine.rates.in_roll_ends),
        "powder": used["powder"],
        "artwork and set-up": (hours.artwork + hours.order_setup) * wage,
        "printing": hours.tending * wage,
        "cutting": hours.cutting * wage,
        "pressing": hours.pressing * wage,
        "energy": _running_energy(setting, printed, hours.pressing),
        "payment fee": selling["payment fees"],
        "packing": selling["packing"],
    }


def _one(amount: Number) -> float:
    return float(np.ravel(np.asarray(amount))[0])


def steady_cost_gap(case: Case, plan: Plan, prints: tuple[PrintCost, ...]) -> tuple[float, float]:
    """All costs of a steady month by pieces and by lines, every hour paid [money].

    The first is full cost × pieces, the second the month's cost lines when nothing is down and all
    is made here; the two agree because every cost belongs either to a print or to the share of
    overheads.
    """
    setting = case.setting(plan.machine, case.steady)
    pieces = [_one(count) for count in pieces_asked(setting)]
    by_piece = sum(one.full * count for one, count in zip(prints, pieces, strict=True))
    works = [work_made(pieces=count) for count in pieces]
    volumes = [
        volume_of(setting, product, done)
        for product, done in zip(setting.products, works, strict=True)
    ]
    printed, hours = area_and_hours(setting, volumes, care=care_hours(setting))
    days = setting.calendar.open_days
    wage = full_wage(shop=setting.scenario.shop, values=setting.values)
    lines = (
        costs.garment_cost(setting, volumes),
        *costs.material_costs(setting, costs.consumption(setting, volumes, printed, days)).values(),
        hours.total * wage,
        costs.energy_cost(setting, printed, hours.pressing, days),
        *costs.keeping_costs(setting, printed, upsets_of(setting)).values(),
        costs.overhead_cost(setting, has_machine=True),
        *costs.selling_costs(setting, costs.sales_lines(setting, works), volumes).values(),
    )
    return by_piece, _one(sum(lines, 0.0))
