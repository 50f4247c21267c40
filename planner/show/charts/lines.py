"""Named series over time: what they hold, and how they are drawn and named at their ends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.text import Annotation

from planner.show.charts.marks import curve, look_of
from planner.show.labels import beside
from planner.show.style import Stroke


@dataclass(frozen=True)
class Line:
    """A named series; `place` [-] fixes its look, by default its place among those drawn."""

    label: str
    values: Sequence[float]
    place: int | None = None


@dataclass(frozen=True)
class PaybackLine:
    """Cumulative money [currency] at the ends of months 0, 1, 2..., and its payback [month].

    The values leave out what only the end brings; `payback` is None exactly if the last is below
    zero. `short` names the line where there is little room.
    """

    label: str
    values: Sequence[float]
    payback: float | None
    place: int | None = None
    short: str = ""


def named_lines(
    axes: Axes, lines: Sequence[Line], words: Sequence[str], *, first: int = 0
) -> list[Annotation]:
    """The lines from the month ``first`` on, and the words beside their ends."""
    return [
        named_line(axes, line, text, look_of(line.place, index), first=first, index=index)
        for index, (line, text) in enumerate(zip(lines, words, strict=True))
    ]


def named_line(
    axes: Axes, line: Line | PaybackLine, text: str, look: Stroke, *, first: int = 0, index: int = 0
) -> Annotation:
    """A line from the month or year ``first`` on, and the words beside its end."""
    last = first + len(line.values) - 1
    curve(axes, range(first, last + 1), line.values, look, index=index)
    return beside(axes, last, line.values[-1], text, look)


def points(lines: Sequence[Line | PaybackLine]) -> Iterator[float]:
    """The values of all the lines."""
    return (value for line in lines for value in line.values)


def length(series: Sequence[Sequence[float]]) -> int:
    """How many values each series has; raises ValueError if they differ."""
    lengths = {len(values) for values in series}
    if len(lengths) != 1:
        raise ValueError(f"series: must be of one length (got {sorted(lengths)})")
    return lengths.pop()
