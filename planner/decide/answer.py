"""Everything that is answered about a scenario, in one frozen object."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from planner.case import Case, Choice
from planner.decide.breakeven import added_work_needed, make_or_buy
from planner.decide.conditions import Condition, conditions
from planner.decide.evaluation import AGAINST_BUYING_IN, Evaluation, evaluations
from planner.decide.figures import Figures, Shared, every_hour_paid, figures
from planner.decide.prints import PrintCost, print_costs
from planner.decide.sensitivity import Influence, influences
from planner.decide.steady import weekly_hours
from planner.decide.verdict import Verdict, verdict
from planner.scenario.estimates import Values
from planner.scenario.load import load
from planner.scenario.schema import Scenario


@dataclass(frozen=True, eq=False)
class Answered:
    """One choice, evaluated and judged."""

    evaluation: Evaluation
    figures: Figures
    conditions: tuple[Condition, ...]

    @property
    def choice(self) -> Choice:
        """The choice."""
        return self.evaluation.choice


@dataclass(frozen=True, eq=False)
class AnswerPage:
    """All choices of a scenario; ``best`` is the one that the first sentence speaks of.

    It is the machine under the warranty that is worth most against buying in, paid for in the way
    that meets most conditions, of those the first that the scenario lists. ``hours_with`` and
    ``hours_without`` it are those of a steady month [hour/week].
    """

    case: Case
    choices: tuple[Answered, ...]
    best: Answered
    verdict: Verdict
    prints: tuple[PrintCost, ...]
    influences: tuple[Influence, ...]
    hours_with: float
    hours_without: float

    @property
    def scenario(self) -> Scenario:
        """The scenario."""
        return self.case.scenario

    def named(self, label: str) -> Answered:
        """The choice with a label; raises ``KeyError`` with the labels there are."""
        for answered in self.choices:
            if answered.choice.label == label:
                return answered
        raise KeyError(", ".join(answered.choice.label for answered in self.choices))


def answer(scenario: Scenario, values: Values | None = None) -> AnswerPage:
    """Evaluate every choice of a scenario, at its likely values where no others are given."""
    case = Case(scenario, values or Values())
    shared: dict[tuple[str, str], Shared] = {}
    answered = []
    for evaluation in evaluations(case):
        key = evaluation.choice.names[:2]
        if key not in shared:
            shared[key] = Shared(
                make_or_buy=make_or_buy(case, evaluation.plan),
                added_work=added_work_needed(case, evaluation.plan),
                every_hour_paid=every_hour_paid(evaluation),
            )
        worked_out = figures(evaluation, shared[key])
        answered.append(Answered(evaluation, worked_out, conditions(case, worked_out)))
    return _speaking_of(leading(answered), case, tuple(answered))


def about(page: AnswerPage, answered: Answered) -> AnswerPage:
    """The page speaking of one of its choices."""
    return page if answered is page.best else _speaking_of(answered, page.case, page.choices)


def _speaking_of(best: Answered, case: Case, answered: tuple[Answered, ...]) -> AnswerPage:
    plan = best.evaluation.plan
    hours_with, hours_without = weekly_hours(case, plan)
    return AnswerPage(
        case=case,
        choices=answered,
        best=best,
        verdict=verdict(best.evaluation, best.figures),
        prints=print_costs(case, plan),
        influences=influences(case, plan),
        hours_with=hours_with,
        hours_without=hours_without,
    )


def leading(answered: Sequence[Answered], *, without: str = "") -> Answered:
    """The choice that a page speaks of where none is named; ``without`` leaves a condition out."""

    def standing(one: Answered) -> tuple[float, int]:
        value = one.figures.net_present_value[AGAINST_BUYING_IN] or 0.0
        met = sum(each.met for each in one.conditions if each.condition != without)
        return value, met

    return max(answered, key=standing)


def open_answer(
    path: str | Path, *, choice: str = "", changes: Mapping[str, object] | None = None
) -> AnswerPage:
    """Read a scenario file and answer it; ``choice`` names the choice to speak of.

    Raises ``ScenarioError`` with every fault, and ``KeyError`` for a choice that does not exist.
    """
    page = answer(load(path, changes=changes))
    return about(page, page.named(choice)) if choice else page
