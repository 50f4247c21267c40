"""The month in the shop as JSON: stations and pieces, warranties, consumables, current."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from planner.decide.answer import Answered, AnswerPage
from planner.decide.electrical import current
from planner.decide.months import months_of_work
from planner.decide.supplies import supplies_by_quarter
from planner.decide.warranties import WarrantyCost, best_of
from planner.show.words.month import all_warranties

Json = dict[str, Any]


def months_by_key(page: AnswerPage, answered: Answered) -> Json:
    """Months 1…H of a choice: use of stations, the fullest, what is made, bought in and lost."""
    work = months_of_work(page.case, answered.evaluation.plan)
    return {
        "stations": {name: use.tolist() for name, use in work.stations.items()},
        "fullest": list(work.fullest),
        "made_share": work.made.tolist(),
        "bought_pieces": work.bought.tolist(),
        "hurried_pieces": work.hurried.tolist(),
        "lost_pieces": work.lost.tolist(),
        "overtime_hours": work.overtime.tolist(),
    }


def warranties_by_key(page: AnswerPage) -> list[Json]:
    """Every warranty of every set of equipment, with the one worth most marked."""
    costs = all_warranties(page)
    return [_warranty(one, one is best_of(costs, one.equipment)) for one in costs]


def _warranty(one: WarrantyCost, is_best: bool) -> Json:
    return {
        "equipment": one.equipment,
        "warranty": one.warranty,
        "net_present_value": one.value,
        "worth_most": is_best,
        "cost_by_year": {part: list(years) for part, years in one.years.items()},
        "value_today": dict(one.present),
    }


def consumables_by_key(page: AnswerPage) -> list[Json]:
    """What the first year of the choice spoken of uses up, by quarter."""
    return [asdict(one) for one in supplies_by_quarter(page.case, page.best.evaluation.plan)]


def current_by_key(page: AnswerPage) -> Json | None:
    """The current of the set spoken of; null without a voltage."""
    drawn = current(page.case, page.best.evaluation.plan)
    return None if drawn is None else asdict(drawn)
