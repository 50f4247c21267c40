"""Yes, not yet or no, with the one reason."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from planner.decide.breakeven import Requirement, slack, work_to_pay_back
from planner.decide.conditions import payback_limit
from planner.decide.evaluation import AGAINST_BUYING_IN, Evaluation, headline_for_cash
from planner.decide.figures import Figures, headline_payback
from planner.decide.hinge import Hinge, hinge
from planner.decide.solve import Outcome, lasting_crossing
from planner.decide.steady import steady_difference, transfer_costs
from planner.finance.series import net_present_value, payback
from planner.scenario.estimates import Array


class Answer(Enum):
    """The three answers."""

    YES = "yes"
    NOT_YET = "not yet"
    NO = "no"


class Reason(Enum):
    """Why the answer is what it is."""

    PAYS_BACK = "it pays back in time and is worth more than buying in"
    LATE = "the volume arrives late"
    FEW = "the weekly volume is too small"
    DEARER = "making costs more than buying at any volume the shop can print"
    PRINTS_NOTHING = "transfers are bought in either way"
    SLOW = "no volume within capacity pays it back in time"


@dataclass(frozen=True)
class Verdict:
    """The first answer, for the plan against buying in before financing.

    ``limit`` [month] is what the shop asks for, ``months`` the payback, ``short`` what is missing
    at the horizon [money], ``value`` the net present value [money], ``pieces_needed`` the weekly
    pieces from which it would be yes and ``pieces_planned`` those planned, ``monthly_gain`` what a
    steady month leaves more than buying in [money], ``months_if_at_once`` the payback if the full
    volume came at once. ``has_buy_in_price`` is False where nothing is known to compare with.
    ``hinge`` is the share of added work that only the machine can do, where the answer turns on it;
    ``made_dearer`` says that a transfer costs more made than bought at the planned volume.
    """

    answer: Answer
    reason: Reason
    limit: float
    months: float | None
    short: float
    value: float
    pieces_needed: float | None
    pieces_planned: float
    monthly_gain: float
    months_if_at_once: float | None
    has_buy_in_price: bool
    hinge: Hinge | None
    made_dearer: bool

    @property
    def lives_on_added(self) -> bool:
        """Whether the gain comes from work that bought transfers cannot serve, and from no other.

        A transfer is then dearer made than bought, and without that work the answer is not yes.
        """
        return self.answer is Answer.YES and self.made_dearer and self.hinge is not None


def verdict(evaluation: Evaluation, figures: Figures) -> Verdict:
    """Judge a choice by its headline comparison."""
    case = evaluation.case
    limit, time = payback_limit(case), headline_payback(figures)
    value = figures.net_present_value[AGAINST_BUYING_IN] or 0.0
    pays = time.months is not None and time.months <= limit and value > 0
    turns = hinge(case, evaluation.plan, within=limit)
    requirement = None
    if not pays or turns is not None:
        requirement = work_to_pay_back(case, evaluation.plan, within=limit)
    at_once, is_late = _at_once(evaluation, limit, None if pays else requirement)
    pieces = None if requirement is None else requirement.pieces
    answer = Answer.YES if pays else Answer.NO if pieces is None else Answer.NOT_YET
    return Verdict(
        answer=answer,
        reason=_reason(evaluation, answer, is_late, figures),
        limit=limit,
        months=time.months,
        short=time.short,
        value=value,
        pieces_needed=pieces,
        pieces_planned=figures.weekly_pieces,
        monthly_gain=steady_difference(case, evaluation.plan),
        months_if_at_once=at_once,
        has_buy_in_price=any(area > 0 for area in evaluation.plan.machine.bought),
        hinge=turns,
        made_dearer=_made_dearer(figures),
    )


def _at_once(
    evaluation: Evaluation, limit: float, requirement: Requirement | None
) -> tuple[float | None, bool]:
    """Payback if the whole added work came in month 1, and whether its lateness is the reason.

    It is where less than half of the delay would have to go, or less of it than of the work would
    have to be added.
    """
    case, key = evaluation.case, "ramp.start_share"

    def room(shares: Array) -> Array:
        moved = case.with_value(key, shares[:, np.newaxis])
        headline = headline_for_cash(moved, evaluation.choice)
        value = net_present_value(flows=headline.net, rate=np.ravel(case.hurdle))
        return np.minimum(value, slack(headline, within=limit))

    moved = case.with_value(key, 1.0)
    headline = headline_for_cash(moved, evaluation.choice)
    months = float(payback(flows=headline.before_end).months[0])
    at_once = months if np.isfinite(months) else None
    if requirement is None:
        return at_once, False
    planned = case.values.scalar(case.scenario.ramp.start_share)
    sooner = lasting_crossing(room, low=planned, high=1.0).value
    if sooner is None:
        return at_once, False
    more = requirement.crossing.value
    gone = (sooner - planned) / (1 - planned)
    return at_once, more is None or gone < max(0.5, more - 1)


def _made_dearer(figures: Figures) -> bool:
    """Whether a transfer costs more made than bought at the planned volume."""
    if figures.make_or_buy is None:
        return False
    least = figures.make_or_buy.by_cost
    return least.outcome is Outcome.NEVER or (least.value is not None and least.value > 1)


def _reason(evaluation: Evaluation, answer: Answer, is_late: bool, figures: Figures) -> Reason:
    if answer is Answer.YES:
        return Reason.PAYS_BACK
    if not evaluation.plan.machine.count:
        return Reason.PRINTS_NOTHING
    if is_late:
        return Reason.LATE
    if answer is Answer.NOT_YET:
        return Reason.FEW
    if figures.make_or_buy is not None:
        top = np.array([figures.make_or_buy.capacity])
        costs = transfer_costs(evaluation.case, evaluation.plan, top)
        if costs.made[0] > costs.bought[0]:
            return Reason.DEARER
    return Reason.SLOW
