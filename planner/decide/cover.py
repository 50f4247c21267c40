"""Debt service cover of the project and of the whole shop, year by year."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.case import Case
from planner.decide.evaluation import AGAINST_BUYING_IN, Comparison, Evaluation
from planner.finance.cover import debt_service_cover
from planner.finance.series import Ratios
from planner.ledger import Group
from planner.scenario.estimates import Array, Number

Years = tuple[float | None, ...]


@dataclass(frozen=True)
class ShopCover:
    """Cover of all the shop's debts by year, in two measures [-]; None where no debt is paid."""

    before_tax: Years
    after_tax_and_draw: Years


@dataclass(frozen=True)
class Cover:
    """Debt service cover by comparison [-].

    ``shop`` is None where the scenario does not state the shop's cash flow; ``lowest`` is that of
    the plan against buying in, by the lender's measure, of the shop where it is stated.
    """

    project: dict[str, Years]
    shop: dict[str, ShopCover] | None
    lowest: float | None


def cover(evaluation: Evaluation) -> Cover:
    """Cash flow of each year ÷ debt payments of that year.

    Cash flow is running lines, replacements, the change in working capital and tax as paid;
    month 0 and what the end brings stay out. Lump sums stay out of the payments.
    """
    service = evaluation.plan.debt.service
    project = {
        name: by_year(_project(service).cover(cash_flow(one, taxed=True), draw=False))
        for name, one in evaluation.comparisons.items()
    }
    shop = _shop(evaluation)
    return Cover(project=project, shop=shop, lowest=_lowest(evaluation.case, project, shop))


@dataclass(frozen=True)
class Measured:
    """What flows are added to, and the payments that they have to cover [money/month].

    ``before`` is the shop's cash flow without them, ``draw`` the owner's, ``payments`` by month
    (1, months + 1).
    """

    before: Number
    draw: Number
    payments: Array

    def cover(self, flows: Array, *, draw: bool) -> Ratios:
        """Cover by year [-] of ``flows`` (draws, months + 1) [money] and what they are added to."""
        a_month = self.before - (self.draw if draw else 0.0)
        return debt_service_cover(
            cash_flow_by_month=a_month + flows, debt_service_by_month=self.payments
        )

    def measures(self, *, before_tax: Array, after_tax: Array) -> ShopCover:
        """The two measures [-] of flows ``before_tax`` and ``after_tax`` by month [money]."""
        return ShopCover(
            before_tax=by_year(self.cover(before_tax, draw=False)),
            after_tax_and_draw=by_year(self.cover(after_tax, draw=True)),
        )


def measured(evaluation: Evaluation) -> Measured:
    """The whole shop where its cash flow is stated, else the project alone."""
    case, service = evaluation.case, evaluation.plan.debt.service
    shop = case.scenario.shop
    if shop.cash_flow_before is None:
        return _project(service)
    draw = case.values(shop.owner_draw) if shop.owner_draw else 0.0
    before = case.values(shop.cash_flow_before)
    return Measured(before / 12, draw / 12, service + other_debts(case))


def _project(service: Array) -> Measured:
    return Measured(0.0, 0.0, service)


def cash_flow(comparison: Comparison, *, taxed: bool) -> Array:
    """What is there to pay debts from, by month (draws, months + 1) [money]."""
    groups = [Group.CAPITAL, Group.RUNNING, Group.WORKING_CAPITAL]
    return comparison.total(*groups, Group.TAX) if taxed else comparison.total(*groups)


def by_year(ratios: Ratios) -> Years:
    """Cover of one draw by year, None where no debt is paid."""
    return tuple(
        float(value) if exists else None
        for value, exists in zip(ratios.value[0], ratios.exists[0], strict=True)
    )


def _shop(evaluation: Evaluation) -> dict[str, ShopCover] | None:
    if evaluation.case.scenario.shop.cash_flow_before is None:
        return None
    whole = measured(evaluation)
    return {
        name: whole.measures(
            before_tax=cash_flow(one, taxed=False), after_tax=cash_flow(one, taxed=True)
        )
        for name, one in evaluation.comparisons.items()
    }


def other_debts(case: Case) -> Array:
    """Payments on present debts, each to the month of its end (1, months + 1) [money]."""
    payments: Number = np.zeros((1, case.months + 1))
    for debt in case.scenario.shop.debts:
        last = debt.ends.since(case.scenario.start) + 1
        due = np.zeros((1, case.months + 1))
        due[:, 1 : max(1, min(last, case.months) + 1)] = 1.0
        payments = payments + due * case.values(debt.payment)
    return np.asarray(payments)


def headline_cover(evaluation: Evaluation) -> Array:
    """Cover of the plan against buying in by the lender's measure (draws, years) [-].

    NaN in a year without payments.
    """
    whole, headline = measured(evaluation), evaluation.headline
    if evaluation.case.scenario.shop.cash_flow_before is None:
        return whole.cover(cash_flow(headline, taxed=True), draw=False).value
    taxed = evaluation.case.scenario.lender.measures != "before tax"
    return whole.cover(cash_flow(headline, taxed=taxed), draw=taxed).value


def _lowest(
    case: Case, project: dict[str, Years], shop: dict[str, ShopCover] | None
) -> float | None:
    years = project[AGAINST_BUYING_IN]
    if shop is not None:
        measured = shop[AGAINST_BUYING_IN]
        before_tax = case.scenario.lender.measures == "before tax"
        years = measured.before_tax if before_tax else measured.after_tax_and_draw
    known = [year for year in years if year is not None]
    return min(known, default=None)
