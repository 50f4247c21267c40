"""The shop's and the lender's own tests of a choice."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from planner.case import Case
from planner.decide.figures import Figures, headline_payback

Unit = Literal["month", "money", "ratio", "share"]
LEAST_COVER: Final = "debt service cover at least"


@dataclass(frozen=True)
class Condition:
    """One test: its figure and limit [``unit``], and whether it is met.

    ``figure`` is None where payback is not reached; a condition that cannot be judged is left out.
    """

    condition: str
    met: bool
    figure: float | None
    limit: float
    unit: Unit

    @property
    def distance(self) -> float | None:
        """Figure less limit [``unit``]; None where there is no figure."""
        return None if self.figure is None else self.figure - self.limit


def conditions(case: Case, figures: Figures) -> tuple[Condition, ...]:
    """Every condition that the scenario states, and the lender's minimum cover of debts."""
    return tuple(_conditions(case, figures))


def payback_limit(case: Case) -> float:
    """Time within which the shop wants its money back: its own limit, else the horizon [month]."""
    stated = case.scenario.conditions.pays_back_within
    return case.values.scalar(stated) if stated is not None else float(case.months)


def _conditions(case: Case, figures: Figures) -> Iterator[Condition]:
    stated, values = case.scenario.conditions, case.values
    if stated.pays_back_within is not None:
        months, limit = headline_payback(figures).months, payback_limit(case)
        met = months is not None and months <= limit
        yield Condition("pays back within", met, months, limit, "month")
    if stated.cash_never_below is not None:
        floor = values.scalar(stated.cash_never_below)
        lowest = figures.cash.lowest
        yield Condition("cash never below", lowest >= floor, lowest, floor, "money")
    if figures.cover.lowest is not None:
        least = values.scalar(case.scenario.lender.debt_service_cover_at_least)
        lowest = figures.cover.lowest
        yield Condition(LEAST_COVER, lowest >= least, lowest, least, "ratio")
