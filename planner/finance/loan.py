"""Loans: level, stepped or interest-only payments, balloon, deferred first payment."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

import numpy as np

from .annuity import LOWEST_PERIODIC, level_payment
from .debt import DebtFlows
from .series import internal_rate
from .types import Array, Number, at_month, by_draw

CENT = Decimal("0.01")


@dataclass(frozen=True)
class Step:
    """Payments that change by a share every so many payments.

    Attributes
    ----------
    every : int
        Payments of one size before the next change [-], at least 1.
    change : float
        Change as a share of the payment before [-], above -1; 0.05 is 5 % more.

    Raises
    ------
    ValueError
        If `every` or `change` is out of range.
    """

    every: int
    change: float

    def __post_init__(self) -> None:
        if self.every < 1:
            raise ValueError(f"every must be at least 1, got {self.every}")
        if self.change <= -1.0:
            raise ValueError(f"change must be above -1, got {self.change:g}")


@dataclass(frozen=True, eq=False)
class LoanTerms:
    """What a loan contract says.

    Attributes
    ----------
    term : int
        Months from signing to the last payment [month], deferred and interest-only months included.
    rate : float or Array, optional
        Rate per month [1/month], above -1; 0 is legal. Either this or `payment` is given.
    payment : float or Array, optional
        Regular payment, of a stepped loan the first [money/month], above 0.
    balloon : float or Array
        Paid with the last payment on top of it [money], 0 or more.
    interest_only_months : int
        Payments that hold only interest, before the repayments begin [-].
    first_payment_after : int
        Month of the first payment [month], 1 or more; the interest of earlier months is added to
        the debt.
    step : Step, optional
        How the repaying payments change; level without it.
    early_repayment_charge : float or Array
        Share of the balance charged when it is settled before the term ends [-].

    Raises
    ------
    ValueError
        If not exactly one of `rate` and `payment` is given, or no month is left for repayments.
    """

    term: int
    rate: Number | None = None
    payment: Number | None = None
    balloon: Number = 0.0
    interest_only_months: int = 0
    first_payment_after: int = 1
    step: Step | None = None
    early_repayment_charge: Number = 0.0

    def __post_init__(self) -> None:
        if (self.rate is None) == (self.payment is None):
            raise ValueError("exactly one of rate and payment must be given")
        for name, least in (("first_payment_after", 1), ("interest_only_months", 0)):
            if getattr(self, name) < least:
                raise ValueError(f"{name} must be at least {least}, got {getattr(self, name)}")
        if self.repaying_months < 1:
            least = self.term + 1 - self.repaying_months
            raise ValueError(f"term must be at least {least} months, got {self.term}")

    @property
    def repaying_months(self) -> int:
        """Payments that repay: all but the deferred and the interest-only ones [-]."""
        return self.term - (self.first_payment_after - 1) - self.interest_only_months


@dataclass(frozen=True)
class ScheduleRow:
    """One month of a printed schedule, in whole cents.

    Attributes
    ----------
    month : int
        Months after signing [month].
    payment, interest, principal, balance : Decimal
        Paid, the interest and the repayment in it, and what is owed afterwards [money].
    """

    month: int
    payment: Decimal
    interest: Decimal
    principal: Decimal
    balance: Decimal


def loan_flows(
    *,
    terms: LoanTerms,
    amount: Number,
    months: int,
    fee: Number = 0.0,
    fee_financed: bool = False,
) -> DebtFlows:
    """The unrounded flows of a loan, settled in the last month where its term is longer.

    Parameters
    ----------
    terms : LoanTerms
        The contract.
    amount : float or Array
        What the loan is to pay for [money], above 0.
    months : int
        Months after signing [month], at least 1.
    fee : float or Array
        Fee at signing [money]; a finance charge in the annual percentage rate.
    fee_financed : bool
        Whether the fee is added to the debt instead of being paid from own money.

    Returns
    -------
    DebtFlows
        Flows (draws, months + 1).

    Raises
    ------
    ValueError
        If a given payment repays the debt at no rate.
    """
    borrowed = by_draw(amount) + (by_draw(fee) if fee_financed else 0.0)
    rate, payment = _rate_and_payment(terms, borrowed)
    rate, payment, borrowed, fee, balloon, charge = np.broadcast_arrays(
        rate,
        payment,
        borrowed,
        by_draw(fee),
        by_draw(terms.balloon),
        by_draw(terms.early_repayment_charge),
    )
    due, interest, owed = _run(terms, rate=rate, payment=payment, borrowed=borrowed)
    lump = at_month(balloon, month=terms.term, months=terms.term)
    last = min(months, terms.term)
    left = owed[:, last]  # nothing, unless the months end before the term
    zero = np.zeros((rate.size, months + 1))
    return DebtFlows(
        proceeds=at_month(borrowed, month=0, months=months),
        principal=_fitted(interest - due - lump, months),
        interest=zero - _fitted(interest, months),
        rent=zero,
        fees=zero
        - at_month(fee, month=0, months=months)
        - at_month(charge * left, month=last, months=months),
        tax_on_payments=zero,
        deposit=zero,
        purchase=zero,
        settlement=zero - at_month(left, month=last, months=months),
        balance=_fitted(owed, months) - at_month(left, month=last, months=months),
        service=_fitted(due, months),
        lump_sums=_fitted(lump, months),
        rate=rate,
        payment_per_month=payment,
        solve_annual_rate=lambda: 12.0 * _rate_with_fee(due + lump, borrowed - fee),
    )


def _fitted(flows: Array, months: int) -> Array:
    """Flows cut or filled with zeros to so many months."""
    fitted = np.zeros((flows.shape[0], months + 1))
    width = min(flows.shape[1], months + 1)
    fitted[:, :width] = flows[:, :width]
    return fitted


def _rate_with_fee(paid: Array, received: Array) -> Array:
    """Rate per month at which the payments of the whole term repay what was received, fee off."""
    flows = at_month(received, month=0, months=paid.shape[1] - 1) - paid
    return internal_rate(flows=flows, lowest=LOWEST_PERIODIC).value


def _sizes(terms: LoanTerms) -> Array:
    """Sizes of the repaying payments, the first being 1 [-]."""
    if terms.step is None:
        return np.ones(terms.repaying_months)
    steps = np.arange(terms.repaying_months) // terms.step.every
    return np.asarray((1.0 + terms.step.change) ** steps.astype(np.float64))


def _rate_and_payment(terms: LoanTerms, borrowed: Array) -> tuple[Array, Array]:
    """The rate and the first repaying payment, the one that is not given solved (draws,)."""
    if terms.rate is not None:
        rate, borrowed = np.broadcast_arrays(by_draw(terms.rate), borrowed)
        return rate, _payment(terms, rate, borrowed)
    assert terms.payment is not None  # one of the two is given
    payment = by_draw(terms.payment)
    rate = _rate(terms, payment, borrowed)
    return rate, np.broadcast_to(payment, rate.shape)


def _payment(terms: LoanTerms, rate: Array, borrowed: Array) -> Array:
    """The first repaying payment at a rate."""
    owed = borrowed * (1.0 + rate) ** (terms.first_payment_after - 1)
    if terms.step is None:
        return level_payment(
            rate=rate, periods=terms.repaying_months, present_value=owed, balloon=terms.balloon
        )
    factors = (1.0 + rate[:, np.newaxis]) ** -np.arange(1.0, terms.repaying_months + 1.0)
    return np.asarray((owed - by_draw(terms.balloon) * factors[:, -1]) / (factors @ _sizes(terms)))


def _rate(terms: LoanTerms, payment: Array, borrowed: Array) -> Array:
    """The rate at which the given payment repays the debt.

    Months that pay only interest leave the debt as it is, whatever the rate, and drop out.
    """
    payment, balloon, borrowed = np.broadcast_arrays(payment, by_draw(terms.balloon), borrowed)
    flows = np.zeros((borrowed.size, terms.first_payment_after + terms.repaying_months))
    flows[:, 0] = borrowed
    flows[:, terms.first_payment_after :] = -payment[:, np.newaxis] * _sizes(terms)
    flows[:, -1] -= balloon
    rate = internal_rate(flows=flows, lowest=LOWEST_PERIODIC).value
    if np.isnan(rate).any():
        raise ValueError(f"payment must repay the debt at some rate, got {payment.min():g}")
    return rate


def _run(
    terms: LoanTerms, *, rate: Array, payment: Array, borrowed: Array
) -> tuple[Array, Array, Array]:
    """Payments without the balloon, interest and balance over the whole term (draws, term + 1)."""
    due, interest = np.zeros((rate.size, terms.term + 1)), np.zeros((rate.size, terms.term + 1))
    balance = np.zeros((rate.size, terms.term + 1))
    balance[:, 0] = borrowed
    first = terms.first_payment_after
    repaying = first + terms.interest_only_months
    due[:, repaying:] = payment[:, np.newaxis] * _sizes(terms)
    for month in range(1, terms.term + 1):
        interest[:, month] = balance[:, month - 1] * rate
        if first <= month < repaying:
            due[:, month] = interest[:, month]
        balance[:, month] = balance[:, month - 1] + interest[:, month] - due[:, month]
    balance[:, terms.term] = 0.0  # the balloon is paid, and only rounding would be left
    return due, interest, balance


def loan_schedule_in_cents(*, terms: LoanTerms, amount: float | Decimal) -> tuple[ScheduleRow, ...]:
    """The schedule as a lender prints it: payment and each interest rounded half up to cents.

    The last payment, with the balloon, settles what is left, so that the repayments add up to the
    amount to the cent.

    Parameters
    ----------
    terms : LoanTerms
        The contract, with single numbers.
    amount : float or Decimal
        Debt at signing, a financed fee included [money]; rounded to cents.

    Returns
    -------
    tuple of ScheduleRow
        Months 0 to the term.

    Examples
    --------
    Loan of 32,000 at 6 % over 36 months after 12 months (Principles of Finance 2e, OpenStax, 8.5;
    matches):

    >>> loan_schedule_in_cents(terms=LoanTerms(term=36, rate=0.005), amount=32_000)[12].balance
    Decimal('21965.02')
    """
    balance = _cents(amount)
    rates, payments = _rate_and_payment(terms, by_draw(float(balance)))
    rate = Decimal(repr(float(rates[0])))
    sizes = _sizes(terms)
    repaying = terms.term - terms.repaying_months + 1
    rows = [ScheduleRow(0, Decimal("0.00"), Decimal("0.00"), Decimal("0.00"), balance)]
    for month in range(1, terms.term + 1):
        interest = _cents(balance * rate)
        if month < terms.first_payment_after:
            payment = Decimal("0.00")
        elif month < repaying:
            payment = interest
        elif month < terms.term:
            payment = _cents(float(payments[0] * sizes[month - repaying]))
        else:
            payment = balance + interest
        balance += interest - payment
        rows.append(ScheduleRow(month, payment, interest, payment - interest, balance))
    return tuple(rows)


def _cents(value: float | Decimal) -> Decimal:
    """A sum rounded half up to cents."""
    exact = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    return exact.quantize(CENT, rounding=ROUND_HALF_UP)
