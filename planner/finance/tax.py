"""Income tax by tax years: when it is paid, and what a loss is worth."""

from typing import Literal, TypeAlias

import numpy as np

from .types import Array, Number

Losses: TypeAlias = Literal["other income", "carried forward"]


def calendar_month(*, month: int, start_month: int) -> int:
    """Calendar month of a month of the plan.

    Parameters
    ----------
    month : int
        Month of the plan, month 1 being the first [month].
    start_month : int
        Calendar month of month 1, 1 to 12 [-].

    Returns
    -------
    int
        1 for January to 12 for December [-].
    """
    return (start_month + month - 2) % 12 + 1


def tax_year_ends(*, months: int, start_month: int, tax_year_end_month: int) -> tuple[int, ...]:
    """The months in which tax is paid: each tax year's last, and the plan's last.

    Month 0 is signing and belongs to the tax year of month 1.

    Parameters
    ----------
    months : int
        Months of the plan [month], at least 1.
    start_month : int
        Calendar month of month 1, 1 to 12 [-].
    tax_year_end_month : int
        Calendar month in which the tax year ends, 1 to 12 [-].

    Returns
    -------
    tuple of int
        Months of the plan in rising order [month].
    """
    ends = [
        month
        for month in range(1, months)
        if calendar_month(month=month, start_month=start_month) == tax_year_end_month
    ]
    return (*ends, months)


def income_tax(
    *,
    taxable_by_month: Array,
    rate: Number,
    tax_year_end_month: int,
    start_month: int,
    losses: Losses,
) -> Array:
    """Income tax as it is paid, negative when paid and positive when it is a saving.

    The income of a tax year is taxed as one sum, in its last month; what is left over at the end of
    the plan is taxed in the last month. A year without income pays nothing.

    Parameters
    ----------
    taxable_by_month : Array
        Taxable income, losses negative (draws, months + 1) [money]. Month 0 belongs to the tax year
        of month 1.
    rate : float or Array
        Tax as a share of income [-], 0 to 1.
    tax_year_end_month : int
        Calendar month in which the tax year ends, 1 to 12 [-].
    start_month : int
        Calendar month of month 1, 1 to 12 [-].
    losses : {"other income", "carried forward"}
        Whether a year's loss saves tax on other income at once, or is set against later years'
        income; what is then never used is worth nothing.

    Returns
    -------
    Array
        Flows (draws, months + 1) [money].

    Raises
    ------
    ValueError
        If `losses` is neither of the two.
    """
    if losses not in ("other income", "carried forward"):
        raise ValueError(f'losses must be "other income" or "carried forward", got "{losses}"')
    months = taxable_by_month.shape[-1] - 1
    flows = np.zeros_like(taxable_by_month, dtype=np.float64)
    unused = np.zeros(taxable_by_month.shape[:-1])
    first = 0
    for last in tax_year_ends(
        months=months, start_month=start_month, tax_year_end_month=tax_year_end_month
    ):
        income = taxable_by_month[..., first : last + 1].sum(axis=-1)
        if losses == "carried forward":
            income = income - unused
            unused = np.maximum(-income, 0.0)
            income = np.maximum(income, 0.0)
        flows[..., last] -= np.asarray(rate) * income
        first = last + 1
    return flows
