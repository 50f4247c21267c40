"""The scenario as types: every key, its kind with unit and limits, and its default.

Every default leans against the purchase and none is an amount of money other than zero. Defaults
stand as a user would write them and are read like what a user writes.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StrictBool, model_validator

from planner.scenario.estimates import Estimate
from planner.scenario.kinds import (
    Area,
    AreaAnOrder,
    AreaOfLife,
    Balance,
    Count,
    Currency,
    Date,
    Days,
    DaysAWeek,
    Growth,
    Horizon,
    Hours,
    HoursADay,
    HoursADesign,
    HoursAnArea,
    HoursAnOrder,
    HoursAPrint,
    HoursAWeek,
    Hurdle,
    Length,
    LengthARoll,
    LengthARun,
    Life,
    LocaleName,
    LossShare,
    Money,
    MoneyAKilogram,
    MoneyAKilowattHour,
    MoneyALitre,
    MoneyAMonth,
    MoneyAnArea,
    MoneyAnHour,
    MoneyAnOrder,
    MoneyAYear,
    Months,
    OpenHours,
    OrdersAWeek,
    Pack,
    Pause,
    Percentage,
    PieceAWeek,
    Power,
    Rate,
    RunsADay,
    Share,
    ShareAYear,
    SignedShare,
    Size,
    Speed,
    TaxShare,
    Term,
    Text,
    Texts,
    Voltage,
    Volume,
    VolumeADay,
    WeeksAYear,
    WholeMonths,
    YearMonth,
    default,
    listed,
    some,
)
from planner.scenario.reading import Reads, dated, fault, sourced


class Table(BaseModel):
    """Base of every table: frozen, nothing unknown, defaults read like what a user writes.

    ``written_as_value`` marks a table that a user writes as one value, not key by key.
    """

    model_config = ConfigDict(
        frozen=True, extra="forbid", validate_default=True, arbitrary_types_allowed=True
    )
    written_as_value: ClassVar[bool] = False


class Origin(Table):
    """A table whose inputs share a basis, source and date."""

    basis: Literal["measured", "accounts", "quoted", "estimated"] | None = None
    source: Annotated[str, BeforeValidator(sourced)] = ""
    date: Annotated[str, BeforeValidator(dated)] = ""


class Rectangle(Table):
    """Width and length of a print or a roll [m], written ``"10.5 in x 12.5 in"``."""

    written_as_value: ClassVar[bool] = True

    width: Size
    length: Size

    @model_validator(mode="before")
    @classmethod
    def _split(cls, value: Any) -> Any:
        if isinstance(value, Mapping) and all(isinstance(v, Estimate) for v in value.values()):
            return value
        must = 'be width x length, such as "10.5 in x 12.5 in"'
        parts = re.split(r"\s*[xX\u00d7]\s*", value.strip()) if isinstance(value, str) else []
        if len(parts) != 2:
            raise fault(must, value)
        if any(re.fullmatch(r"[\d.]+", part) for part in parts):
            raise fault(must, value, "give a unit on both sides of the x")
        return {"width": parts[0], "length": parts[1]}


class Debt(Table):
    """A debt that the shop already has."""

    name: Text
    balance: Money
    payment: MoneyAMonth
    ends: YearMonth
    secured_by: Text | None = None


_Sales = Annotated[Estimate, Reads(unit="", plain=True, single=True, above=0)]


def _twelve(value: Any) -> Any:
    if value is not None and (not isinstance(value, (list, tuple)) or len(value) != 12):
        raise fault("be twelve positive numbers, January to December", value)
    return value


Season = Annotated[tuple[_Sales, ...] | None, BeforeValidator(_twelve)]


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


class PriceBreak(Table):
    """A lower price for bought-in transfers from an order size."""

    from_: AreaAnOrder = Field(alias="from")
    price: MoneyAnArea


class Today(Table):
    """How the work is served without a machine: transfers bought in."""

    buy_in_price: MoneyAnArea | None = None
    buy_in_by: Literal["sheet", "picture"] = "picture"
    sheet_width: Size = default("22 in")
    sheet_gap: Length = default("0.25 in")
    price_breaks: Annotated[tuple[PriceBreak, ...], BeforeValidator(listed)] = ()
    delivery: MoneyAnOrder = default(0)
    delivery_free_from: Money | None = None
    orders: OrdersAWeek = default("1 order/week")
    hurry_extra: Percentage = default("30 %")


class Product(Table):
    """Something the shop sells: its prints, price and weekly numbers."""

    name: Text
    prints: Annotated[tuple[Rectangle, ...], BeforeValidator(some)]
    price: Money
    garment: Money
    garment_supplied: StrictBool = False
    today: PieceAWeek = default("0 piece/week")
    planned: PieceAWeek
    needs_machine: Share | None = None
    buy_in: Money | None = None
    pieces_per_order: Count = default(6)
    coverage: Annotated[Estimate, Reads(unit="share", at_most=3.0)] = default("100 %")
    filled: Share = default("100 %")
    pressed: StrictBool = True
    season: Season = None


class Ramp(Table):
    """How the added work arrives: its share at the start and the months to full volume."""

    start_share: Share = default("0 %")
    months: Months = default("9 months")
    spoilage_at_start: LossShare = default("15 %")


class GrowthRates(Table):
    """Yearly growth of volume and of each kind of price."""

    volume: Growth = default("0 %/year")
    prices: Growth = default("0 %/year")
    costs: Growth = default("0 %/year")
    wages: Growth = default("0 %/year")
    buy_in: Growth = default("0 %/year")


class TestPrintFile(Table):
    """The sheet of measured test prints, beside the scenario file."""

    __test__ = False
    file: Text


class LongStop(Table):
    """What a pause of the printer costs: ink flushed and time."""

    after: Pause = default("5 day")
    ink: Volume = default("80 mL")
    time: Annotated[Estimate, Reads(unit="hour", at_most=100)] = default("60 min")


class Ink(Table):
    """Ink: its price and what is used apart from prints."""

    price: MoneyALitre | None = None
    white_price: MoneyALitre | None = None
    colour_price: MoneyALitre | None = None
    colours: Count = default(4)
    pack: Pack = default("1 L")
    keeps: Life = default("6 months")
    first_fill: Volume = default("1.5 L")
    daily_loss: VolumeADay = default("12 mL/day")
    closed_day_loss: VolumeADay = default("4 mL/day")
    long_stop: LongStop = LongStop()


class Film(Table):
    """The film on the roll and what of it is lost."""

    roll: Rectangle
    roll_price: Money
    margin: Length = default("0.5 in")
    gap: Length = default("0.3 in")
    run_ends: LengthARun = default("48 in/run")
    runs: RunsADay = default("1 run/day")
    roll_ends: LengthARoll = default("3 m/roll")
    may_turn: StrictBool = False


class FilmOfEquipment(Table):
    """What differs from ``[film]`` for one set of equipment."""

    roll: Rectangle | None = None
    roll_price: Money | None = None
    margin: Length | None = None
    gap: Length | None = None
    run_ends: LengthARun | None = None
    runs: RunsADay | None = None
    roll_ends: LengthARoll | None = None
    may_turn: StrictBool | None = None


class Powder(Table):
    """Adhesive powder."""

    price: MoneyAKilogram
    lost: LossShare = default("15 %")


class Spoilage(Table):
    """Shares of transfers rejected, garments spoiled at the press, work redone after delivery."""

    transfers: LossShare = default("5 %")
    garments: LossShare = default("1 %")
    redone: LossShare = default("1 %")


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


class Rush(Table):
    """Orders in a hurry: their share and what they are charged extra."""

    share: Share
    extra: Percentage


class Selling(Table):
    """What selling costs, and how single orders are priced."""

    payment_fee: LossShare = default("3 %")
    payment_fee_each: MoneyAnOrder = default(0)
    packing: MoneyAnOrder = default(0)
    margin: LossShare = default("40 %")
    minimum_order: Money = default(0)
    rush: Rush | None = None


class PriceList(Table):
    """Sizes and quantities of the price list; without sizes, those of the products."""

    sizes: Annotated[tuple[Rectangle, ...], BeforeValidator(some)] | None = None
    quantities: Annotated[tuple[Count, ...], BeforeValidator(some)] | None = None


class OrderLine(Table):
    """Equal pieces of an order, a product's or others; ``design`` names a test print."""

    product: Text | None = None
    pieces: Count
    prints: Annotated[tuple[Rectangle, ...], BeforeValidator(some)] | None = None
    garment: Money | None = None
    garment_supplied: StrictBool | None = None
    coverage: Annotated[Estimate, Reads(unit="share", at_most=3.0)] | None = None
    filled: Share | None = None
    pressed: StrictBool | None = None
    design: Text | None = None
    new_designs: Annotated[
        Estimate, Reads(unit="", plain=True, single=True, whole=True, at_most=1e6)
    ] = default(1)


