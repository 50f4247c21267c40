"""One choice answered, with no figure worked out before somebody reads it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from functools import cache

from planner.case import Case, Choice
from planner.decide.answer import Answered, AnswerPage
from planner.decide.breakeven import BreakEven, added_work_needed, make_or_buy, monthly_break_even
from planner.decide.cash import cash
from planner.decide.conditions import conditions
from planner.decide.cover import cover
from planner.decide.evaluation import Evaluation, evaluations
from planner.decide.figures import (
    Figures,
    Shared,
    every_hour_paid,
    figures,
    paybacks,
    values_today,
)
from planner.decide.paying import cost_of_paying
from planner.decide.prints import print_costs
from planner.decide.sensitivity import influences
from planner.decide.steady import capacity_factor, weekly_area, weekly_hours, weekly_pieces
from planner.decide.verdict import verdict
from planner.deliver.panel.lazily import lazily


def quick_answer(case: Case, choice: Choice) -> AnswerPage:
    """The answer page of a scenario as if this were the only choice.

    It is what ``answer`` gives for the choice; parts that take long are worked out when read.
    """
    (evaluation,) = evaluations(case, (choice,))
    found = _figures(evaluation)
    answered = lazily(
        Answered,
        evaluation=lambda: evaluation,
        figures=lambda: found,
        conditions=lambda: conditions(case, found),
    )

    @cache
    def hours() -> tuple[float, float]:
        return weekly_hours(case, evaluation.plan)

    return lazily(
        AnswerPage,
        case=lambda: case,
        choices=lambda: (answered,),
        best=lambda: answered,
        verdict=lambda: verdict(evaluation, found),
        prints=lambda: print_costs(case, evaluation.plan),
        influences=lambda: influences(case, evaluation.plan),
        hours_with=lambda: hours()[0],
        hours_without=lambda: hours()[1],
    )


def _figures(evaluation: Evaluation) -> Figures:
    """Figures of a choice: quick ones on their own, the rest together when one of them is read."""
    case, plan = evaluation.case, evaluation.plan

    @cache
    def traded() -> object:
        return make_or_buy(case, plan)

    @cache
    def whole() -> Figures:
        shared = lazily(
            Shared,
            make_or_buy=traded,
            added_work=lambda: added_work_needed(case, plan),
            every_hour_paid=lambda: every_hour_paid(evaluation),
        )
        return figures(evaluation, shared)

    @cache
    def capacity() -> float:
        return capacity_factor(case, plan.machine)

    broken_even = lazily(
        BreakEven,
        monthly=lambda: monthly_break_even(case, plan, capacity=capacity()),
        lifetime=lambda: whole().break_even.lifetime,
        price=lambda: whole().break_even.price,
        capacity=capacity,
    )
    quick: dict[str, Callable[[], object]] = {
        "payback": lambda: paybacks(evaluation),
        "net_present_value": lambda: values_today(evaluation),
        "break_even": lambda: broken_even,
        "weekly_pieces": lambda: weekly_pieces(case),
        "weekly_area": lambda: weekly_area(case, plan.machine),
        "make_or_buy": traded,
        "cash": lambda: cash(evaluation),
        "cover": lambda: cover(evaluation),
        "paying": lambda: cost_of_paying(plan),
    }
    slow = {field.name for field in fields(Figures)} - quick.keys()
    return lazily(Figures, **quick, **{name: _part(whole, name) for name in slow})


def _part(whole: Callable[[], Figures], name: str) -> Callable[[], object]:
    return lambda: getattr(whole(), name)
