"""How work is served without a machine: transfers bought in."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from planner.scenario.kinds import (
    AreaAnOrder,
    Length,
    Money,
    MoneyAnArea,
    MoneyAnOrder,
    OrdersAWeek,
    Percentage,
    Size,
    default,
    listed,
)
from planner.scenario.schema.table import Table


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