class Order(Table):
    """A single order to be costed; ``price`` is what the customer offers for all of it."""

    name: Text
    lines: Annotated[tuple[OrderLine, ...], BeforeValidator(some)]
    rush: StrictBool = False
    price: Money | None = None


class Overhead(Table):
    """A fixed cost that begins with the purchase, or runs already."""

    name: Text
    cost: MoneyAMonth
    already_paid: StrictBool = False


class Stock(Table):
    """Materials held from the first day."""

    opening: Money = default(0)


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
    life_at_most: Life | None = None
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


class EndOfLease(Table):
    """What happens when the lease ends: return, buy at market value or at a price, or renew."""

    written_as_value: ClassVar[bool] = True

    kind: Literal["return", "market", "buy", "renew"]
    share: Share | None = None
    sum: Money | None = None
    payment: MoneyAMonth | None = None

    @model_validator(mode="before")
    @classmethod
    def _read(cls, value: Any) -> Any:
        if value in ("return", "market", "renew"):
            return {"kind": value}
        if isinstance(value, Mapping) and set(value) == {"buy"}:
            buy = value["buy"]
            is_share = isinstance(buy, str) and buy.rstrip().endswith("%")
            return {"kind": "buy", "share" if is_share else "sum": buy}
        if isinstance(value, Mapping) and set(value) == {"renew"}:
            return {"kind": "renew", "payment": value["renew"]}
        must = 'be "return", "market", "renew", { buy = "7 %" }, { buy = 1 } or { renew = payment }'
        raise fault(must, value)


