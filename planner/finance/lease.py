"""Leases: payments in advance or arrears, deposit, tax, and what happens at the end."""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from .annuity import LOWEST_PERIODIC
from .debt import DebtFlows
from .series import discount_factors, internal_rate
from .types import Array, Due, Number, at_month, by_draw


@dataclass(frozen=True)
class ReturnGoods:
    """The goods go back to the lessor."""


@dataclass(frozen=True)
class BuyAtMarket:
    """The goods are bought for what they are then worth."""


@dataclass(frozen=True, eq=False)
class BuyForShare:
    """The goods are bought for a share of their first price.

    Attributes
    ----------
    share : float or Array
        Share of the price [-].
    """

    share: Number


@dataclass(frozen=True, eq=False)
class BuyForSum:
    """The goods are bought for a stated sum.

    Attributes
    ----------
    price : float or Array
        The sum before tax [money].
    """

    price: Number


@dataclass(frozen=True, eq=False)
class Renew:
    """The lease goes on from month to month; the goods go back when the months end.

    Attributes
    ----------
    payment : float or Array, optional
        Payment after the term, before tax [money/month]; as before without it.
    """

    payment: Number | None = None


LeaseEnd: TypeAlias = ReturnGoods | BuyAtMarket | BuyForShare | BuyForSum | Renew


@dataclass(frozen=True, eq=False)
class LeaseTerms:
    """What a lease contract says.

    Attributes
    ----------
    term : int
        Number of payments and of months of use [month], at least 1.
    payment : float or Array, optional
        Payment before tax [money/month]. Either this or `rate` is given.
    rate : float or Array, optional
        Implicit rate per month [1/month], above -1.
    due : {"end", "start"}
        Whether payments fall at the end or the start of the month.
    advance_payments : int
        Payments made at signing, part of the term's [-]. With payments at the start of the month
        the first of them is the first month's, and at least one is made; any others are the last.
    deposit : float or Array
        Paid at signing, returned in the last month [money].
    document_fee : float or Array
        Paid at signing [money].
    tax_on_payments : float or Array
        Sales tax on payments and purchase price, as a share of them [-].
    at_end : LeaseEnd
        What happens after the last month.

    Raises
    ------
    ValueError
        If not exactly one of `payment` and `rate` is given, or `term` or `advance_payments` is out
        of range.
    """

    term: int
    payment: Number | None = None
    rate: Number | None = None
    due: Due = "end"
    advance_payments: int = 0
    deposit: Number = 0.0
    document_fee: Number = 0.0
    tax_on_payments: Number = 0.0
    at_end: LeaseEnd = ReturnGoods()

    def __post_init__(self) -> None:
        if (self.rate is None) == (self.payment is None):
            raise ValueError("exactly one of payment and rate must be given")
        if self.term < 1:
            raise ValueError(f"term must be at least 1, got {self.term}")
        if not 0 <= self.advance_payments <= self.term:
            raise ValueError(
                f"advance_payments must be between 0 and {self.term}, got {self.advance_payments}"
            )

    def owned_from(self, *, months: int) -> int | None:
        """The month from which the lessee owns the goods [month], None if not by the last month.

        A purchase at a share or a sum that lies beyond the last month is brought forward to it; one
        at market value is not made.
        """
        if isinstance(self.at_end, BuyForShare | BuyForSum):
            return min(self.term, months)
        if isinstance(self.at_end, BuyAtMarket) and self.term <= months:
            return self.term
        return None


def payments_by_month(terms: LeaseTerms) -> Array:
    """How many of the payments fall in each month 0 to the term (term + 1,) [-].

    Parameters
    ----------
    terms : LeaseTerms
        The contract.

    Returns
    -------
    Array
        Counts (term + 1,) that add up to the term [-].
    """
    at_signing = max(terms.advance_payments, 1 if terms.due == "start" else 0)
    counts = np.zeros(terms.term + 1)
    counts[0] = at_signing
    counts[1 : terms.term - at_signing + 1] = 1.0
    return counts


