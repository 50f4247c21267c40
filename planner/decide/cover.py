"""Debt service cover of the project and of the whole shop, year by year."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.case import Case
from planner.decide.evaluation import AGAINST_BUYING_IN, Comparison, Evaluation
from planner.finance.cover import debt_service_cover
from planner.ledger import Group
from planner.scenario.estimates import Array

Years = tuple[float | None, ...]


@dataclass(frozen=True)
class ShopCover:
    """Cover of all the shop's debts by year, in the two measures; None where no debt is paid."""

    before_tax: Years
    after_tax_and_draw: Years


@dataclass(frozen=True)
class Cover:
    """Debt service cover by comparison.

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
        name: _ratios(_cash_flow(comparison, taxed=True), service)
        for name, comparison in evaluation.comparisons.items()
    }
    shop = _shop(evaluation, service)
    lowest = _lowest(evaluation.case, project, shop)
    return Cover(project=project, shop=shop, lowest=lowest)


def _cash_flow(comparison: Comparison, *, taxed: bool) -> Array:
    groups = [Group.CAPITAL, Group.RUNNING, Group.WORKING_CAPITAL]
    return comparison.total(*groups, Group.TAX) if taxed else comparison.total(*groups)


def _ratios(flows: Array, service: Array) -> Years:
    ratios = debt_service_cover(cash_flow_by_month=flows, debt_service_by_month=service)
    return tuple(
        float(value) if exists else None
        for value, exists in zip(ratios.value[0], ratios.exists[0], strict=True)
    )


def _shop(evaluation: Evaluation, service: Array) -> dict[str, ShopCover] | None:
    case, shop = evaluation.case, evaluation.case.scenario.shop
    if shop.cash_flow_before is None:
        return None
    before = case.values.scalar(shop.cash_flow_before) / 12
    draw = case.values.scalar(shop.owner_draw) / 12 if shop.owner_draw else 0.0
    payments = service + other_debts(case)
    return {
        name: ShopCover(
            before_tax=_ratios(_cash_flow(comparison, taxed=False) + before, payments),
            after_tax_and_draw=_ratios(
                _cash_flow(comparison, taxed=True) + before - draw, payments
            ),
        )
        for name, comparison in evaluation.comparisons.items()
    }


def other_debts(case: Case) -> Array:
    """Payments on the shop's present debts, each to the month of its end (1, months + 1)."""
    payments = np.zeros((1, case.months + 1))
    for debt in case.scenario.shop.debts:
        last = debt.ends.since(case.scenario.start) + 1
        payments[:, 1 : max(1, min(last, case.months) + 1)] += case.values.scalar(debt.payment)
    return payments


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
