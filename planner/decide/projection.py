"""The bank balance explained line by line: what a lender reads as the projected cash flow."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.case import Case
from planner.decide.answer import Answered
from planner.decide.cover import other_debts
from planner.decide.evaluation import Evaluation
from planner.finance.tax import tax_year_ends
from planner.ledger import Group
from planner.scenario.estimates import Array
from planner.taxes import MONTHS

PLAN: Final = "the plan"
REST: Final = "the rest of the shop"
YEAR_ENDS: Final = "December"  # where the scenario states no tax
_SHOWN: Final = (
    Group.RUNNING,
    Group.WORKING_CAPITAL,
    Group.TAX,
    Group.CAPITAL,
    Group.FINANCING,
)


@dataclass(frozen=True, eq=False)
class Line:
    """One line of the projection by month, 0 being signing (months + 1,) [money]."""

    name: str
    part: str
    flows: Array
    is_total: bool = False


@dataclass(frozen=True, eq=False)
class Projection:
    """Lines that add up to the change in the bank balance, and the balance itself.

    ``opening`` is the balance before signing [money]; what only the end of the horizon brings is
    in no line.
    """

    lines: tuple[Line, ...]
    change: Array
    balance: Array
    opening: float


@dataclass(frozen=True)
class Period:
    """Months of the plan, ends included, that make up a fiscal year or what there is of it."""

    first: int
    last: int

    def total(self, flows: Array) -> float:
        """Sum of flows over the period [money]."""
        return float(flows[self.first : self.last + 1].sum())


def projection(answered: Answered) -> Projection:
    """The plan's own lines, today's work taken off, and the rest of the shop where it is stated.

    Today's work is taken off because the shop's cash flow and its bank balance already hold it.
    """
    evaluation, balance = answered.evaluation, answered.figures.cash.balance
    lines = (*_plan_lines(evaluation), *_rest_lines(evaluation))
    change = sum((line.flows for line in lines if not line.is_total), np.zeros(len(balance)))
    opening = evaluation.case.values.scalar(evaluation.case.scenario.shop.cash_at_start)
    return Projection(lines=lines, change=change, balance=balance, opening=opening)


def fiscal_years(case: Case) -> tuple[Period, ...]:
    """The fiscal years to the horizon; signing belongs to the first, the last may be cut short."""
    tax = case.scenario.tax
    ends = tax_year_ends(
        months=case.months,
        start_month=case.scenario.start.month,
        tax_year_end_month=MONTHS.index(tax.year_ends if tax else YEAR_ENDS) + 1,
    )
    return tuple(Period(first, last) for first, last in zip(_starts(ends), ends, strict=True))


def _starts(ends: tuple[int, ...]) -> tuple[int, ...]:
    return (0, *(end + 1 for end in ends[:-1]))


def _plan_lines(evaluation: Evaluation) -> Iterator[Line]:
    ledger = evaluation.plan.ledger
    for wanted in _SHOWN:
        for (group, name), flows in ledger.columns.items():
            if group is wanted and flows[0].any():
                yield Line(name, PLAN, np.asarray(flows[0]))
    yield Line("net of the plan", PLAN, np.asarray(ledger.before_end[0]), is_total=True)


def _rest_lines(evaluation: Evaluation) -> Iterator[Line]:
    case, shop = evaluation.case, evaluation.case.scenario.shop
    today = -evaluation.today.ledger.before_end[0]
    if today.any():
        yield Line("less today's work as it is now", REST, np.asarray(today))
    if shop.cash_flow_before is None:
        return
    monthly = np.asarray(np.arange(case.months + 1) > 0, dtype=float) / 12
    yield Line(
        "cash flow of the whole shop, as last year",
        REST,
        monthly * case.values.scalar(shop.cash_flow_before),
    )
    if shop.owner_draw is not None:
        yield Line("owner's draw", REST, -monthly * case.values.scalar(shop.owner_draw))
    debts = other_debts(case)[0]
    if debts.any():
        yield Line("payments on present debts", REST, -debts)
