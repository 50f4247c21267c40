"""What a lender checks: the request, whether the shop can pay, what is left if it fails.

What a scenario does not state is None here, never guessed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any, Final

import numpy as np

from planner.decide.answer import Answered, AnswerPage, about
from planner.decide.collateral import Collateral
from planner.decide.cover import ShopCover, cash_flow, measured
from planner.decide.evaluation import COMPARISONS, Comparison, Evaluation
from planner.decide.rests_on import Bases, Influential, bases, most_influential
from planner.decide.solve import Crossing, lasting_crossing
from planner.decide.solve import Outcome as Search
from planner.decide.steady import capacity_factor
from planner.finance.loan import ScheduleRow, loan_schedule_in_cents
from planner.paying import loan_terms
from planner.plan import Plan, plan
from planner.scenario.estimates import Array, Estimate
from planner.scenario.schema import Debt, Table

NOW: Final = "now"
COLUMNS: Final = (NOW, *COMPARISONS)
MOST_SALES: Final = 10.0  # times the planned sales; beyond it nothing is looked for
CENT: Final = Decimal("0.01")


@dataclass(frozen=True)
class SourcesAndUses:
    """Money at signing by ledger line, each line positive and to the cent.

    Own money is what the uses need beyond what is financed, so that both sides are equal;
    ``own_money_in_plan`` is the plan's own figure, not rounded [money].
    """

    uses: tuple[tuple[str, Decimal], ...]
    financed: tuple[tuple[str, Decimal], ...]
    own_money_in_plan: float

    @property
    def total(self) -> Decimal:
        """All uses, and all sources."""
        return sum((amount for _, amount in self.uses), Decimal(0))

    @property
    def amount(self) -> Decimal:
        """What the lender or lessor pays."""
        return sum((amount for _, amount in self.financed), Decimal(0))

    @property
    def own_money(self) -> Decimal:
        """What the shop pays."""
        return self.total - self.amount

    @property
    def own_share(self) -> float:
        """Own money as a share of all uses [-]; 0 where there are none."""
        return float(self.own_money / self.total) if self.total else 0.0


@dataclass(frozen=True)
class Terms:
    """What is asked for beside the amount.

    ``rate`` is nominal, for a lease the implicit one, and ``annual_percentage_rate`` counts fees
    [1/year], each None where none exists; ``payment`` is the regular one with its tax
    [money/month]; ``first_payment`` its month, 0 being signing; ``term`` [month].
    """

    rate: float | None
    annual_percentage_rate: float | None
    payment: float
    term: int
    first_payment: int


@dataclass(frozen=True)
class SalesRoom:
    """The factor on all the plan's sales at which its lowest cover is the lender's minimum [-].

    Below 1 sales may fall so far, above 1 they would have to rise; 0 where no sales are needed;
    None where no volume within capacity reaches the minimum.
    """

    factor: float | None


@dataclass(frozen=True, eq=False)
class Lending:
    """All that page one of the lender's file reads from; None is what the scenario does not state.

    ``terms`` is None where nothing is borrowed. ``cover`` is that of the whole shop by year under
    each of ``COLUMNS``. ``room`` is the whole shop's where its cash flow is stated, else the
    project's, and None where no debt payments fall due. ``collateral`` is None without a loan.
    """

    answered: Answered
    money: SourcesAndUses
    terms: Terms | None
    minimum: Estimate
    cover: Mapping[str, ShopCover] | None
    room: SalesRoom | None
    collateral: Collateral | None
    prior_claims: tuple[Debt, ...] | None
    guarantors: tuple[str, ...] | None
    attached: tuple[str, ...] | None
    missing: tuple[str, ...] | None
    prepared_for: str | None
    prepared_by: str | None
    prepared_by_seller: bool | None
    influential: tuple[Influential, ...]
    bases: Bases


def for_lender(page: AnswerPage) -> AnswerPage:
    """The page speaking of what a lender is asked: its own choice if that borrows.

    Otherwise the first financed way to pay for the same machine; where there is none, its own.
    """
    same = (one for one in page.choices if one.choice.names[:2] == page.best.choice.names[:2])
    financed = (one for one in (page.best, *same) if one.choice.financing.kind != "cash")
    return about(page, next(financed, page.best))


def lending(page: AnswerPage, answered: Answered) -> Lending:
    """Work out what the lender checks of one choice."""
    scenario, evaluation = page.scenario, answered.evaluation
    debts, lender = _stated(scenario.shop, "debts"), scenario.lender
    is_seller = scenario.prepared_by_seller
    return Lending(
        answered=answered,
        money=sources_and_uses(evaluation.plan),
        terms=terms(answered),
        minimum=lender.debt_service_cover_at_least,
        cover=_whole_shop(answered),
        room=sales_room(evaluation),
        collateral=answered.figures.collateral,
        prior_claims=None if debts is None else tuple(d for d in debts if d.secured_by),
        guarantors=_stated(lender, "guarantors"),
        attached=_stated(lender, "attached"),
        missing=_stated(lender, "missing"),
        prepared_for=_stated(scenario, "prepared_for"),
        prepared_by=_stated(scenario, "prepared_by"),
        prepared_by_seller=is_seller,
        influential=tuple(most_influential(evaluation)),
        bases=bases(scenario, answered.choice, is_seller=is_seller is True),
    )


def _stated(table: Table, name: str) -> Any:
    """What the file says under a key; None where it says nothing."""
    return getattr(table, name) if name in table.model_fields_set else None


# --- the request --------------------------------------------------------------------------------


def sources_and_uses(own: Plan) -> SourcesAndUses:
    """Who pays what at signing: the ledger's month 0, line by line, rounded half up to cents."""
    at_signing = {name: float(flow[0, 0]) for (_, name), flow in own.ledger.columns.items()}
    return SourcesAndUses(
        uses=tuple((name, _cents(-flow)) for name, flow in at_signing.items() if flow < 0),
        financed=tuple((name, _cents(flow)) for name, flow in at_signing.items() if flow > 0),
        own_money_in_plan=-float(own.ledger.net[0, 0]),
    )


