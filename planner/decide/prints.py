"""What a finished piece of each product costs, part by part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.case import Case
from planner.decide.steady import equivalent_monthly_cost
from planner.plan import Plan
from planner.scenario.estimates import Number
from planner.shop import buying, costs, energy
from planner.shop.labour import full_wage
from planner.shop.machine import Setting
from planner.shop.month import care_hours, pieces_asked, upsets_of
from planner.shop.ratio import ratio
from planner.shop.volume import Volume, area_and_hours, volume_of
from planner.shop.work import work_made, work_without


@dataclass(frozen=True)
class PrintCost:
    """Cost of one piece sold [money], in an average order at full volume and month-1 prices.

    ``parts`` add up to ``full``, which costs every hour whether it is paid or not and holds the
    piece's share, by area, of upkeep and overheads: all that belongs to no single print;
    ``with_equipment`` adds its share of the equipment's equivalent
    monthly cost. ``area_only`` is the ink, powder and film of the printed area alone. ``film_use``
    is printed area ÷ film fed [-]. On a set that only presses, bought transfers with their
    delivery stand for ink, film and powder, and the supplier's sheet for the film.
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
        return {
            name: sum(self.parts.get(part, 0.0) for part in parts)
            for name, parts in _GROUPS.items()
        }


_MATERIAL: Final = ("garment", "ink", "film", "powder", "transfers", "delivery")
_GROUPS: Final = {
    "garment": ("garment",),
    "materials": ("ink", "film", "powder", "transfers", "delivery"),
    "labour": ("artwork and set-up", "printing", "cutting", "pressing"),
    "fees, packing, energy": ("energy", "payment fee", "packing"),
    "upkeep and overheads": ("upkeep and overheads",),
}


def print_costs(case: Case, plan: Plan) -> tuple[PrintCost, ...]:
    """Cost of a piece of every product, made on this machine."""
    setting = case.setting(plan.machine, case.steady)
    share = overhead_an_area(setting)
    equipment = equivalent_monthly_cost(plan) / good_area(setting)
    return tuple(_print_cost(setting, at, share, equipment) for at in range(len(setting.products)))


def good_area(setting: Setting) -> float:
    """Printed area of a steady month's planned pieces, without rejects [m²]."""
    return sum(
        _one(pieces) * use.area
        for pieces, use in zip(pieces_asked(setting), setting.machine.uses, strict=True)
    )


def overhead_an_area(setting: Setting) -> float:
    """All that belongs to no single print, by planned good area [money/m²]."""
    volumes = _volumes(setting, pieces_asked(setting))
    care = care_hours(setting)
    printed, hours = area_and_hours(setting, volumes, care=care)
    days = setting.calendar.open_days
    materials = costs.material_costs(setting, costs.consumption(setting, volumes, printed, days))
    power = costs.energy_cost(setting, printed, hours.pressing, days)
    running = running_energy(setting, printed, hours.pressing)
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
    return _one(sum(parts, 0.0)) / good_area(setting)


def running_energy(setting: Setting, printed: Number, pressing: Number) -> Number:
    """Electricity for an area ``printed`` [m²] and hours of ``pressing`` [hour, money]."""
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
    alone = setting.alone(at)
    taken_in = _printed_here(alone) if setting.machine.count else _bought_in(setting, at)
    handled = _handled(alone)
    in_order = {"garment": handled["garment"]} | taken_in | handled
    parts = {name: _one(cost) for name, cost in in_order.items()}
    parts["upkeep and overheads"] = share * use.area
    full = sum(parts.values())
    taken = use.film * setting.values.scalar(setting.machine.film.roll.width)
    if not setting.machine.count:
        taken = setting.machine.bought[at]
    return PrintCost(
        product=product.name,
        parts=parts,
        material=sum(parts.get(name, 0.0) for name in _MATERIAL),
        full=full,
        with_equipment=full + equipment * use.area,
        area_only=_area_only(setting, at, parts),
        film_use=use.area / taken if taken else 0.0,
        price=setting.values.scalar(product.price),
    )


