"""What one input does: the value at both ends of each, and the share of the spread it explains."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import shorten
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from planner.show.charts.axes import money_ticks, rows_down
from planner.show.charts.marks import bar_look
from planner.show.charts.picture import Picture, alternative
from planner.show.labels import CHARACTER, LINE, above, settle, wrapped
from planner.show.numbers import Numbers
from planner.show.style import TEXT, WIDTH, stroke, styled
from planner.show.words.chances import share_in_percent

NAME: Final = 70  # [characters] of an input's name over its bar
END: Final = 20  # [characters] in a line of the words at the end of a bar
BAR: Final = 0.2  # [inch] high
LOOKS: Final = ("low (blue)", "high (hatched)")  # of the bars of the two ends
BEHIND: Final = {"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none"}


@dataclass(frozen=True)
class Ends:
    """One input moved alone: what it is, its low and high end in words, the value there [currency].

    ``basis`` says where its range comes from.
    """

    label: str
    basis: str
    low: str
    high: str
    at_low: float
    at_high: float


def one_at_a_time(inputs: Sequence[Ends], *, plan: float, numbers: Numbers) -> Picture:
    """What the plan is worth [currency] at both ends of each input, a bar an input from ``plan``.

    The ends are named beside the bar, the lower value on the left and the higher on the right; the
    first bar says too how the bars of a low and of a high end look.
    """
    heads = [
        f"{shorten(one.label, NAME, placeholder=' ...')} ({one.basis})" if one.basis else one.label
        for one in inputs
    ]
    words = [_end_words(one, numbers, is_first=at == 0) for at, one in enumerate(inputs)]
    beside_bar = [LINE * max(text.count("\n") + 1 for text in pair) for pair in words]  # [inch]
    rows = [LINE + high + 0.2 for high in beside_bar]  # [inch] from one name to the next
    as_planned = f"as planned\n{numbers.money(plan)}"
    with styled():
        figure = Figure(figsize=(WIDTH, 1.15 + sum(rows)), layout="constrained")
        axes = figure.add_subplot()
        rows_down(axes, height=sum(rows))
        axes.set_xlim(*_limits(inputs, words, plan))
        axes.set_xlabel(f"worth today, {numbers.currency}")
        money_ticks(axes.xaxis, numbers)
        top = 0.0
        for head, one, pair, high in zip(heads, inputs, words, beside_bar, strict=True):
            axes.annotate(head, (0.0, top), xycoords=("axes fraction", "data"), va="top",
                          weight="bold", bbox=BEHIND, zorder=3, annotation_clip=False)  # fmt: skip
            _two_ends(axes, top + LINE + 0.04 + high / 2, one, pair, plan=plan)
            top += LINE + high + 0.2
        axes.axvline(plan, color=TEXT, linewidth=1.2, zorder=2)
        settle(figure, rows=[[above(axes, plan, as_planned)]])
    said = [
        f"{head}: {low}; {high}".replace("\n", " ")
        for head, (low, high) in zip(heads, words, strict=True)
    ]
    kind = (
        "Bars of what the plan is worth at both ends of one input at a time, the low end of the "
        "input in blue, the high end in orange and hatched"
    )
    return Picture("what-matters", figure, alternative(kind, as_planned, *said))


def _end_words(one: Ends, numbers: Numbers, *, is_first: bool) -> tuple[str, str]:
    """The words at the left and the right of a bar."""
    low, high = LOOKS if is_first else ("low", "high")
    ends = [(one.at_low, f"{low}: {one.low}"), (one.at_high, f"{high}: {one.high}")]
    left, right = (
        wrapped(end, END) + f"\n{numbers.money(value)}"
        for value, end in sorted(ends, key=lambda pair: pair[0])
    )
    return left, right


def _limits(
    inputs: Sequence[Ends], words: Sequence[tuple[str, str]], plan: float
) -> tuple[float, float]:
    """Limits of the value axis that leave room for the words at both ends of every bar."""
    ends = [plan, *(value for one in inputs for value in (one.at_low, one.at_high))]
    low, high = min(ends), max(ends)
    left, right = (
        CHARACTER * max(len(line) for pair in words for line in pair[side].split("\n")) + 0.1
        for side in (0, 1)
    )  # [inch]
    by_inch = (high - low or 1.0) / (WIDTH - 0.3 - left - right)
    return low - left * by_inch, high + right * by_inch


def _two_ends(axes: Axes, at: float, one: Ends, words: tuple[str, str], *, plan: float) -> None:
    """The two bars of an input from the plan's value, and the words at their ends."""
    for value, look in ((one.at_low, stroke(0)), (one.at_high, stroke(1))):
        axes.barh(at, value - plan, left=plan, height=BAR, **bar_look(look))
    low, high = sorted((one.at_low, one.at_high))
    places = ((min(low, plan), words[0], -4.0, "right"), (max(high, plan), words[1], 4.0, "left"))
    for x, text, away, side in places:
        axes.annotate(
            text, (x, at), (away, 0.0), textcoords="offset points", ha=side, va="center",
            annotation_clip=False,
        )  # fmt: skip


def explained_shares(parts: Sequence[tuple[str, float]], *, numbers: Numbers) -> Picture:
    """The share of the spread [-] that each part explains, a bar a part in the order given.

    The last is what is left, and hatched.
    """
    pitch = LINE + BAR + 0.22  # [inch] from one bar to the next
    shares = [share_in_percent(share, numbers) for _, share in parts]
    with styled():
        figure = Figure(figsize=(WIDTH, 0.2 + pitch * len(parts)), layout="constrained")
        axes = figure.add_subplot()
        rows_down(axes, height=pitch * len(parts))
        axes.set_xticks([])
        axes.spines["bottom"].set_visible(False)
        axes.set_xlim(0.0, 1.12 * max(share for _, share in parts))
        for row, ((label, share), text) in enumerate(zip(parts, shares, strict=True)):
            top, look = row * pitch, stroke(int(row == len(parts) - 1))
            axes.annotate(label, (0.0, top), va="top", annotation_clip=False)
            at = top + LINE + 0.05 + BAR / 2
            axes.barh(at, share, height=BAR, **bar_look(look))
            axes.annotate(text, (share, at), (4.0, 0.0), textcoords="offset points", va="center",
                          annotation_clip=False)  # fmt: skip
        settle(figure)
    said = [f"{label}: {text}" for (label, _), text in zip(parts, shares, strict=True)]
    kind = "Bars of the share of the spread of the value that each input explains"
    return Picture("what-explains", figure, alternative(kind, *said))
