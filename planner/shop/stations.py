"""The stations of a shop: what one piece asks of each, and the hours that each has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from planner.scenario.estimates import Number
from planner.scenario.schema import Product
from planner.shop import capacity, labour, work
from planner.shop.capacity import Station
from planner.shop.machine import Setting
from planner.usage.materials import PieceUse

Stations = Mapping[str, Station]


@dataclass(frozen=True, kw_only=True)
class _Piece:
    """What one piece sold asks for: hours of press and people, and what its transfers ask beside.

    ``handled`` are people's hours for any piece, ``bought`` those for its transfers if they are
    bought in, ``made`` those if they are printed, each in hours and without rejects; ``area`` is
    what is printed of it without rejects [m²].
    """

    pressed: Number
    handled: Number
    bought: Number
    made: Number
    area: Number


@dataclass(frozen=True, eq=False)
class Floor:
    """What is asked of a shop and of its stations, whatever the warranty and the way to pay.

    What several questions need is worked out once.
    """

    setting: Setting

    @cached_property
    def asked(self) -> list[Number]:
        """Pieces a month that customers ask for with the machine, product by product [piece]."""
        setting = self.setting
        return [
            work.pieces_asked(
                product=product,
                calendar=setting.calendar,
                values=setting.values,
                levers=setting.levers,
            )
            for product in setting.products
        ]

    @cached_property
    def without(self) -> list[Number]:
        """Pieces that bought-in transfers could serve, product by product [piece]."""
        setting = self.setting
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

    @cached_property
    def for_all(self) -> Stations:
        """Hours of each station if all that is asked for were made."""
        return self.for_asked(self.asked)

    @cached_property
    def for_without(self) -> Stations:
        """Hours of the stations of the shop without the machine."""
        return self.for_bought(self.without)

    @cached_property
    def served_without(self) -> Number:
        """Share of the work that people and press serve without the machine [-]."""
        return capacity.served_share(stations=self.for_without)

    @cached_property
    def works_without(self) -> tuple[work.Work, ...]:
        """Transfers bought in as far as people and press serve them; the rest is lost."""
        served = self.served_without
        return tuple(work.work_without(pieces=each, served=served) for each in self.without)

    @cached_property
    def asked_in_all(self) -> list[Number]:
        """Pieces asked for, until the machine runs those of the shop without it [piece]."""
        runs = self.setting.calendar.running > 0
        pairs = zip(self.asked, self.without, strict=True)
        return [np.where(runs, later, before) for later, before in pairs]

    @cached_property
    def bought_until(self) -> list[Number]:
        """Pieces bought in until the machine runs [piece]."""
        until = 1 - self.setting.calendar.running
        return [until * before.bought for before in self.works_without]

    def for_asked(self, asked: Sequence[Number]) -> Stations:
        """Hours of each station if all pieces ``asked`` for [piece] were made [hour].

        Where nothing is printed, those of the pieces that bought-in transfers could serve.
        """
        setting, pieces = self.setting, self._pieces
        if not setting.machine.count:
            pairs = zip(asked, self.without, strict=True)
            return self.for_bought([np.minimum(all_, without) for all_, without in pairs])
        accepted, values = setting.accepted, setting.values
        printed = _sum(asked, [one.area for one in pieces]) / accepted
        people = _sum(asked, [one.made for one in pieces]) / accepted
        handled = _sum(asked, [one.handled for one in pieces])
        return self._loaded(
            care=self.care,
            printer=setting.machine.printing_hours(printed, values),
            dryer=setting.machine.drying_hours(printed, values),
            press=_sum(asked, [one.pressed for one in pieces]),
            people=people + handled,
        )

    def for_bought(self, pieces: Sequence[Number]) -> Stations:
        """Hours that ``pieces`` [piece] bought in ask for [hour]; the machine needs no care."""
        return self._loaded(
            care=0.0,
            press=_sum(pieces, [one.pressed for one in self._pieces]),
            people=_sum(pieces, [one.handled + one.bought for one in self._pieces]),
        )

    @cached_property
    def care(self) -> Number:
        """Daily, weekly and long-stop care of the machines [hour a month]."""
        setting = self.setting
        return labour.care_hours(
            labour=setting.scenario.labour,
            long_stop=setting.values(setting.scenario.ink.long_stop.time),
            machines=setting.machine.count,
            calendar=setting.calendar,
            values=setting.values,
        )

    @cached_property
    def _pieces(self) -> tuple[_Piece, ...]:
        pairs = zip(self.setting.products, self.setting.machine.uses, strict=True)
        return tuple(_piece(self.setting, product, use) for product, use in pairs)

    @cached_property
    def _empty(self) -> Stations:
        """The stations with their hours and nothing to do; overtime lengthens the hours of all."""
        setting, shop, values = (self.setting, self.setting.scenario.shop, self.setting.values)
        weeks, efficiency = setting.calendar.weeks, values(shop.efficiency)
        opened = values(shop.open_hours) * setting.calendar.open_days * efficiency
        people = values(shop.staff_hours) * weeks * efficiency
        over = values(shop.overtime.hours) * weeks * efficiency if shop.overtime else 0.0 * weeks

        def station(usual: Number, count: int = 1) -> Station:
            available = count * (usual + over)
            return Station(
                fixed=0.0, work=0.0, available=available, overtime=count * over, count=count
            )

        several = max(1, setting.machine.count)
        return {
            "printer": station(opened, several),
            "dryer": station(opened, several),
            "press": station(opened),
            "people": station(people),
        }

    def _loaded(self, *, care: Number, **hours: Number) -> Stations:
        """The stations named, with hours of work; care takes people's hours."""
        return {
            name: replace(self._empty[name], fixed=care if name == "people" else 0.0, work=needed)
            for name, needed in hours.items()
        }


def _piece(setting: Setting, product: Product, use: PieceUse) -> _Piece:
    each, values = setting.transfers_each(product), setting.values
    transfers, orders = each * use.prints, 1.0 / values.whole(product.pieces_per_order)

    def hours(**counts: Number) -> labour.Hours:
        nothing = dict.fromkeys(("orders", "set_up", "printed", "cut", "pressed"), 0.0)
        return labour.hours_of_work(
            labour=setting.scenario.labour, values=values, care=0.0, **{**nothing, **counts}
        )

    handled = hours(
        orders=orders, set_up=orders * setting.again, pressed=transfers if product.pressed else 0.0
    )
    return _Piece(
        pressed=handled.pressing / values.whole(setting.equipment.presses),
        handled=handled.total,
        bought=hours(cut=transfers).total,
        made=hours(cut=transfers, printed=each * use.area).total,
        area=each * use.area,
    )


def _sum(pieces: Sequence[Number], of_one: Sequence[Number]) -> Number:
    """What pieces of all products ask for, when one of each asks for so much."""
    return sum((number * one for number, one in zip(pieces, of_one, strict=True)), 0.0)


def scaled(stations: Stations, factor: Number) -> Stations:
    """The stations with a ``factor`` [-] on their work; care stays."""
    return {name: replace(one, work=one.work * factor) for name, one in stations.items()}


def added(stations: Stations, more: Stations) -> Stations:
    """The stations with the work of others on top."""
    return {
        name: replace(one, work=one.work + more[name].work) if name in more else one
        for name, one in stations.items()
    }


def overtime_worked(stations: Stations) -> Number:
    """Hours that the shop works beyond its usual ones, those of the station most in need [hour]."""
    worked: Number = 0.0
    for station in stations.values():
        worked = np.maximum(worked, station.overtime_worked)
    return worked
