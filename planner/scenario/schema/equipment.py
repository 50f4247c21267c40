"""What could be bought: sets of equipment with their upkeep and warranties."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, StrictBool

from planner.scenario.estimates import Estimate
from planner.scenario.kinds import (
    Area,
    AreaOfLife,
    Count,
    Days,
    Hours,
    HoursADay,
    Life,
    LifeOfPart,
    LossShare,
    Money,
    MoneyAMonth,
    Months,
    Power,
    Share,
    ShareAYear,
    Speed,
    Text,
    Texts,
    default,
    listed,
    some,
)
from planner.scenario.reading import Reads
from planner.scenario.schema.materials import FilmOfEquipment
from planner.scenario.schema.table import Origin, Table


class Worth(Table):
    """Resale value: the share of the price left after a time."""

    after: Annotated[Estimate, Reads(unit="month", single=True, above=0, at_most=600)] = default(
        "36 months"
    )
    share: Share = default("20 %")


class Item(Origin):
    """One thing bought."""

    name: Text
    price: Money
    quantity: Count = default(1)
    life: Life = default("5 years")
    worth: Worth = Worth()


class StartUp(Origin):
    """What it takes to make the equipment run: a cost, or training hours and practice prints."""

    name: Text
    cost: Money | None = None
    hours: Hours | None = None
    practice: Area | None = None


class WearPart(Origin):
    """A part that wears out by area printed or by age, whichever comes first."""

    name: Text
    count: Count = default(1)
    price: Money
    life: AreaOfLife | None = None
    life_at_most: LifeOfPart | None = None
    covered: StrictBool = False


class Repairs(Origin):
    """Failures as a power law of age, their cost and the days lost."""

    in_first_year: Annotated[Estimate, Reads(unit="", plain=True, at_most=100)]
    wear: Annotated[Estimate, Reads(unit="", plain=True, above=0, at_most=5)] = default(1.0)
    cost: Annotated[Estimate, Reads(unit="money", plain=True, enters_as_mean=True)]
    down_days_covered: Days = default("3 day")
    down_days_uncovered: Days = default("6 day")


class Warranty(Origin):
    """A warranty term: the one included, or an extension at a price."""

    name: Text = "Included, 12 months"
    term: Annotated[Estimate, Reads(unit="month", single=True, at_most=600)] = default("12 months")
    price: Money = default(0)
    deductible: Money = default(0)


class Equipment(Table):
    """One set that could be bought together."""

    name: Text
    price: Money | None = None
    power: Power | None = None
    print_speed: Speed | None = None
    machines: Count = default(1)
    dryer_speed: Speed | None = None
    printer_power: Power | None = None
    dryer_power: Power | None = None
    dryer_warm_up: HoursADay = default("30 min/day")
    dryer_on: HoursADay = default("3 hour/day")
    idle_power: Power | None = None
    press_power: Power = default("1.8 kW")
    press_duty: Share = default("50 %")
    presses: Count = default(1)
    age: Months = default("0 months")
    supplies: MoneyAMonth | None = None
    insurance: ShareAYear = default("2 %/year")
    discount: LossShare = default("0 %")
    sales_tax: Share = default("0 %")
    in_place: Texts = ()
    film: FilmOfEquipment = FilmOfEquipment()
    items: Annotated[tuple[Item, ...], BeforeValidator(some)] | None = None
    start_up: Annotated[tuple[StartUp, ...], BeforeValidator(listed)] | None = None
    wear_parts: Annotated[tuple[WearPart, ...], BeforeValidator(listed)] | None = None
    repairs: Repairs | None = None
    warranty: Annotated[tuple[Warranty, ...], BeforeValidator(some)] = (Warranty(),)
