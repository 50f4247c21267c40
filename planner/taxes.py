"""Income tax of a ledger: what is taxable, what is deducted, when it is paid."""

from __future__ import annotations

import calendar
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.capital import Asset, Outlays
from planner.case import Case
from planner.finance.depreciation import (
    DepreciationRule,
    GivenShares,
    UnitsOfProduction,
    depreciation_by_month,
    depreciation_rule,
)
from planner.finance.tax import income_tax
from planner.ledger import Group, Ledger, monthly, once
from planner.paying import Payment, per_draw
from planner.scenario.estimates import Array, Number
from planner.scenario.schema import Warranty

MONTHS: Final = tuple(calendar.month_name)[1:]
Columns = Mapping[tuple[Group, str], Array]


def tax_on(case: Case, taxable: Array) -> Array:
    """Tax as paid (draws, months + 1), zero where the scenario states no tax."""
    tax = case.scenario.tax
    if tax is None:
        return np.zeros((1, case.months + 1))
    return income_tax(
        taxable_by_month=taxable,
        rate=per_draw(case.values(tax.rate)),
        tax_year_end_month=MONTHS.index(tax.year_ends) + 1,
        start_month=case.scenario.start.month,
        losses=tax.losses,
    )


def tax_on_running(case: Case, columns: Columns) -> Array:
    """Tax on the running lines alone, without any purchase (draws, months + 1)."""
    return tax_on(case, Ledger(columns, case.months).total(Group.RUNNING))


@dataclass(frozen=True, kw_only=True)
class Deductible:
    """What a machine lets the shop deduct, beside its running costs.

    ``printed`` is the area printed a month [m²], broadcasting to (draws, months).
    """

    outlays: Outlays
    assets: tuple[Asset, ...]
    warranty: Warranty
    printed: Number


def tax_lines(
    *, case: Case, columns: Columns, payment: Payment, deductible: Deductible
) -> dict[tuple[Group, str], Array]:
    """Income tax as paid, and the part of it that the sale at the end brings.

    Interest, fees, rent and what is paid on top of payments are deducted as they fall due, the
    price by the scenario's rule by the one who owns it for tax. What the sale brings is the tax
    with the gain over book value in the last month less the tax without it.
    """
    debt, months = payment.debt, case.months
    deducted, book = _deductions(case, payment, deductible)
    taxable = Ledger(columns, months).total(Group.RUNNING) - deducted + debt.fees
    if payment.rented:
        on_purchase = debt.lump_sums + debt.purchase  # its sales tax is part of what is bought
        rent = debt.rent + debt.tax_on_payments + on_purchase
        taxable = taxable + rent + debt.settlement
    else:
        taxable = taxable - debt.finance_charge + debt.tax_on_payments
    gain = columns[Group.END, "resale"] - once(book, month=months, months=months)
    before = tax_on(case, taxable)
    return {
        (Group.TAX, "income tax"): before,
        (Group.END, "tax on resale"): tax_on(case, taxable + gain) - before,
    }


def _deductions(case: Case, payment: Payment, own: Deductible) -> tuple[Array, Number]:
    """Depreciation, warranty over its term and first fill, positive; book value at the end."""
    months = case.months
    deducted = once(own.outlays.first_fill, month=1, months=months)
    evenly = depreciation_rule(
        "straight line", life_months=max(1.0, case.values.scalar(own.warranty.term))
    )
    runs_from = case.values.whole(case.scenario.runs_from)
    spread = _by_month(case, evenly, own.outlays.warranty, runs_from + 1, own.printed)
    deducted = deducted + spread
    price = sum((asset.price for asset in own.assets), 0.0)
    book: Number = per_draw(own.outlays.warranty) - spread.sum(axis=-1)
    for asset in own.assets:
        for cost, life, first in _depreciable(asset, asset.price / price, payment, own.outlays):
            part = _by_month(case, depreciation_of(case, life), cost, first, own.printed)
            deducted = deducted + part
            book = book + per_draw(cost) - part.sum(axis=-1)
    return deducted, book


def _by_month(
    case: Case, rule: DepreciationRule, cost: Number, first: int, printed: Number
) -> Array:
    """What is deducted of a cost from a month of first use on (draws, months + 1) [money]."""
    tax = case.scenario.tax
    assert tax is not None  # called where there is tax
    return depreciation_by_month(
        rule=rule,
        base=per_draw(cost),
        months=case.months,
        start_month=case.scenario.start.month,
        tax_year_end_month=MONTHS.index(tax.year_ends) + 1,
        first_month=first,
        units_by_month=monthly(printed * np.ones(case.months), months=case.months),
    )


def depreciation_of(case: Case, life: float) -> DepreciationRule:
    """The scenario's rule for goods of a life [month]."""
    assert case.scenario.tax is not None
    chosen = case.scenario.tax.depreciation
    if chosen.shares is not None:
        shares = tuple(case.values.scalar(share) for share in chosen.shares)
        return DepreciationRule(
            "shares given by year", GivenShares(shares), "", "the scenario", False
        )
    if chosen.life is not None:
        units = UnitsOfProduction(case.values.scalar(chosen.life))
        return DepreciationRule("units of production", units, "", "plain arithmetic", False)
    assert chosen.rule is not None
    return depreciation_rule(chosen.rule, life_months=life)


def _depreciable(
    asset: Asset, share: Number, payment: Payment, outlays: Outlays
) -> Iterator[tuple[Number, float, int]]:
    """What of an item is deducted over time: cost [money], life [month], first month.

    ``share`` is the item's part of the whole price; start-up is shared by it.
    """
    own = asset.price if payment.untaxed else asset.cost
    start_up = outlays.start_up * share
    yield (start_up if payment.rented else start_up + own), asset.life, 1
    if payment.rented and payment.owned_from is not None:
        bought = payment.debt.lump_sums[:, payment.owned_from : payment.owned_from + 1]
        yield bought * share, max(1.0, asset.life - payment.owned_from), payment.owned_from + 1
    for month, growth in zip(asset.bought[1:], asset.growth[1:], strict=True):
        yield asset.cost * growth, asset.life, month + 1
