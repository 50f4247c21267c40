"""A month in the shop put together, with the machine or without it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.scenario.estimates import Number
from planner.shop import capacity, costs, labour, repairs, work
from planner.shop.capacity import Station
from planner.shop.machine import Setting
from planner.shop.volume import Volume, area_and_hours, volume_of


@dataclass(frozen=True, kw_only=True)
class Operations:
    """Running money and work a month; money in is positive, arrays (draws, months).

    ``lines`` are ledger lines, ``hours`` work by step, ``stations`` what each would need to make
    all that is asked for, ``served`` the share that is made, ``area`` printed with rejects [m²],
    ``consumed`` materials by kind.
    """

    lines: Mapping[str, Number]
    hours: labour.Hours
    works: tuple[work.Work, ...]
    stations: Mapping[str, Station]
    served: Number
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
    """A shop that owns the machine."""
    asked = pieces_asked(setting)
    upsets = upsets_of(setting)
    down = share_down(setting, upsets)
    stations = stations_for(setting, [pieces * (1 - down) for pieces in asked])
    served = (1 - down) * capacity.served_share(stations=stations)
    works = tuple(
        work.work_with(
            asked=pieces,
            without=bought,
            served=served,
            buys_in=work.can_buy_in(product=product, today=setting.scenario.today),
            calendar=setting.calendar,
        )
        for product, pieces, bought in zip(
            setting.products, asked, _pieces_without(setting), strict=True
        )
    )
    volumes = _volumes(setting, works)
    printed, hours = area_and_hours(setting, volumes, care=care_hours(setting))
    days = setting.calendar.running * setting.calendar.open_days * (1 - down)
    consumed = costs.consumption(setting, volumes, printed, days)
    sales = costs.sales_lines(setting, works)
    paid = {
        "garments": costs.garment_cost(setting, volumes),
        **costs.material_costs(setting, consumed),
        **costs.bought_costs(setting, volumes),
        "labour": costs.labour_cost(setting, hours.total),
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
        area=printed,
        consumed=consumed,
    )


def operations_without(setting: Setting) -> Operations:
    """A shop that signs nothing and buys transfers in; the press is the same."""
    works = tuple(work.work_without(pieces=pieces) for pieces in _pieces_without(setting))
    volumes = _volumes(setting, works)
    printed, hours = area_and_hours(setting, volumes, care=0.0)
    sales = costs.sales_lines(setting, works)
    nothing = 0.0 * setting.calendar.weeks
    unused = (*costs.MATERIAL_LINES[1:], *costs.KEEPING_LINES)
    paid = {
        **dict.fromkeys(unused, nothing),
        "garments": costs.garment_cost(setting, volumes),
        **costs.bought_costs(setting, volumes),
        "labour": costs.labour_cost(setting, hours.total),
        "energy": costs.press_energy_cost(setting, hours.pressing),
        "overheads": costs.overhead_cost(setting, has_machine=False),
        **costs.selling_costs(setting, sales, volumes),
    }
    return Operations(
        lines=sales | _paid_out(paid),
        hours=hours,
        works=works,
        stations={},
        served=1.0,
        area=printed,
        consumed={},
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
        price=setting.machine.price,
        calendar=setting.calendar,
        horizon=setting.values.whole(setting.scenario.horizon),
        runs_from=setting.values.whole(setting.scenario.runs_from),
        values=setting.values,
    )


def share_down(setting: Setting, upsets: repairs.Upsets) -> Number:
    """Share of each month's open days on which nothing can be printed [-]."""
    return capacity.share_down(down_days=upsets.down_days, open_days=setting.calendar.open_days)


def care_hours(setting: Setting) -> Number:
    """Daily, weekly and long-stop care of the machine [hour a month]."""
    scenario = setting.scenario
    return labour.care_hours(
        labour=scenario.labour,
        long_stop=setting.values(scenario.ink.long_stop.time),
        calendar=setting.calendar,
        values=setting.values,
    )


def stations_for(setting: Setting, pieces: Sequence[Number]) -> dict[str, Station]:
    """Hours of each station if all these pieces were made."""
    works = [work.work_made(pieces=made) for made in pieces]
    care = care_hours(setting)
    printed, hours = area_and_hours(setting, _volumes(setting, works), care=care)
    shop, equipment = setting.scenario.shop, setting.equipment
    values, calendar = setting.values, setting.calendar
    open_hours = values(shop.open_hours) * calendar.open_days * values(shop.efficiency)
    people = values(shop.staff_hours) * calendar.weeks * values(shop.efficiency)
    pressing = hours.pressing / values.whole(equipment.presses)
    needed: dict[str, tuple[Number, Number, Number]] = {
        "printer": (0.0, printed / values(equipment.print_speed), open_hours),
        "dryer": (0.0, printed / values(setting.machine.dryer_speed), open_hours),
        "press": (0.0, pressing, open_hours),
        "people": (care, hours.total - care, people),
    }
    return {
        name: Station(fixed=fixed, work=busy, available=available)
        for name, (fixed, busy, available) in needed.items()
    }
