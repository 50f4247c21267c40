"""Ways to pay on one footing: what is paid in all, and what that costs today."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.case import Case
from planner.decide.contract import rate_by_dates
from planner.finance.series import net_present_value
from planner.ledger import Group
from planner.paying import payment_for
from planner.plan import Plan
from planner.scenario.estimates import Array, Number
from planner.taxes import tax_on


@dataclass(frozen=True)
class CostOfPaying:
    """A way to pay over the horizon.

    ``annual_percentage_rate`` is by the unit-period method [1/year] and ``payment_per_month`` with
    its tax, both None for cash; ``total_paid`` is positive [money]; ``present_cost`` is
    what purchase, financing, replacements and resale cost today after tax [money].
    """

    annual_percentage_rate: float | None
    payment_per_month: float | None
    total_paid: float
    present_cost: float


def cost_of_paying(plan: Plan) -> CostOfPaying:
    """A way to pay on the same footing as every other for the same machine."""
    return CostOfPaying(
        annual_percentage_rate=rate_by_dates(plan),
        payment_per_month=float(plan.debt.payment_per_month[0]) or None,
        total_paid=-float(outlay_by_month(plan).sum()),
        present_cost=present_cost(plan),
    )


def outlay_by_month(plan: Plan) -> Array:
    """Own money at signing and payments to lender or lessor (months + 1,) [money, negative]."""
    ledger = plan.ledger
    paid = ledger.total(Group.FINANCING) + ledger.line("debt settled")
    at_signing = ledger.total(Group.CAPITAL) * (np.arange(plan.case.months + 1) == 0)
    return np.asarray((paid + at_signing)[0])


def present_cost(plan: Plan) -> float:
    """Present value at the after-tax cost of debt of all that owning and paying bring [money].

    Month-0 outlays, replacements, financing, stock and resale, and the difference they make to
    income tax; running lines and working capital are left out.
    """
    case, ledger = plan.case, plan.ledger
    flows = ledger.net - ledger.total(Group.RUNNING, Group.WORKING_CAPITAL)
    flows = flows - ledger.line("working capital returned")
    if case.scenario.tax is not None:
        flows = flows - tax_on(case, ledger.total(Group.RUNNING))
    return -float(net_present_value(flows=flows, rate=np.ravel(monthly_cost_of_debt(plan)))[0])


def monthly_cost_of_debt(plan: Plan) -> Number:
    """The first loan's rate, else the hurdle rate, × (1 − tax) ÷ 12 [1/month]."""
    case = plan.case
    tax = case.values(case.scenario.tax.rate) if case.scenario.tax else 0.0
    return (1 - tax) * _cost_of_debt(case, plan) / 12


def _cost_of_debt(case: Case, plan: Plan) -> Number:
    values = case.values
    loans = [offer for offer in case.scenario.financing if offer.is_loan]
    if not loans:
        return values(case.scenario.hurdle_rate)
    first = loans[0]
    if first.rate is not None:
        return values(first.rate)
    payment = payment_for(
        offer=first, outlays=plan.outlays, assets=plan.assets, months=case.months, values=values
    )
    return 12 * payment.debt.rate
