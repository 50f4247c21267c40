"""A month in the shop put together, with the machine or without it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from planner.scenario.estimates import Number
from planner.shop import capacity, costs, labour, repairs, work
from planner.shop.capacity import Station
from planner.shop.machine import Setting
from planner.shop.volume import Volume, area_and_hours, volume_of


@dataclass(frozen=True, kw_only=True)
class Operations:
    """Running money and work a month; money in is positive, arrays (draws, months).

    ``lines`` are ledger lines, ``hours`` work by step, ``stations`` what each would need for all
    that is asked, ``served`` the share that is made, ``overtime`` hours worked beyond the usual
    ones, ``area`` printed with rejects [m²], ``consumed`` materials by kind.
    """

    lines: Mapping[str, Number]
    hours: labour.Hours
    works: tuple[work.Work, ...]
    stations: Mapping[str, Station]
    served: Number
    overtime: Number
    area: Number
    consumed: Mapping[str, Number]

    @property
    def purchases(self) -> Number:
        """Materials, garments and transfers bought in [money a month, positive]."""
        bought = (self.lines[name] for name in (*costs.MATERIAL_LINES, *costs.BOUGHT_LINES))
        return -1.0 * sum(bought, 0.0)

    @property
    def sales(self) -> Number:
        """Sales delivered [money a month]."""
        return self.lines["sales"] + self.lines["sales lost"]


def operations_with(setting: Setting) -> Operations:
    """A shop that owns the set: what it prints itself, and what it buys in beside."""
    upsets = upsets_of(setting)
    asked = pieces_asked(setting)
    down = share_down(setting, upsets)
    stations = stations_for(setting, [pieces * (1 - down) for pieces in asked])
    served = (1 - down) * capacity.served_share(stations=stations) if setting.machine.count else 0.0
    works = _works_with(setting, asked, served)
    volumes = _volumes(setting, works)
    printed, hours = area_and_hours(setting, volumes, care=care_hours(setting))
    overtime = _overtime(_stations(setting, works, care=care_hours(setting)))
    days = setting.calendar.running * setting.calendar.open_days * (1 - down)
    consumed = costs.consumption(setting, volumes, printed, days)
    sales = costs.sales_lines(setting, works)
    paid = {
        "garments": costs.garment_cost(setting, volumes),
        **costs.material_costs(setting, consumed),
        **costs.bought_costs(setting, volumes),
        "labour": costs.labour_cost(setting, hours.total),
        "overtime": costs.overtime_cost(setting, overtime),
        "energy": costs.energy_cost(setting, printed, hours.pressing, days),
        **costs.keeping_costs(setting, printed, upsets),
        "overheads": costs.overhead_cost(setting, has_machine=True),
        **costs.selling_costs(setting, sales, volumes),
    }
    return Operations(
        lines=sales | _paid_out(paid),
        hours=hours,
        works=works,
        stations=stations,
        served=served,
        overtime=overtime,
        area=printed,
        consumed=consumed,
    )


def operations_without(setting: Setting) -> Operations:
    """A shop that signs nothing and buys transfers in; people and press are the same."""
    works = _works_without(setting)
    volumes = _volumes(setting, works)
    printed, hours = area_and_hours(setting, volumes, care=0.0)
    overtime = _overtime(_stations(setting, works, care=0.0))
    sales = costs.sales_lines(setting, works)
    nothing = 0.0 * setting.calendar.weeks
    unused = (*costs.MATERIAL_LINES[1:], *costs.KEEPING_LINES)
    paid = {
        **dict.fromkeys(unused, nothing),
        "garments": costs.garment_cost(setting, volumes),
        **costs.bought_costs(setting, volumes),
        "labour": costs.labour_cost(setting, hours.total),
        "overtime": costs.overtime_cost(setting, overtime),
        "energy": costs.press_energy_cost(setting, hours.pressing),
        "overheads": costs.overhead_cost(setting, has_machine=False),
        **costs.selling_costs(setting, sales, volumes),
    }
    return Operations(
        lines=sales | _paid_out(paid),
        hours=hours,
        works=works,
        stations=_handling(_stations(setting, _asked_without(setting), care=0.0)),
        served=0.0,
        overtime=overtime,
        area=printed,
        consumed={},
    )


def _works_with(setting: Setting, asked: Sequence[Number], served: Number) -> tuple[work.Work, ...]:
    """What is made, bought in and lost, product by product.

    What the machine cannot make is bought in as far as people and press have room beside what is
    made: bought transfers are pressed, too.
    """
    wanted = [
        work.unmade(asked=pieces, without=bought, served=served, calendar=setting.calendar)
        for pieces, bought in zip(asked, _pieces_without(setting), strict=True)
    ]
    made = [work.work_made(pieces=setting.calendar.running * served * pieces) for pieces in asked]
    beside = _handling(_stations(setting, made, care=care_hours(setting)))
    more = _handling(_stations(setting, [work.work_without(pieces=w) for w in wanted], care=0.0))
    handled = capacity.handled_share(
        rooms={name: station.room for name, station in beside.items()},
        hours={name: station.work for name, station in more.items()},
    )
    return tuple(
        work.work_with(
            asked=pieces,
            before=before,
            served=served,
            bought=handled * buyable,
            in_a_hurry=setting.machine.count > 0,
            calendar=setting.calendar,
        )
        for pieces, before, buyable in zip(asked, _works_without(setting), wanted, strict=True)
    )


def _asked_without(setting: Setting) -> list[work.Work]:
    return [work.work_without(pieces=pieces) for pieces in _pieces_without(setting)]


def _works_without(setting: Setting) -> tuple[work.Work, ...]:
    """Transfers bought in as far as people and press serve them; the rest is lost."""
    stations = _handling(_stations(setting, _asked_without(setting), care=0.0))
    served = capacity.served_share(stations=stations)
    return tuple(
        work.work_without(pieces=pieces, served=served) for pieces in _pieces_without(setting)
    )


def _paid_out(paid: Mapping[str, Number]) -> dict[str, Number]:
    return {name: -1.0 * cost for name, cost in paid.items()}


def pieces_asked(setting: Setting) -> list[Number]:
    """Pieces a month that customers ask for with the machine, product by product."""
    return [
        work.pieces_asked(
            product=product,
            calendar=setting.calendar,
            values=setting.values,
            levers=setting.levers,
        )
        for product in setting.products
    ]


def _pieces_without(setting: Setting) -> list[Number]:
    return [
        work.pieces_bought_in(
            product=product,
            today=setting.scenario.today,
            calendar=setting.calendar,
            values=setting.values,
            levers=setting.levers,
        )
        for product in setting.products
    ]


def _volumes(setting: Setting, works: Sequence[work.Work]) -> list[Volume]:
    return [
        volume_of(setting, product, done)
        for product, done in zip(setting.products, works, strict=True)
    ]


def upsets_of(setting: Setting) -> repairs.Upsets:
    """Mean repairs and days down of each month."""
    return repairs.expected_repairs(
        equipment=setting.equipment,
        warranty=setting.machine.warranty,
        machines=setting.machine.count,
        price=setting.machine.price,
        calendar=setting.calendar,
        horizon=setting.values.whole(setting.scenario.horizon),
        runs_from=setting.values.whole(setting.scenario.runs_from),
        values=setting.values,
    )


def share_down(setting: Setting, upsets: repairs.Upsets) -> Number:
    """Share of each month's area that falls out on days down [-]; 0 in a set that only presses."""
    machine, calendar = setting.machine, setting.calendar
    if machine.count == 0:
        return 0.0 * calendar.open_days
    use: Number = 1.0
    if machine.count > 1:
        full = stations_for(setting, pieces_asked(setting))
        use = np.maximum(full["printer"].use, full["dryer"].use)
    return capacity.share_down(
        down_days=upsets.down_days * setting.levers.down,
        open_days=calendar.open_days,
        machines=machine.count,
        use=use,
    )


