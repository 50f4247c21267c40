"""The scenario as types: every key, its unit, its limits and its default.

Canonical units: metre, square metre, litre, kilogram, hour (work), month (calendar), kilowatt,
share (1 = 100 %) and the scenario's currency. Every default leans against the purchase and none
is an amount of money other than zero.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StrictBool, model_validator

from planner.scenario.estimates import Basis, Estimate
from planner.scenario.reading import Reads, fault


@dataclass(frozen=True)
class Later:
    """Marks a key that is read and checked but does not act yet; says what will use it."""

    until: str


@dataclass(frozen=True, order=True)
class Month:
    """A calendar month."""

    year: int
    month: int

    def plus(self, months: int) -> Month:
        """The month ``months`` later; negative goes back."""
        at = self.year * 12 + self.month - 1 + months
        return Month(at // 12, at % 12 + 1)

    def since(self, other: Month) -> int:
        """Whole months from ``other`` to this one."""
        return (self.year - other.year) * 12 + self.month - other.month

    def __str__(self) -> str:
        return f"{self.year:04d}-{self.month:02d}"


def _month(value: Any) -> Month:
    if isinstance(value, Month):
        return value
    found = re.fullmatch(r"(\d{4})-(\d{2})", value) if isinstance(value, str) else None
    if not found or not 1 <= int(found[2]) <= 12 or not 1950 <= int(found[1]) <= 2200:
        raise fault('be a month such as "2027-03"', value)
    return Month(int(found[1]), int(found[2]))


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise fault("be words in quotes", value)
    if len(value) > 200:
        raise fault("be at most 200 characters", value)
    if any(not c.isprintable() for c in value):
        raise fault("be on one line, without control characters", value)
    return value.strip()


def _currency(value: Any) -> str:
    if not isinstance(value, str) or not re.fullmatch(r"[A-Z]{3}", value):
        raise fault('be a currency code of three capital letters, such as "USD"', value)
    return value


def _list(value: Any) -> Any:
    if not isinstance(value, (list, tuple)):
        raise fault("be a list", value)
    return value


def _one_of(*allowed: str) -> BeforeValidator:
    def check(value: Any) -> Any:
        if value not in allowed:
            import difflib

            near = difflib.get_close_matches(str(value), allowed, n=1, cutoff=0.5)
            words = ", ".join(f'"{name}"' for name in allowed)
            raise fault(f"be one of {words}", value, f'did you mean "{near[0]}"?' if near else "")
        return value

    return BeforeValidator(check)


Text = Annotated[str, BeforeValidator(_text)]
Texts = Annotated[tuple[Text, ...], BeforeValidator(_list)]
YearMonth = Annotated[Month, BeforeValidator(_month)]
Money = Annotated[Estimate, Reads(unit="money", plain=True)]
MoneyAMonth = Annotated[Estimate, Reads(unit="money/month")]
MoneyAnHour = Annotated[Estimate, Reads(unit="money/hour")]
MoneyAnOrder = Annotated[Estimate, Reads(unit="money/order")]
MoneyAnArea = Annotated[Estimate, Reads(unit="money/metre**2")]
MoneyALitre = Annotated[Estimate, Reads(unit="money/litre")]
Share = Annotated[Estimate, Reads(unit="share", at_most=1.0)]
LossShare = Annotated[Estimate, Reads(unit="share", at_most=0.9)]
Percentage = Annotated[Estimate, Reads(unit="share", at_most=10.0)]
ShareAYear = Annotated[Estimate, Reads(unit="share/year", at_most=1.0)]
Growth = Annotated[Estimate, Reads(unit="share/year", at_least=-0.5, at_most=2.0)]
Rate = Annotated[Estimate, Reads(unit="share/year", at_most=5.0, nominal=True)]
Months = Annotated[Estimate, Reads(unit="month", single=True, at_most=1200)]
Term = Annotated[Estimate, Reads(unit="month", single=True, whole=True, at_least=1, at_most=600)]
Days = Annotated[Estimate, Reads(unit="day", at_most=365)]
Length = Annotated[Estimate, Reads(unit="metre", single=True)]
Size = Annotated[Estimate, Reads(unit="metre", single=True, above=0.0, at_most=1000)]
PieceAWeek = Annotated[Estimate, Reads(unit="piece/week", at_most=1e6)]
Power = Annotated[Estimate, Reads(unit="kilowatt", at_most=1000)]
Speed = Annotated[Estimate, Reads(unit="metre**2/hour", above=0.0)]
Count = Annotated[Estimate, Reads(unit="", plain=True, single=True, whole=True, at_least=1)]
HoursAWeek = Annotated[Estimate, Reads(unit="hour/week", at_most=10_000)]
HoursADay = Annotated[Estimate, Reads(unit="hour/day", at_most=24)]
HoursAnOrder = Annotated[Estimate, Reads(unit="hour/order", at_most=100)]
HoursAPrint = Annotated[Estimate, Reads(unit="hour/print", at_most=24)]


class Table(BaseModel):
    """Base of every table: frozen, nothing unknown, defaults read like what a user writes."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        validate_default=True,
        arbitrary_types_allowed=True,
        populate_by_name=True,
    )