class StepOfPayments(Table):
    """Payments that change by a share every so many months."""

    every: Term
    change: SignedShare


Part = Literal["equipment", "start-up", "warranty", "first fill", "stock"]


class Financing(Table):
    """A way to pay: cash, a loan, the seller's instalments or a lease."""

    name: Text | None = None
    kind: Literal["cash", "loan", "instalments", "lease"]
    equipment: Text | None = None
    covers: Annotated[tuple[Part, ...], BeforeValidator(some)] = ("equipment",)
    rate: Rate | None = None
    payment: MoneyAMonth | None = None
    term: Term | None = None
    down_payment: LossShare | None = None
    fee: Money = default(0)
    fee_financed: StrictBool = False
    balloon: Money | None = None
    interest_only: WholeMonths | None = None
    first_payment_after: Term | None = None
    step: StepOfPayments | None = None
    early_repayment_charge: Share | None = None
    signed: Date | None = None
    first_payment: Date | None = None
    due: Literal["start", "end"] = "end"
    advance_payments: (
        Annotated[Estimate, Reads(unit="", plain=True, single=True, whole=True, at_most=600)] | None
    ) = None
    deposit: Money = default(0)
    document_fee: Money = default(0)
    sales_tax: TaxShare = default("0 %")
    at_end: EndOfLease | None = None
    notice: WholeMonths | None = None
    counts_as: Literal["purchase", "rent"] | None = None

    @property
    def is_loan(self) -> bool:
        """Whether money is borrowed: from a bank, or from the seller by instalments."""
        return self.kind in ("loan", "instalments")


