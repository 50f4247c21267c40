"""What stations can do in a month, and the share of the work that they serve."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from planner.scenario.estimates import Number
from planner.shop.ratio import ratio


@dataclass(frozen=True, kw_only=True)
class Station:
    """Hours a month of one station [hour]: needed for ``fixed`` care, for work, and available.

    Of those available ``overtime`` lie beyond the usual hours; ``count`` equal machines share them.
    """

    fixed: Number
    work: Number
    available: Number
    overtime: Number = 0.0
    count: int = 1

    @property
    def use(self) -> Number:
        """Hours needed ÷ hours available [-]; 0 in a month in which nothing is open."""
        return ratio(self.fixed + self.work, self.available)

    @property
    def room(self) -> Number:
        """Hours left [hour], at least 0."""
        return np.maximum(0.0, self.available - self.fixed - self.work)

    @property
    def overtime_worked(self) -> Number:
        """Hours worked beyond the usual ones, on each machine [hour]."""
        beyond = self.fixed + self.work - (self.available - self.overtime)
        return np.clip(beyond, 0.0, self.overtime) / self.count


def share_down(
    *, down_days: Number, open_days: Number, machines: int = 1, use: Number = 1.0
) -> Number:
    """Share of a month's area that falls out on days down [-], at most 1.

    With one machine nothing is printed on such a day. Of several one stands still, and the others
    take over as far as they have room.

    Parameters
    ----------
    down_days : float or array
        Days on which one machine is down [day a month].
    open_days : float or array
        Days on which the shop is open [day a month]; where there are none, nothing falls out.
    machines : int
        Equal machines [-]; none never falls out.
    use : float or array
        Hours that all the work takes ÷ hours that all machines have [-].

    Notes
    -----
    δ·max(0, 1 − (n − 1)/(n·use)) with δ = min(1, n·days ÷ open days).
    """
    one_down = np.minimum(1.0, ratio(machines * np.asarray(down_days), open_days))
    if machines <= 1:
        return one_down
    left = np.maximum(0.0, 1 - ratio(machines - 1, machines * np.asarray(use)))
    return one_down * np.where(np.asarray(use) > 0, left, 0.0)


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
        shares = np.minimum(shares, ratio(room, station.work, of_nothing=1.0))
    return shares


def handled_share(*, rooms: Mapping[str, Number], hours: Mapping[str, Number]) -> Number:
    """Share of more work that fits into the room that stations have left [-], 0 to 1.

    ``rooms`` is what each station has left [hour] and ``hours`` what all of it would take there
    [hour]; a station that it does not need does not limit.
    """
    shares: Number = 1.0
    for name, needed in hours.items():
        shares = np.minimum(shares, ratio(rooms[name], needed, of_nothing=1.0))
    return shares
