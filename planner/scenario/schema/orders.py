"""How work is charged for: selling, the price list and single orders."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, StrictBool

from planner.scenario.estimates import Estimate
from planner.scenario.kinds import (
    Count,
    LossShare,
    Money,
    MoneyAnOrder,
    Percentage,
    Share,
    Text,
    default,
    some,
)
from planner.scenario.reading import Reads
from planner.scenario.schema.table import Rectangle, Table


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