class Origin(Table):
    """A table whose inputs share a basis, source and date."""

    basis: Basis | None = None
    source: str = ""
    date: Any = ""


class Rectangle(Table):
    """Width and length of a print or a roll [m], written ``"10.5 in x 12.5 in"``."""

    width: Size
    length: Size

    @model_validator(mode="before")
    @classmethod
    def _split(cls, value: Any) -> Any:
        if isinstance(value, Mapping):
            return value
        parts = re.split(r"\s*[x\u00d7]\s*", value) if isinstance(value, str) else []
        if len(parts) != 2:
            raise fault('be width x length, such as "10.5 in x 12.5 in"', value)
        if re.fullmatch(r"[\d.]+", parts[0]):
            raise fault("have a unit on both sides of the x", value)
        return {"width": parts[0], "length": parts[1]}


class Debt(Table):
    """A debt that the shop already has."""

    name: Text
    balance: Money
    payment: MoneyAMonth
    ends: YearMonth
    secured_by: Annotated[Text | None, Later("the lender's file")] = None


class Shop(Table):
    """The shop: its hours, people, sales pattern and money."""

    open_days: Annotated[Estimate, Reads(unit="day/week", single=True, above=0, at_most=7)] = Field(
        "5 day/week"
    )
    open_hours: Annotated[Estimate, Reads(unit="hour/day", above=0, at_most=24)] = Field(
        "8 hour/day"
    )
    open_weeks: Annotated[Estimate, Reads(unit="week/year", single=True, above=0, at_most=53)] = (
        Field("48 week/year")
    )
    efficiency: Annotated[Estimate, Reads(unit="share", above=0.0, at_most=1.0)] = Field("60 %")
    staff_hours: HoursAWeek = Field("40 hour/week")
    wage: MoneyAnHour
    on_costs: Percentage = Field("12 %")
    unpaid_hours: HoursAWeek = Field("0 hour/week")
    hours_already_paid: HoursAWeek = Field("0 hour/week")
    electricity: Annotated[Estimate, Reads(unit="money/kilowatt_hour")]
    season: Annotated[
        tuple[Annotated[Estimate, Reads(unit="", plain=True, single=True, above=0)], ...] | None,
        BeforeValidator(lambda value: _twelve(value)),
    ] = None
    closed: Annotated[tuple[YearMonth, ...], BeforeValidator(_list)] = ()
    customers_pay_after: Days = Field("14 day")
    suppliers_paid_after: Days = Field("0 day")
    cash_at_start: Annotated[Estimate, Reads(unit="money", plain=True, at_least=None)]
    cash_flow_before: Annotated[Estimate, Reads(unit="money/year", at_least=None)] | None = None
    owner_draw: Annotated[Estimate, Reads(unit="money/year")] | None = None
    debts: Annotated[tuple[Debt, ...], BeforeValidator(_list)] = ()


