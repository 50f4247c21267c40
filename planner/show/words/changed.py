"""The plan when things change: payback by volume and price, and what would meet a condition."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.decide.answer import AnswerPage
from planner.decide.conditions import Condition, payback_limit
from planner.decide.grid import Grid
from planner.decide.risk.spread import T_95
from planner.decide.turning import Turning
from planner.show.numbers import Numbers
from planner.show.words.chances import share_in_percent, to_error
from planner.show.words.common import numbers_of, ratio_words

GRID_COLUMN_TITLE: Final = "selling prices"
FINEST_CHANGE: Final = 0.001  # [-] the finest that a change found from drawn cases is shown to


def limit_words(page: AnswerPage) -> str:
    """The months within which the shop wants its money back, or the horizon."""
    months = numbers_of(page.scenario).months(payback_limit(page.case))
    stated = page.scenario.conditions.pays_back_within
    return f"the {months} that the shop wants" if stated else f"the {months} looked at"


# --- volume and price ---------------------------------------------------------------------------


def grid_row_title(grid: Grid) -> str:
    """What stands down the side of the grid."""
    share = "share of the added work" if grid.lever == "added" else "share of the work"
    return f"pieces a week ({share})"


def grid_rows(page: AnswerPage, grid: Grid) -> list[str]:
    """Each volume as pieces a week, with the share of the planned work."""
    numbers = numbers_of(page.scenario)
    return [
        f"{numbers.pieces_per_week(pieces).partition(' ')[0]} ({numbers.percent(factor, digits=0)})"
        for pieces, factor in zip(grid.pieces, grid.volumes, strict=True)
    ]


def grid_columns(page: AnswerPage, grid: Grid) -> list[str]:
    """Each price as what it is higher or lower."""
    numbers = numbers_of(page.scenario)
    return [
        "as planned" if factor == 1 else "+" * (factor > 1) + numbers.percent(factor - 1, digits=0)
        for factor in grid.prices
    ]


def grid_heading(page: AnswerPage, grid: Grid) -> str:
    """The finding of the grid: how far volume may fall short alone, and with lower prices."""
    numbers, wanted = numbers_of(page.scenario), payback_limit(page.case)
    in_time = grid.months <= wanted
    within, (row, column) = limit_words(page), grid.plan
    if not in_time[row, column]:
        better = int(in_time.sum())
        if not better:
            return f"At no volume and price of the table does it pay back within {within}"
        return (
            f"As planned it does not pay back within {within}; it does at {better} of the other "
            f"{in_time.size - 1} pairs of volume and price"
        )
    fewest, lowest = _furthest(in_time[:, column], row), _furthest(in_time[row], column)
    few, planned = (numbers.pieces_per_week(grid.pieces[at]) for at in (fewest, row))
    fall = numbers.percent(1 - grid.prices[lowest], digits=0)
    volume = f"{few.partition(' ')[0]} instead of {planned}" if fewest < row else f"all {planned}"
    price = f"with prices {fall} lower" if lowest < column else "with no lower prices"
    return (
        f"In the steps of the table, payback within {within} still holds with {volume}, or {price}"
    )


def _furthest(in_time: NDArray[np.bool_], plan: int) -> int:
    """The lowest place from which up to that of the plan all are in time."""
    late = np.flatnonzero(~in_time[:plan])
    return int(late[-1]) + 1 if late.size else 0


# --- conditions that fail -----------------------------------------------------------------------


def turning_sentences(page: AnswerPage, found: Sequence[Turning]) -> Iterator[str]:
    """For each condition that fails, what would have to change, each lever alone."""
    if not found:
        yield "Nothing has to change for the conditions of the plan: none of them fails."
    for condition in dict.fromkeys(one.condition for one in found):
        said = [turning_words(page, one) for one in found if one.condition == condition]
        limit = figure_words(condition, condition.limit, numbers_of(page.scenario))
        yield f"For “{condition.condition} {limit}” to be met, each alone: {'; '.join(said)}."


def figure_words(condition: Condition, value: float | None, numbers: Numbers) -> str:
    """A figure or limit of a condition; None is a payback that is not reached."""
    if value is None:
        return "no payback"
    match condition.unit:
        case "month":
            return numbers.months(value)
        case "money":
            return numbers.money(value)
        case "ratio":
            return ratio_words(value)
        case "share":
            return share_in_percent(value, numbers)


def turning_words(page: AnswerPage, one: Turning) -> str:
    """Where one lever has to stand, or why it cannot."""
    numbers = numbers_of(page.scenario)
    if one.factor is None:
        return f"{one.lever}: {one.why_not}"
    words = f"{one.lever} {_change_words(one, numbers)}"
    if one.until is not None:
        words += f", up to {numbers.percent(one.until, digits=0)} of what is planned"
    return f"{words} ({_jump_words(one, numbers)})" if one.jumps else words


def _change_words(one: Turning, numbers: Numbers) -> str:
    """How far a lever has to move, to no more digits than drawn cases allow."""
    assert one.factor is not None
    change, more = abs(one.factor - 1), "more" if one.lever.endswith("work") else "higher"
    way = more if one.factor > 1 else "lower"
    if one.error is None:
        return f"{numbers.percent(change)} {way}"
    if not math.isfinite(one.error):
        return f"about {numbers.percent(change)} {way}"
    shown = numbers.percent(to_error(change, error=one.error, finest=FINEST_CHANGE))
    reach = math.ceil(T_95 * one.error / FINEST_CHANGE) * FINEST_CHANGE
    return f"{shown} {way} (give or take {numbers.percent(reach)})"


def _jump_words(one: Turning, numbers: Numbers) -> str:
    """That no change meets a limit just so, for the figure jumps over it."""
    there = figure_words(one.condition, one.figure, numbers)
    if one.condition.unit == "month":
        return f"payback jumps there: with it {there}, just short of it after the limit"
    return f"the figure jumps there: with it {there}, just short of it the limit is not met"
