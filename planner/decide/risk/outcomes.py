"""What each case of each choice comes to."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Any, Final, TypeVar

import numpy as np
from numpy.typing import NDArray

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
Kind = TypeVar("Kind", np.float64, np.bool_)


@dataclass(frozen=True, eq=False)
class Outcomes:
    """Figures of one choice by case, in the order of the draws (cases,) or (cases, columns).

    ``payback`` by comparison [month], infinite where it is not reached within the horizon;
    ``value`` net present value before financing by comparison, ``value_financed`` of the plan
    against buying in with its way to pay [money]; ``lowest_cash`` the lowest bank balance [money],
    and ``under`` whether the balance lies under the shop's limit at the ends of months 0, 1, 2 …,
    without columns where no limit stands; ``cover`` of debts by year by the lender's measure [-],
    NaN in a year without payments; ``total`` cumulative flow of the plan against buying in, before
    financing and before the end, by month [money], without columns where it is not kept.
    """

    replicate: Array
    payback: dict[str, Array]
    value: dict[str, Array]
    value_financed: Array
    lowest_cash: Array
    under: NDArray[np.bool_]
    cover: Array
    total: Array

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
    months_of: Choice | None = None,
    progress: Callable[[int], None] = lambda done: None,
) -> dict[str, Outcomes]:
    """Every case of every choice, by the choice's label; all choices see the same cases.

    Slices are worked out side by side and put together in their order, so that the result does
    not depend on how many there are at once. With ``months_of`` the flows by month are kept of
    that choice alone, for they are most of what has to be held.
    """
    parts: dict[str, list[Outcomes]] = {choice.label: [] for choice in wanted}
    with ThreadPoolExecutor(WORKERS) as pool:
        for number, done in enumerate(
            pool.map(lambda one: _of_slice(case, tuple(wanted), one, months_of), drawn), start=1
        ):
            for label, part in done.items():
                parts[label].append(part)
            progress(number)
    return {choice.label: _joined(parts.pop(choice.label)) for choice in wanted}


def _of_slice(
    case: Case, wanted: tuple[Choice, ...], drawn: Slice, months_of: Choice | None
) -> dict[str, Outcomes]:
    here = Case(case.scenario, drawn.values, case.levers, drawn.chances)
    cases, found = drawn.chances.cases, {}
    for evaluation in evaluations(here, wanted):
        one = outcomes_of(evaluation, cases=cases, replicate=drawn.replicate)
        if months_of is not None and months_of.label != evaluation.choice.label:
            one = replace(one, total=one.total[:, :0].copy())
        found[evaluation.choice.label] = one
    drawn.chances.fallen.clear()  # every slice has its own
    return found


def outcomes_of(evaluation: Evaluation, *, cases: int, replicate: int) -> Outcomes:
    """The figures of a choice whose values were drawn."""
    case, pairs = evaluation.case, evaluation.comparisons
    hurdle, balance = np.ravel(case.hurdle), balance_by_month(evaluation)
    floor = case.scenario.conditions.cash_never_below
    under = balance[:, :0] < 0 if floor is None else balance < case.values(floor)

    def full(figure: NDArray[Kind]) -> NDArray[Kind]:
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
        lowest_cash=full(balance.min(axis=-1)),
        under=full(under),
        cover=full(headline_cover(evaluation)),
        total=full(running_total(pairs[AGAINST_BUYING_IN].before_end)),
    )


def _payback(flows: Array) -> Array:
    months = payback(flows=flows).months
    return np.where(np.isnan(months), np.inf, months)


def _joined(parts: Sequence[Outcomes]) -> Outcomes:
    def whole(of: str) -> NDArray[Any]:
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
        lowest_cash=whole("lowest_cash"),
        under=whole("under"),
        cover=whole("cover"),
        total=whole("total"),
    )
