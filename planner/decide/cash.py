"""The bank balance, the most money that is in, and what the lender could sell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.decide.cover import other_debts
from planner.decide.evaluation import Evaluation, running_total
from planner.plan import Plan
from planner.scenario.estimates import Array


@dataclass(frozen=True)
class Cash:
    """Bank balance by month (months + 1,) [money], and the most own money that is in.

    ``most_money_in`` is the lowest point of the cumulative own cash flow against today [money],
    negative while money is in.
    """

    balance: Array
    lowest: float
    lowest_month: int
    most_money_in: float


def cash(evaluation: Evaluation) -> Cash:
    """Balance at signing and at month ends: cash at start and the whole plan against today.

    Where the scenario states the shop's cash flow, the rest of the shop flows in evenly, less the
    owner's draw and the payments on present debts. What only the end brings is left out.
    """
    case, shop = evaluation.case, evaluation.case.scenario.shop
    own = running_total(evaluation.whole.before_end_financed)[0]
    balance = case.values.scalar(shop.cash_at_start) + own
    if shop.cash_flow_before is not None:
        a_month = case.values.scalar(shop.cash_flow_before) / 12
        if shop.owner_draw is not None:
            a_month -= case.values.scalar(shop.owner_draw) / 12
        rest = a_month * np.arange(case.months + 1) - running_total(other_debts(case))[0]
        balance = balance + rest
    month = int(np.argmin(balance))
    return Cash(balance, float(balance[month]), month, float(own.min()))


@dataclass(frozen=True)
class Security:
    """What the lender holds against a loan.

    ``cover_lowest`` is the lowest ratio of lending value to balance while a balance is owed [-],
    ``shortfall`` the most that would still be owed after selling the equipment [money] and its
    month.
    """

    cover_lowest: float
    shortfall: float
    shortfall_month: int


def security(plan: Plan) -> Security | None:
    """Lending value against balance month by month; None without a loan."""
    if plan.choice.financing.kind not in ("loan", "instalments"):
        return None
    balance, resale = plan.debt.balance[0], plan.resale[0]
    owed = balance > 1e-9
    if not owed.any():
        return None
    counted = resale * plan.case.values.scalar(plan.case.scenario.lender.counts)
    short = np.where(owed, balance - resale, -np.inf)
    month = int(np.argmax(short))
    return Security(
        cover_lowest=float((counted[owed] / balance[owed]).min()),
        shortfall=max(0.0, float(short[month])),
        shortfall_month=month,
    )
