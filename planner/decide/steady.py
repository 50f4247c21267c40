"""The steady month: what a week's volume brings, what making and buying cost."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from planner.case import Case
from planner.finance.series import equivalent_periodic_cost, net_present_value
from planner.ledger import Group
from planner.plan import Plan, steady_operations, steady_without, value_of
from planner.scenario.estimates import Array, Number
from planner.shop import costs
from planner.shop.capacity import Station
from planner.shop.labour import full_wage
from planner.shop.machine import Machine, Setting
from planner.shop.month import care_hours, pieces_asked, stations_for, upsets_of
from planner.shop.volume import area_and_hours, volume_of
from planner.shop.work import work_made, work_without


def weekly_pieces(case: Case) -> float:
    """Planned pieces a week at full volume [piece/week]."""
    return sum(case.values.scalar(product.planned) for product in case.scenario.products)


def weekly_area(case: Case, machine: Machine) -> float:
    """Planned printed area a week at full volume, without rejects [m²/week]."""
    return sum(
        case.values.scalar(product.planned) * use.area
        for product, use in zip(case.scenario.products, machine.uses, strict=True)
    )


def buyable_area(case: Case, machine: Machine) -> float:
    """The same of the products that have a buy-in price [m²/week]."""
    return sum(
        case.values.scalar(product.planned) * use.area
        for product, use, bought in zip(
            case.scenario.products, machine.uses, machine.bought, strict=True
        )
        if bought > 0
    )


def equivalent_monthly_cost(plan: Plan) -> float:
    """What the equipment costs a month over the horizon, before tax and without stock [money].

    Present value of outlays and replacements less resale, as a level monthly amount at the
    hurdle rate.
    """
    case, ledger = plan.case, plan.cash_ledger
    flows = ledger.total(Group.CAPITAL) - ledger.line("opening stock") + ledger.line("resale")
    hurdle = np.ravel(case.hurdle)
    cost = equivalent_periodic_cost(
        present_cost=-net_present_value(flows=flows, rate=hurdle),
        rate=hurdle,
        periods=case.months,
    )
    return float(cost[0])


def capacity_factor(case: Case, machine: Machine) -> float:
    """Factor on the planned volume at which the fullest station is full in a steady month [-].

    Infinite where nothing is to be done.
    """
    return _room(_stations(case, machine), None)


def added_capacity_factor(case: Case, machine: Machine) -> float:
    """Factor on the added work, today's held, at which the fullest station is full [-]."""
    return _room(_stations(case, machine), _stations(case.today(), machine))


def _stations(case: Case, machine: Machine) -> Mapping[str, Station]:
    setting = case.setting(machine, case.steady)
    return stations_for(setting, pieces_asked(setting))


def _room(full: Mapping[str, Station], base: Mapping[str, Station] | None) -> float:
    """How many times the work beyond a base the tightest station can do [-], at least 0."""
    factors = [np.inf]
    for name, station in full.items():
        begun = base[name].work if base else 0.0
        beyond = value_of(station.work - begun)
        if beyond > 0:
            factors.append(value_of(station.available - station.fixed - begun) / beyond)
    return max(0.0, min(factors))


def steady_surplus(case: Case, plan: Plan, factors: Array) -> Array:
    """What a steady month leaves after fixed costs and debt payments [money], by ``factors`` [-].

    Before tax; for a choice without debt payments the equipment's equivalent monthly cost stands
    in their place.
    """
    moved = case.moved(volume=factors[:, np.newaxis])
    lines = steady_operations(moved, plan.machine).lines
    surplus = np.broadcast_to(sum(lines.values(), 0.0), (len(factors), 1))[:, 0]
    return surplus - monthly_burden(plan)


def monthly_burden(plan: Plan) -> float:
    """Debt payments a month while the debt runs; for cash the equivalent monthly cost [money]."""
    payment = float(plan.debt.payment_per_month[0])
    return payment if payment > 0 else equivalent_monthly_cost(plan)


