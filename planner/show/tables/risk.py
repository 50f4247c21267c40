"""Tables of what could go wrong: ranges, chances, conditions, what explains them, stress, grid."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Final

import numpy as np
import pandas as pd

from planner.decide.answer import Answered, AnswerPage
from planner.decide.conditions import Condition
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS
from planner.decide.grid import Grid
from planner.decide.risk.answer import ChoiceRisk, Risk
from planner.decide.risk.spread import Share, Spread
from planner.decide.stress import StressLine
from planner.decide.turning import Turning
from planner.show.words.chances import (
    chance_with_error,
    money_ends,
    payback_ends,
    ratio_ends,
    share_in_percent,
)
from planner.show.words.changed import (
    GRID_COLUMN_TITLE,
    figure_words,
    grid_columns,
    grid_row_title,
    grid_rows,
    turning_words,
)
from planner.show.words.common import (
    COMPARISON_LETTERS,
    comparison_name,
    numbers_of,
    other_way,
)
from planner.show.words.explains import input_name, range_words, who_knows
from planner.show.words.risk import event_words

Formats = dict[str, Callable[[float], str]]
RANGES: Final = ("figure", "1 of 10 cases below", "middle case", "1 of 10 cases above")
ERROR: Final = "standard error"
REPEAT: Final = "repeat with --set"
ANYWAY: Final = "does not apply"


def ranges_table(page: AnswerPage, risk: Risk) -> pd.DataFrame:
    """Payback, value, lowest balance and cover of the choice spoken of: low, middle and high.

    In words, each with the standard errors of the three; without rows where no range is stated.
    """
    rows = [] if risk.best is None else list(_ranges(page, risk.best))
    return pd.DataFrame(rows, columns=[*RANGES, f"{ERROR}s of the three"])


def _ranges(page: AnswerPage, best: ChoiceRisk) -> Iterator[tuple[str, ...]]:
    numbers, horizon = numbers_of(page.scenario), page.case.months
    months = partial(_errors, write=partial(_rounded_up, digits=2), unit=" months")
    money = partial(_errors, write=lambda error: numbers.money(np.ceil(error - 1e-9)))
    for name in COMPARISONS:
        spread = best.payback[name]
        ends = payback_ends(spread, horizon=horizon, numbers=numbers)
        yield f"{_letter(page, name)}: pays back", *ends, months(spread)
    for name in COMPARISONS:
        spread = best.value[name]
        yield f"{_letter(page, name)}: worth today", *money_ends(spread, numbers), money(spread)
    cash = best.lowest_cash
    yield "lowest bank balance", *money_ends(cash, numbers), money(cash)
    if best.lowest_cover is not None:
        errors = _errors(best.lowest_cover, write=partial(_rounded_up, digits=3))
        yield "lowest cover of debt payments, B", *ratio_ends(best.lowest_cover), errors


def _letter(page: AnswerPage, name: str) -> str:
    return f"{COMPARISON_LETTERS[name]}, {comparison_name(page, name)}"


def _errors(spread: Spread, *, write: Callable[[float], str], unit: str = "") -> str:
    """Standard errors side by side; none where a replicate of the cases does not get there."""
    errors = (spread.low_error, spread.middle_error, spread.high_error)
    if not np.isfinite(errors).any():
        return "none"
    return ", ".join(write(error) if np.isfinite(error) else "none" for error in errors) + unit


def _rounded_up(error: float, *, digits: int) -> str:
    """An error that is never shown as nothing where it is something."""
    return f"{np.ceil(error * 10**digits - 1e-9) / 10**digits:.{digits}f}"


def chances_table(page: AnswerPage, risk: Risk) -> pd.DataFrame:
    """What may happen to the choice spoken of: in words, as a share [-], its standard error [-]."""
    numbers = numbers_of(page.scenario)
    events = [] if risk.best is None else _events(page, risk.best)
    rows = [
        (event, chance_with_error(chance, numbers), chance.share, chance.error)
        for event, chance in events
    ]
    return pd.DataFrame(rows, columns=["what", "chance", "share of cases", ERROR])


def _events(page: AnswerPage, best: ChoiceRisk) -> Iterator[tuple[str, Share]]:
    for name, words in event_words(page, best).items():
        yield f"B pays back {words}", best.within[name]
    yield f"B is worth more than {other_way(page)}", best.worth
    floor, numbers = page.scenario.conditions.cash_never_below, numbers_of(page.scenario)
    if floor is not None and best.cash_once is not None:
        limit = numbers.money(page.case.values.scalar(floor))
        yield f"the bank balance lies under {limit} in some month", best.cash_once
    if best.cover_once is not None:
        least = page.case.values.scalar(page.scenario.lender.debt_service_cover_at_least)
        yield f"the cover of debt payments lies under {least:.2f} in some year", best.cover_once


def chance_formats(page: AnswerPage) -> Formats:
    """Formats of the tables of chances and of what explains the spread."""
    numbers = numbers_of(page.scenario)
    return {
        "share of cases": partial(share_in_percent, numbers=numbers),
        "share of the spread": partial(share_in_percent, numbers=numbers),
        ERROR: partial(numbers.percent, digits=2),
    }


def months_table(page: AnswerPage, risk: Risk) -> pd.DataFrame:
    """By month: cumulative money of B, share paid back, share with the balance under the limit."""
    if risk.best is None or risk.fan is None or risk.paid_back is None:
        return pd.DataFrame(columns=["month"])
    currency = page.scenario.currency
    heads = (f"1 of 10 cases below [{currency}]", f"middle case [{currency}]")
    columns = dict(
        zip((*heads, f"1 of 10 cases above [{currency}]"), risk.fan, strict=True),
    ) | {"share paid back": risk.paid_back}
    if risk.best.cash_breaks is not None:
        columns["share with the balance under the limit"] = risk.best.cash_breaks
    frame = pd.DataFrame(columns)
    frame.insert(0, "month", np.arange(len(frame)))
    return frame


def conditions_table(page: AnswerPage, risk: Risk) -> pd.DataFrame:
    """One row a choice: each condition met or not with its figure, how many are met, its value.

    The value at the likely values, and where cases were drawn that of the middle case beside it.
    """
    drawn = {one.choice.label: one for one in risk.choices}
    rows = [
        _conditions_row(page, answered, drawn.get(answered.choice.label))
        for answered in page.choices
    ]
    heads = dict.fromkeys(head for row in rows for head in row)
    last = [head for head in ("conditions met", *_values(page)) if head in heads]
    frame = pd.DataFrame(rows, columns=[*(head for head in heads if head not in last), *last])
    return frame.fillna(ANYWAY)


def _values(page: AnswerPage) -> tuple[str, str]:
    """The last columns: what B is worth at the likely values, and in the middle case drawn."""
    currency = page.scenario.currency
    return f"B at the likely values [{currency}]", f"B in the middle case [{currency}]"


def _conditions_row(
    page: AnswerPage, answered: Answered, drawn: ChoiceRisk | None
) -> dict[str, object]:
    numbers, (likely, middle) = numbers_of(page.scenario), _values(page)
    own = answered.conditions if drawn is None else drawn.conditions
    row: dict[str, object] = {"choice": answered.choice.label}
    for one in own:
        figure = figure_words(one, one.figure, numbers)
        row[_condition_head(page, one)] = f"{'met' if one.met else 'NOT met'}: {figure}"
    row["conditions met"] = f"{sum(one.met for one in own)} of {len(own)}"
    row[likely] = answered.figures.net_present_value[AGAINST_BUYING_IN]
    if drawn is not None:
        row[middle] = drawn.value[AGAINST_BUYING_IN].middle
    return row


def _condition_head(page: AnswerPage, one: Condition) -> str:
    return f"{one.condition} {figure_words(one, one.limit, numbers_of(page.scenario))}"


def conditions_formats(page: AnswerPage) -> Formats:
    """Formats of the table of conditions."""
    return dict.fromkeys(_values(page), numbers_of(page.scenario).money)


def explains_table(page: AnswerPage, risk: Risk) -> pd.DataFrame:
    """Every input with a range, the share of the spread it explains, and what would tell more."""
    rows = [
        (
            input_name(one.estimate),
            one.share,
            range_words(page, one.estimate),
            one.estimate.basis or "",
            one.estimate.source,
            who_knows(page, one.estimate),
        )
        for one in risk.explains
    ]
    heads = ["input", "share of the spread", "range", "basis", "source", "more would be known from"]
    return pd.DataFrame(rows, columns=heads)


def sets_table(lines: Sequence[StressLine]) -> pd.DataFrame:
    """How each line of the stress table is modelled and what repeats it on the command line.

    The line of all together is made by all of them at once.
    """
    rows = [(one.name, one.how, _repeating(one.sets)) for one in lines[:-1] if one.sets]
    return pd.DataFrame(rows, columns=["what changes", "how", REPEAT])


def _repeating(sets: Sequence[str]) -> str:
    """``KEY=VALUE`` texts as words of a POSIX shell, after the ``--set`` in the heading."""
    return " --set ".join(map(shlex.quote, sets))


def turnings_table(page: AnswerPage, found: Sequence[Turning]) -> pd.DataFrame:
    """For every condition that fails, what alone would meet it, and what repeats it."""
    numbers = numbers_of(page.scenario)
    rows = [
        (
            _condition_head(page, one.condition),
            turning_words(page, one),
            one.factor,
            "" if one.factor is None else figure_words(one.condition, one.figure, numbers),
            one.how,
            _repeating(one.sets),
        )
        for one in found
    ]
    heads = ["condition", "what alone would meet it", "factor", "it is then", "how", REPEAT]
    return pd.DataFrame(rows, columns=heads)


def grid_table(page: AnswerPage, grid: Grid) -> pd.DataFrame:
    """Payback by volume and selling price [month], a row a volume; none where it is not reached."""
    months = np.where(np.isfinite(grid.months), grid.months, np.nan)
    prices = [f"{GRID_COLUMN_TITLE} {words}" for words in grid_columns(page, grid)]
    frame = pd.DataFrame(months, columns=[f"{words} [month]" for words in prices])
    frame.insert(0, grid_row_title(grid), grid_rows(page, grid))
    return frame
