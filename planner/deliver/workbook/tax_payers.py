"""The shops that are compared, each in one way of paying, as the tax office sees them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from planner.deliver.workbook.deductions import Deductions
from planner.deliver.workbook.facts import CASH, PAID, Facts, Side
from planner.deliver.workbook.money import NAMES
from planner.finance.tax import tax_year_ends
from planner.ledger import Group
from planner.scenario.estimates import Array
from planner.taxes import MONTHS


@dataclass(frozen=True, eq=False)
class Payer:
    """One shop in one way of paying, as the tax office sees it.

    ``key`` names its lines; ``taxable`` is its income by month (months + 1,) [money];
    ``deductions`` are those of its machine, None without one.
    """

    key: str
    label: str
    taxable: Array
    formula: str
    side: Side
    way: str
    deductions: Deductions | None


def payers_of(facts: Facts, found: Mapping[str, Deductions]) -> Iterator[Payer]:
    """The plan and today's work, with the machine in each way of paying and bought in."""
    works = {"months": "the plan", "months_today": "today's work"}
    for grid, work in works.items():
        for way in (CASH,) if facts.is_cash else (CASH, PAID):
            own, alias = facts.in_way(way), facts.alias(grid, way)
            side = own.with_machine if grid == "months" else own.today_with_machine
            key = f"{alias}_{way}"
            yield Payer(
                key=key,
                label=f"{work} with the machine, {NAMES[way]}",
                taxable=_income(side) - found[key].total + _financing(facts, way),
                formula=f"{{{alias}.running}}-{{deducted_{found[key].key}}}"
                + _financing_formula(facts, way),
                side=side,
                way=way,
                deductions=found[key],
            )
    bought = {"without": (facts.without, "the plan"), "today": (facts.as_today, "today's work")}
    for alias, (side, work) in bought.items():
        yield Payer(
            key=f"{alias}_{CASH}",
            label=f"{work}, bought in",
            taxable=_income(side),
            formula=f"{{{alias}.running}}",
            side=side,
            way=CASH,
            deductions=None,
        )


def _income(side: Side) -> Array:
    return np.asarray(next(iter(side.ledgers.values())).total(Group.RUNNING)[0])


def _financing(facts: Facts, way: str) -> Array:
    """What financing adds to taxable income (months + 1,) [money]."""
    debt = facts.plan.debt
    if way == CASH:
        return np.zeros(facts.months + 1)
    if facts.plan.payment.rented:
        on_purchase = debt.lump_sums + debt.purchase  # its sales tax is part of what is bought
        rent = debt.rent + debt.tax_on_payments + on_purchase + debt.settlement
        return np.asarray((debt.fees + rent)[0])
    return np.asarray((debt.fees - debt.finance_charge + debt.tax_on_payments)[0])


def _financing_formula(facts: Facts, way: str) -> str:
    if way == CASH:
        return ""
    if facts.plan.choice.financing.kind != "lease":
        return "+{paying.fees}+{paying.interest}"
    return (
        "+{paying.fees}+{paying.sales_tax_on_lease_payments}"
        "+IF(lease_is_rented=1,{paying.lease_payments}+{paying.debt_settled}"
        "-lease_sales_tax*{paying.purchase_at_lease_end},-{paying.finance_charge})"
    )


def year_ends(facts: Facts) -> tuple[int, ...]:
    """The months in which tax is paid."""
    tax = facts.scenario.tax
    assert tax is not None
    return tax_year_ends(
        months=facts.months,
        start_month=facts.scenario.start.month,
        tax_year_end_month=MONTHS.index(tax.year_ends) + 1,
    )


def year_of(facts: Facts) -> Array:
    """Tax year of signing and of each month, the first being 1."""
    return np.asarray(1.0 + np.searchsorted(year_ends(facts), np.arange(facts.months + 1)), float)
