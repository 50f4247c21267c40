"""A month in the shop put together, with the machine or without it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

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
    overtime = _overtime(_stations_done(setting, works, care=care_hours(setting)))
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
        stations=_once_running(setting, stations),
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
    overtime = _overtime(_stations_done(setting, works, care=0.0))
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
        stations=_handling(_stations(setting, care=0.0, bought=_pieces_without(setting))),
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
    made = [setting.calendar.running * served * pieces for pieces in asked]
    beside = _stations(setting, care=care_hours(setting), made=made)
    more = _handling(_stations(setting, care=0.0, bought=wanted))
    handled = capacity.handled_share(
        rooms={name: beside[name].room for name in more},
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


def _works_without(setting: Setting) -> tuple[work.Work, ...]:
    """Transfers bought in as far as people and press serve them; the rest is lost."""
    pieces = _pieces_without(setting)
    stations = _handling(_stations(setting, care=0.0, bought=pieces))
    served = capacity.served_share(stations=stations)
    return tuple(work.work_without(pieces=each, served=served) for each in pieces)


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
    """Hours of each station if all these pieces were made.

    Where nothing is printed, those of the pieces that bought-in transfers could serve.
    """
    if setting.machine.count == 0:
        could = zip(pieces, _pieces_without(setting), strict=True)
        bought = [np.minimum(asked, without) for asked, without in could]
        return _handling(_stations(setting, care=0.0, bought=bought))
    return _stations(setting, care=care_hours(setting), made=pieces)


def _once_running(setting: Setting, stations: Mapping[str, Station]) -> dict[str, Station]:
    """The stations once the machine runs; until then those of the shop without it."""
    runs = setting.calendar.running
    before = _stations(setting, care=0.0, bought=_pieces_without(setting))
    return {
        name: replace(
            station,
            fixed=runs * station.fixed,
            work=runs * station.work + (1 - runs) * before[name].work,
        )
        for name, station in stations.items()
    }


def _stations(
    setting: Setting,
    *,
    care: Number,
    made: Sequence[Number] = (),
    bought: Sequence[Number] = (),
) -> dict[str, Station]:
    """Hours of each station for pieces made and bought; overtime lengthens the hours of all."""
    shop, machine, values = setting.scenario.shop, setting.machine, setting.values
    weeks, efficiency = setting.calendar.weeks, values(shop.efficiency)
    open_hours = values(shop.open_hours) * setting.calendar.open_days * efficiency
    people = values(shop.staff_hours) * weeks * efficiency
    overtime = values(shop.overtime.hours) * weeks * efficiency if shop.overtime else 0.0 * weeks
    busy = _hours(setting, made, work.work_made) + _hours(setting, bought, work.work_without)

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
        "printer": station(busy.printer, open_hours, count=several),
        "dryer": station(busy.dryer, open_hours, count=several),
        "press": station(busy.press, open_hours),
        "people": station(busy.people, people, fixed=care),
    }


@dataclass(frozen=True, kw_only=True)
class _Busy:
    """Hours of work at each station [hour a month]."""

    printer: Number = 0.0
    dryer: Number = 0.0
    press: Number = 0.0
    people: Number = 0.0

    def __add__(self, other: _Busy) -> _Busy:
        return _Busy(
            printer=self.printer + other.printer,
            dryer=self.dryer + other.dryer,
            press=self.press + other.press,
            people=self.people + other.people,
        )

    def __mul__(self, pieces: Number) -> _Busy:
        return _Busy(
            printer=self.printer * pieces,
            dryer=self.dryer * pieces,
            press=self.press * pieces,
            people=self.people * pieces,
        )


def _hours(setting: Setting, pieces: Sequence[Number], done: Callable[..., work.Work]) -> _Busy:
    """Hours of all pieces: those of one piece of each product times its number."""
    total = _Busy()
    for at, number in enumerate(pieces):
        total = total + _hours_of_one(setting.alone(at), done(pieces=1.0)) * number
    return total


def _hours_of_one(alone: Setting, done: work.Work) -> _Busy:
    values, machine = alone.values, alone.machine
    printed, hours = area_and_hours(alone, _volumes(alone, [done]), care=0.0)
    return _Busy(
        printer=machine.printing_hours(printed, values),
        dryer=machine.drying_hours(printed, values),
        press=hours.pressing / values.whole(alone.equipment.presses),
        people=hours.total,
    )


def _handling(stations: Mapping[str, Station]) -> dict[str, Station]:
    """The stations that bought-in transfers need as well."""
    return {name: stations[name] for name in ("press", "people")}


def _stations_done(
    setting: Setting, works: Sequence[work.Work], *, care: Number
) -> dict[str, Station]:
    """Hours of each station for the work that is really done."""
    return _stations(
        setting,
        care=care,
        made=[done.made for done in works],
        bought=[done.bought + done.hurried for done in works],
    )


def _overtime(stations: Mapping[str, Station]) -> Number:
    """Hours that the shop works beyond its usual ones: those of the station that needs most."""
    worked: Number = 0.0
    for station in stations.values():
        worked = np.maximum(worked, station.overtime_worked)
    return worked
