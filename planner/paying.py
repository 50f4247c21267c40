"""A way to pay applied to a machine: what is financed, and what it changes for tax."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.capital import Asset, Outlays
from planner.finance.debt import DebtFlows, no_debt
from planner.finance.lease import (
    BuyAtMarket,
    BuyForSum,
    LeaseEnd,
    LeaseTerms,
    Renew,
    ReturnGoods,
    lease_flows,
)
from planner.finance.loan import LoanTerms, Step, loan_flows
from planner.scenario.derived import LOAN_DOWN_PAYMENT
from planner.scenario.estimates import Array, Number, Values
from planner.scenario.schema import Financing

NOMINAL_PURCHASE: Final = 0.5  # of the expected resale value: at or below it, a conditional sale


@dataclass(frozen=True, eq=False)
class Payment:
    """A way to pay, and what it changes in deductions and at the end.

    ``financed`` is what the lender or lessor pays for [money], ``paid_for_shop`` what a lessor
    pays at signing in the shop's place. ``rented`` says that the lessor, not the shop, deducts the
    price; ``owned_from`` is the month from which the shop owns the equipment, None if never;
    ``goes_back_after`` the month in which it is returned; ``untaxed`` says that its sales tax falls
    on the payments instead; ``worth_at_lease_end`` is what leased goods are then worth [money].
    """

    debt: DebtFlows
    financed: Number = 0.0
    paid_for_shop: Number = 0.0
    rented: bool = False
    owned_from: int | None = 0
    goes_back_after: int | None = None
    untaxed: bool = False
    worth_at_lease_end: Number = 0.0

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
        case "loan" | "instalments":
            return _loan(offer, outlays, months, values)
        case "lease":
            return _lease(offer, outlays, assets, months, values)
        case _:
            return Payment(debt=no_debt(months=months))


def _loan(offer: Financing, outlays: Outlays, months: int, values: Values) -> Payment:
    parts = outlays.by_part
    covered = sum((parts[part] for part in offer.covers), 0.0)
    amount = lent(offer=offer, covered=covered, values=values)
    debt = loan_flows(
        terms=loan_terms(offer, values),
        amount=per_draw(amount),
        months=months,
        fee=per_draw(values(offer.fee)),
        fee_financed=offer.fee_financed,
    )
    return Payment(debt=debt, financed=amount)


def lent(*, offer: Financing, covered: Number, values: Values) -> Number:
    """What a loan lends of the outlays that it covers [money].

    It is the amount of the offer, but never more than the outlays; else what the down payment
    leaves of them.
    """
    if offer.amount is not None:
        return np.minimum(values(offer.amount), covered)
    down = values(offer.down_payment) if offer.down_payment else LOAN_DOWN_PAYMENT
    return covered * (1 - down)


def loan_terms(offer: Financing, values: Values) -> LoanTerms:
    """The contract of a loan or of the seller's instalments."""
    assert offer.term is not None
    step = offer.step
    return LoanTerms(
        term=values.whole(offer.term),
        rate=per_draw(values(offer.rate)) / 12 if offer.rate else None,
        payment=per_draw(values(offer.payment)) if offer.payment else None,
        balloon=per_draw(values(offer.balloon)) if offer.balloon else 0.0,
        interest_only_months=values.whole(offer.interest_only) if offer.interest_only else 0,
        first_payment_after=values.whole(offer.first_payment_after)
        if offer.first_payment_after
        else 1,
        step=Step(values.whole(step.every), values.scalar(step.change)) if step else None,
        early_repayment_charge=values.scalar(offer.early_repayment_charge)
        if offer.early_repayment_charge
        else 0.0,
    )


def _lease(
    offer: Financing, outlays: Outlays, assets: tuple[Asset, ...], months: int, values: Values
) -> Payment:
    taxed = values.scalar(offer.sales_tax) > 0 and "equipment" in offer.covers
    parts = dict(outlays.by_part)
    if taxed:
        parts["equipment"] = outlays.equipment
    price = sum((parts[part] for part in offer.covers), 0.0)
    terms = lease_terms(offer, values, outlays.equipment)
    market = _worth_as_bought(assets, terms.term)
    debt = lease_flows(
        terms=terms, price=per_draw(price), months=months, market_value_at_end=market
    )
    owned_from = terms.owned_from(months=months)
    return Payment(
        debt=debt,
        financed=price,
        paid_for_shop=price,
        rented=_is_rented(offer, terms.at_end, market),
        owned_from=owned_from,
        goes_back_after=_goes_back_after(terms, owned_from, months),
        untaxed=taxed,
        worth_at_lease_end=market,
    )


def _worth_as_bought(assets: tuple[Asset, ...], age: int) -> Array:
    """What the things first bought are worth at an age, replaced or not (draws,) [money]."""
    worth: Number = sum(
        (asset.price * asset.worth_share ** (age / asset.worth_after) for asset in assets), 0.0
    )
    return per_draw(worth)


def lease_terms(offer: Financing, values: Values, equipment: Number) -> LeaseTerms:
    """The contract of a lease; ``equipment`` is its price before sales tax [money]."""
    assert offer.term is not None
    advance = values.whole(offer.advance_payments) if offer.advance_payments else 0
    return LeaseTerms(
        term=values.whole(offer.term),
        payment=per_draw(values(offer.payment)) if offer.payment else None,
        rate=per_draw(values(offer.rate)) / 12 if offer.rate else None,
        due=offer.due,
        advance_payments=min(advance, values.whole(offer.term)),
        deposit=per_draw(values(offer.deposit)),
        document_fee=per_draw(values(offer.document_fee)),
        tax_on_payments=per_draw(values(offer.sales_tax)),
        at_end=_lease_end(offer, values, equipment),
    )


def _lease_end(offer: Financing, values: Values, equipment: Number) -> LeaseEnd:
    end = offer.at_end
    assert end is not None  # the scenario's checks see to it
    match end.kind:
        case "return":
            return ReturnGoods()
        case "market":
            return BuyAtMarket()
        case "renew":
            return Renew(per_draw(values(end.payment)) if end.payment else None)
        case "buy":
            if end.share is not None:
                return BuyForSum(per_draw(values(end.share) * equipment))
            assert end.sum is not None
            return BuyForSum(per_draw(values(end.sum)))


def _goes_back_after(terms: LeaseTerms, owned_from: int | None, months: int) -> int | None:
    """The month in which the goods go back; a renewed lease runs to the horizon."""
    if owned_from is not None:
        return None
    return months if isinstance(terms.at_end, Renew) else terms.term


def _is_rented(offer: Financing, end: LeaseEnd, market: Array) -> bool:
    """Whether the lessor deducts the price: as the scenario says, else by the purchase price."""
    if offer.counts_as is not None:
        return offer.counts_as == "rent"
    option = purchase_option(end)
    return option is None or bool(np.mean(option) > NOMINAL_PURCHASE * np.mean(market))


def purchase_option(end: LeaseEnd) -> Array | None:
    """The stated purchase price before tax [money]; None where none is stated.

    At or below half of what the goods are expected to be worth it is nominal, and the lease a
    purchase on instalments for tax: Rev. Rul. 55-540, section 4.01, names a nominal option among
    the signs of one. The half is the planner's own reading.
    """
    return per_draw(end.price) if isinstance(end, BuyForSum) else None


def per_draw(value: Number) -> Array:
    """A value as the finance room takes it: (1,) or (draws,)."""
    return np.ravel(np.asarray(value, dtype=float))
