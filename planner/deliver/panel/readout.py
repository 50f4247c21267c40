"""The panel in words: the first sentence, figures beside those at the start, conditions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from planner.decide.answer import AnswerPage
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS
from planner.decide.solve import Outcome
from planner.deliver.panel.tryout import PICKS, Tried, Tryout
from planner.show.words import (
    COMPARISON_LETTERS,
    comparison_name,
    condition_words,
    numbers_of,
    opening,
    payback_words,
    tax_words,
)

CHANCE_NOT_JUDGED: Final = "not judged here: the chance of payback; running everything works it out"
NOTHING_CHANGED: Final = "Nothing has been changed: this is where you started."


@dataclass(frozen=True)
class Readout:
    """What stands beside the picture, in words.

    ``rows`` hold a figure's name, what it is and what it was at the start.
    """

    opening: tuple[str, ...]
    rows: tuple[tuple[str, str, str], ...]
    conditions: tuple[str, ...]
    changed: tuple[str, ...]


def readout(tryout: Tryout, now: Tried, start: Tried) -> Readout:
    """An answer read out beside the one that the panel started from."""
    return Readout(
        opening=opening(now.page),
        rows=tuple(
            (name, figure, before)
            for (name, figure), (_, before) in zip(
                _figures(now.page), _figures(start.page), strict=True
            )
        ),
        conditions=tuple(_conditions(now.page, start.page)),
        changed=tuple(_changed(tryout, now)) or (NOTHING_CHANGED,),
    )


def _figures(page: AnswerPage) -> Iterator[tuple[str, str]]:
    """Name and value of each figure of the table."""
    numbers, figures = numbers_of(page.scenario), page.best.figures
    for name in COMPARISONS:
        words = payback_words(figures.payback[name], horizon=page.case.months, numbers=numbers)
        yield f"Payback {COMPARISON_LETTERS[name]}, {comparison_name(page, name)}", words
    worth = numbers.money(figures.net_present_value[AGAINST_BUYING_IN])
    letter = COMPARISON_LETTERS[AGAINST_BUYING_IN]
    yield f"Worth today {letter}, {tax_words(page.scenario)}", worth
    yield "Break-even, all this work, machine included", _break_even(page)
    yield "Planned at full volume", numbers.pieces_per_week(figures.weekly_pieces)
    capacity = figures.weekly_pieces * figures.break_even.capacity
    yield "What fills the shop", numbers.pieces_per_week(capacity)
    lowest = figures.cash
    when = f"month {lowest.lowest_month}" if lowest.lowest_month else "at signing"
    yield "Lowest bank balance", f"{numbers.money(lowest.lowest)}, {when}"
    paying = figures.paying
    payment = numbers.money(paying.payment_per_month, cents=True, missing="none: paid in cash")
    yield "Payment a month", payment
    yield "Paid for the equipment in all", numbers.money(paying.total_paid)
    yield "Present cost of owning and paying", numbers.money(paying.present_cost)


def _break_even(page: AnswerPage) -> str:
    found, figures = page.best.figures.break_even.monthly, page.best.figures
    if found.value is not None:
        return numbers_of(page.scenario).pieces_per_week(found.value * figures.weekly_pieces)
    return "any volume" if found.outcome is Outcome.ALWAYS else "no volume within capacity"


def _conditions(page: AnswerPage, start: AnswerPage) -> Iterator[str]:
    """Each condition, and how it was at the start where that differs."""
    numbers = numbers_of(page.scenario)
    before = {one.condition: one.met for one in start.best.conditions}
    for one in page.best.conditions:
        words = condition_words(one, numbers)
        if one.condition in before and before[one.condition] != one.met:
            words += f" (where you started: {'met' if before[one.condition] else 'not met'})"
        yield words
    if page.scenario.conditions.chance_of_payback is not None:
        yield CHANCE_NOT_JUDGED


def _changed(tryout: Tryout, now: Tried) -> Iterator[str]:
    """Each control that does not stand where it stood at the start."""
    for pick in PICKS:
        if now.settings[pick] != tryout.start[pick]:
            yield f"{pick}: {now.settings[pick]}, at the start {tryout.start[pick]}"
    for slider in tryout.sliders:
        value = now.settings[slider.name]
        if isinstance(value, float) and value != slider.start:
            whose = f" ({slider.financing})" if slider.financing else ""
            stood = f"at the start {slider.shown(slider.start)}"
            yield f"{slider.label}{whose}: {slider.shown(value)}, {stood}"
