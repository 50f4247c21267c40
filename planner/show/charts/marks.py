"""What is drawn in a plot: curves, rings at points, lines of limits and to labels, bars."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from matplotlib.axes import Axes

from planner.show.style import RULE, TEXT, Stroke, stroke

LIMIT: Final = Stroke(TEXT, (0.0, (4.0, 2.0)), "", "")  # a limit that is not itself a series


def look_of(place: int | None, index: int) -> Stroke:
    """The look of a series by its fixed place [-], else by its place among those drawn."""
    return stroke(index if place is None else place)


def curve(axes: Axes, x: Sequence[float], y: Sequence[float], look: Stroke, *, index: int) -> None:
    """A line with a marker now and then, each line at points of its own; nothing is clipped."""
    step = max(1, len(x) // 6)
    axes.plot(
        x,
        y,
        color=look.colour,
        linestyle=look.dash,
        marker=look.marker,
        markevery=(min(index * step // 4, len(x) - 1), step),
        clip_on=False,
    )


def ring(axes: Axes, x: float, y: float, look: Stroke, *, size: float = 7.5) -> None:
    """A ring round a point, ``size`` [pt] across."""
    axes.plot(
        [x], [y], "o", color="white", markeredgecolor=look.colour, markeredgewidth=1.8,
        markersize=size, clip_on=False, zorder=4,
    )  # fmt: skip


def zero_line(axes: Axes) -> None:
    """The line of zero through the plot."""
    axes.axhline(0.0, color=TEXT, linewidth=1.0)


def limit_line(axes: Axes, value: float) -> None:
    """The line of a limit through the plot."""
    axes.axhline(value, color=LIMIT.colour, linestyle=LIMIT.dash, linewidth=1.2)


def drop(axes: Axes, x: float, *, to: float | None = None) -> None:
    """A thin line through the plot, from the label above to a point or to the horizontal axis."""
    low, high = axes.get_ylim()
    axes.vlines(x, low if to is None else to, high, color=RULE, linewidth=0.9, linestyle=":")


def bar_look(look: Stroke, *, edge: float = 0.0) -> dict[str, Any]:
    """How a bar in the look of a series is filled, its white edge ``edge`` [pt] wide."""
    return {
        "color": look.colour,
        "edgecolor": "white",
        "hatch": look.hatch,
        "linewidth": edge,
    }
