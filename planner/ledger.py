"""Money of a choice, month by month, one column a line item."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from planner.scenario.estimates import Array, Number
from planner.shop.month import Operations
from planner.shop.total import total

if TYPE_CHECKING:
    import pandas as pd


class Group(Enum):
    """What a line belongs to; figures are sums over groups."""

    CAPITAL = "purchase and replacements"
    RUNNING = "running"
    WORKING_CAPITAL = "working capital"
    FINANCING = "financing"
    TAX = "income tax"
    END = "end of the horizon"


@dataclass(frozen=True, eq=False)
class Ledger:
    """Columns of shape (1 or draws, months + 1); month 0 is signing, money in is positive.

    ``other`` maps a group and a line's name to its flows [money], ``work`` brings the running
    lines; ``sums`` may hold those of groups that are summed already.
    """

    other: Mapping[tuple[Group, str], Array]
    months: int
    work: Operations | None = None
    sums: Mapping[Group, Array] = field(default_factory=dict)

    @cached_property
    def columns(self) -> Mapping[tuple[Group, str], Array]:
        """All lines by group and name, what is paid at signing first."""
        lines = {} if self.work is None else self.work.lines
        running = {
            (Group.RUNNING, name): monthly(flow, months=self.months) for name, flow in lines.items()
        }
        first = {key: flow for key, flow in self.other.items() if key[0] is Group.CAPITAL}
        return {**first, **running, **self.other}

    def total(self, *groups: Group) -> Array:
        """Sum of all lines of the groups, of every line where none is named (draws, months + 1)."""
        return _sum([self._by_group[group] for group in groups or Group], self.months)

    @cached_property
    def _by_group(self) -> Mapping[Group, Array]:
        """The sum of each group's lines, worked out once."""
        return {
            wanted: self.sums[wanted] if wanted in self.sums else self._lines_of(wanted)
            for wanted in Group
        }

    def _lines_of(self, wanted: Group) -> Array:
        flows = [flow for (group, _), flow in self.other.items() if group is wanted]
        if wanted is Group.RUNNING and self.work is not None:
            flows.append(monthly(self.work.net, months=self.months))
        return _sum(flows, self.months)

    @cached_property
    def net(self) -> Array:
        """Sum of all lines (draws, months + 1)."""
        return self.before_end + self._by_group[Group.END]

    @cached_property
    def before_end(self) -> Array:
        """All but what only the end of the horizon brings (draws, months + 1)."""
        return self.total(*(group for group in Group if group is not Group.END))

    def line(self, name: str) -> Array:
        """All flows under one line's name (draws, months + 1)."""
        wanted = [flow for (_, line), flow in self.columns.items() if line == name]
        return _sum(wanted, self.months)

    def frame(self, draw: int = 0) -> pd.DataFrame:
        """One draw as a table: a row a month, a column a line, then net and cumulative."""
        import pandas as pd

        columns = {
            f"{group.value}: {name}": flow[min(draw, len(flow) - 1)]
            for (group, name), flow in self.columns.items()
        }
        frame = pd.DataFrame(columns, index=pd.RangeIndex(self.months + 1, name="month"))
        net = self.net[min(draw, len(self.net) - 1)]
        frame["net"] = net
        frame["cumulative"] = np.cumsum(net)
        return frame


def _sum(flows: Sequence[Array], months: int) -> Array:
    return np.asarray(total(flows)) if flows else np.zeros((1, months + 1))


def monthly(flows: Number, *, months: int) -> Array:
    """Flows of months 1…H as a ledger column, with nothing in month 0 (1 or draws, months + 1)."""
    flows = np.atleast_2d(np.asarray(flows, dtype=float))
    column = np.empty((flows.shape[0], months + 1))
    column[:, 0] = 0.0
    column[:, 1:] = flows
    return column


def once(amount: Number, *, month: int, months: int) -> Array:
    """One flow in one month as a ledger column (1 or draws, months + 1)."""
    amounts = np.ravel(np.asarray(amount, dtype=float))
    column = np.zeros((amounts.size, months + 1))
    column[:, month] = amounts
    return column
