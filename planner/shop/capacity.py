"""What stations can do in a month, and the share of the work that they serve."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from planner.scenario.estimates import Number
from planner.shop.ratio import ratio


@dataclass(frozen=True, kw_only=True)
class Station:
    """Hours a month of one station: needed for ``fixed`` care and for work, and available."""

    fixed: Number
    work: Number
    available: Number

    @property
    def use(self) -> Number:
        """Hours needed ÷ hours available [-]; 0 in a month in which nothing is open."""
        return ratio(self.fixed + self.work, self.available)


def share_down(*, down_days: Number, open_days: Number) -> Number:
    """Share of a month's open days on which nothing can be printed [-], at most 1."""
    return np.minimum(1.0, ratio(down_days, open_days))


def served_share(*, stations: Mapping[str, Station]) -> Number:
    """Share of the work that the fullest station lets through [-], 0 to 1.

    A station without work to do does not limit.

    Notes
    -----
    served = min over stations of min(1, (available − fixed) / work).
    """
    shares: Number = 1.0
    for station in stations.values():
        room = np.maximum(0.0, station.available - station.fixed)
        share = np.where(np.asarray(station.work) > 0, ratio(room, station.work), 1.0)
        shares = np.minimum(shares, share)
    return shares
