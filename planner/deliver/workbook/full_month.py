"""A month at full volume, nothing of it lost: what belongs to no single print."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from planner.decide.prints import PrintCost
from planner.decide.steady import equivalent_monthly_cost
from planner.deliver.workbook.book import Entry, Listing
from planner.deliver.workbook.buying import steady_transfers
from planner.deliver.workbook.facts import CASH, Facts, one
from planner.deliver.workbook.grid import total_of
from planner.deliver.workbook.wear import Part, wear_parts
from planner.scenario.estimates import Number
from planner.shop import costs
from planner.shop.labour import full_wage
from planner.shop.machine import Setting
from planner.shop.month import care_hours, pieces_asked, upsets_of
from planner.shop.volume import area_and_hours, volume_of
from planner.shop.work import work_made, work_without

_WEEKS: Final = "shop_open_weeks/12"
_DAYS: Final = "equipment_machines*IF(full_printed>0,full_days,0)"
_DRYING: Final = "full_printed/dryer_speed"
_IDLE_ENERGY: Final = (
    f"(power_dryer*(MAX(equipment_dryer_on*{_DAYS},{_DRYING})"
    f"+equipment_dryer_warm_up*{_DAYS}-{_DRYING})"
    "+power_idle*MAX(0,equipment_machines*365/12*24-full_printed/equipment_print_speed))"
    "*shop_electricity"
)
_SHARED: Final = (
    *("overhead_costs", "supplies_month", "insurance_month", "wear_accrued", "repairs_mean"),
)
_SHARED_BY_PRINTS: Final = (
    *("ink_lost_cost", "thrown_cost", "film_ends_cost", "roll_ends_cost", "care_cost"),
    "idle_energy_cost",
)


def full_month(facts: Facts, pieces: Sequence[PrintCost]) -> Listing:
    """Figures of the full month, and the overheads that each printed area carries."""
    month = _Month(facts, pieces)
    own = (*month.printed(), *month.idle()) if facts.prints else month.bought()
    way = "all of it made here" if facts.prints else "with transfers bought in"
    return Listing(
        title=f"A month at full volume, {way}, at month-1 prices",
        entries=(*month.volume(), *own, *month.keeping(), *month.shares()),
    )


class _Month:
    """Values of the engine for the steady month in which nothing is down."""

    def __init__(self, facts: Facts, costs_of_pieces: Sequence[PrintCost]) -> None:
        self.facts, self.costs_of_pieces = facts, costs_of_pieces
        self.setting: Setting = facts.case.setting(facts.machine, facts.case.steady)
        pieces, done = pieces_asked(self.setting), work_made if facts.prints else work_without
        self.pieces = [one(count) for count in pieces]
        self.volumes = [
            volume_of(self.setting, product, done(pieces=count))
            for product, count in zip(self.setting.products, pieces, strict=True)
        ]
        self.care = care_hours(self.setting)
        self.area, self.hours = area_and_hours(self.setting, self.volumes, care=self.care)
        days = self.setting.calendar.open_days
        self.used = costs.consumption(self.setting, self.volumes, self.area, days)
        self.material = costs.material_costs(self.setting, self.used)
        self.kept = costs.keeping_costs(self.setting, self.area, upsets_of(self.setting))

    def _figure(self, name: str, label: str, unit: str, value: Number, formula: str) -> Entry:
        return Entry(name=name, label=label, unit=unit, value=one(value), formula=formula)

    def _cost(self, name: str, label: str, value: Number, formula: str) -> Entry:
        return self._figure(name, label, self.facts.currency, value, formula)

    def volume(self) -> list[Entry]:
        """The area that carries what belongs to no single print, and overheads."""
        uses = self.facts.machine.uses
        good = sum(count * use.area for count, use in zip(self.pieces, uses, strict=True))
        overheads = costs.overhead_cost(self.setting, has_machine=True)
        paid = [f"overhead_{at}_cost" for at in range(1, len(self.facts.scenario.overheads) + 1)]
        return [
            self._figure("full_area", "area of the pieces planned", "m²", good,
                         f"SUMPRODUCT(product_planned,product_area)*{_WEEKS}"),
            self._cost("overhead_costs", "overheads", overheads, total_of(paid)),
        ]  # fmt: skip

    def bought(self) -> list[Entry]:
        """Transfers of a set that only presses."""
        return steady_transfers(
            self.facts, name="full_bought", pieces=self.pieces, weekly="product_planned"
        )

    def printed(self) -> list[Entry]:
        """Areas, ink, film and time of the month."""
        calendar, uses = self.setting.calendar, self.facts.machine.uses
        covered = sum(
            one(count.printed) * one(use.covered)
            for count, use in zip(self.volumes, uses, strict=True)
        )
        printed = f"*{_WEEKS}/(1-spoilage_transfers)"
        each = "SUMPRODUCT(product_planned,product_each,product_"
        return [
            self._figure("full_printed", "area printed, with rejects", "m²", self.area,
                         f"{each}area){printed}"),
            self._figure("full_covered", "of it covered with ink", "m²", covered,
                         f"{each}covered){printed}"),
            self._figure("full_film", "film fed with prints", "m", self.used["film"],
                         f"{each}film){printed}"),
            self._figure("full_days", "days open", "day", calendar.open_days,
                         f"shop_open_days*{_WEEKS}"),
            self._figure("full_stops", "pauses that call for a flush", "number",
                         calendar.long_stops,
                         "IF(long_stop_after<=7,MAX(0,52-shop_open_weeks)/12,0)"),
            self._figure("full_care", "care of the machine", "hour", self.care,
                         f"equipment_machines*(labour_daily*full_days+labour_weekly*{_WEEKS}"
                         "+long_stop_time*full_stops)"),
            self._figure("full_ink_lost", "ink lost apart from prints", "L", self.used["ink lost"],
                         "equipment_machines*(ink_daily_loss*full_days"
                         "+ink_closed_day_loss*(365/12-full_days)+long_stop_ink*full_stops)"),
        ]  # fmt: skip

    def idle(self) -> list[Entry]:
        """What is used up or kept on whether something is printed or not."""
        least = (
            "MAX(0,equipment_machines*ink_pack/ink_keeps-(full_covered*rate_{}+full_ink_lost*{}){})"
        )
        white = least.format("white", "white_share", "")
        colour = least.format("colour", "(1-white_share)", "/ink_colours")
        wage = full_wage(shop=self.facts.scenario.shop, values=self.facts.values)
        power = costs.energy_cost(
            self.setting, self.area, self.hours.pressing, self.setting.calendar.open_days
        )
        roll_ends = self.material["film"] * self.facts.machine.rates.in_roll_ends
        running = sum(
            count * cost.parts["energy"]
            for count, cost in zip(self.pieces, self.costs_of_pieces, strict=True)
        )
        return [
            self._cost("ink_lost_cost", "ink lost", self.material["ink lost"],
                       "full_ink_lost*liquid_price"),
            self._cost("thrown_cost", "ink thrown away", self.material["ink thrown away"],
                       f"{white}*ink_white_price+{colour}*ink_colours*ink_colour_price"),
            self._cost("film_ends_cost", "film at the ends of runs", self.material["film ends"],
                       f"{_DAYS}*film_runs*film_run_ends*film_price"),
            self._cost("roll_ends_cost", "film at the ends of rolls", roll_ends,
                       "full_film*(film_price-film_plain_price)"),
            self._cost("care_cost", "care of the machine", self.care * wage,
                       "full_care*full_wage"),
            self._cost("idle_energy_cost", "electricity beyond running",
                       power - running, _IDLE_ENERGY),
        ]  # fmt: skip

    def keeping(self) -> list[Entry]:
        """Wear and repairs at their mean; supplies and insurance stand with the equipment."""
        return [
            self._cost("wear_accrued", "parts that wear out", self.kept["wear parts"],
                       total_of([_accrued(at, part) for at, part in
                                 enumerate(wear_parts(self.facts), start=1)])),
            self._cost("repairs_mean", "repairs, mean over the horizon", self.kept["repairs"],
                       'SUMIF({calendar.age.all},">0",{equipment.repair_cost.all})/horizon'),
        ]  # fmt: skip

    def shares(self) -> list[Entry]:
        """What an area carries of all this, and what the equipment costs a month."""
        money, first = self.facts.currency, self.costs_of_pieces[0]
        area = self.facts.machine.uses[0].area
        months = self.facts.alias("months", CASH)
        shared = (*_SHARED, *(_SHARED_BY_PRINTS if self.facts.prints else ()))
        present = (
            f"{{{months}.capital_cash.first}}+stock_opening"
            f"+NPV(hurdle_month,{{{months}.capital_cash.later}})"
            f"+{{{months}.resale_cash.last}}/(1+hurdle_month)^horizon"
        )
        return [
            self._figure("overhead_an_area", "all of these and upkeep, by area planned",
                         f"{money}/m²", first.parts["upkeep and overheads"] / area,
                         f"({total_of(shared)})/full_area"),
            self._cost("equipment_month", "the equipment's equivalent monthly cost",
                       equivalent_monthly_cost(self.facts.plan),
                       f"PMT(hurdle_month,horizon,{present})"),
        ]  # fmt: skip


def _accrued(at: int, part: Part) -> str:
    by_area = f"full_printed/equipment_machines/wear_part_{at}_life" if part.life else "0"
    by_age = f"1/wear_part_{at}_life_at_most" if part.life_at_most else "0"
    return f"wear_part_{at}_set*MAX({by_area},{by_age})"
