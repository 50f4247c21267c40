"""Income tax of a ledger: what is taxable, what is deducted, when it is paid."""

from __future__ import annotations

import calendar
from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np

from planner.capital import Asset, Outlays, straight_line
from planner.case import Case
from planner.finance.tax import income_tax
from planner.ledger import Group, Ledger, once
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


def tax_lines(
    *,
    case: Case,
    columns: Columns,
    payment: Payment,
    outlays: Outlays,
    assets: tuple[Asset, ...],
    warranty: Warranty,
) -> dict[tuple[Group, str], Array]:
    """Income tax as paid, and the part of it that the sale at the end brings.

    Interest, fees, rent and what is paid on top of payments are deducted as they fall due, the
    price over its life by the one who owns it for tax. What the sale brings is the tax with the
    gain over book value in the last month less the tax without it.
    """
    debt, months = payment.debt, case.months
    deducted, book = _deductions(case, payment, outlays, assets, warranty)
    taxable = Ledger(columns, months).total(Group.RUNNING) - deducted + debt.fees
    if payment.rented:
        taxable = taxable + debt.rent + debt.tax_on_payments + debt.settlement
    else:
        taxable = taxable - debt.finance_charge + debt.tax_on_payments
    gain = columns[Group.END, "resale"] - once(book, month=months, months=months)
    before = tax_on(case, taxable)
    return {
        (Group.TAX, "income tax"): before,
        (Group.END, "tax on resale"): tax_on(case, taxable + gain) - before,
    }


def _deductions(
    case: Case,
    payment: Payment,
    outlays: Outlays,
    assets: tuple[Asset, ...],
    warranty: Warranty,
) -> tuple[Array, Number]:
    """Depreciation, warranty over its term and first fill, positive; book value at the end."""
    months = case.months
    deducted = once(outlays.first_fill, month=1, months=months)
    term = case.values.scalar(warranty.term)
    if term > 0:
        runs_from = case.values.whole(case.scenario.runs_from)
        spread, _ = straight_line(
            cost=outlays.warranty, life=term, first=runs_from + 1, months=months
        )
        deducted = deducted + spread
    price = sum((asset.price for asset in assets), 0.0)
    book: Number = 0.0
    for asset in assets:
        for cost, life, first in _depreciable(asset, asset.price / price, payment, outlays):
            part, left = straight_line(cost=cost, life=life, first=first, months=months)
            deducted, book = deducted + part, book + left
    return deducted, book


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
        bought = -payment.debt.purchase[:, payment.owned_from : payment.owned_from + 1]
        yield bought * share, max(1.0, asset.life - payment.owned_from), payment.owned_from + 1
    for month, growth in zip(asset.bought[1:], asset.growth[1:], strict=True):
        yield asset.cost * growth, asset.life, month + 1
