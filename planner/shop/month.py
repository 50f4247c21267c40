"""A month in the shop put together, with the machine or without it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.scenario.estimates import Number
from planner.shop import capacity, costs, labour, repairs, work
from planner.shop.machine import Setting
from planner.shop.stations import Floor, Stations, added, overtime_worked, scaled
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
    stations: Stations
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
    floor, upsets, asked = Floor(setting), upsets_of(setting), pieces_asked(setting)
    full = floor.for_asked(asked)
    down = _share_down(setting, upsets, full)
    stations = scaled(full, 1 - down)
    share = capacity.served_share(stations=stations) if setting.machine.count else 0.0
    served, runs = (1 - down) * share, setting.calendar.running
    wanted = [
        work.unmade(asked=pieces, without=bought, served=served, calendar=setting.calendar)
        for pieces, bought in zip(asked, floor.without, strict=True)
    ]
    made, more = scaled(stations, runs * share), floor.for_bought(wanted)
    handled = _handled(made, more)
    before = _works_without(floor)
    works = tuple(
        work.work_with(
            asked=pieces,
            before=other,
            served=served,
            bought=handled * buyable,
            in_a_hurry=setting.machine.count > 0,
            calendar=setting.calendar,
        )
        for pieces, other, buyable in zip(asked, before, wanted, strict=True)
    )
    overtime: Number = 0.0 * setting.calendar.weeks
    if setting.scenario.shop.overtime is not None:
        until = scaled(floor.for_without, (1 - runs) * _served_without(floor))
        overtime = overtime_worked(added(added(made, scaled(more, handled)), until))
    volumes = _volumes(setting, works)
    printed, hours = area_and_hours(setting, volumes, care=floor.care)
    days = runs * setting.calendar.open_days * (1 - down)
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
        stations=_once_running(floor, stations),
        served=served,
        overtime=overtime,
        area=printed,
        consumed=consumed,
    )


def operations_without(setting: Setting) -> Operations:
    """A shop that signs nothing and buys transfers in; people and press are the same."""
    floor = Floor(setting)
    works = _works_without(floor)
    volumes = _volumes(setting, works)
    printed, hours = area_and_hours(setting, volumes, care=0.0)
    overtime: Number = 0.0 * setting.calendar.weeks
    if setting.scenario.shop.overtime is not None:
        overtime = overtime_worked(scaled(floor.for_without, _served_without(floor)))
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
        stations=floor.for_without,
        served=0.0,
        overtime=overtime,
        area=printed,
        consumed={},
    )


def _handled(made: Stations, more: Stations) -> Number:
    """Share of what the machine cannot make that is bought in.

    Bought transfers are pressed, too: people and press take them as far as they have room beside
    what is made.
    """
    return capacity.handled_share(
        rooms={name: made[name].room for name in more},
        hours={name: station.work for name, station in more.items()},
    )


def _served_without(floor: Floor) -> Number:
    return capacity.served_share(stations=floor.for_without)


def _works_without(floor: Floor) -> tuple[work.Work, ...]:
    """Transfers bought in as far as people and press serve them; the rest is lost."""
    served = _served_without(floor)
    return tuple(work.work_without(pieces=each, served=served) for each in floor.without)


def _once_running(floor: Floor, stations: Stations) -> Stations:
    """The stations once the machine runs; until then those of the shop without it."""
    runs = floor.setting.calendar.running
    started = {
        name: replace(one, fixed=runs * one.fixed, work=runs * one.work)
        for name, one in stations.items()
    }
    return added(started, scaled(floor.for_without, 1 - runs))


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


def _volumes(setting: Setting, works: Sequence[work.Work]) -> list[Volume]:
    return [
        volume_of(setting, product, done)
        for product, done in zip(setting.products, works, strict=True)
    ]


def upsets_of(setting: Setting) -> repairs.Upsets:
    """Repairs and days down of each month: drawn where the setting has chances, else their mean."""
    if setting.chances is not None and not setting.calendar.is_steady:
        drawn = repairs.drawn_repairs(
            equipment=setting.equipment,
            warranty=setting.machine.warranty,
            machines=setting.machine.count,
            calendar=setting.calendar,
            values=setting.values,
            chances=setting.chances,
        )
        if drawn is not None:
            return drawn
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
    return _share_down(setting, upsets, Floor(setting).for_asked(pieces_asked(setting)))


def _share_down(setting: Setting, upsets: repairs.Upsets, full: Stations) -> Number:
    count, calendar = setting.machine.count, setting.calendar
    if count == 0:
        return 0.0 * calendar.open_days
    return capacity.share_down(
        down_days=upsets.down_days * setting.levers.down,
        open_days=calendar.open_days,
        machines=count,
        use=np.maximum(full["printer"].use, full["dryer"].use) if count > 1 else 1.0,
    )


def care_hours(setting: Setting) -> Number:
    """Daily, weekly and long-stop care of the machines [hour a month]."""
    return Floor(setting).care


def stations_for(setting: Setting, pieces: Sequence[Number]) -> Stations:
    """Hours of each station if all these pieces were made; see ``Floor.for_asked``."""
    return Floor(setting).for_asked(pieces)
