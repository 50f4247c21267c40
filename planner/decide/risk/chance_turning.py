"""What would have to change, alone, for a chance of payback that is asked for to be met."""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from typing import Final

import numpy as np

from planner.case import Case, Choice
from planner.decide.answer import AnswerPage
from planner.decide.breakeven import slack
from planner.decide.conditions import Condition
from planner.decide.evaluation import headline_for_cash
from planner.decide.risk.answer import CHANCE_OF_PAYBACK, Risk
from planner.decide.risk.draws import REPLICATES, Slice, slices
from planner.decide.risk.outcomes import WORKERS
from planner.decide.risk.uncertain import Uncertain, given, uncertain_inputs
from planner.decide.stress import Change, change_to, sets_of
from planner.decide.turning import HAIR, Lever, Turning, levers, on_the_side_that_meets
from planner.scenario.estimates import Array, Estimate, Values

STRIDES: Final = (
    8  # from the plan to the far end, in which the first factor that meets it is sought
)
CLOSE: Final = 1e-10  # of a factor, to which it is found


def chance_turnings(page: AnswerPage, risk: Risk) -> tuple[Turning, ...]:
    """The chance of payback of the choice spoken of, where it fails, with each lever that meets it.

    The same cases are drawn as for the answer. A range moves as a whole: its ends and its likely
    value by one factor. The chance is a share of cases, which moves in steps of one case; the
    change found is the smallest, on the side of the plan, at which it is met.
    """
    best = risk.best
    failed = [] if best is None else [one for one in best.conditions if _is_failed_chance(one)]
    if not failed:
        return ()
    drawn = Drawn.of(page, risk)
    found = levers(page.case, page.best.evaluation.plan)
    return tuple(_turning(drawn, one, lever) for one in failed for lever in found)


def _is_failed_chance(condition: Condition) -> bool:
    return condition.condition.startswith(CHANCE_OF_PAYBACK) and not condition.met


def _turning(drawn: Drawn, condition: Condition, lever: Lever) -> Turning:
    how = f"{lever.how}; ranges move as a whole; the chance moves in steps of 1 in {drawn.count}"
    none = Turning(
        condition=condition, lever=lever.name, factor=None, how=how, why_not=lever.why_not
    )
    root = _first_met(drawn, lever, condition.limit)
    if root is None:
        return none
    factor = on_the_side_that_meets(root + 2 * CLOSE * lever.towards, towards=lever.towards)
    short = factor - HAIR * (factor - 1)
    at, before = drawn.room(lever, factor), drawn.room(lever, short)
    return replace(
        none,
        factor=factor,
        error=_error(
            at,
            before,
            apart=abs(factor - short),
            least=condition.limit,
            replicate=drawn.replicate,
        ),
        sets=sets_of(tuple(one.change for one in drawn.moves(lever, factor))),
        figure=float(np.mean(at >= 0)),
        just_short=float(np.mean(before >= 0)),
        why_not="",
    )


# --- solving ------------------------------------------------------------------------------------


def _first_met(drawn: Drawn, lever: Lever, least: float) -> float | None:
    """The factor at which the room of just so many cases as are asked for is at or above zero."""
    from scipy.optimize import brentq

    @cache
    def room(factor: float) -> float:
        return least_room(drawn.room(lever, factor), share=least)

    if room(1.0) >= 0:  # but for rounding
        return 1.0
    stops = np.linspace(1.0, lever.far, STRIDES + 1).tolist() if lever.far != 1 else []
    for before, factor in pairwise(stops):
        if room(factor) >= 0:
            return float(brentq(room, before, factor, xtol=CLOSE))
    return None


def least_room(room: Array, *, share: float) -> float:
    """The room that a share of cases [-] has at least: it is ≥ 0 where so many of them have some.

    Unlike that share it changes without steps, so that its zero can be looked for.
    """
    wanted = math.ceil(share * len(room) - 1e-9)
    place = len(room) - max(1, wanted)
    return float(np.partition(room, place)[place])


