"""Level payments: the one door to numpy-financial, and the rate that it does not find reliably.

Amounts here are sizes, all positive: what is owed at the start, what is paid each period, and the
balloon that is still owed after the last payment. Rates are per period.
"""

import numpy as np
import numpy_financial

from .series import Rates, internal_rate
from .types import Array, Due, Number, by_draw

LOWEST_PERIODIC = -0.99
"""Rates per period at or below this one are not looked for [1/period]."""

NEAR_ZERO = 1e-9
"""Rates nearer to zero than this count as zero [1/period]: a payment then differs by less than a
millionth over 600 periods, which is what the rounding of numpy-financial would cost."""

_WHEN = {"start": "begin", "end": "end"}


def level_payment(
    *, rate: Number, periods: int, present_value: Number, balloon: Number = 0.0, due: Due = "end"
) -> Array:
    """The level payment that repays a debt down to a balloon.

    At rate 0 it is the debt less the balloon, shared out evenly; rates within 1e-9 of it count as
    0.

    Parameters
    ----------
    rate : float or Array
        Rate per period [1/period], above -1; a whole number is taken as a float.
    periods : int
        Number of payments [-], at least 1.
    present_value : float or Array
        Owed at the start [money].
    balloon : float or Array
        Still owed at the end of the last period [money].
    due : {"end", "start"}
        Whether payments fall at the end or the start of each period.

    Returns
    -------
    Array
        Payment each period [money/period].

    Raises
    ------
    ValueError
        If `periods` is below 1.

    Examples
    --------
    Loan of 32,000 at 6 % over 36 months (Principles of Finance 2e, OpenStax, 8.3; matches):

    >>> round(float(level_payment(rate=0.005, periods=36, present_value=32_000)), 2)
    973.5
    """
    _check_periods(periods)
    numbers = _rate(rate), _float(periods), _float(present_value), -_float(balloon)
    return np.asarray(-numpy_financial.pmt(*numbers, _WHEN[due]))


def interest_part(
    *,
    rate: Number,
    period: Number,
    periods: int,
    present_value: Number,
    balloon: Number = 0.0,
    due: Due = "end",
) -> Array:
    """The interest within the level payment of one period.

    Parameters
    ----------
    rate, periods, present_value, balloon, due
        As for `level_payment` [1/period], [-], [money], [money].
    period : float or Array
        Which payment, 1 to `periods` [-].

    Returns
    -------
    Array
        Interest in that payment [money].

    Raises
    ------
    ValueError
        If `periods` is below 1 or `period` outside 1 to `periods`.
    """
    _check_periods(periods)
    if np.any(np.asarray(period) < 1) or np.any(np.asarray(period) > periods):
        raise ValueError(f"period must be between 1 and {periods}, got {period}")
    numbers = _rate(rate), *map(_float, (period, periods, present_value)), -_float(balloon)
    with np.errstate(divide="ignore", invalid="ignore"):  # at rate 0 it divides, in vain, by 0
        return np.asarray(-numpy_financial.ipmt(*numbers, _WHEN[due]))


def principal_part(
    *,
    rate: Number,
    period: Number,
    periods: int,
    present_value: Number,
    balloon: Number = 0.0,
    due: Due = "end",
) -> Array:
    """The repayment within the level payment of one period: payment − interest.

    Parameters
    ----------
    rate, period, periods, present_value, balloon, due
        As for `interest_part` [1/period], [-], [-], [money], [money].

    Returns
    -------
    Array
        Repayment in that payment [money].

    Raises
    ------
    ValueError
        If `periods` is below 1 or `period` outside 1 to `periods`.
    """
    interest = interest_part(
        rate=rate,
        period=period,
        periods=periods,
        present_value=present_value,
        balloon=balloon,
        due=due,
    )
    payment = level_payment(
        rate=rate, periods=periods, present_value=present_value, balloon=balloon, due=due
    )
    return payment - interest


def rate_from_payment(
    *,
    payment: Number,
    present_value: Number,
    periods: int,
    balloon: Number = 0.0,
    due: Due = "end",
    deferred: int = 0,
) -> Rates:
    """The rate at which level payments and a balloon repay a debt.

    Payments that add up to less than the debt have a rate below zero. Nothing paid at all, or the
    whole debt paid back at once, has none.

    Parameters
    ----------
    payment : float or Array
        Payment each period [money/period], 0 or more.
    present_value : float or Array
        Owed at the start [money], above 0.
    periods : int
        Number of payments [-], at least 1.
    balloon : float or Array
        Paid at the end of the last period [money], 0 or more.
    due : {"end", "start"}
        Whether payments fall at the end or the start of each period.
    deferred : int
        Whole periods that pass before the first payment's period begins [period]; interest
        accrues in them.

    Returns
    -------
    Rates
        Rate per period (draws,) [1/period] and status FOUND or NONE.

    Raises
    ------
    ValueError
        If `periods` is below 1 or `deferred` below 0.

    Examples
    --------
    RATE(48; -200; 8000) of open-source spreadsheets (0.0077014724882014; matches):

    >>> float(rate_from_payment(payment=200, present_value=8000, periods=48).value[0].round(12))
    0.007701472488
    """
    _check_periods(periods)
    if deferred < 0:
        raise ValueError(f"deferred must be 0 or more, got {deferred}")
    payment, present_value, balloon = np.broadcast_arrays(
        by_draw(payment), by_draw(present_value), by_draw(balloon)
    )
    flows = np.zeros((payment.size, deferred + periods + 1))
    first = deferred + (0 if due == "start" else 1)
    flows[:, first : first + periods] -= payment[:, np.newaxis]
    flows[:, 0] += present_value
    flows[:, -1] -= balloon
    return internal_rate(flows=flows, lowest=LOWEST_PERIODIC)


def _check_periods(periods: int) -> None:
    if periods < 1:
        raise ValueError(f"periods must be at least 1, got {periods}")


def _float(value: Number) -> Array:
    return np.asarray(value, dtype=np.float64)


def _rate(rate: Number) -> Array:
    """The rate as numpy-financial can take it: a float, and zero where it would lose the digits."""
    rate = _float(rate)
    return np.where(np.abs(rate) < NEAR_ZERO, 0.0, rate)
