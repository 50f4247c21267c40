"""A month in the shop put together, with the machine or without it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from planner.scenario.estimates import Number
from planner.shop import capacity, costs, labour, repairs, work
from planner.shop.machine import Setting
from planner.shop.stations import Floor, Stations, added, overtime_worked, scaled
from planner.shop.total import total
from planner.shop.volume import Volume, area_and_hours, volume_of


@dataclass(frozen=True, kw_only=True)
class Details:
    """What is told of a month beside its money, arrays (draws, months).

    ``hours`` are work by step, ``stations`` what each would need for all that is asked [hour],
    ``consumed`` materials by kind.
    """

    hours: labour.Hours
    stations: Stations
    consumed: Mapping[str, Number]


@dataclass(frozen=True, kw_only=True)
class Operations:
    """Running money and work a month, arrays (draws, months).

    ``income`` are the lines of money in, ``paid`` those of money out, positive; ``served`` is the
    share that is made [-], ``overtime`` worked beyond the usual hours [hour], ``area`` printed with
    rejects [m²]. ``find_details`` works out ``details``, which many cases at once have no room for.
    """

    income: Mapping[str, Number]
    paid: Mapping[str, Number]
    works: tuple[work.Work, ...]
    served: Number
    overtime: Number
    area: Number
    find_details: Callable[[], Details]

    @cached_property
    def details(self) -> Details:
        """Hours, stations and materials."""
        return self.find_details()

    @property
    def hours(self) -> labour.Hours:
        """Work by step."""
        return self.details.hours

    @property
    def stations(self) -> Stations:
        """What each station would need for all that is asked."""
        return self.details.stations

    @property
    def consumed(self) -> Mapping[str, Number]:
        """Materials by kind, in the units of ``consumption`` [L, kg or m a month]."""
        return self.details.consumed

    @property
    def lines(self) -> dict[str, Number]:
        """All lines as the ledger has them, money out negative [money a month]."""
        return {**self.income, **{name: -1.0 * cost for name, cost in self.paid.items()}}

    @property
    def purchases(self) -> Number:
        """Materials, garments and transfers bought in [money a month, positive]."""
        return total(self.paid[name] for name in (*costs.MATERIAL_LINES, *costs.BOUGHT_LINES))

    @property
    def net(self) -> Number:
        """The sum of all lines [money a month]."""
        return total(self.income.values()) - total(self.paid.values())

    @property
    def sales(self) -> Number:
        """Sales delivered [money a month]."""
        return self.income["sales"] + self.income["sales lost"]


def operations_with(setting: Setting, floor: Floor | None = None) -> Operations:
    """A shop that owns the set: what it prints itself, and what it buys in beside.

    ``floor`` may be that of the same set and months under another warranty.
    """
    floor, upsets = floor or Floor(setting), upsets_of(setting)
    down = _share_down(setting, upsets, floor.for_all)
    stations = scaled(floor.for_all, 1 - down)
    share = capacity.served_share(stations=stations) if setting.machine.count else 0.0
    served, runs = (1 - down) * share, setting.calendar.running
    wanted = work.unmade(
        asked=floor.asked, without=floor.without, served=served, calendar=setting.calendar
    )
    made, more = scaled(stations, runs * share), floor.for_bought(wanted)
    handled, makes = _handled(made, more), runs * served
    works = tuple(
        work.work_with(
            asked=pieces,
            made=makes * pieces,
            until=until,
            bought=handled * buyable,
            in_a_hurry=setting.machine.count > 0,
        )
        for pieces, until, buyable in zip(
            floor.asked_in_all, floor.bought_until, wanted, strict=True
        )
    )
    overtime: Number = 0.0 * setting.calendar.weeks
    if setting.scenario.shop.overtime is not None:
        until = scaled(floor.for_without, (1 - runs) * floor.served_without)
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

    def details() -> Details:
        again = _volumes(setting, works)
        return Details(
            hours=area_and_hours(setting, again, care=floor.care)[1],
            stations=_once_running(floor, scaled(floor.for_all, 1 - down)),
            consumed=costs.consumption(setting, again, printed, days),
        )

    return Operations(
        income=sales,
        paid=paid,
        works=works,
        served=served,
        overtime=overtime,
        area=printed,
        find_details=details,
    )


def operations_without(setting: Setting, floor: Floor | None = None) -> Operations:
    """A shop that signs nothing and buys transfers in; people and press are the same.

    ``floor`` may be that of the same set and months under another warranty.
    """
    floor = floor or Floor(setting)
    works = floor.works_without
    volumes = _volumes(setting, works)
    printed, hours = area_and_hours(setting, volumes, care=0.0)
    overtime: Number = 0.0 * setting.calendar.weeks
    if setting.scenario.shop.overtime is not None:
        overtime = overtime_worked(scaled(floor.for_without, floor.served_without))
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

    def details() -> Details:
        _, again = area_and_hours(setting, _volumes(setting, works), care=0.0)
        return Details(hours=again, stations=floor.for_without, consumed={})

    return Operations(
        income=sales,
        paid=paid,
        works=works,
        served=0.0,
        overtime=overtime,
        area=printed,
        find_details=details,
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


def _once_running(floor: Floor, stations: Stations) -> Stations:
    """The stations once the machine runs; until then those of the shop without it."""
    runs = floor.setting.calendar.running
    started = {
        name: replace(one, fixed=runs * one.fixed, work=runs * one.work)
        for name, one in stations.items()
    }
    return added(started, scaled(floor.for_without, 1 - runs))


def pieces_asked(setting: Setting) -> list[Number]:
    """Pieces a month that customers ask for with the machine, product by product [piece]."""
    return Floor(setting).asked


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
    return _share_down(setting, upsets, Floor(setting).for_all)


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
    """Hours of each station if all these ``pieces`` were made [hour]; see ``Floor.for_asked``."""
    return Floor(setting).for_asked(pieces)
