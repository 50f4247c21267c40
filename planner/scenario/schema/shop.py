"""The shop itself: its hours, people, timed work, fixed costs and money."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, StrictBool

from planner.scenario.estimates import Estimate
from planner.scenario.kinds import (
    Balance,
    Days,
    DaysAWeek,
    HoursADay,
    HoursADesign,
    HoursAnArea,
    HoursAnOrder,
    HoursAPrint,
    HoursAWeek,
    Money,
    MoneyAKilowattHour,
    MoneyAMonth,
    MoneyAnHour,
    MoneyAYear,
    OpenHours,
    Percentage,
    Share,
    Text,
    Voltage,
    WeeksAYear,
    YearMonth,
    default,
    listed,
)
from planner.scenario.reading import Reads
from planner.scenario.schema.sales import Season
from planner.scenario.schema.table import Table


class Debt(Table):
    """A debt that the shop already has."""

    name: Text
    balance: Money
    payment: MoneyAMonth
    ends: YearMonth
    secured_by: Text | None = None


class Overtime(Table):
    """Hours a week that people may work beyond theirs, and what such an hour costs extra."""

    hours: HoursAWeek
    extra: Percentage = default("50 %")


class Shop(Table):
    """The shop: its hours, people, sales pattern and money."""

    open_days: DaysAWeek = default("5 day/week")
    open_hours: OpenHours = default("8 hour/day")
    open_weeks: WeeksAYear = default("48 week/year")
    efficiency: Annotated[Estimate, Reads(unit="share", above=0.0, at_most=1.0)] = default("60 %")
    staff_hours: HoursAWeek = default("40 hour/week")
    overtime: Overtime | None = None
    wage: MoneyAnHour
    on_costs: Percentage = default("12 %")
    unpaid_hours: HoursAWeek = default("0 hour/week")
    hours_already_paid: HoursAWeek = default("0 hour/week")
    electricity: MoneyAKilowattHour
    voltage: Voltage | None = None
    season: Season = None
    closed: Annotated[tuple[YearMonth, ...], BeforeValidator(listed)] = ()
    customers_pay_after: Days = default("14 day")
    suppliers_paid_after: Days = default("0 day")
    cash_at_start: Balance
    cash_flow_before: Annotated[Estimate, Reads(unit="money/year", at_least=None)] | None = None
    owner_draw: MoneyAYear | None = None
    debts: Annotated[tuple[Debt, ...], BeforeValidator(listed)] = ()


class Labour(Table):
    """Timed work by step."""

    artwork: HoursADesign = default("15 min/design")
    new_designs: Share = default("100 %")
    order_setup: HoursAnOrder = default("10 min/order")
    tending: HoursAnArea = default("1 min/ft^2")
    cutting: HoursAPrint = default("0.5 min/print")
    pressing: HoursAPrint = default("1.25 min/print")
    peel_wait: HoursAPrint = default("0 min/print")
    daily: HoursADay = default("30 min/day")
    weekly: HoursAWeek = default("45 min/week")


class Overhead(Table):
    """A fixed cost that begins with the purchase, or runs already."""

    name: Text
    cost: MoneyAMonth
    already_paid: StrictBool = False


class Stock(Table):
    """Materials held from the first day."""

    opening: Money = default(0)
