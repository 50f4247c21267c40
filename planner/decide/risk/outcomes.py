"""What each case of each choice comes to."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.case import Case, Choice
from planner.decide.cash import balance_by_month
from planner.decide.cover import headline_cover
from planner.decide.evaluation import (
    AGAINST_BUYING_IN,
    COMPARISONS,
    Evaluation,
    evaluations,
    running_total,
)
from planner.decide.risk.draws import Slice
from planner.finance.series import net_present_value, payback
from planner.scenario.estimates import Array

WORKERS: Final = 2


@dataclass(frozen=True, eq=False)
class Outcomes:
    """Figures of one choice by case, in the order of the draws (cases,) or (cases, columns).

    ``payback`` by comparison [month], infinite where it is not reached within the horizon;
    ``value`` net present value before financing by comparison, ``value_financed`` of the plan
    against buying in with its way to pay [money]; ``balance`` of the bank at the ends of months 0,
    1, 2 … [money]; ``cover`` of debts by year by the lender's measure [-], NaN in a year without
    payments; ``total`` cumulative flow of the plan against buying in, before financing and before
    the end, by month [money].
    """

    replicate: Array
    payback: dict[str, Array]
    value: dict[str, Array]
    value_financed: Array
    balance: Array
    cover: Array
    total: Array

    @property
    def lowest_cash(self) -> Array:
        """The lowest balance of each case [money]."""
        return np.asarray(self.balance.min(axis=-1))

    @property
    def lowest_cover(self) -> Array:
        """The lowest cover of each case [-]; NaN where no debt is paid."""
        none = np.isnan(self.cover).all(axis=-1)
        return np.where(
            none, np.nan, np.min(np.where(np.isnan(self.cover), np.inf, self.cover), -1)
        )


def outcomes(
    case: Case,
    wanted: Sequence[Choice],
    drawn: Iterator[Slice],
    *,
    progress: Callable[[int], None] = lambda done: None,
) -> dict[str, Outcomes]:
    """Every case of every choice, by the choice's label; all choices see the same cases.

    Slices are worked out side by side and put together in their order, so that the result does
    not depend on how many there are at once.
    """
    with ThreadPoolExecutor(WORKERS) as pool:
        parts: list[dict[str, Outcomes]] = []
        for done in pool.map(lambda one: _of_slice(case, tuple(wanted), one), drawn):
            parts.append(done)
            progress(len(parts))
    return {choice.label: _joined([part[choice.label] for part in parts]) for choice in wanted}


def _of_slice(case: Case, wanted: tuple[Choice, ...], drawn: Slice) -> dict[str, Outcomes]:
    here = Case(case.scenario, drawn.values, case.levers, drawn.chances)
    cases = drawn.chances.cases
    return {
        evaluation.choice.label: outcomes_of(evaluation, cases=cases, replicate=drawn.replicate)
        for evaluation in evaluations(here, wanted)
    }


def outcomes_of(evaluation: Evaluation, *, cases: int, replicate: int) -> Outcomes:
    """The figures of a choice whose values were drawn."""
    case, pairs = evaluation.case, evaluation.comparisons
    hurdle = np.ravel(case.hurdle)

    def full(figure: Array) -> Array:
        return np.array(np.broadcast_to(figure, (cases, *np.shape(figure)[1:])))

    return Outcomes(
        replicate=np.full(cases, float(replicate)),
        payback={name: full(_payback(pairs[name].before_end)) for name in COMPARISONS},
        value={
            name: full(net_present_value(flows=pairs[name].net, rate=hurdle))
            for name in COMPARISONS
        },
        value_financed=full(
            net_present_value(flows=pairs[AGAINST_BUYING_IN].net_financed, rate=hurdle)
        ),
        balance=full(balance_by_month(evaluation)),
        cover=full(headline_cover(evaluation)),
        total=full(running_total(pairs[AGAINST_BUYING_IN].before_end)),
    )


def _payback(flows: Array) -> Array:
    months = payback(flows=flows).months
    return np.where(np.isnan(months), np.inf, months)


def _joined(parts: Sequence[Outcomes]) -> Outcomes:
    def whole(of: str) -> Array:
        return np.concatenate([getattr(part, of) for part in parts])

    def by_comparison(of: str) -> dict[str, Array]:
        return {
            name: np.concatenate([getattr(part, of)[name] for part in parts])
            for name in COMPARISONS
        }

    return Outcomes(
        replicate=whole("replicate"),
        payback=by_comparison("payback"),
        value=by_comparison("value"),
        value_financed=whole("value_financed"),
        balance=whole("balance"),
        cover=whole("cover"),
        total=whole("total"),
    )
