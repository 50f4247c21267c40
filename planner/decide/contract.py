"""A contract to pay by itself: its rate by dates, and the published tests of a lease."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.finance.apr import TimedAmount, annual_percentage_rate, unit_periods_between
from planner.finance.lease import lease_flows
from planner.finance.loan import loan_flows
from planner.finance.series import net_present_value
from planner.paying import NOMINAL_PURCHASE, lease_terms, loan_terms, per_draw, purchase_option
from planner.plan import Plan, value_of
from planner.scenario.estimates import Array

MAJOR_PART: Final = 0.75
SUBSTANTIALLY_ALL: Final = 0.90


def contract_flows(plan: Plan) -> Array:
    """Flows of the whole contract as a finance charge sees them (term + 1,) [money].

    Month 0 holds what is advanced less fees and what is paid at signing. Deposit and taxes stay
    out; a lease ends with its purchase price, or with the goods at market value.
    """
    offer, values = plan.choice.financing, plan.case.values
    amount = per_draw(plan.payment.financed)
    if offer.kind == "lease":
        lease = lease_terms(offer, values, plan.outlays.equipment)
        worth = value_of(plan.payment.worth_at_lease_end)
        debt = lease_flows(terms=lease, price=amount, months=lease.term, market_value_at_end=worth)
        flows = (debt.rent + debt.purchase + debt.fees)[0].copy()
        flows[0] += amount[0]
        if not np.any(debt.purchase):
            flows[-1] -= worth
        return np.asarray(flows)
    loan = loan_terms(offer, values)
    fee = per_draw(values(offer.fee))
    debt = loan_flows(
        terms=loan, amount=amount, months=loan.term, fee=fee, fee_financed=offer.fee_financed
    )
    return np.asarray(debt.total[0])


def rate_by_dates(plan: Plan) -> float | None:
    """Annual percentage rate [1/year]; with an odd first period where the dates are given.

    None for cash. By the actuarial method of Regulation Z (12 CFR 1026), Appendix J.
    """
    offer = plan.choice.financing
    if offer.kind == "cash":
        return None
    if offer.signed is None or offer.first_payment is None:
        rate = value_of(plan.debt.annual_percentage_rate)
        return rate if np.isfinite(rate) else None
    flows = contract_flows(plan)
    due = [month for month in range(1, len(flows)) if flows[month] < 0]
    units, fraction = unit_periods_between(
        date_from=offer.signed, date_to=offer.first_payment, unit="month"
    )
    payments = [
        TimedAmount(-float(flows[month]), units + month - due[0], fraction) for month in due
    ]
    advances = [TimedAmount(float(flows[0]), 0, 0.0)]
    rate = annual_percentage_rate(advances=advances, payments=payments, unit_periods_per_year=12)
    return rate if np.isfinite(rate) else None


@dataclass(frozen=True)
class LeaseTests:
    """The published tests of a lease with their figures.

    ``term_share`` is term ÷ life, ``present_value_share`` present value of the payments at the
    implicit rate ÷ price, what comes at the end left out; ``option`` is the stated purchase price
    and ``expected_worth`` what the goods are expected to be worth then [money].
    """

    title_passes: bool
    term_share: float
    present_value_share: float
    option: float | None
    expected_worth: float
    is_rent: bool

    @property
    def is_finance_lease(self) -> bool:
        """Whether any test makes it a finance lease (ASC 842-10-25-2, 842-10-55-2)."""
        return (
            self.title_passes
            or self.option_is_nominal
            or self.term_share >= MAJOR_PART
            or self.present_value_share >= SUBSTANTIALLY_ALL
        )

    @property
    def option_is_nominal(self) -> bool:
        """Whether the purchase price is at most half of the expected worth."""
        return self.option is not None and self.option <= NOMINAL_PURCHASE * self.expected_worth


def lease_tests(plan: Plan) -> LeaseTests | None:
    """The tests of a lease; None for every other way to pay."""
    offer = plan.choice.financing
    if offer.kind != "lease":
        return None
    terms = lease_terms(offer, plan.case.values, plan.outlays.equipment)
    price = per_draw(plan.payment.financed)
    option = purchase_option(terms.at_end)
    flows = contract_flows(plan)
    paid = -flows.copy()
    paid[0] += price[0]
    last = value_of(option) if option is not None else value_of(plan.payment.worth_at_lease_end)
    paid[-1] -= last
    rate = value_of(plan.debt.rate)
    worth = net_present_value(flows=paid, rate=rate if np.isfinite(rate) else 0.0)
    prices = sum(value_of(asset.price) for asset in plan.assets)
    life = sum(value_of(asset.price) * asset.life for asset in plan.assets) / prices
    return LeaseTests(
        title_passes=option is not None and last == 0,
        term_share=terms.term / life,
        present_value_share=float(worth) / float(price[0]),
        option=None if option is None else value_of(option),
        expected_worth=value_of(plan.payment.worth_at_lease_end),
        is_rent=plan.payment.rented,
    )