def _twelve(value: Any) -> Any:
    if value is not None and (not isinstance(value, (list, tuple)) or len(value) != 12):
        raise fault("be twelve positive numbers, January to December", value)
    return value


class PriceBreak(Table):
    """A lower price for bought-in transfers from an order size."""

    from_: Annotated[Estimate, Reads(unit="metre**2/order")] = Field(alias="from")
    price: MoneyAnArea


class Today(Table):
    """How the work is served without a machine: transfers bought in."""

    buy_in_price: MoneyAnArea | None = None
    buy_in_by: Annotated[Literal["sheet", "picture"], _one_of("sheet", "picture")] = "picture"
    sheet_width: Size = Field("22 in")
    sheet_gap: Length = Field("0.25 in")
    price_breaks: Annotated[tuple[PriceBreak, ...], BeforeValidator(_list)] = ()
    delivery: MoneyAnOrder = Field(0)
    delivery_free_from: Money | None = None
    orders: Annotated[Estimate, Reads(unit="order/week", above=0)] = Field("1 order/week")
    hurry_extra: Percentage = Field("30 %")


def _some(value: Any) -> Any:
    if not isinstance(value, (list, tuple)) or not value:
        raise fault("be a list with at least one entry", value)
    return value


class Product(Table):
    """Something the shop sells: its prints, price and weekly numbers."""

    name: Text
    prints: Annotated[tuple[Rectangle, ...], BeforeValidator(_some)]
    price: Money
    garment: Money
    today: PieceAWeek = Field("0 piece/week")
    planned: PieceAWeek
    needs_machine: Share | None = None
    buy_in: Money | None = None
    pieces_per_order: Count = Field(6)
    coverage: Annotated[Estimate, Reads(unit="share", at_most=3.0)] = Field("100 %")
    filled: Share = Field("100 %")
    pressed: StrictBool = True


class Ramp(Table):
    """How the added work arrives: its share at the start and the months to full volume."""

    start_share: Share = Field("0 %")
    months: Months = Field("9 months")
    spoilage_at_start: LossShare = Field("15 %")


class GrowthRates(Table):
    """Yearly growth of volume and of each kind of price."""

    volume: Growth = Field("0 %/year")
    prices: Growth = Field("0 %/year")
    costs: Growth = Field("0 %/year")
    wages: Growth = Field("0 %/year")
    buy_in: Growth = Field("0 %/year")


class TestPrintFile(Table):
    """The sheet of measured test prints, beside the scenario file."""

    __test__ = False
    file: Text


class LongStop(Table):
    """What a pause of the printer costs: ink flushed and time."""

    after: Annotated[Estimate, Reads(unit="day", at_most=365)] = Field("5 day")
    ink: Annotated[Estimate, Reads(unit="litre")] = Field("80 mL")
    time: Annotated[Estimate, Reads(unit="hour", at_most=100)] = Field("60 min")


_PACKS = "ink thrown away in packs that expire"


class Ink(Table):
    """Ink: its price and what is used apart from prints."""

    price: MoneyALitre | None = None
    white_price: MoneyALitre | None = None
    colour_price: MoneyALitre | None = None
    colours: Annotated[Count, Later(_PACKS)] = Field(4)
    pack: Annotated[
        Annotated[Estimate, Reads(unit="litre", single=True, above=0)], Later(_PACKS)
    ] = Field("1 L")
    keeps: Annotated[Months, Later(_PACKS)] = Field("6 months")
    first_fill: Annotated[Estimate, Reads(unit="litre")] = Field("1.5 L")
    daily_loss: Annotated[Estimate, Reads(unit="litre/day")] = Field("12 mL/day")
    closed_day_loss: Annotated[Estimate, Reads(unit="litre/day")] = Field("4 mL/day")
    long_stop: LongStop = Field(LongStop())


