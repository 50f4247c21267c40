"""Sales and running costs of a month, line by line [money a month, costs positive]."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from planner.scenario.estimates import Number
from planner.shop import buying, energy, labour, upkeep
from planner.shop.machine import Setting
from planner.shop.ratio import ratio
from planner.shop.repairs import Upsets
from planner.shop.volume import Volume, sum_printed
from planner.shop.work import Work

MATERIAL_LINES: Final = (
    "garments",
    "ink",
    "film",
    "powder",
    "ink lost",
    "ink thrown away",
    "film ends",
)
BOUGHT_LINES: Final = (
    "transfers bought in",
    "transfers bought in a hurry",
    "delivery of transfers",
)
REPAIR_LINES: Final = ("wear parts", "repairs")
KEEPING_LINES: Final = ("supplies", "insurance", *REPAIR_LINES)


def sales_lines(setting: Setting, works: Sequence[Work]) -> dict[str, Number]:
    """Sales asked for, and what of them is lost, negative [money a month]."""
    asked: Number = 0.0
    lost: Number = 0.0
    for product, done in zip(setting.products, works, strict=True):
        price = setting.values(product.price) * setting.levers.price
        asked = asked + done.asked * price
        lost = lost + done.lost * price
    prices = setting.calendar.prices
    return {"sales": asked * prices, "sales lost": lost * (-1.0 * prices)}


def consumption(
    setting: Setting, volumes: Sequence[Volume], printed: Number, printing_days: Number
) -> dict[str, Number]:
    """White and colour ink [L], powder [kg], film [m] of prints; ink [L] and film [m] beside.

    An opened pack that is not used up while it keeps is thrown away, bottle by bottle.
    ``printed`` is the area of the month [m²], ``printing_days`` are its days on which the machine
    prints [day].
    """
    values, calendar = setting.values, setting.calendar
    ink, sheet, rates = setting.scenario.ink, setting.machine.film, setting.machine.rates
    uses = setting.machine.uses
    covered = sum_printed(setting, volumes, [use.covered for use in uses])
    film = sum_printed(setting, volumes, [use.film for use in uses])
    machines = setting.machine.count
    lost = (machines * calendar.running) * (
        values(ink.daily_loss) * calendar.open_days
        + values(ink.closed_day_loss) * calendar.closed_days
        + values(ink.long_stop.ink) * calendar.long_stops
    )
    a_day = machines * values(sheet.runs) * values(sheet.run_ends)
    ends: Number = printing_days * np.asarray(printed > 0) * a_day
    white, colour = covered * rates.white, covered * rates.colour
    in_white = rates.white / (rates.white + rates.colour)
    bottles = values.whole(ink.colours)
    spent = {"white": white + lost * in_white, "colour": (colour + lost * (1 - in_white)) / bottles}
    thrown = {kind: _thrown(setting, used) for kind, used in spent.items()}
    return {
        "white ink": white,
        "colour ink": colour,
        "white thrown away": thrown["white"],
        "colour thrown away": thrown["colour"] * bottles,
        "powder": covered * rates.powder,
        "film": film,
        "ink lost": lost,
        "film ends": ends,
    }


def _thrown(setting: Setting, used: Number) -> Number:
    """What of one bottle of each machine is thrown away a month [L], ``used`` [L] in all.

    A bottle empties within the time it keeps.
    """
    ink, values = setting.scenario.ink, setting.values
    least = setting.machine.count * values(ink.pack) / values(ink.keeps)
    thrown: Number = setting.calendar.running * np.maximum(0.0, least - used)
    return thrown


def material_costs(setting: Setting, consumed: Mapping[str, Number]) -> dict[str, Number]:
    """What is used, at the measured rates and the scenario's prices [money a month].

    ``consumed`` is what ``consumption`` gives: inks [L], powder [kg], film [m].
    """
    rates, growth = setting.machine.rates, setting.calendar.costs
    white, colour = rates.white_price * growth, rates.colour_price * growth
    film = rates.film_price * growth
    return {
        "ink": consumed["white ink"] * white + consumed["colour ink"] * colour,
        "film": consumed["film"] * film,
        "powder": consumed["powder"] * (rates.powder_price * growth),
        "ink lost": consumed["ink lost"] * growth * rates.liquid_price,
        "ink thrown away": consumed["white thrown away"] * white
        + consumed["colour thrown away"] * colour,
        "film ends": consumed["film ends"] * film,
    }


def garment_cost(setting: Setting, volumes: Sequence[Volume]) -> Number:
    """Garments, with spoiled and redone ones; these alone where customers bring theirs [money]."""
    cost: Number = 0.0
    for product, count in zip(setting.products, volumes, strict=True):
        bought = count.each - 1.0 if product.garment_supplied else count.each
        cost = cost + count.sold * (bought * setting.values(product.garment))
    return cost * setting.calendar.costs


def bought_costs(setting: Setting, volumes: Sequence[Volume]) -> dict[str, Number]:
    """Transfers bought in, those in a hurry, and delivery of both [money a month]."""
    today = setting.scenario.today
    if today is None:
        return dict.fromkeys(BOUGHT_LINES, 0.0 * setting.calendar.weeks)
    usual = buying.buying_cost(
        purchases(setting, [count.bought for count in volumes]),
        today=today,
        calendar=setting.calendar,
        values=setting.values,
    )
    hurried = buying.buying_cost(
        purchases(setting, [count.hurried for count in volumes]),
        today=today,
        calendar=setting.calendar,
        values=setting.values,
        share_of_orders=_share_hurried(setting, volumes),
        hurry=True,
    )
    costs = (usual.transfers, hurried.transfers, usual.delivery + hurried.delivery)
    return dict(zip(BOUGHT_LINES, costs, strict=True))


def purchases(setting: Setting, transfers: Sequence[Number]) -> list[buying.Purchase]:
    """The ``transfers`` of each product to buy [piece], with their area [m²] or price [money]."""
    return [
        buying.Purchase(
            transfers=count,
            area=area,
            piece_price=setting.values(product.buy_in) if product.buy_in else None,
        )
        for product, area, count in zip(
            setting.products, setting.machine.bought, transfers, strict=True
        )
    ]


def _share_hurried(setting: Setting, volumes: Sequence[Volume]) -> Number:
    """Area of transfers bought in a hurry ÷ area of all transfers wanted [-]."""
    hurried: Number = 0.0
    wanted: Number = 0.0
    for use, count in zip(setting.machine.uses, volumes, strict=True):
        area = count.each * use.area
        hurried = hurried + count.done.hurried * area
        wanted = wanted + count.done.asked * area
    return ratio(hurried, wanted)


def overtime_cost(setting: Setting, worked: Number) -> Number:
    """What overtime ``worked`` [hour] costs beyond its ordinary pay [money a month]."""
    return labour.overtime_pay(
        worked=worked, shop=setting.scenario.shop, calendar=setting.calendar, values=setting.values
    )


def labour_cost(setting: Setting, hours: Number) -> Number:
    """Cash for labour of so many ``hours`` a month [hour, money]."""
    return labour.paid_labour(
        hours=hours, shop=setting.scenario.shop, calendar=setting.calendar, values=setting.values
    )


def energy_cost(
    setting: Setting, printed: Number, pressing: Number, printing_days: Number
) -> Number:
    """Electricity of printer, dryer and press [money a month].

    ``printed`` is an area [m²], ``pressing`` work at the press [hour], ``printing_days`` are the
    days on which the machine prints [day].
    """
    equipment, values = setting.equipment, setting.values
    used = energy.machine_energy(
        equipment=equipment,
        machines=setting.machine.count,
        printing=setting.machine.printing_hours(printed, values),
        drying=setting.machine.drying_hours(printed, values),
        days=printing_days * np.asarray(printed > 0),
        calendar=setting.calendar,
        values=values,
    ) + energy.press_energy(equipment=equipment, pressing=pressing, values=values)
    return used * values(setting.scenario.shop.electricity) * setting.calendar.costs


def press_energy_cost(setting: Setting, pressing: Number) -> Number:
    """Electricity of the press alone for so much ``pressing`` [hour, money]."""
    used = energy.press_energy(
        equipment=setting.equipment, pressing=pressing, values=setting.values
    )
    return used * setting.values(setting.scenario.shop.electricity) * setting.calendar.costs


def keeping_costs(setting: Setting, printed: Number, upsets: Upsets) -> dict[str, Number]:
    """Supplies, insurance, wear parts and repairs when so much is ``printed`` [m², money]."""
    equipment, price, values = setting.equipment, setting.machine.price, setting.values
    costs: dict[str, Number] = {
        "supplies": setting.calendar.running
        * upkeep.supplies_cost(equipment=equipment, price=price, values=values),
        "insurance": setting.calendar.held
        * upkeep.insurance_cost(equipment=equipment, price=price, values=values),
        "wear parts": upkeep.wear_cost(
            equipment=equipment,
            warranty=setting.machine.warranty,
            machines=setting.machine.count,
            price=price,
            printed=printed,
            calendar=setting.calendar,
            values=values,
        ),
        "repairs": upsets.cost,
    }
    return {name: cost * setting.calendar.costs for name, cost in costs.items()}


def overhead_cost(setting: Setting, *, has_machine: bool) -> Number:
    """Fixed costs [money a month].

    Those already paid stand on both sides, the others go with the machine.
    """
    cost: Number = 0.0
    for overhead in setting.scenario.overheads:
        if overhead.already_paid:
            cost = cost + setting.values(overhead.cost)
        elif has_machine:
            cost = cost + setting.values(overhead.cost) * setting.calendar.held
    return cost * setting.calendar.costs


def selling_costs(
    setting: Setting, sales: Mapping[str, Number], volumes: Sequence[Volume]
) -> dict[str, Number]:
    """Payment fees on what is delivered, packing of every parcel [money a month].

    ``sales`` are the lines of ``sales_lines`` [money a month].
    """
    selling, values = setting.scenario.selling, setting.values
    orders = sum((count.orders for count in volumes), 0.0) * setting.calendar.costs
    delivered = sales["sales"] + sales["sales lost"]
    return {
        "payment fees": delivered * values(selling.payment_fee)
        + values(selling.payment_fee_each) * orders,
        "packing": values(selling.packing) * setting.again * orders,
    }