def lease_flows(
    *, terms: LeaseTerms, price: Number, months: int, market_value_at_end: Number = 0.0
) -> DebtFlows:
    """The flows of a lease, settled in the last month where its term is longer.

    Payments still due are then settled undiscounted, and a purchase at a share or a sum is made;
    one at market value is not.

    Parameters
    ----------
    terms : LeaseTerms
        The contract.
    price : float or Array
        What the lessor pays for [money], above 0.
    months : int
        Months after signing [month], at least 1.
    market_value_at_end : float or Array
        What the goods are worth when the term ends [money].

    Returns
    -------
    DebtFlows
        Flows (draws, months + 1). The balance is the present value, at the implicit rate, of
        payments still to come and of a purchase price that is a share or a sum; where no rate
        exists it is their plain sum.

    Notes
    -----
    The implicit rate makes payments before tax, and the purchase price or, without one, the
    market value at the end, worth the price. The annual percentage rate is twelve times the rate
    that does so when the document fee is paid as well; deposit and tax stay out of both.
    """
    price = by_draw(price)
    worth_at_end = _worth_at_end(terms, price, by_draw(market_value_at_end))
    rate, payment = _rate_and_payment(terms, price, worth_at_end)
    price, worth_at_end, rate, payment, renewed, fee, deposit, tax = np.broadcast_arrays(
        price,
        worth_at_end,
        rate,
        payment,
        _renewed(terms, payment),
        by_draw(terms.document_fee),
        by_draw(terms.deposit),
        by_draw(terms.tax_on_payments),
    )
    last = min(terms.term, months)
    rent, service = _rents(terms, payment, renewed, months)
    left = payment * payments_by_month(terms)[last + 1 :].sum()
    bought = terms.owned_from(months=months) is not None
    purchase = at_month(worth_at_end * -float(bought), month=last, months=months)
    settlement = at_month(-left, month=last, months=months)
    returned = months if isinstance(terms.at_end, Renew) else last
    taxed = 1.0 + tax[:, np.newaxis]
    zero = np.zeros_like(rent)
    return DebtFlows(
        proceeds=zero,
        principal=zero,
        interest=zero,
        rent=rent,
        fees=at_month(-fee, month=0, months=months),
        tax_on_payments=(taxed - 1.0) * (rent + purchase + settlement),
        deposit=at_month(deposit, month=returned, months=months)
        - at_month(deposit, month=0, months=months),
        purchase=purchase,
        settlement=settlement,
        balance=_balance(terms, rate=rate, payment=payment, bought_for=worth_at_end, months=months),
        service=service * taxed,
        lump_sums=zero - purchase * taxed,
        rate=rate,
        payment_per_month=payment * (1.0 + tax),
        solve_annual_rate=lambda: 12.0 * _implicit_rate(terms, payment, price - fee, worth_at_end),
    )


def _renewed(terms: LeaseTerms, payment: Array) -> Array:
    """The payment of each month after the term (draws,), nothing if the lease then ends."""
    if not isinstance(terms.at_end, Renew):
        return np.zeros_like(payment)
    return payment if terms.at_end.payment is None else by_draw(terms.at_end.payment)


def _rents(terms: LeaseTerms, payment: Array, renewed: Array, months: int) -> tuple[Array, Array]:
    """Rent in the month in which it is paid (out), and in the month that it pays for (a size)."""
    rent, service = np.zeros((payment.size, months + 1)), np.zeros((payment.size, months + 1))
    last, early = min(terms.term, months), 1 if terms.due == "start" else 0
    rent[:, : last + 1] -= payment[:, np.newaxis] * payments_by_month(terms)[: last + 1]
    rent[:, terms.term + 1 - early : months + 1 - early] -= renewed[:, np.newaxis]
    service[:, 1 : last + 1] = payment[:, np.newaxis]
    service[:, terms.term + 1 :] = renewed[:, np.newaxis]
    return rent, service


def _worth_at_end(terms: LeaseTerms, price: Array, market: Array) -> Array:
    """What the lessor has at the end of the term: the purchase price, else the goods (draws,)."""
    match terms.at_end:
        case BuyForShare(share):
            return by_draw(share) * price
        case BuyForSum(stated):
            return by_draw(stated)
        case _:
            return market


def _rate_and_payment(terms: LeaseTerms, price: Array, worth_at_end: Array) -> tuple[Array, Array]:
    """The implicit rate and the payment, the one that is not given solved (draws,)."""
    if terms.rate is not None:
        rate, counts = by_draw(terms.rate), payments_by_month(terms)
        factors = discount_factors(rate=rate, count=counts.size)
        return rate, np.asarray((price - worth_at_end * factors[:, -1]) / (factors @ counts))
    assert terms.payment is not None  # one of the two is given
    payment = by_draw(terms.payment)
    return _implicit_rate(terms, payment, price, worth_at_end), payment


def _implicit_rate(
    terms: LeaseTerms, payment: Array, received: Array, worth_at_end: Array
) -> Array:
    """Rate per month at which payments and the worth at the end repay what was received."""
    payment, received, worth_at_end = np.broadcast_arrays(payment, received, worth_at_end)
    flows = (
        at_month(received, month=0, months=terms.term)
        - payment[:, np.newaxis] * payments_by_month(terms)
        - at_month(worth_at_end, month=terms.term, months=terms.term)
    )
    return internal_rate(flows=flows, lowest=LOWEST_PERIODIC).value


def _balance(
    terms: LeaseTerms, *, rate: Array, payment: Array, bought_for: Array, months: int
) -> Array:
    """Present value of what is still to be paid, undiscounted where there is no rate."""
    growth = 1.0 + np.nan_to_num(rate)
    to_come = payment[:, np.newaxis] * payments_by_month(terms)
    if isinstance(terms.at_end, BuyForShare | BuyForSum):
        to_come[:, -1] += bought_for
    owed = np.zeros_like(to_come)
    for month in range(terms.term - 1, -1, -1):
        owed[:, month] = (owed[:, month + 1] + to_come[:, month + 1]) / growth
    balance = np.zeros((rate.size, months + 1))
    width = min(terms.term, months)  # from here on all is paid or settled
    balance[:, :width] = owed[:, :width]
    return balance
