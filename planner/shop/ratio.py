"""A part of a whole that may be nothing."""

from __future__ import annotations

import numpy as np

from planner.scenario.estimates import Array, Number


def ratio(part: Number, whole: Number, *, of_nothing: float = 0.0) -> Array:
    """``part`` ÷ ``whole``, in one unit; ``of_nothing`` where the whole is not above zero [-]."""
    part, whole = np.asarray(part, dtype=float), np.asarray(whole, dtype=float)
    is_some = whole > 0
    if is_some.all():
        return np.asarray(part / whole)
    shares = np.full(np.broadcast_shapes(part.shape, whole.shape), of_nothing)
    np.divide(part, whole, out=shares, where=is_some)
    return shares
