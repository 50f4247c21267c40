"""Payback over two inputs at once, a cell a pair."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from planner.show.charts.picture import Picture, alternative
from planner.show.labels import settle, wrapped
from planner.show.numbers import Numbers
from planner.show.style import RULE, TEXT, WIDTH, drawable, styled

SHADES: Final = ("#dcebf7", "#ffffff", "#bdbdbd")  # in time, later, never


def payback_grid(
    *,
    rows: Sequence[str],
    columns: Sequence[str],
    months: Sequence[Sequence[float]],
    plan: tuple[int, int],
    wanted: float,
    horizon: int,
    row_title: str,
    column_title: str,
    numbers: Numbers,
) -> Picture:
    """Payback [month] over two inputs, a row and a column a value; infinite is "no".

    ``plan`` is the cell of the plan, framed; cells paid back within ``wanted`` months are shaded
    light, those not paid back within the ``horizon`` [month] dark.
    """
    words = [[_cell_words(value, wanted, numbers) for value in row] for row in months]
    later = "white: later; " if wanted < horizon else ""
    key = (
        f"Months to pay back. Light shade: within {numbers.months(wanted)}; {later}dark shade, no: "
        f"not within {numbers.months(horizon)}. Framed: the plan"
    )
    with styled():
        high = max(3.4, 1.1 + 0.34 * len(rows))  # [inch] for the words down the side
        figure = Figure(figsize=(WIDTH, high), layout="constrained")
        axes = figure.add_subplot()
        axes.grid(False)
        axes.set_xlim(-0.5, len(columns) - 0.5)
        axes.set_ylim(len(rows) - 0.5, -0.5)
        axes.tick_params(length=0, top=False, labeltop=True, bottom=False, labelbottom=False)
        axes.set_xticks(range(len(columns)), [drawable(text) for text in columns])
        axes.set_yticks(range(len(rows)), [drawable(text) for text in rows])
        axes.xaxis.set_label_position("top")
        axes.set_xlabel(column_title)
        axes.set_ylabel(row_title)
        for side in ("left", "bottom"):
            axes.spines[side].set_visible(False)
        for y, row in enumerate(months):
            for x, value in enumerate(row):
                _cell(axes, x, y, _shade(value, wanted))
                axes.annotate(words[y][x], (x, y), ha="center", va="center")
        across, down = plan[1] - 0.5, plan[0] - 0.5
        axes.add_patch(
            Rectangle((across, down), 1, 1, fill=False, edgecolor=TEXT, linewidth=2.2, zorder=4,
                      clip_on=False)
        )  # fmt: skip
        axes.annotate(wrapped(key, 84), (0.0, -0.04), xycoords="axes fraction", va="top",
                      annotation_clip=False)  # fmt: skip
        settle(figure)
    said = [f"{row}: {', '.join(cells)}" for row, cells in zip(rows, words, strict=True)]
    kind = f"Table of months to pay back, {row_title} down, {column_title} across"
    return Picture("payback-grid", figure, alternative(kind, ", ".join(columns), *said, key))


def _cell_words(months: float, wanted: float, numbers: Numbers) -> str:
    if math.isinf(months):
        return "no"
    return numbers.months(months, limit=wanted).partition(" ")[0]


def _shade(months: float, wanted: float) -> str:
    in_time, later, never = SHADES
    return never if math.isinf(months) else in_time if months <= wanted else later


def _cell(axes: Axes, x: int, y: int, colour: str) -> None:
    axes.add_patch(
        Rectangle((x - 0.5, y - 0.5), 1, 1, facecolor=colour, edgecolor=RULE, linewidth=0.6)
    )
