"""Income tax of a ledger: what is taxable, what is deducted, when it is paid."""

from __future__ import annotations

import calendar
from collections.abc import Iterator
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
from planner.ledger import Group, monthly, once
from planner.paying import Payment, per_draw
from planner.scenario.estimates import Array, Number
from planner.scenario.schema import Warranty
from planner.shop.total import total

MONTHS: Final = tuple(calendar.month_name)[1:]


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
    *, case: Case, running: Array, resale: Array, payment: Payment, deductible: Deductible
) -> dict[tuple[Group, str], Array]:
    """Income tax as paid, and the part of it that the sale at the end brings.

    Interest, fees, rent and what is paid on top of payments are deducted as they fall due, the
    price by the scenario's rule by the one who owns it for tax. What the sale brings is the tax
    with the gain over book value in the last month less the tax without it.
    """
    debt, months = payment.debt, case.months
    deducted, book = _deductions(case, payment, deductible)
    if payment.rented:
        on_purchase = debt.lump_sums + debt.purchase  # its sales tax is part of what is bought
        charged = debt.rent + debt.tax_on_payments + on_purchase + debt.settlement
    else:
        charged = debt.tax_on_payments - debt.finance_charge
    taxable = running + (debt.fees + charged - deducted)
    gain = resale - once(book, month=months, months=months)
    before = tax_on(case, taxable)
    return {
        (Group.TAX, "income tax"): before,
        (Group.END, "tax on resale"): tax_on(case, taxable + gain) - before,
    }


def _deductions(case: Case, payment: Payment, own: Deductible) -> tuple[Array, Number]:
    """Depreciation, warranty over its term and first fill, positive; book value at the end."""
    months, outlays = case.months, own.outlays
    evenly = depreciation_rule(
        "straight line", life_months=max(1.0, case.values.scalar(own.warranty.term))
    )
    runs_from = case.values.whole(case.scenario.runs_from)
    alike: dict[tuple[DepreciationRule, int], Number] = {(evenly, runs_from + 1): outlays.warranty}
    price = sum((asset.price for asset in own.assets), 0.0)
    for asset in own.assets:
        for cost, life, first in _depreciable(asset, asset.price / price, payment, outlays):
            key = depreciation_of(case, life), first
            alike[key] = alike.get(key, 0.0) + cost
    parts = [
        _by_month(case, rule, cost, first, own.printed) for (rule, first), cost in alike.items()
    ]
    left = [
        per_draw(cost) - part.sum(axis=-1) for cost, part in zip(alike.values(), parts, strict=True)
    ]
    first_fill = once(outlays.first_fill, month=1, months=months)
    return np.asarray(total([first_fill, *parts])), total(left)


def _by_month(
    case: Case, rule: DepreciationRule, cost: Number, first: int, printed: Number
) -> Array:
    """What is deducted of a cost from a month of first use on (draws, months + 1) [money]."""
    tax, months = case.scenario.tax, case.months
    assert tax is not None  # called where there is tax
    by_use = isinstance(rule.method, UnitsOfProduction)
    return depreciation_by_month(
        rule=rule,
        base=per_draw(cost),
        months=months,
        start_month=case.scenario.start.month,
        tax_year_end_month=MONTHS.index(tax.year_ends) + 1,
        first_month=first,
        units_by_month=monthly(printed, months=months) if by_use else None,
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
        yield (bought * share, max(1.0, asset.life - payment.owned_from), payment.owned_from + 1)
    for month, growth in zip(asset.bought[1:], asset.growth[1:], strict=True):
        yield asset.cost * growth, asset.life, month + 1
