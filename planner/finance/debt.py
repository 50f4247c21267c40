"""The money that a way of paying moves, month by month."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .types import Array


@dataclass(frozen=True, eq=False)
class DebtFlows:
    """Flows of a loan, a lease or of paying cash, seen by the one who pays.

    Arrays are (draws, months + 1); column 0 is signing, column t the end of month t. Money in is
    positive, money out negative; `balance`, `service`, `lump_sums` and the figures are positive.
    A debt that outlives the months is settled in the last one.

    Attributes
    ----------
    proceeds : Array
        What the lender pays out at signing [money]; 0 for a lease.
    principal : Array
        Repayments of a loan, its balloon included [money]. In a month whose payment does not
        cover the interest it is positive: interest added to the debt.
    interest : Array
        Interest of a loan as it accrues [money].
    rent : Array
        Lease payments before tax [money].
    fees : Array
        Fee at signing and charge for early repayment [money].
    tax_on_payments : Array
        Sales tax on lease payments and on the purchase price [money].
    deposit : Array
        Deposit paid and returned [money].
    purchase : Array
        Price of buying the leased goods, before tax [money].
    settlement : Array
        What is still owed when the months end before the debt does, before tax [money].
    balance : Array
        Owed after each month's payments [money].
    service : Array
        Regular payments with their tax, in the month that they pay for, whenever they are paid;
        without lump sums, settlement and fees [money].
    lump_sums : Array
        Balloon, or purchase price with its tax [money].
    rate : Array
        Rate of the loan, or implicit rate of the lease (draws,) [1/month]; NaN where none exists.
    payment_per_month : Array
        Regular payment with its tax (draws,) [money/month]; of a stepped loan the first.
    solve_annual_rate : callable
        Works out ``annual_percentage_rate``, which the flows themselves do not need.
    """

    proceeds: Array
    principal: Array
    interest: Array
    rent: Array
    fees: Array
    tax_on_payments: Array
    deposit: Array
    purchase: Array
    settlement: Array
    balance: Array
    service: Array
    lump_sums: Array
    rate: Array
    payment_per_month: Array
    solve_annual_rate: Callable[[], Array]

    @cached_property
    def annual_percentage_rate(self) -> Array:
        """Nominal rate a year with fees counted as finance charge (draws,) [1/year].

        By the unit-period method over the whole contract; NaN where none exists, as for cash.
        """
        return self.solve_annual_rate()

    @property
    def total(self) -> Array:
        """Sum of all flows (draws, months + 1) [money]."""
        return (
            self.proceeds
            + self.principal
            + self.interest
            + self.rent
            + self.fees
            + self.tax_on_payments
            + self.deposit
            + self.purchase
            + self.settlement
        )

    @property
    def total_paid(self) -> Array:
        """All that is paid to the financer, less the deposit returned (draws,) [money]."""
        return np.asarray((self.proceeds - self.total).sum(axis=-1))

    @property
    def finance_charge(self) -> Array:
        """What each month's payments hold beyond the fall in the balance [money].

        For a loan it is the interest. For a lease it is the interest at the implicit rate, which
        is what is deducted where the lease counts as a purchase; a settlement brings the rest of
        it forward. Month 0 and fees hold none.
        """
        paid = -(self.principal + self.interest + self.rent + self.purchase + self.settlement)
        charge = np.zeros_like(paid)
        charge[:, 1:] = paid[:, 1:] + np.diff(self.balance, axis=-1)
        return charge


def no_debt(*, months: int, draws: int = 1) -> DebtFlows:
    """The flows of paying cash: nothing is borrowed, nothing owed.

    Parameters
    ----------
    months : int
        Months after signing [month], 0 or more.
    draws : int
        Rows [-], 1 or more.

    Returns
    -------
    DebtFlows
        Zeros; the rates are NaN, since nothing is borrowed.
    """
    zero, none = np.zeros((draws, months + 1)), np.full(draws, np.nan)
    return DebtFlows(
        proceeds=zero,
        principal=zero,
        interest=zero,
        rent=zero,
        fees=zero,
        tax_on_payments=zero,
        deposit=zero,
        purchase=zero,
        settlement=zero,
        balance=zero,
        service=zero,
        lump_sums=zero,
        rate=none,
        payment_per_month=np.zeros(draws),
        solve_annual_rate=lambda: none,
    )