MonthName = Literal[
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


RuleName = Literal[
    "straight line",
    "declining balance 150 %",
    "declining balance 200 %",
    "sum of years",
    "units of production",
    "whole price in year one",
    "US 5-year",
    "US 5-year, mid-quarter",
    "US 7-year",
    "US 7-year, mid-quarter",
    "UK writing-down allowance, main pool",
    "Canadian class 8",
]


class Depreciation(Table):
    """How the price is deducted: a named rule, an area the equipment prints, or shares by year."""

    written_as_value: ClassVar[bool] = True

    rule: RuleName | None = None
    life: AreaOfLife | None = None
    shares: Annotated[tuple[Share, ...], BeforeValidator(some)] | None = None

    @model_validator(mode="before")
    @classmethod
    def _read(cls, value: Any) -> Any:
        if isinstance(value, str):
            return {"rule": value}
        if isinstance(value, Mapping) and set(value) == {"life"}:
            return {"rule": "units of production", "life": value["life"]}
        if isinstance(value, Mapping) and set(value) == {"shares"}:
            return {"shares": value["shares"]}
        if isinstance(value, Mapping) and set(value) == {"rule"}:
            return value
        must = 'be the name of a rule, { life = "20000 ft^2" } or { shares = ["20 %", …] }'
        raise fault(must, value)


class Tax(Table):
    """Tax on income; without this table every page says "before tax"."""

    rate: TaxShare
    year_ends: MonthName = "December"
    depreciation: Depreciation = Depreciation(rule="straight line")
    losses: Literal["other income", "carried forward"] = "carried forward"


class Lender(Table):
    """What the lender asks for."""

    debt_service_cover_at_least: Annotated[
        Estimate, Reads(unit="", plain=True, single=True, at_most=10)
    ] = default(1.25)
    measures: Literal["after tax and draw", "before tax"] = "after tax and draw"
    counts: Share = default("50 %")
    guarantors: Texts = ()
    attached: Texts = ()
    missing: Texts = ()


class ChanceOfPayback(Table):
    """A chance of payback that the shop asks for."""

    within: Months
    at_least: Share


class Conditions(Table):
    """The shop's own tests."""

    pays_back_within: Months | None = None
    chance_of_payback: ChanceOfPayback | None = None
    cash_never_below: Balance | None = None


class TestPrint(Table):
    """One row of the sheet of test prints; figures are for all copies together.

    ``area`` is that of all copies [m²]; ``size`` that of one, where the sheet gives it;
    ``wanted`` the size at which a customer wants the design; ``artwork`` its picture file.
    """

    __test__ = False
    design: Text
    area: AreaOfLife
    size: Rectangle | None = None
    copies: Count
    white: Volume
    colour: Volume
    before_powder: Annotated[Estimate, Reads(unit="kilogram")]
    after_powder: Annotated[Estimate, Reads(unit="kilogram")]
    film_fed: Length | None = None
    wanted: Rectangle | None = None
    artwork: Text | None = None


class Together(Table):
    """Inputs that move together: rank correlation of each with each of the others."""

    inputs: Annotated[tuple[Text, ...], BeforeValidator(some)]
    rank_correlation: Annotated[
        Estimate, Reads(unit="", plain=True, single=True, at_least=-1.0, at_most=1.0)
    ]


class Scenario(Table):
    """Everything known about one shop's decision."""

    title: Text = "Transfer printing in-house"
    prepared_for: Text = "the shop"
    prepared_by: Text = "not stated"
    prepared_by_seller: StrictBool | None = None
    currency: Currency
    locale: LocaleName = "en_US"
    units: Literal["inch", "metric"] = "inch"
    start: YearMonth
    runs_from: Months = default("1 month")
    horizon: Horizon = default("60 months")
    hurdle_rate: Hurdle = default("15 %/year")
    shop: Shop
    today: Today | None = None
    products: Annotated[tuple[Product, ...], BeforeValidator(some)]
    ramp: Ramp = Ramp()
    growth: GrowthRates = GrowthRates()
    test_prints: TestPrintFile
    ink: Ink
    film: Film
    powder: Powder
    spoilage: Spoilage = Spoilage()
    labour: Labour = Labour()
    selling: Selling = Selling()
    price_list: PriceList = PriceList()
    orders: Annotated[tuple[Order, ...], BeforeValidator(listed)] = ()
    overheads: Annotated[tuple[Overhead, ...], BeforeValidator(listed)] = ()
    stock: Stock = Stock()
    equipment: Annotated[tuple[Equipment, ...], BeforeValidator(some)]
    financing: Annotated[tuple[Financing, ...], BeforeValidator(listed)] = ()
    tax: Tax | None = None
    together: Annotated[tuple[Together, ...], BeforeValidator(listed)] = ()
    lender: Lender = Lender()
    conditions: Conditions = Conditions()
    prints: tuple[TestPrint, ...] = Field(default=(), exclude=True)
