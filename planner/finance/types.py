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
    """A number as an array with a leading axis of draws: a float becomes shape (1,)."""
    return np.atleast_1d(np.asarray(value, dtype=np.float64))


def at_month(amount: Array, *, month: int, months: int) -> Array:
    """Flows (draws, months + 1) that hold one amount a draw (draws,) in one month."""
    flows = np.zeros((amount.size, months + 1))
    flows[:, month] += amount
    return flows
