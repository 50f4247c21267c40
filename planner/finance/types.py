"""The array types of the room: draws come first, time comes last."""

from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
"""Floats, of shape (draws, months + 1) for flows and (draws,) for figures."""

Flags: TypeAlias = NDArray[np.bool_]
"""True or false for each draw."""

Number: TypeAlias = float | Array
"""One value for every draw, or one value a draw (draws,)."""

Due: TypeAlias = Literal["start", "end"]
"""Whether a payment falls at the start or at the end of the period it pays for."""


def by_draw(value: Number) -> Array:
    """A number as an array with an axis of draws.

    Parameters
    ----------
    value : float or Array
        Any number, in any unit [-].

    Returns
    -------
    Array
        The same (draws,); a float becomes shape (1,) [-].
    """
    return np.atleast_1d(np.asarray(value, dtype=np.float64))


def at_month(amount: Array, *, month: int, months: int) -> Array:
    """Flows that hold one amount a draw in one month, and nothing in the others.

    Parameters
    ----------
    amount : Array
        The amounts (draws,) [money].
    month : int
        Where they stand, 0 to `months` [month].
    months : int
        Months after signing [month].

    Returns
    -------
    Array
        Flows (draws, months + 1) [money].
    """
    flows = np.zeros((amount.size, months + 1))
    flows[:, month] += amount
    return flows