def care_hours(setting: Setting) -> Number:
    """Daily, weekly and long-stop care of the machines [hour a month]."""
    scenario = setting.scenario
    return labour.care_hours(
        labour=scenario.labour,
        long_stop=setting.values(scenario.ink.long_stop.time),
        machines=setting.machine.count,
        calendar=setting.calendar,
        values=setting.values,
    )


def stations_for(setting: Setting, pieces: Sequence[Number]) -> dict[str, Station]:
    """Hours of each station if all these pieces were made, or bought where nothing is printed."""
    if setting.machine.count == 0:
        bought = [work.work_without(pieces=each) for each in pieces]
        return _handling(_stations(setting, bought, care=0.0))
    made = [work.work_made(pieces=each) for each in pieces]
    return _stations(setting, made, care=care_hours(setting))


def _stations(setting: Setting, works: Sequence[work.Work], *, care: Number) -> dict[str, Station]:
    """Hours of each station for the work done; overtime lengthens the hours of all."""
    printed, hours = area_and_hours(setting, _volumes(setting, works), care=care)
    shop, machine, values = setting.scenario.shop, setting.machine, setting.values
    weeks, efficiency = setting.calendar.weeks, values(shop.efficiency)
    open_hours = values(shop.open_hours) * setting.calendar.open_days * efficiency
    people = values(shop.staff_hours) * weeks * efficiency
    overtime = values(shop.overtime.hours) * weeks * efficiency if shop.overtime else 0.0 * weeks
    pressing = hours.pressing / values.whole(setting.equipment.presses)

    def station(work: Number, usual: Number, fixed: Number = 0.0, count: int = 1) -> Station:
        return Station(
            fixed=fixed,
            work=work,
            available=count * (usual + overtime),
            overtime=count * overtime,
            count=count,
        )

    several = max(1, machine.count)
    return {
        "printer": station(machine.printing_hours(printed, values), open_hours, count=several),
        "dryer": station(machine.drying_hours(printed, values), open_hours, count=several),
        "press": station(pressing, open_hours),
        "people": station(hours.total - care, people, fixed=care),
    }


def _handling(stations: Mapping[str, Station]) -> dict[str, Station]:
    """The stations that bought-in transfers need as well."""
    return {name: stations[name] for name in ("press", "people")}


def _overtime(stations: Mapping[str, Station]) -> Number:
    """Hours that the shop works beyond its usual ones: those of the station that needs most."""
    worked: Number = 0.0
    for station in stations.values():
        worked = np.maximum(worked, station.overtime_worked)
    return worked
