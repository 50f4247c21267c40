"""Plots and their axes: sizes, limits, and ticks in the reader's units."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Final

from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator, MultipleLocator

from planner.show.labels import height_of
from planner.show.numbers import Numbers
from planner.show.style import WIDTH, drawable

HEIGHT: Final = 4.0  # [inch]
ROOM: Final = 0.14  # [-] of the data's range left free above and below for words
MONTH_STEPS: Final = (1, 2, 3, 6, 12, 24, 60, 120)


def plot(*, words: Sequence[str]) -> tuple[Figure, Axes]:
    """One plot, high enough for the words beside its lines."""
    figure = Figure(figsize=(WIDTH, max(HEIGHT, 1.0 + height_of(words))), layout="constrained")
    return figure, figure.add_subplot()


def month_plot(*, horizon: int, words: Sequence[str]) -> tuple[Figure, Axes]:
    """One plot over the months up to the horizon [month]."""
    figure, axes = plot(words=words)
    months_across(axes, horizon=horizon)
    return figure, axes


def months_across(axes: Axes, *, horizon: int, last: float | None = None) -> None:
    """Months along the horizontal axis, up to ``last`` [month], by default the horizon."""
    step = next(step for step in MONTH_STEPS if horizon <= 8 * step or step == MONTH_STEPS[-1])
    axes.set_xlim(0.0, last or horizon)
    axes.set_xlabel("month")
    axes.xaxis.set_major_locator(MultipleLocator(step))


def number_across(axes: Axes, numbers: Numbers, *, values: Sequence[float], label: str) -> None:
    """The range of values along the horizontal axis, the ticks as numbers."""
    axes.set_xlim(min(values), max(values))
    axes.set_xlabel(label)
    room = max(3, 30 // (len(numbers.plain(max(values))) + 1))  # ticks whose numbers do not touch
    axes.xaxis.set_major_locator(MaxNLocator(nbins=room, steps=[1, 2, 2.5, 5, 10]))
    axes.xaxis.set_major_formatter(ticks(numbers.plain))


def money_up(axes: Axes, numbers: Numbers, *, label: str, cents: bool = False) -> None:
    """Money along the vertical axis."""
    axes.set_ylabel(label)
    money_ticks(axes.yaxis, numbers, most=6, cents=cents)


def money_ticks(axis: Axis, numbers: Numbers, *, most: int = 5, cents: bool = False) -> None:
    """Ticks only where the money printed is the exact place of the tick, about ``most`` [-]."""
    steps = [1, 2, 2.5, 5, 10]
    axis.set_major_locator(MaxNLocator(nbins=most, steps=steps, integer=not cents))
    axis.set_major_formatter(ticks(partial(numbers.money, cents=cents)))


def ticks(write: Callable[[float], str]) -> FuncFormatter:
    """Ticks written by a function, in signs that the font can draw."""
    return FuncFormatter(lambda value, _: drawable(write(value)))


def leave_room(
    axes: Axes, values: Sequence[float], *, below: float | None = None, room: float = ROOM
) -> None:
    """Limits that clip nothing and leave room for words; ``below`` fixes the lower one.

    ``room`` [-] of the data's range is left free below it and half as much above.
    """
    low, high = min(values), max(values)
    span = (high - low) or 1.0
    axes.set_ylim(low - room * span if below is None else below, high + room / 2 * span)


def rows_down(axes: Axes, *, height: float) -> None:
    """Rows from the top down, in inches; nothing on the vertical axis."""
    axes.set_ylim(height, 0.0)
    axes.set_yticks([])
    axes.grid(False)
    axes.spines["left"].set_visible(False)