class Film(Table):
    """The film on the roll and what of it is lost."""

    roll: Rectangle
    roll_price: Money
    margin: Length = Field("0.5 in")
    gap: Length = Field("0.3 in")
    run_ends: Annotated[Estimate, Reads(unit="metre/run")] = Field("48 in/run")
    runs: Annotated[Estimate, Reads(unit="run/day")] = Field("1 run/day")
    roll_ends: Annotated[Estimate, Reads(unit="metre/roll")] = Field("3 m/roll")
    may_turn: StrictBool = False


class FilmOfEquipment(Table):
    """What differs from ``[film]`` for one set of equipment."""

    roll: Rectangle | None = None
    roll_price: Money | None = None
    margin: Length | None = None
    gap: Length | None = None
    run_ends: Annotated[Estimate, Reads(unit="metre/run")] | None = None
    runs: Annotated[Estimate, Reads(unit="run/day")] | None = None
    roll_ends: Annotated[Estimate, Reads(unit="metre/roll")] | None = None
    may_turn: StrictBool | None = None


class Powder(Table):
    """Adhesive powder."""

    price: Annotated[Estimate, Reads(unit="money/kilogram")]
    lost: LossShare = Field("15 %")


class Spoilage(Table):
    """Shares of transfers rejected, garments spoiled at the press, work redone after delivery."""

    transfers: LossShare = Field("5 %")
    garments: LossShare = Field("1 %")
    redone: LossShare = Field("1 %")


class Labour(Table):
    """Timed work by step."""

    artwork: Annotated[Estimate, Reads(unit="hour/design", at_most=100)] = Field("15 min/design")
    new_designs: Share = Field("100 %")
    order_setup: HoursAnOrder = Field("10 min/order")
    tending: Annotated[Estimate, Reads(unit="hour/metre**2", at_most=100)] = Field("1 min/ft^2")
    cutting: HoursAPrint = Field("0.5 min/print")
    pressing: HoursAPrint = Field("1.25 min/print")
    peel_wait: HoursAPrint = Field("0 min/print")
    daily: HoursADay = Field("30 min/day")
    weekly: HoursAWeek = Field("45 min/week")


class Rush(Table):
    """Orders in a hurry: their share and what they are charged extra."""

    share: Share
    extra: Percentage


_ORDERS = "the price of single orders"


class Selling(Table):
    """What selling costs."""

    payment_fee: LossShare = Field("3 %")
    payment_fee_each: MoneyAnOrder = Field(0)
    packing: MoneyAnOrder = Field(0)
    minimum_order: Annotated[Money, Later(_ORDERS)] = Field(0)
    rush: Annotated[Rush | None, Later(_ORDERS)] = None


class Overhead(Table):
    """A fixed cost that begins with the purchase, or runs already."""

    name: Text
    cost: MoneyAMonth
    already_paid: StrictBool = False


class Stock(Table):
    """Materials held from the first day."""

    opening: Money = Field(0)


class Worth(Table):
    """Resale value: the share of the price left after a time."""

    after: Annotated[Estimate, Reads(unit="month", single=True, above=0, at_most=600)] = Field(
        "36 months"
    )
    share: Share = Field("20 %")


class Item(Origin):
    """One thing bought."""

    name: Text
    price: Money
    quantity: Count = Field(1)
    life: Annotated[Estimate, Reads(unit="month", single=True, at_least=1, at_most=1200)] = Field(
        "5 years"
    )
    worth: Worth = Field(Worth())


class StartUp(Origin):
    """What it takes to make the equipment run: a cost, or training hours and practice prints."""

    name: Text
    cost: Money | None = None
    hours: Annotated[Estimate, Reads(unit="hour")] | None = None
    practice: Annotated[Estimate, Reads(unit="metre**2")] | None = None


class WearPart(Origin):
    """A part that wears out by area printed or by age, whichever comes first."""

    name: Text
    count: Count = Field(1)
    price: Money
    life: Annotated[Estimate, Reads(unit="metre**2", above=0)] | None = None
    life_at_most: Annotated[Estimate, Reads(unit="month", single=True, at_least=1)] | None = None
    covered: StrictBool = False