def _area_only(setting: Setting, at: int, parts: Mapping[str, float]) -> float:
    """What the area alone costs, as in practice: plain materials, or the transfer itself."""
    if not setting.machine.count:
        return parts["transfers"]
    use, rates = setting.machine.uses[at], setting.machine.rates
    return _one(
        use.covered * (rates.ink_cost + rates.powder_cost) + use.area * rates.film_area_price
    )


def _volumes(setting: Setting, pieces: Sequence[Number]) -> list[Volume]:
    """Counts behind pieces that are all made here, or all bought in where nothing is printed."""
    done = work_made if setting.machine.count else work_without
    return [
        volume_of(setting, product, done(pieces=each))
        for product, each in zip(setting.products, pieces, strict=True)
    ]


def _printed_here(alone: Setting) -> dict[str, Number]:
    """Ink, film and powder of one piece sold; the film's ends are overheads."""
    counts = _volumes(alone, [1.0])
    printed, _ = area_and_hours(alone, counts, care=0.0)
    used = costs.material_costs(alone, costs.consumption(alone, counts, printed, 0.0))
    film = used["film"] * (1 - alone.machine.rates.in_roll_ends)
    return {"ink": used["ink"], "film": film, "powder": used["powder"]}


def _bought_in(setting: Setting, at: int) -> dict[str, Number]:
    """The transfers of one piece sold, at the price of the month's orders, and their delivery.

    Delivery is shared by the price of the transfers.
    """
    today, values, calendar = setting.scenario.today, setting.values, setting.calendar
    assert today is not None  # the scenario's checks see to it
    volumes = _volumes(setting, pieces_asked(setting))
    bought = costs.purchases(setting, [count.bought for count in volumes])
    price = buying.area_price(bought, today=today, calendar=calendar, values=values)
    (one,) = _volumes(setting.alone(at), [1.0])
    own = bought[at]
    transfers = one.bought * (own.area * price if own.piece_price is None else own.piece_price)
    month = costs.bought_costs(setting, volumes)
    delivery = ratio(transfers * month["delivery of transfers"], month["transfers bought in"])
    return {"transfers": transfers, "delivery": delivery}


def _handled(alone: Setting) -> dict[str, Number]:
    """What one piece sold takes apart from its transfer, redone work and spoilage included."""
    counts = _volumes(alone, [1.0])
    printed, hours = area_and_hours(alone, counts, care=0.0)
    wage = full_wage(shop=alone.scenario.shop, values=alone.values)
    selling = costs.selling_costs(alone, costs.sales_lines(alone, [work_made(pieces=1.0)]), counts)
    return {
        "garment": costs.garment_cost(alone, counts),
        "artwork and set-up": (hours.artwork + hours.order_setup) * wage,
        "printing": hours.tending * wage,
        "cutting": hours.cutting * wage,
        "pressing": hours.pressing * wage,
        "energy": running_energy(alone, printed, hours.pressing),
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
    volumes = _volumes(setting, pieces)
    printed, hours = area_and_hours(setting, volumes, care=care_hours(setting))
    days = setting.calendar.open_days
    wage = full_wage(shop=setting.scenario.shop, values=setting.values)
    lines = (
        costs.garment_cost(setting, volumes),
        *costs.bought_costs(setting, volumes).values(),
        *costs.material_costs(setting, costs.consumption(setting, volumes, printed, days)).values(),
        hours.total * wage,
        costs.energy_cost(setting, printed, hours.pressing, days),
        *costs.keeping_costs(setting, printed, upsets_of(setting)).values(),
        costs.overhead_cost(setting, has_machine=True),
        *costs.selling_costs(setting, costs.sales_lines(setting, works), volumes).values(),
    )
    return by_piece, _one(sum(lines, 0.0))
