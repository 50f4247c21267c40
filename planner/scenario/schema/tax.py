"""Tax on income, and how the price is deducted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, model_validator

from planner.scenario.kinds import AreaOfLife, Share, TaxShare, some
from planner.scenario.reading import fault
from planner.scenario.schema.table import Table

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