@dataclass(frozen=True, kw_only=True)
class TransferCosts:
    """What a steady month's transfers cost made and bought [money], by volume factor (n,)."""

    made: Array
    bought: Array


def transfer_costs(case: Case, plan: Plan, factors: Array) -> TransferCosts:
    """Cost of the same transfers made and bought [money], before tax, without pressing.

    ``factors`` (n,) are on the planned volume [-]. All hours are costed, paid or not; cutting
    stands on both sides; the equipment's equivalent monthly cost is in the cost of making. Only
    products with a buy-in price are counted.
    """
    setting = case.moved(volume=factors[:, np.newaxis]).setting(plan.machine, case.steady)
    only_buyable = _buyable(setting)
    made = _made_cost(only_buyable) + equivalent_monthly_cost(plan)
    return TransferCosts(
        made=np.broadcast_to(made, (len(factors), 1))[:, 0],
        bought=np.broadcast_to(_bought_cost(only_buyable), (len(factors), 1))[:, 0],
    )


def _buyable(setting: Setting) -> Setting:
    """The setting with the products that can be bought in."""
    from dataclasses import replace

    kept = [at for at, area in enumerate(setting.machine.bought) if area > 0]
    machine = replace(
        setting.machine,
        uses=tuple(setting.machine.uses[at] for at in kept),
        bought=tuple(setting.machine.bought[at] for at in kept),
    )
    products = tuple(setting.products[at] for at in kept)
    scenario = setting.scenario.model_copy(update={"products": products})
    return replace(setting, machine=machine, scenario=scenario)


def _made_cost(setting: Setting) -> Number:
    volumes = [
        volume_of(setting, product, work_made(pieces=pieces))
        for product, pieces in zip(setting.products, pieces_asked(setting), strict=True)
    ]
    care = care_hours(setting)
    printed, hours = area_and_hours(setting, volumes, care=care)
    days = setting.calendar.open_days
    consumed = costs.consumption(setting, volumes, printed, days)
    materials = costs.material_costs(setting, consumed)
    keeping = costs.keeping_costs(setting, printed, upsets_of(setting))
    work = (hours.tending + hours.cutting + care) * full_wage(
        shop=setting.scenario.shop, values=setting.values
    )
    own_overheads = costs.overhead_cost(setting, has_machine=True) - costs.overhead_cost(
        setting, has_machine=False
    )
    power = costs.energy_cost(setting, printed, 0.0, days)
    return sum((*materials.values(), *keeping.values(), work, own_overheads, power), 0.0)


def _bought_cost(setting: Setting) -> Number:
    works = [work_without(pieces=pieces) for pieces in pieces_asked(setting)]
    volumes = [
        volume_of(setting, product, done)
        for product, done in zip(setting.products, works, strict=True)
    ]
    _, hours = area_and_hours(setting, volumes, care=0.0)
    cutting = hours.cutting * full_wage(shop=setting.scenario.shop, values=setting.values)
    bought = costs.bought_costs(setting, volumes)
    return sum((*bought.values(), cutting), 0.0)


def steady_difference(case: Case, plan: Plan) -> float:
    """What a steady month leaves more with the machine than with buying in [money].

    Before tax, financing and the price of the equipment; wear accrues, repairs stand at their mean.
    """
    own = steady_operations(case, plan.machine).lines
    other = steady_without(case, plan.machine).lines
    return float(np.ravel(sum(own.values(), 0.0))[0] - np.ravel(sum(other.values(), 0.0))[0])


def weekly_hours(case: Case, plan: Plan) -> tuple[float, float]:
    """Hours of work a week in a steady month, with the machine and without it [hour/week]."""
    weeks = case.steady.usual_weeks
    with_machine = steady_operations(case, plan.machine).hours.total
    bought_in = steady_without(case, plan.machine).hours.total
    return float(np.ravel(with_machine)[0]) / weeks, float(np.ravel(bought_in)[0]) / weeks
