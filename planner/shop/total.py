"""Sums of numbers and arrays of different sizes."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from planner.scenario.estimates import Array, Number


def total(amounts: Iterable[Number]) -> Array:
    """The sum of amounts that broadcast [any unit]; small ones come first, for they are cheap."""
    first, *others = sorted((np.asarray(amount, dtype=float) for amount in amounts), key=np.size)
    found = first
    for amount in others:
        own = found is not first and found.shape == amount.shape
        found = np.add(found, amount, out=found) if own else np.asarray(found + amount)
    return found