class Repairs(Origin):
    """Failures as a power law of age, their cost and the days lost."""

    in_first_year: Annotated[Estimate, Reads(unit="", plain=True, at_most=100)]
    wear: Annotated[Estimate, Reads(unit="", plain=True, above=0, at_most=5)] = Field(1.0)
    cost: Money
    down_days_covered: Days = Field("3 day")
    down_days_uncovered: Days = Field("6 day")


class Warranty(Origin):
    """A warranty term: the one included, or an extension at a price."""

    name: Text = "Included, 12 months"
    term: Annotated[Estimate, Reads(unit="month", single=True, at_most=600)] = Field("12 months")
    price: Money = Field(0)
    deductible: Money = Field(0)


class Equipment(Table):
    """One set that could be bought together."""

    name: Text
    price: Money | None = None
    power: Power | None = None
    print_speed: Speed
    dryer_speed: Speed | None = None
    printer_power: Power | None = None
    dryer_power: Power | None = None
    dryer_warm_up: HoursADay = Field("30 min/day")
    dryer_on: HoursADay = Field("3 hour/day")
    idle_power: Power | None = None
    press_power: Power = Field("1.8 kW")
    press_duty: Share = Field("50 %")
    presses: Count = Field(1)
    age: Months = Field("0 months")
    supplies: MoneyAMonth | None = None
    insurance: ShareAYear = Field("2 %/year")
    discount: Share = Field("0 %")
    sales_tax: Share = Field("0 %")
    in_place: Annotated[Texts, Later("warnings of what is neither bought nor in place")] = ()
    film: FilmOfEquipment = Field(FilmOfEquipment())
    items: Annotated[tuple[Item, ...], BeforeValidator(_some)] | None = None
    start_up: Annotated[tuple[StartUp, ...], BeforeValidator(_list)] | None = None
    wear_parts: Annotated[tuple[WearPart, ...], BeforeValidator(_list)] | None = None
    repairs: Repairs | None = None
    warranty: Annotated[tuple[Warranty, ...], BeforeValidator(_some)] = (Warranty(),)


class EndOfLease(Table):
    """What happens when the lease ends: return, buy at market value, or buy at a price."""

    kind: Literal["return", "market", "buy"]
    share: Share | None = None
    sum: Money | None = None

    @model_validator(mode="before")
    @classmethod
    def _read(cls, value: Any) -> Any:
        if value in ("return", "market"):
            return {"kind": value}
        if isinstance(value, Mapping) and set(value) == {"buy"}:
            buy = value["buy"]
            is_share = isinstance(buy, str) and buy.rstrip().endswith("%")
            return {"kind": "buy", "share" if is_share else "sum": buy}
        if isinstance(value, Mapping) and "kind" in value:
            return value
        raise fault('be "return", "market", or { buy = "7 %" } or { buy = 1 }', value)


Part = Annotated[
    Literal["equipment", "start-up", "warranty", "first fill", "stock"],
    _one_of("equipment", "start-up", "warranty", "first fill", "stock"),
]


class Financing(Table):
    """A way to pay."""

    name: Text | None = None
    kind: Annotated[Literal["cash", "loan", "lease"], _one_of("cash", "loan", "lease")]
    equipment: Text | None = None
    covers: Annotated[tuple[Part, ...], BeforeValidator(_some)] = ("equipment",)
    rate: Rate | None = None
    payment: MoneyAMonth | None = None
    term: Term | None = None
    down_payment: Share | None = None
    fee: Money = Field(0)
    due: Annotated[Literal["start", "end"], _one_of("start", "end")] = "end"
    advance_payments: (
        Annotated[Estimate, Reads(unit="", plain=True, single=True, whole=True)] | None
    ) = None
    deposit: Money = Field(0)
    document_fee: Money = Field(0)
    sales_tax: Share = Field("0 %")
    at_end: EndOfLease | None = None


