"""A part of a whole that may be nothing."""

from __future__ import annotations

import numpy as np

from planner.scenario.estimates import Array, Number


def ratio(part: Number, whole: Number) -> Array:
    """Part ÷ whole, 0 where the whole is not above zero [-]."""
    part, whole = np.asarray(part, dtype=float), np.asarray(whole, dtype=float)
    is_some = whole > 0
    return np.where(is_some, part / np.where(is_some, whole, 1.0), 0.0)
