"""The test prints: what each used by area beside what all of them used."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Annotation
from matplotlib.ticker import MaxNLocator

from planner.show.charts.axes import ticks
from planner.show.charts.picture import Picture, alternative
from planner.show.labels import PLATE, above, settle
from planner.show.numbers import Numbers
from planner.show.style import FAINT, WIDTH, drawable, stroke, styled
from planner.usage.test_prints import CONFIDENCE

MOST_ROWS: Final = 40
ROW: Final = 0.21  # [inch] from one print to the next
AROUND: Final = 1.25  # [inch] for the labels above and the numbers below
HEAD, TAIL = 14, 9  # [characters] of a long name that are kept at either end
ROOM: Final = 1.12  # [-] the axis reaches beyond its largest value


@dataclass(frozen=True)
class RatePanel:
    """What the prints used of one thing by area, each number in the unit shown.

    ``rates`` are in the order of the prints; ``pooled`` is the rate of all of them and ``interval``
    where it lies with 95 % confidence, None for one print; ``apart`` are the places in ``rates`` of
    prints that lie outside what the others lead one to expect.
    """

    label: str
    unit: str
    rates: Sequence[float]
    pooled: float
    interval: tuple[float, float] | None
    apart: Sequence[int] = ()


def print_rates(names: Sequence[str], panels: Sequence[RatePanel], *, numbers: Numbers) -> Picture:
    """A row a print and a panel a rate, sorted by the first; of more than 40 rows the first 40.

    The line is the rate of all prints and the band its 95 % interval; prints that lie apart are
    filled squares with their rate beside them. Raises ValueError if a panel has not one rate for
    each name.
    """
    for panel in panels:
        if len(panel.rates) != len(names):
            raise ValueError(f"rates of {panel.label!r}: must be one for each print")
    order = sorted(range(min(len(names), MOST_ROWS)), key=lambda at: -panels[0].rates[at])
    heads = [_head(panel, numbers) for panel in panels]
    with styled():
        size = (WIDTH, AROUND + ROW * len(order))
        figure = Figure(figsize=size, layout="constrained")
        grid = figure.subplots(1, len(panels), sharey=True, squeeze=False)[0]
        grid[0].set_ylim(len(order) - 0.4, -0.6)
        grid[0].set_yticks(range(len(order)), [_short(names[at]) for at in order])
        if len(order) < len(names):
            grid[0].set_ylabel(_count(len(order), len(names)))
        labels = [
            _panel(axes, panel, order, head, numbers)
            for axes, panel, head in zip(grid, panels, heads, strict=True)
        ]
        settle(figure, rows=[labels])
    kind = f"Dots of what {_count(len(order), len(names))} used by area, with the rate of all"
    said = [head.replace("\n", ", ") for head in heads]
    apart = _apart_words(names, panels, order, numbers)
    return Picture("test-print-rates", figure, alternative(kind, *said, *apart))


def _panel(
    axes: Axes, panel: RatePanel, order: Sequence[int], head: str, numbers: Numbers
) -> Annotation:
    """One panel with its dots, line and band; the label above it."""
    high = panel.interval[1] if panel.interval else panel.pooled
    axes.set_xlim(0.0, ROOM * max(high, *panel.rates) or 1.0)
    axes.set_xlabel(panel.unit)
    axes.xaxis.set_major_locator(MaxNLocator(nbins=4, steps=[1, 2, 5, 10]))
    axes.xaxis.set_major_formatter(ticks(partial(numbers.plain, figures=2)))
    axes.tick_params(axis="y", length=0)
    if panel.interval:
        axes.axvspan(*panel.interval, facecolor=FAINT, edgecolor="none", alpha=0.7)
    axes.axvline(panel.pooled, color=stroke(0).colour, linewidth=1.4)
    for row, at in enumerate(order):
        _dot(axes, panel.rates[at], row, is_apart=at in panel.apart, numbers=numbers)
    return above(axes, panel.pooled, head)


def _dot(axes: Axes, rate: float, row: int, *, is_apart: bool, numbers: Numbers) -> None:
    look = stroke(1) if is_apart else stroke(0)
    face = look.colour if is_apart else "white"
    axes.plot(
        [rate], [row], look.marker, color=face, markeredgecolor=look.colour, markeredgewidth=1.3,
        clip_on=False, zorder=4,
    )  # fmt: skip
    if is_apart:
        is_left = rate < sum(axes.get_xlim()) / 2
        axes.annotate(
            f"apart: {numbers.plain(rate)}",
            (rate, row),
            (7.0 if is_left else -7.0, 0.0),
            textcoords="offset points",
            ha="left" if is_left else "right",
            va="center",
            bbox=PLATE,
            zorder=5,
        )


def _head(panel: RatePanel, numbers: Numbers) -> str:
    """The label over a panel: the rate of all prints and its interval."""
    said = f"{panel.label}\nall prints {numbers.plain(panel.pooled)}"
    if panel.interval is None:
        return f"{said}\none print: no range"
    low, high = (numbers.plain(end) for end in panel.interval)
    return f"{said}\n{numbers.percent(CONFIDENCE)}: {low} to {high}"


def _apart_words(
    names: Sequence[str], panels: Sequence[RatePanel], order: Sequence[int], numbers: Numbers
) -> list[str]:
    """The prints that are marked, with what they used."""
    return [
        f"{names[at]} lies apart with {panel.label} {numbers.plain(panel.rates[at])} {panel.unit}"
        for panel in panels
        for at in order
        if at in panel.apart
    ]


def _count(shown: int, of: int) -> str:
    if shown < of:
        return f"the first {shown} of {of} prints"
    return "one print" if of == 1 else f"{of} prints"


def _short(name: str) -> str:
    """A name that leaves room for the panels, cut in the middle."""
    is_long = len(name) > HEAD + len(" ... ") + TAIL
    return drawable(f"{name[:HEAD].rstrip()} ... {name[-TAIL:].lstrip()}" if is_long else name)
