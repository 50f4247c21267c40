"""What each case of each choice comes to."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
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
    headline_for_cash,
    running_total,
)
from planner.decide.paying import monthly_cost_of_debt
from planner.decide.risk.draws import Slice
from planner.finance.series import net_present_value, payback
from planner.scenario.estimates import Array

WORKERS: Final = 2
Kind = TypeVar("Kind", np.float64, np.bool_)


@dataclass(frozen=True, eq=False)
class Outcomes:
    """Figures of one choice by case, in the order of the draws (cases,) or (cases, columns).

    ``payback`` by comparison [month], infinite where it is not reached within the horizon;
    ``value`` net present value before financing by comparison [money]; ``at_cost_of_debt`` the
    present value of the choice's own flows at the after-tax cost of debt [money], which differs
    between ways to pay for one machine as their present costs do; ``lowest_cash`` the lowest bank
    balance [money], and ``under`` whether the balance lies under the shop's limit at the ends of
    months 0, 1, 2 …, without columns where no limit stands; ``cover`` of debts by year by the
    lender's measure [-], NaN in a year without payments; ``total`` cumulative flow of the plan
    against buying in, before financing and before the end, by month [money], without columns where
    it is not kept.
    """

    replicate: Array
    payback: dict[str, Array]
    value: dict[str, Array]
    at_cost_of_debt: Array
    lowest_cash: Array
    under: NDArray[np.bool_]
    cover: Array
    total: Array

    @property
    def _arrays(self) -> list[NDArray[Any]]:
        return [
            self.replicate,
            *self.payback.values(),
            *self.value.values(),
            self.at_cost_of_debt,
            self.lowest_cash,
            self.under,
            self.cover,
            self.total,
        ]

    def room_for(self, cases: int) -> Outcomes:
        """Figures like these, not yet known, of so many cases."""

        def empty(figure: NDArray[Kind]) -> NDArray[Kind]:
            return np.empty((cases, *figure.shape[1:]), figure.dtype)

        return Outcomes(
            replicate=empty(self.replicate),
            payback={name: empty(figure) for name, figure in self.payback.items()},
            value={name: empty(figure) for name, figure in self.value.items()},
            at_cost_of_debt=empty(self.at_cost_of_debt),
            lowest_cash=empty(self.lowest_cash),
            under=empty(self.under),
            cover=empty(self.cover),
            total=empty(self.total),
        )

    def write(self, part: Outcomes, *, at: int) -> None:
        """Put in the figures of some cases, the first of which is number ``at``."""
        for whole, some in zip(self._arrays, part._arrays, strict=True):
            whole[at : at + len(some)] = some

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
    drawn: Iterable[Slice],
    *,
    months_of: Choice | None = None,
    progress: Callable[[int], None] = lambda done: None,
) -> dict[str, Outcomes]:
    """Every case of every choice, by the choice's label; all choices see the same cases.

    Slices are worked out side by side and put together in their order, so that the result does
    not depend on how many there are at once. With ``months_of`` the flows by month are kept of
    that choice alone, for they are most of what has to be held.
    """
    parts = tuple(drawn)
    cases = sum(part.chances.cases for part in parts)
    whole: dict[str, Outcomes] = {}
    done = 0
    with ThreadPoolExecutor(WORKERS) as pool:
        of_slice = pool.map(lambda part: _of_slice(case, tuple(wanted), part, months_of), parts)
        for number, (part, found) in enumerate(zip(parts, of_slice, strict=True), start=1):
            for label, one in found.items():
                if label not in whole:
                    whole[label] = one.room_for(cases)
                whole[label].write(one, at=done)
            done += part.chances.cases
            progress(number)
    return whole


def headlines(case: Case, choice: Choice, drawn: Iterable[Slice]) -> tuple[Array, Array]:
    """Payback [month] and value [money] of the plan against buying in by case, and nothing else."""

    def of_slice(part: Slice) -> tuple[Array, Array]:
        moved = _case_of(case, part)
        headline = headline_for_cash(moved, choice)
        part.chances.fallen.clear()  # every slice has its own
        value = net_present_value(flows=headline.net, rate=np.ravel(moved.hurdle))
        cases = part.chances.cases
        return _full(_payback(headline.before_end), cases), _full(value, cases)

    with ThreadPoolExecutor(WORKERS) as pool:
        months, values = zip(*pool.map(of_slice, drawn), strict=True)
    return np.concatenate(months), np.concatenate(values)


def _case_of(case: Case, part: Slice) -> Case:
    return Case(case.scenario, part.values, case.levers, part.chances)


def _of_slice(
    case: Case, wanted: tuple[Choice, ...], part: Slice, months_of: Choice | None
) -> dict[str, Outcomes]:
    found: dict[str, Outcomes] = {}
    of_machine: dict[tuple[str, str], Outcomes] = {}
    for evaluation in evaluations(_case_of(case, part), wanted):
        choice = evaluation.choice
        machine = (choice.equipment.name, choice.warranty.name)
        found[choice.label] = outcomes_of(
            evaluation,
            cases=part.chances.cases,
            replicate=part.replicate,
            by_month=months_of is None or months_of.label == choice.label,
            unfinanced=of_machine.get(machine),
        )
        of_machine.setdefault(machine, found[choice.label])
        del evaluation  # the next one needs the room
    part.chances.fallen.clear()  # every slice has its own
    return found


def outcomes_of(
    evaluation: Evaluation,
    *,
    cases: int,
    replicate: int,
    by_month: bool = True,
    unfinanced: Outcomes | None = None,
) -> Outcomes:
    """The figures of a choice whose values were drawn.

    Without ``by_month`` the flows by month are left out. ``unfinanced`` are the figures of the same
    machine paid for in another way, of which those before financing are taken over.
    """
    case, pairs, own = evaluation.case, evaluation.comparisons, evaluation.plan
    debt = np.ravel(monthly_cost_of_debt(own))
    hurdle, balance = np.ravel(case.hurdle), balance_by_month(evaluation)
    floor = case.scenario.conditions.cash_never_below
    under = balance[:, :0] < 0 if floor is None else balance < case.values(floor)
    total = running_total(pairs[AGAINST_BUYING_IN].before_end) if by_month else balance[:, :0]

    def full(figure: NDArray[Kind]) -> NDArray[Kind]:
        return _full(figure, cases)

    def worth(flows: Array) -> Array:
        return full(net_present_value(flows=flows, rate=hurdle))

    return Outcomes(
        replicate=np.full(cases, float(replicate)),
        payback={name: full(_payback(pairs[name].before_end)) for name in COMPARISONS}
        if unfinanced is None
        else unfinanced.payback,
        value={name: worth(pairs[name].net) for name in COMPARISONS}
        if unfinanced is None
        else unfinanced.value,
        at_cost_of_debt=full(net_present_value(flows=own.ledger.net, rate=debt)),
        lowest_cash=full(balance.min(axis=-1)),
        under=full(under),
        cover=full(headline_cover(evaluation)),
        total=full(total),
    )


def _payback(flows: Array) -> Array:
    months = payback(flows=flows).months
    return np.where(np.isnan(months), np.inf, months)


def _full(figure: NDArray[Kind], cases: int) -> NDArray[Kind]:
    """A figure in every case, also where it is the same in all."""
    return np.array(np.broadcast_to(figure, (cases, *np.shape(figure)[1:])))
