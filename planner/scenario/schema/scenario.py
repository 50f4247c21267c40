"""The scenario: all tables, and inputs that move together."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, StrictBool

from planner.scenario.estimates import Estimate
from planner.scenario.kinds import (
    Currency,
    Horizon,
    Hurdle,
    LocaleName,
    Months,
    Text,
    YearMonth,
    default,
    listed,
    some,
)
from planner.scenario.reading import Reads
from planner.scenario.schema.buying_in import Today
from planner.scenario.schema.conditions import Conditions, Lender
from planner.scenario.schema.equipment import Equipment
from planner.scenario.schema.financing import Financing
from planner.scenario.schema.materials import Film, Ink, Powder, Spoilage, TestPrint, TestPrintFile
from planner.scenario.schema.orders import Order, PriceList, Selling
from planner.scenario.schema.sales import GrowthRates, Product, Ramp
from planner.scenario.schema.shop import Labour, Overhead, Shop, Stock
from planner.scenario.schema.table import Table
from planner.scenario.schema.tax import Tax


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
