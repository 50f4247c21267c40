"""The stations of a shop: what one piece asks of each, and the hours that each has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from planner.scenario.estimates import Number
from planner.shop import labour, work
from planner.shop.capacity import Station
from planner.shop.machine import Setting
from planner.shop.volume import area_and_hours, volume_of

Stations = Mapping[str, Station]
HANDLING = ("press", "people")  # what bought-in transfers need as well


@dataclass(frozen=True, eq=False)
class Floor:
    """The stations of a setting. What a piece asks of each is worked out once."""

    setting: Setting

    def for_asked(self, asked: Sequence[Number]) -> Stations:
        """Hours of each station if all pieces asked for were made.

        Where nothing is printed, those of the pieces that bought-in transfers could serve.
        """
        if self.setting.machine.count:
            return self._loaded(self._made, asked, care=self.care)
        pairs = zip(asked, self.without, strict=True)
        return self.for_bought([np.minimum(pieces, without) for pieces, without in pairs])

    def for_bought(self, pieces: Sequence[Number]) -> Stations:
        """Hours of the stations that transfers bought in ask for; the machine needs no care."""
        stations = self._loaded(self._bought, pieces, care=0.0)
        return {name: stations[name] for name in HANDLING}

    @cached_property
    def without(self) -> list[Number]:
        """Pieces that bought-in transfers could serve, product by product."""
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
    def for_without(self) -> Stations:
        """Hours of the stations of the shop without the machine."""
        return self.for_bought(self.without)

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
    def _made(self) -> tuple[Mapping[str, Number], ...]:
        return self._of_one(work.work_made(pieces=1.0))

    @cached_property
    def _bought(self) -> tuple[Mapping[str, Number], ...]:
        return self._of_one(work.work_without(pieces=1.0))

    def _of_one(self, done: work.Work) -> tuple[Mapping[str, Number], ...]:
        """Hours at each station for one piece of each product."""
        return tuple(
            _hours_of(self.setting.alone(at), done) for at in range(len(self.setting.products))
        )

    @cached_property
    def _empty(self) -> Stations:
        """The stations with their hours and nothing to do; overtime lengthens the hours of all."""
        setting, shop, values = self.setting, self.setting.scenario.shop, self.setting.values
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

    def _loaded(
        self, each: Sequence[Mapping[str, Number]], pieces: Sequence[Number], *, care: Number
    ) -> Stations:
        return {
            name: replace(
                station,
                fixed=care if name == "people" else 0.0,
                work=sum(
                    (one[name] * number for one, number in zip(each, pieces, strict=True)), 0.0
                ),
            )
            for name, station in self._empty.items()
        }


def _hours_of(alone: Setting, done: work.Work) -> dict[str, Number]:
    values, machine = alone.values, alone.machine
    volumes = [volume_of(alone, alone.products[0], done)]
    printed, hours = area_and_hours(alone, volumes, care=0.0)
    return {
        "printer": machine.printing_hours(printed, values),
        "dryer": machine.drying_hours(printed, values),
        "press": hours.pressing / values.whole(alone.equipment.presses),
        "people": hours.total,
    }


def scaled(stations: Stations, factor: Number) -> Stations:
    """The stations with a factor on their work; care stays."""
    return {name: replace(one, work=one.work * factor) for name, one in stations.items()}


def added(stations: Stations, more: Stations) -> Stations:
    """The stations with the work of others on top."""
    return {
        name: replace(one, work=one.work + more[name].work) if name in more else one
        for name, one in stations.items()
    }


def overtime_worked(stations: Stations) -> Number:
    """Hours that the shop works beyond its usual ones: those of the station that needs most."""
    worked: Number = 0.0
    for station in stations.values():
        worked = np.maximum(worked, station.overtime_worked)
    return worked
