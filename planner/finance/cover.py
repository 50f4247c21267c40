"""How often the cash flow of a year covers the year's debt payments."""

import numpy as np

from .series import Ratios
from .types import Array


def sums_by_year(by_month: Array) -> Array:
    """Sums of months 12y - 11 to 12y for each year y; month 0 stays out.

    Parameters
    ----------
    by_month : Array
        Any flows (draws, months + 1) [money].

    Returns
    -------
    Array
        Sums (draws, years) [money]; a last year cut short by the months holds what there is of it.
    """
    starts = np.arange(1, by_month.shape[-1], 12)
    return np.asarray(np.add.reduceat(by_month, starts, axis=-1))


def debt_service_cover(*, cash_flow_by_month: Array, debt_service_by_month: Array) -> Ratios:
    """Cash flow of each year ÷ the debt payments of that year.

    Parameters
    ----------
    cash_flow_by_month : Array
        Cash flow before debt payments (draws, months + 1) [money].
    debt_service_by_month : Array
        Debt payments as positive amounts, each in the month that it pays for (draws, months + 1)
        [money].

    Returns
    -------
    Ratios
        Cover by year (draws, years) [-]; it does not exist in a year without payments. Months
        12y - 11 to 12y are year y; a last year cut short compares the months there are.
    """
    income = sums_by_year(cash_flow_by_month)
    income, service = np.broadcast_arrays(income, sums_by_year(debt_service_by_month))
    exists = service > 0.0
    value = np.where(exists, income / np.where(exists, service, 1.0), np.nan)
    return Ratios(value, exists, "no debt payment falls in the year")