def _error(at: Array, before: Array, *, apart: float, least: float, replicate: Array) -> float:
    """Standard error of the factor: where each scramble alone would put it, by the slope here.

    ``before`` is the room of each case so much nearer to the plan as ``apart`` says [-].
    """
    slope = (at - before) / apart
    rises = slope > 0
    beyond = np.where(at >= 0, -np.inf, np.inf)  # how far on a case is met: from ever, or never
    beyond[rises] = -at[rises] / slope[rises]
    each = [-least_room(-beyond[replicate == one], share=least) for one in range(REPLICATES)]
    if not np.isfinite(each).all():
        return math.inf
    return float(np.std(each, ddof=1) / math.sqrt(REPLICATES))


# --- the drawn cases, moved ---------------------------------------------------------------------


@dataclass(frozen=True)
class _Moved:
    """An input as a lever leaves it, and the change that repeats it."""

    estimate: Estimate
    change: Change


@dataclass(frozen=True, eq=False)
class Drawn:
    """The cases of an answer, of one choice, and the time asked for, ``within`` [month].

    ``replicate`` is the scramble of each case (cases,) [-].
    """

    case: Case
    choice: Choice
    uncertain: Sequence[Uncertain]
    parts: Sequence[Slice]
    replicate: Array
    within: float

    @staticmethod
    def of(page: AnswerPage, risk: Risk) -> Drawn:
        """The cases that an answer was drawn from; payback within a time must be asked for."""
        case, uncertain = page.case, uncertain_inputs(page.case.scenario)
        parts = tuple(
            slices(
                case.scenario,
                uncertain,
                draws=risk.draws,
                months=case.months,
                seed=risk.seed,
                values=case.values,
            )
        )
        asked = case.scenario.conditions.chance_of_payback
        assert asked is not None
        return Drawn(
            case=case,
            choice=page.best.choice,
            uncertain=uncertain,
            parts=parts,
            replicate=np.repeat(
                [one.replicate for one in parts], [one.chances.cases for one in parts]
            ),
            within=case.values.scalar(asked.within),
        )

    @property
    def count(self) -> int:
        """How many cases there are [-]."""
        return len(self.replicate)

    def moves(self, lever: Lever, factor: float) -> tuple[_Moved, ...]:
        """Every input of a lever at a ``factor`` [-], with its range."""
        return tuple(_moved(self.case, one, base, factor) for one, base, _ in lever.moves)

    def room(self, lever: Lever, factor: float) -> Array:
        """What is left beyond payback in time with a lever at a ``factor`` [-] (cases,) [money]."""
        moved = {one.estimate.key: one.estimate for one in self.moves(lever, factor)}
        ranged = [given(moved[one.key]) if one.key in moved else one for one in self.uncertain]
        single = {key: one.likely for key, one in moved.items() if not one.is_range}
        others = Values({**self.case.values.drawn, **single})

        def of(part: Slice) -> Array:
            here = replace(part, uncertain=ranged, others=others)
            case = Case(self.case.scenario, here.values, self.case.levers, here.chances)
            room = slack(headline_for_cash(case, self.choice), within=self.within)
            here.chances.fallen.clear()
            return np.broadcast_to(room, (here.chances.cases,))

        with ThreadPoolExecutor(WORKERS) as pool:
            return np.concatenate(list(pool.map(of, self.parts)))


def _moved(case: Case, one: Estimate, base: float, factor: float) -> _Moved:
    """An input at a fixed part and so much times the rest, as ``--set`` would write it."""
    ends = [
        change_to(case, one, max(one.least, base + factor * (part - base)))
        for part in ((one.low, one.likely, one.high) if one.is_range else (one.likely,))
    ]
    if not one.is_range:
        return _Moved(replace(one, likely=ends[0].value), ends[0])
    low, likely, high = ends
    names = zip(("low", "likely", "high"), ends, strict=True)
    parts = [f'{name} = "{end.text}"' for name, end in names] + [f'shape = "{one.shape}"']
    return _Moved(
        replace(one, low=low.value, likely=likely.value, high=high.value),
        replace(likely, text=f"{{ {', '.join(parts)} }}"),
    )
