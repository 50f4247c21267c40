"""What the lender asks for, and the shop's own tests."""

from __future__ import annotations

from typing import Annotated, Literal

from planner.scenario.estimates import Estimate
from planner.scenario.kinds import Balance, Months, Share, Texts, default
from planner.scenario.reading import Reads
from planner.scenario.schema.table import Table


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
