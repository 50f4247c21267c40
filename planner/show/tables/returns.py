"""What only an accountant asks for: every rate of return, and payback with interest."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from planner.decide.answer import Answered, AnswerPage
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS
from planner.show.words import (
    COMPARISON_LETTERS,
    numbers_of,
    payback_words,
    ratio_words,
)

COLUMNS = ("figure", "value", "note")


def returns_table(page: AnswerPage, answered: Answered) -> pd.DataFrame:
    """Rates of return and discounted paybacks before financing, in words.

    A figure that does not exist is "none", with the reason in its note.
    """
    return pd.DataFrame(_rows(page, answered), columns=list(COLUMNS))


def _rows(page: AnswerPage, answered: Answered) -> Iterator[tuple[str, str, str]]:
    numbers, figures = numbers_of(page.scenario), answered.figures
    notes, headline = figures.reasons, COMPARISON_LETTERS[AGAINST_BUYING_IN]
    for name in COMPARISONS:
        rates = [numbers.percent(rate) for rate in figures.internal_rates_of_return[name]]
        note = notes.get(f"internal_rates_of_return.{name}", "")
        letter = COMPARISON_LETTERS[name]
        yield f"{letter}, every rate of return a year", " and ".join(rates) or "none", note
    modified = figures.modified_rate_of_return
    note = notes.get("modified_rate_of_return", "money in and out at the hurdle rate")
    yield f"{headline}, modified rate of return a year", numbers.percent(modified), note
    index = figures.profitability_index
    note = notes.get("profitability_index", "value today of all that follows ÷ paid at signing")
    yield f"{headline}, profitability index", "none" if index is None else ratio_words(index), note
    for name in COMPARISONS:
        time = figures.discounted_payback[name]
        words = payback_words(time, horizon=page.case.months, numbers=numbers)
        yield f"{COMPARISON_LETTERS[name]}, payback at the hurdle rate", words, ""
