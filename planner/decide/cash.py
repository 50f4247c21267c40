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
    """Balance at signing and at month ends, its lowest point, and the most money that is in."""
    balance = balance_by_month(evaluation)[0]
    month = int(np.argmin(balance))
    own = running_total(evaluation.whole.before_end_financed)[0]
    return Cash(balance, float(balance[month]), month, float(own.min()))


def balance_by_month(evaluation: Evaluation) -> Array:
    """Cash at start and the whole plan against today (draws, months + 1) [money].

    Where the scenario states the shop's cash flow, the rest of the shop flows in evenly, less the
    owner's draw and the payments on present debts. What only the end brings is left out.
    """
    case, shop = evaluation.case, evaluation.case.scenario.shop
    balance = case.values(shop.cash_at_start) + running_total(evaluation.whole.before_end_financed)
    if shop.cash_flow_before is None:
        return np.asarray(balance)
    draw = case.values(shop.owner_draw) if shop.owner_draw is not None else 0.0
    a_month = (case.values(shop.cash_flow_before) - draw) / 12
    months = np.arange(case.months + 1)
    return np.asarray(balance + a_month * months - running_total(other_debts(case)))
