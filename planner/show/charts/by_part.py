"""What a piece costs, part by part."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from textwrap import shorten

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Annotation
from matplotlib.ticker import MaxNLocator

from planner.show.charts.axes import rows_down, ticks
from planner.show.charts.marks import bar_look
from planner.show.charts.picture import HALF_CENT, Picture, alternative
from planner.show.labels import TIER, over, settle, width_of, wrapped
from planner.show.numbers import Numbers
from planner.show.style import STROKES, WIDTH, stroke, styled


@dataclass(frozen=True)
class CostBar:
    """What one product costs by part, and the total [currency/piece]."""

    label: str
    values: Sequence[float]
    total: float


def print_cost(bars: Sequence[CostBar], *, parts: Sequence[str], numbers: Numbers) -> Picture:
    """What a piece costs, a bar a product, stacked by part; what rounds to nothing is unnamed.

    Raises ValueError if a cost is negative or the parts do not make the total to half a cent.
    """
    for bar in bars:
        if min(bar.values) < 0 or abs(sum(bar.values) - bar.total) > HALF_CENT:
            raise ValueError(f"cost of {bar.label!r}: must be parts from 0 up that make the total")
    costs = [numbers.money(bar.total, cents=True) for bar in bars]
    words = [_part_words(bar, parts, numbers) for bar in bars]
    tiers = max(_tiers(list(texts.values())) for texts in words)
    pitch = 0.68 + TIER * tiers  # [inch] from one bar to the next
    with styled():
        figure = Figure(figsize=(WIDTH, 0.6 + pitch * len(bars)), layout="constrained")
        axes = figure.add_subplot()
        rows_down(axes, height=pitch * len(bars))
        axes.set_xlim(0.0, max(bar.total for bar in bars) or 1.0)
        axes.set_xlabel(f"a piece, {numbers.currency}")
        axes.xaxis.set_major_locator(MaxNLocator(nbins=5, steps=[1, 2, 5, 10]))
        axes.xaxis.set_major_formatter(ticks(partial(numbers.money, cents=True)))
        rows = []
        for row, (bar, cost, texts) in enumerate(zip(bars, costs, words, strict=True)):
            top = row * pitch
            head = f"{shorten(bar.label, 56, placeholder=' ...')}: {cost}"
            axes.annotate(head, (0.0, top), va="top", weight="bold", annotation_clip=False)
            labels = _cost_bar(axes, top + pitch - 0.42, bar, texts, tiers=tiers)
            rows += [labels[tier::tiers] for tier in range(tiers)]
        settle(figure, rows=rows)
    said = [
        f"{bar.label}: {cost} ({', '.join(texts.values())})"
        for bar, cost, texts in zip(bars, costs, words, strict=True)
    ]
    return Picture("print-cost", figure, alternative("Bars of the cost of a piece by part", *said))


def _part_words(bar: CostBar, parts: Sequence[str], numbers: Numbers) -> dict[int, str]:
    """Name and cost of each part worth naming, by its place in the bar."""
    return {
        place: f"{wrapped(part, 14)}\n{numbers.money(value, cents=True)}"
        for place, (part, value) in enumerate(zip(parts, bar.values, strict=True))
        if numbers.money(value, cents=True) != numbers.money(0.0, cents=True)
    }


def _tiers(texts: Sequence[str]) -> int:
    """Tiers of labels [-] needed over a bar, at a generous width a character."""
    return math.ceil(width_of(texts) / WIDTH) or 1


def _cost_bar(
    axes: Axes, top: float, bar: CostBar, words: Mapping[int, str], *, tiers: int
) -> list[Annotation]:
    """One stacked bar below `top` [inch]; returns the labels of its parts, in turn by tier."""
    left = 0.0
    labels: list[Annotation] = []
    for place, value in enumerate(bar.values):
        look = stroke(place % len(STROKES))
        axes.barh(
            top,
            value,
            left=left,
            height=0.26,
            align="edge",
            **bar_look(look, edge=1.0),
        )
        if place in words:
            tier = len(labels) % tiers
            labels.append(over(axes, left + value / 2, top, words[place], tier=tier))
        left += value
    return labels
