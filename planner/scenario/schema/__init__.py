"""The scenario as types: every key, its kind with unit and limits, and its default.

Every default leans against the purchase and none is an amount of money other than zero. Defaults
stand as a user would write them and are read like what a user writes.
"""

from planner.scenario.schema.buying_in import PriceBreak, Today
from planner.scenario.schema.conditions import ChanceOfPayback, Conditions, Lender
from planner.scenario.schema.equipment import (
    Equipment,
    Item,
    Repairs,
    StartUp,
    Warranty,
    WearPart,
    Worth,
)
from planner.scenario.schema.financing import EndOfLease, Financing, Part, StepOfPayments
from planner.scenario.schema.materials import (
    Film,
    FilmOfEquipment,
    Ink,
    LongStop,
    Powder,
    Spoilage,
    TestPrint,
    TestPrintFile,
)
from planner.scenario.schema.orders import Order, OrderLine, PriceList, Rush, Selling
from planner.scenario.schema.sales import GrowthRates, Product, Ramp, Season
from planner.scenario.schema.scenario import Scenario, Together
from planner.scenario.schema.shop import Debt, Labour, Overhead, Overtime, Shop, Stock
from planner.scenario.schema.table import Origin, Rectangle, Table
from planner.scenario.schema.tax import Depreciation, MonthName, RuleName, Tax

__all__ = [
    "ChanceOfPayback",
    "Conditions",
    "Debt",
    "Depreciation",
    "EndOfLease",
    "Equipment",
    "Film",
    "FilmOfEquipment",
    "Financing",
    "GrowthRates",
    "Ink",
    "Item",
    "Labour",
    "Lender",
    "LongStop",
    "MonthName",
    "Order",
    "OrderLine",
    "Origin",
    "Overhead",
    "Overtime",
    "Part",
    "Powder",
    "PriceBreak",
    "PriceList",
    "Product",
    "Ramp",
    "Rectangle",
    "Repairs",
    "RuleName",
    "Rush",
    "Scenario",
    "Season",
    "Selling",
    "Shop",
    "Spoilage",
    "StartUp",
    "StepOfPayments",
    "Stock",
    "Table",
    "Tax",
    "TestPrint",
    "TestPrintFile",
    "Today",
    "Together",
    "Warranty",
    "WearPart",
    "Worth",
]
