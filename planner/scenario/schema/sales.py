"""What is sold: products with their season, how the added work arrives, and growth."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, StrictBool

from planner.scenario.estimates import Estimate
from planner.scenario.kinds import (
    Count,
    Growth,
    LossShare,
    Money,
    Months,
    PieceAWeek,
    Share,
    Text,
    default,
    some,
)
from planner.scenario.reading import Reads, fault
from planner.scenario.schema.table import Rectangle, Table

_Sales = Annotated[Estimate, Reads(unit="", plain=True, single=True, above=0)]


def _twelve(value: Any) -> Any:
    if value is not None and (not isinstance(value, (list, tuple)) or len(value) != 12):
        raise fault("be twelve positive numbers, January to December", value)
    return value


Season = Annotated[tuple[_Sales, ...] | None, BeforeValidator(_twelve)]


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
