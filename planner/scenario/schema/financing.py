"""Ways to pay."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, StrictBool, model_validator

from planner.scenario.estimates import Estimate
from planner.scenario.kinds import (
    Date,
    LossShare,
    Money,
    MoneyAMonth,
    Rate,
    Share,
    SignedShare,
    TaxShare,
    Term,
    Text,
    WholeMonths,
    default,
    some,
)
from planner.scenario.reading import Reads, fault
from planner.scenario.schema.table import Table


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
    amount: Money | None = None
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
