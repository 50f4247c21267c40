"""The bank balance, and the most money that is in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.decide.cover import other_debts
from planner.decide.evaluation import Evaluation, running_total
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