class Tax(Table):
    """Tax on income; without this table every page says "before tax"."""

    rate: Annotated[Estimate, Reads(unit="share", at_most=0.9)]
    year_ends: Annotated[
        str,
        _one_of(
            *[
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
        ),
    ] = "December"
    depreciation: Annotated[str, _one_of("straight line")] = "straight line"
    losses: Annotated[
        Literal["other income", "carried forward"], _one_of("other income", "carried forward")
    ] = "carried forward"


_LENDER = "the lender's file"


class Lender(Table):
    """What the lender asks for."""

    debt_service_cover_at_least: Annotated[
        Estimate, Reads(unit="", plain=True, single=True, at_most=10)
    ] = Field(1.25)
    measures: Annotated[
        Literal["after tax and draw", "before tax"], _one_of("after tax and draw", "before tax")
    ] = "after tax and draw"
    counts: Share = Field("50 %")
    guarantors: Annotated[Texts, Later(_LENDER)] = ()
    attached: Annotated[Texts, Later(_LENDER)] = ()
    missing: Annotated[Texts, Later(_LENDER)] = ()


class ChanceOfPayback(Table):
    """A chance of payback that the shop asks for."""

    within: Months
    at_least: Share


class Conditions(Table):
    """The shop's own tests."""

    pays_back_within: Months | None = None
    chance_of_payback: Annotated[ChanceOfPayback | None, Later("risk")] = None
    cash_never_below: Annotated[Estimate, Reads(unit="money", plain=True, at_least=None)] | None = (
        None
    )


class TestPrint(Table):
    """One row of the sheet of test prints; figures are for all copies together."""

    __test__ = False
    design: Text
    area: Annotated[Estimate, Reads(unit="metre**2", single=True, above=0)]
    size: Rectangle | None = None
    copies: Count
    white: Annotated[Estimate, Reads(unit="litre", single=True)]
    colour: Annotated[Estimate, Reads(unit="litre", single=True)]
    before_powder: Annotated[Estimate, Reads(unit="kilogram", single=True)]
    after_powder: Annotated[Estimate, Reads(unit="kilogram", single=True)]
    film_fed: Annotated[Estimate, Reads(unit="metre", single=True)] | None = None


class Scenario(Table):
    """Everything known about one shop's decision."""

    title: Text = "Transfer printing in-house"
    prepared_for: Text = "the shop"
    prepared_by: Text = "not stated"
    currency: Annotated[str, BeforeValidator(_currency)]
    locale: Text = "en_US"
    units: Annotated[Literal["inch", "metric"], _one_of("inch", "metric")] = "inch"
    start: YearMonth
    runs_from: Months = Field("1 month")
    horizon: Annotated[
        Estimate, Reads(unit="month", single=True, whole=True, at_least=1, at_most=1200)
    ] = Field("60 months")
    hurdle_rate: Annotated[Estimate, Reads(unit="share/year", at_most=5.0)] = Field("15 %/year")
    shop: Shop
    today: Today | None = None
    products: Annotated[tuple[Product, ...], BeforeValidator(_some)]
    ramp: Ramp = Field(Ramp())
    growth: GrowthRates = Field(GrowthRates())
    test_prints: TestPrintFile
    ink: Ink
    film: Film
    powder: Powder
    spoilage: Spoilage = Field(Spoilage())
    labour: Labour = Field(Labour())
    selling: Selling = Field(Selling())
    overheads: Annotated[tuple[Overhead, ...], BeforeValidator(_list)] = ()
    stock: Stock = Field(Stock())
    equipment: Annotated[tuple[Equipment, ...], BeforeValidator(_some)]
    financing: Annotated[tuple[Financing, ...], BeforeValidator(_list)] = ()
    tax: Tax | None = None
    lender: Lender = Field(Lender())
    conditions: Conditions = Field(Conditions())
    prints: tuple[TestPrint, ...] = Field((), exclude=True)
