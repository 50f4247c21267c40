"""What a lender could sell against what is owed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.plan import Plan

NOTHING_OWED: Final = 1e-9  # money


@dataclass(frozen=True)
class Collateral:
    """Worth of the equipment against a loan, at the ends of months 0, 1, 2… [money].

    ``resale`` is what the equipment would fetch, ``counted`` the lender's share of it. ``worst``
    is the month in which that covers the least of the balance, ``shortfall_month`` the one in which
    most would still be owed after selling.
    """

    resale: tuple[float, ...]
    counted: tuple[float, ...]
    balance: tuple[float, ...]
    worst: int
    shortfall_month: int

    @property
    def cover_lowest(self) -> float:
        """Lending value ÷ balance in the worst month [-]."""
        return self.counted[self.worst] / self.balance[self.worst]

    @property
    def shortfall(self) -> float:
        """The most that would still be owed after selling [money]; 0 where a sale repays it."""
        month = self.shortfall_month
        return max(0.0, self.balance[month] - self.resale[month])


def collateral(plan: Plan) -> Collateral | None:
    """Lending value against balance by month; None unless a loan or instalments are owed."""
    balance, resale = plan.debt.balance[0], plan.resale[0]
    owed = balance > NOTHING_OWED
    if not plan.choice.financing.is_loan or not owed.any():
        return None
    counted = resale * plan.case.values.scalar(plan.case.scenario.lender.counts)
    ratio = np.where(owed, counted / np.where(owed, balance, 1.0), np.inf)
    short = np.where(owed, balance - resale, -np.inf)
    return Collateral(
        resale=tuple(resale.tolist()),
        counted=tuple(counted.tolist()),
        balance=tuple(balance.tolist()),
        worst=int(np.argmin(ratio)),
        shortfall_month=int(np.argmax(short)),
    )