def _cents(amount: float) -> Decimal:
    return Decimal(repr(amount)).quantize(CENT, rounding=ROUND_HALF_UP)


def terms(answered: Answered) -> Terms | None:
    """Rate, payment and term of the financing; None for cash."""
    own, paying = answered.evaluation.plan, answered.figures.paying
    term, debt = own.choice.financing.term, own.debt
    if term is None or paying.payment_per_month is None:
        return None
    paid = (debt.principal + debt.interest + debt.rent)[0] < -float(CENT)
    return Terms(
        rate=_finite(12 * debt.rate),
        annual_percentage_rate=paying.annual_percentage_rate,
        payment=paying.payment_per_month,
        term=own.case.values.whole(term),
        first_payment=int(np.argmax(paid)),
    )


def _finite(rates: Array) -> float | None:
    return float(rates[0]) if np.isfinite(rates[0]) else None


def loan_schedule(own: Plan) -> tuple[ScheduleRow, ...]:
    """The schedule of a loan or of instalments in cents, from signing to the last payment.

    Empty for every other way to pay.
    """
    if not own.choice.financing.is_loan:
        return ()
    contract = loan_terms(own.choice.financing, own.case.values)
    return loan_schedule_in_cents(terms=contract, amount=float(own.debt.proceeds[0, 0]))


# --- can the shop pay ---------------------------------------------------------------------------


def _whole_shop(answered: Answered) -> dict[str, ShopCover] | None:
    """Cover of the whole shop: as it is now with the new debt, then the three comparisons."""
    stated = answered.figures.cover.shop
    if stated is None:
        return None
    whole = measured(answered.evaluation)
    nothing = np.zeros_like(whole.payments)
    return {NOW: whole.measures(before_tax=nothing, after_tax=nothing), **stated}


def sales_room(evaluation: Evaluation) -> SalesRoom | None:
    """How far the plan's sales may fall, from the first month on, before the minimum is missed.

    Only the plan's volume moves: today's work, which it is compared with, and the rest of the shop
    stand. The measure is the lender's. None where no debt payments fall due.
    """
    case, own = evaluation.case, evaluation.plan
    if not (measured(evaluation).payments > 0).any():
        return None

    def room(factors: Array) -> Array:
        least = case.values.scalar(case.scenario.lender.debt_service_cover_at_least)
        return lowest_cover_at(evaluation, factors) - least

    found = lasting_crossing(room, low=0.0, high=1.0)
    if found.outcome is Search.NEVER:
        top = min(capacity_factor(case, own.machine), MOST_SALES)
        found = lasting_crossing(room, low=1.0, high=top)
    return SalesRoom(_factor(found))


def _factor(found: Crossing) -> float | None:
    return 0.0 if found.outcome is Search.ALWAYS else found.value


def lowest_cover_at(evaluation: Evaluation, factors: Array) -> Array:
    """Lowest yearly cover of the whole plan at factors on its volume (n,) [-].

    The measure is the lender's; a year without debt payments does not count.
    """
    case, own = evaluation.case, evaluation.plan
    moved = plan(case.moved(volume=factors[:, np.newaxis]), own.choice, payment=own.payment)
    against = Comparison(moved.ledger, moved.cash_ledger, evaluation.today.ledger)
    after = case.scenario.shop.cash_flow_before is None or (
        case.scenario.lender.measures == "after tax and draw"
    )
    ratios = measured(evaluation).cover(cash_flow(against, taxed=after), draw=after)
    lowest = np.where(ratios.exists, ratios.value, np.inf).min(axis=-1)
    return np.broadcast_to(lowest, factors.shape)
