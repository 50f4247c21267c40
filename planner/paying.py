"""A way to pay applied to a machine: what is financed, and what it changes for tax."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.capital import Asset, Outlays
from planner.finance.debt import DebtFlows, no_debt
from planner.finance.lease import (
    BuyAtMarket,
    BuyForShare,
    BuyForSum,
    LeaseEnd,
    LeaseTerms,
    ReturnGoods,
    lease_flows,
)
from planner.finance.loan import LoanTerms, loan_flows
from planner.scenario.estimates import Array, Number, Values
from planner.scenario.schema import Financing

LOAN_DOWN_PAYMENT: Final = 0.20
NOMINAL_PURCHASE: Final = 0.5  # of the expected resale value: at or below it, a conditional sale


@dataclass(frozen=True, eq=False)
class Payment:
    """A way to pay, and what it changes in deductions and at the end.

    ``financed`` is what the lender or lessor pays for [money], ``paid_for_shop`` what a lessor
    pays at signing in the shop's place. ``rented`` says that the lessor, not the shop, deducts the
    price; ``owned_from`` is the month from which the shop owns the equipment, None if never;
    ``goes_back_after`` the month in which it is returned; ``untaxed`` says that its sales tax falls
    on the payments instead.
    """

    debt: DebtFlows
    financed: Number = 0.0
    paid_for_shop: Number = 0.0
    rented: bool = False
    owned_from: int | None = 0
    goes_back_after: int | None = None
    untaxed: bool = False

    @property
    def is_cash(self) -> bool:
        """Whether nothing is borrowed or rented."""
        return self.owned_from == 0 and not np.any(self.debt.balance)


def payment_for(
    *,
    offer: Financing,
    outlays: Outlays,
    assets: tuple[Asset, ...],
    months: int,
    values: Values,
) -> Payment:
    """The flows of an offer over the months, for what it covers of the outlays."""
    match offer.kind:
        case "loan":
            return _loan(offer, outlays, months, values)
        case "lease":
            return _lease(offer, outlays, assets, months, values)
        case _:
            return Payment(debt=no_debt(months=months))


def _loan(offer: Financing, outlays: Outlays, months: int, values: Values) -> Payment:
    assert offer.term is not None
    down = values(offer.down_payment) if offer.down_payment else LOAN_DOWN_PAYMENT
    parts = outlays.by_part
    amount = sum((parts[part] for part in offer.covers), 0.0) * (1 - down)
    terms = LoanTerms(
        term=values.whole(offer.term),
        rate=per_draw(values(offer.rate)) / 12 if offer.rate else None,
        payment=per_draw(values(offer.payment)) if offer.payment else None,
    )
    debt = loan_flows(
        terms=terms, amount=per_draw(amount), months=months, fee=per_draw(values(offer.fee))
    )
    return Payment(debt=debt, financed=amount)


def _lease(
    offer: Financing, outlays: Outlays, assets: tuple[Asset, ...], months: int, values: Values
) -> Payment:
    taxed = values.scalar(offer.sales_tax) > 0 and "equipment" in offer.covers
    parts = dict(outlays.by_part)
    if taxed:
        parts["equipment"] = outlays.equipment
    price = sum((parts[part] for part in offer.covers), 0.0)
    terms = _lease_terms(offer, values)
    market = _worth_as_bought(assets, terms.term)
    debt = lease_flows(
        terms=terms, price=per_draw(price), months=months, market_value_at_end=market
    )
    owned_from = terms.owned_from(months=months)
    return Payment(
        debt=debt,
        financed=price,
        paid_for_shop=price,
        rented=not _is_conditional_sale(terms.at_end, per_draw(price), market),
        owned_from=owned_from,
        goes_back_after=terms.term if owned_from is None else None,
        untaxed=taxed,
    )


def _worth_as_bought(assets: tuple[Asset, ...], age: int) -> Array:
    """What the things first bought are worth at an age, replaced or not (draws,) [money]."""
    worth: Number = sum(
        (asset.price * asset.worth_share ** (age / asset.worth_after) for asset in assets), 0.0
    )
    return per_draw(worth)


def _lease_terms(offer: Financing, values: Values) -> LeaseTerms:
    assert offer.term is not None
    assert offer.payment is not None
    advance = values.whole(offer.advance_payments) if offer.advance_payments else 0
    return LeaseTerms(
        term=values.whole(offer.term),
        payment=per_draw(values(offer.payment)),
        due=offer.due,
        advance_payments=min(advance, values.whole(offer.term)),
        deposit=per_draw(values(offer.deposit)),
        document_fee=per_draw(values(offer.document_fee)),
        tax_on_payments=per_draw(values(offer.sales_tax)),
        at_end=_lease_end(offer, values),
    )


def _lease_end(offer: Financing, values: Values) -> LeaseEnd:
    end = offer.at_end
    if end is None or end.kind == "return":
        return ReturnGoods()
    if end.kind == "market":
        return BuyAtMarket()
    if end.share is not None:
        return BuyForShare(per_draw(values(end.share)))
    assert end.sum is not None
    return BuyForSum(per_draw(values(end.sum)))


def _is_conditional_sale(end: LeaseEnd, price: Array, market: Array) -> bool:
    """Whether the purchase price is at most half of what the goods are expected to be worth.

    Such a lease is a purchase on instalments for tax; Rev. Rul. 55-540, section 4.01, names the
    nominal option among its signs. The share is the planner's own reading.
    """
    match end:
        case BuyForShare(share):
            option = np.mean(share * price)
        case BuyForSum(stated):
            option = np.mean(stated)
        case _:
            return False
    return bool(option <= NOMINAL_PURCHASE * np.mean(market))


def per_draw(value: Number) -> Array:
    """A value as the finance room takes it: (1,) or (draws,)."""
    return np.ravel(np.asarray(value, dtype=float))
