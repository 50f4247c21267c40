"""Words that every page uses: names of the comparisons, cautions, money and months read out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from planner.decide.answer import AnswerPage
from planner.decide.evaluation import AGAINST_BUYING_IN, TODAY_ONLY, WHOLE_PLAN
from planner.decide.figures import PaybackTime
from planner.scenario.schema import Scenario
from planner.show.numbers import Numbers, with_minus

COMPARISON_LETTERS: Final = {TODAY_ONLY: "A", AGAINST_BUYING_IN: "B", WHOLE_PLAN: "C"}
NOTHING_TO_COMPARE: Final = (
    "Compared with not taking the work: no price for bought-in transfers was given."
)
CAUTIONS: Final = (
    "This is a calculation from the figures given, not advice; before signing, ask an accountant, "
    "and a lawyer for the contract.",
    "Demand is given, not forecast. Taxes are simplified: ask your accountant which rule applies.",
    "The press and the dryer are hot; ink mist and powder dust need extraction, and the safety "
    "data sheets say which. Local codes and licensed trades decide on wiring and ventilation.",
)


def numbers_of(scenario: Scenario) -> Numbers:
    """How this scenario's numbers are written."""
    return Numbers(scenario.locale, scenario.currency, scenario.units)


def ratio_words(value: float) -> str:
    """A ratio [-] such as a cover: two decimals and a real minus sign."""
    return with_minus(f"{value:.2f}")


def joined(words: Sequence[str]) -> str:
    """Two words or more in a row, "and" before the last."""
    return " and ".join([", ".join(words[:-1]), words[-1]])


def tax_words(scenario: Scenario) -> str:
    """Whether figures are before or after tax."""
    return "before tax" if scenario.tax is None else "after tax"


def other_way(page: AnswerPage) -> str:
    """What the plan is compared with: buying transfers in, or not taking the work."""
    return "buying in" if page.verdict.has_buy_in_price else "not taking the work"


def comparison_name(page: AnswerPage, name: str) -> str:
    """A comparison in words."""
    return {
        TODAY_ONLY: "today's work only",
        AGAINST_BUYING_IN: f"the plan against {other_way(page)}",
        WHOLE_PLAN: "the whole plan against today",
    }[name]


def payback_words(time: PaybackTime, *, horizon: int, numbers: Numbers) -> str:
    """A payback, or how much is short."""
    if time.months is None:
        return f"not within {horizon} months, short by {numbers.money(time.short)}"
    if time.months == 0:
        return "never below zero"
    return numbers.months(time.months, limit=horizon)


def payback_clause(time: PaybackTime, words: str) -> str:
    """A payback as a verb and its object; ``words`` from ``payback_words``."""
    if time.months is None:
        return f"does not pay back {words.removeprefix('not ')}"
    return "needs no payback: no money is in" if time.months == 0 else f"pays back in {words}"
