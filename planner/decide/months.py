"""What each month asks of the shop: hours by station, what is made, bought in and lost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from planner.case import Case
from planner.plan import Plan
from planner.scenario.estimates import Array, Number
from planner.shop.ratio import ratio
from planner.shop.work import Work


@dataclass(frozen=True, eq=False)
class MonthsOfWork:
    """Months 1…H of a choice, each array (months,).

    ``stations`` hours asked ÷ hours there are [-]; ``made`` share of what is asked that is made
    here [-]; ``bought``, ``hurried`` and ``lost`` pieces; ``overtime`` hours beyond the usual ones;
    ``fullest`` the station that is fullest, empty in a month in which nothing is asked.
    """

    stations: Mapping[str, Array]
    made: Array
    bought: Array
    hurried: Array
    lost: Array
    overtime: Array
    fullest: tuple[str, ...]


def months_of_work(case: Case, plan: Plan) -> MonthsOfWork:
    """Stations and pieces by month, all products together."""
    done, months = plan.operations, case.months
    stations = {name: _row(station.use, months) for name, station in done.stations.items()}
    names, uses = list(stations), np.array(list(stations.values()))
    return MonthsOfWork(
        stations=stations,
        made=ratio(_all(done.works, "made", months), _all(done.works, "asked", months)),
        bought=_all(done.works, "bought", months),
        hurried=_all(done.works, "hurried", months),
        lost=_all(done.works, "lost", months),
        overtime=_row(done.overtime, months),
        fullest=tuple(
            names[at] if top > 0 else ""
            for at, top in zip(uses.argmax(axis=0), uses.max(axis=0), strict=True)
        ),
    )


def _all(works: Sequence[Work], kind: str, months: int) -> Array:
    """Pieces of a kind, all products together."""
    return _row(sum(getattr(work, kind) for work in works), months)


def _row(flow: Number, months: int) -> Array:
    return np.asarray(np.broadcast_to(flow, (1, months))[0], dtype=float)
