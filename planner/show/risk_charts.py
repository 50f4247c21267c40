"""The pictures of what could go wrong: one function a chart, from plain data.

They keep the conventions of the other charts: what is marked was passed in or is a point of the
data itself, labels stand beside what they name, and the text alternative holds the same numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import shorten
from typing import Final

from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.ticker import FuncFormatter, MaxNLocator, MultipleLocator

from planner.show.charts import HEIGHT, LIMIT, MONTH_STEPS, Picture
from planner.show.labels import LINE, above, beside, height_of, settle, wrapped
from planner.show.numbers import Numbers
from planner.show.style import FAINT, RULE, TEXT, WIDTH, Stroke, drawable, stroke, styled
from planner.show.words.chances import COIN, share_in_percent, to_error

IN_TEN: Final = (1, 5, 9)  # cases of 10 below the low, the middle and the high line
CHARACTER: Final = 0.085  # [inch] a generous width of a character
NAME: Final = 70  # [characters] of an input's name over its bar
END: Final = 20  # [characters] in a line of the words at the end of a bar
BAR: Final = 0.2  # [inch] high
ROOM: Final = 0.1  # [-] of the data's range left free above and below
SHADES: Final = ("#dcebf7", "#ffffff", "#bdbdbd")  # in time, later, never
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


# --- by month -----------------------------------------------------------------------------------


def payback_range(
    *,
    low: Sequence[float],
    middle: Sequence[float],
    high: Sequence[float],
    paybacks: tuple[float, float, float],
    numbers: Numbers,
) -> Picture:
    """Cumulative money [currency] in 8 of 10 cases at the ends of months 0, 1, 2...

    ``paybacks`` are the times [month] by which 1, 5 and 9 of 10 cases have paid back, infinite
    where so many do not; they are marked on the line of zero.
    """
    horizon = len(middle) - 1
    marks = _marks(paybacks, horizon=horizon, numbers=numbers)
    ends = [
        f"{count} of 10 cases {'ends' if count == 1 else 'end'} above\n{numbers.money(value)}"
        for count, value in zip(IN_TEN, _ends_shown(low, middle, high), strict=True)
    ]
    months = range(horizon + 1)
    with styled():
        figure, axes = _month_axes(horizon=horizon, words=ends)
        _money(axes.yaxis, numbers)
        axes.set_ylabel(f"money gained so far, {numbers.currency}")
        _span(axes, [0.0, *low, *high])
        axes.fill_between(months, low, high, facecolor=FAINT, edgecolor=RULE, linewidth=0.8)
        axes.axhline(0.0, color=TEXT, linewidth=1.0)
        axes.plot(months, middle, color=stroke(0).colour)
        looks = (LIMIT, stroke(0), LIMIT)
        labels = [
            beside(axes, horizon, values[-1], text, look)
            for values, text, look in zip((high, middle, low), ends, looks, strict=True)
        ]
        _on_zero(axes, paybacks, horizon=horizon)
        tops = [above(axes, month, text) for text, month in marks.items()]
        settle(figure, column=labels, rows=[tops])
    kind = f"Band of money gained so far by month over {horizon} months, 8 of 10 cases in it"
    return Picture("payback-range", figure, _alt(kind, *marks, *ends))


def _ends_shown(
    low: Sequence[float], middle: Sequence[float], high: Sequence[float]
) -> list[float]:
    """Where the lines end, the highest first, to about a hundredth of the band's width."""
    width = high[-1] - low[-1]
    return [to_error(one[-1], error=width / 100, finest=COIN) for one in (high, middle, low)]


def _marks(paybacks: Sequence[float], *, horizon: int, numbers: Numbers) -> dict[str, float]:
    """The words over the plot and the months to which they belong."""
    marks: dict[str, float] = {}
    for count, months in zip(IN_TEN, paybacks, strict=True):
        if math.isinf(months):
            marks[f"fewer than {count} of 10 paid back\nwithin {horizon} months"] = horizon
            break
        after = numbers.months(months, limit=horizon)
        marks[f"{count} of 10 paid back\nafter {after}"] = months
    return marks


def _on_zero(axes: Axes, paybacks: Sequence[float], *, horizon: int) -> None:
    """The range of paybacks as a thick line on zero, a ring where 1, 5 and 9 of 10 are reached."""
    first, last = paybacks[0], min(paybacks[-1], horizon)
    look = stroke(1)
    if first <= last:
        axes.plot([first, last], [0.0, 0.0], color=look.colour, linewidth=4.0, clip_on=False)
    _, high = axes.get_ylim()
    for months in paybacks:
        if not math.isinf(months):
            axes.vlines(months, 0.0, high, color=RULE, linewidth=0.9, linestyle=":")
            _ring(axes, months, 0.0, look)


def chance_by_month(
    *,
    paid_back: Sequence[float],
    wanted: float,
    under: Sequence[float] | None,
    floor: float | None,
    numbers: Numbers,
) -> Picture:
    """Share of cases that have paid back by the ends of months 0, 1, 2... [-].

    ``wanted`` is the month by which the shop wants its money back. ``under`` is the share of cases
    in which the bank balance lies under the shop's ``floor`` [currency] at that month's end; both
    are None where it states none.
    """
    horizon = len(paid_back) - 1
    by_then = paid_back[min(horizon, math.floor(wanted))]
    mark = f"wanted within {numbers.months(wanted)}\n{share_in_percent(by_then, numbers)} paid back"
    lines = {
        f"paid back by month {horizon}:\n{share_in_percent(paid_back[-1], numbers)}": paid_back
    }
    if under is not None and floor is not None:
        month = max(range(len(under)), key=under.__getitem__)
        most = share_in_percent(under[month], numbers)
        when = f"month {month}" if month else "signing"
        said = f"at most {most}, {when}" if under[month] else "in no case drawn"
        lines[f"balance under {numbers.money(floor)}:\n{said}"] = under
    with styled():
        figure, axes = _month_axes(horizon=horizon, words=list(lines))
        axes.set_ylabel("share of cases")
        axes.yaxis.set_major_formatter(
            FuncFormatter(lambda value, _: drawable(numbers.percent(value, digits=0)))
        )
        axes.set_ylim(0.0, 1.0)
        ends = []
        for index, (words, values) in enumerate(lines.items()):
            look = stroke(index)
            axes.plot(
                range(horizon + 1), values, color=look.colour, linestyle=look.dash, clip_on=False
            )
            ends.append(beside(axes, horizon, values[-1], words, look))
        axes.vlines(wanted, 0.0, 1.0, color=RULE, linewidth=0.9, linestyle=":")
        _ring(axes, wanted, by_then, stroke(0))
        settle(figure, column=ends, rows=[[above(axes, wanted, mark)]])
    kind = f"Line chart of the share of cases by month over {horizon} months"
    return Picture("chance-by-month", figure, _alt(kind, mark, *lines))


# --- by input -----------------------------------------------------------------------------------


def one_at_a_time(inputs: Sequence[Ends], *, plan: float, numbers: Numbers) -> Picture:
    """What the plan is worth [currency] at both ends of each input, a bar an input from ``plan``.

    The ends are named beside the bar: the lower value on the left, the higher on the right.
    """
    heads = [
        f"{shorten(one.label, NAME, placeholder=' ...')} ({one.basis})" if one.basis else one.label
        for one in inputs
    ]
    words = [_end_words(one, numbers) for one in inputs]
    beside_bar = [LINE * max(text.count("\n") + 1 for text in pair) for pair in words]  # [inch]
    rows = [LINE + high + 0.2 for high in beside_bar]  # [inch] from one name to the next
    as_planned = f"as planned\n{numbers.money(plan)}"
    with styled():
        figure = Figure(figsize=(WIDTH, 1.15 + sum(rows)), layout="constrained")
        axes = figure.add_subplot()
        _bars_only(axes, height=sum(rows))
        axes.set_xlim(*_limits(inputs, words, plan))
        axes.set_xlabel(f"worth today, {numbers.currency}")
        _money(axes.xaxis, numbers)
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
    kind = "Bars of what the plan is worth at both ends of one input at a time"
    return Picture("what-matters", figure, _alt(kind, as_planned, *said))


def _end_words(one: Ends, numbers: Numbers) -> tuple[str, str]:
    """The words at the left and the right of a bar."""
    pairs = sorted([(one.at_low, one.low), (one.at_high, one.high)], key=lambda pair: pair[0])
    left, right = (wrapped(f"at {end}", END) + f"\n{numbers.money(value)}" for value, end in pairs)
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
        axes.barh(
            at, value - plan, left=plan, height=BAR, color=look.colour, edgecolor="white",
            hatch=look.hatch, linewidth=0.0,
        )  # fmt: skip
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
        _bars_only(axes, height=pitch * len(parts))
        axes.set_xticks([])
        axes.spines["bottom"].set_visible(False)
        axes.set_xlim(0.0, 1.12 * max(share for _, share in parts))
        for row, ((label, share), text) in enumerate(zip(parts, shares, strict=True)):
            top, look = row * pitch, stroke(int(row == len(parts) - 1))
            axes.annotate(label, (0.0, top), va="top", annotation_clip=False)
            at = top + LINE + 0.05 + BAR / 2
            axes.barh(at, share, height=BAR, color=look.colour, edgecolor="white",
                      hatch=look.hatch, linewidth=0.0)  # fmt: skip
            axes.annotate(text, (share, at), (4.0, 0.0), textcoords="offset points", va="center",
                          annotation_clip=False)  # fmt: skip
        settle(figure)
    said = [f"{label}: {text}" for (label, _), text in zip(parts, shares, strict=True)]
    kind = "Bars of the share of the spread of the value that each input explains"
    return Picture("what-explains", figure, _alt(kind, *said))


# --- two inputs at once -------------------------------------------------------------------------


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
    return Picture("payback-grid", figure, _alt(kind, ", ".join(columns), *said, key))


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


# --- the axes -----------------------------------------------------------------------------------


def _month_axes(*, horizon: int, words: Sequence[str]) -> tuple[Figure, Axes]:
    figure = Figure(figsize=(WIDTH, max(HEIGHT, 1.0 + height_of(words))), layout="constrained")
    axes = figure.add_subplot()
    step = next(step for step in MONTH_STEPS if horizon <= 8 * step or step == MONTH_STEPS[-1])
    axes.set_xlim(0.0, horizon)
    axes.set_xlabel("month")
    axes.xaxis.set_major_locator(MultipleLocator(step))
    return figure, axes


def _money(axis: Axis, numbers: Numbers) -> None:
    axis.set_major_locator(MaxNLocator(nbins=5, steps=[1, 2, 2.5, 5, 10], integer=True))
    axis.set_major_formatter(FuncFormatter(lambda value, _: drawable(numbers.money(value))))


def _span(axes: Axes, values: Sequence[float]) -> None:
    low, high = min(values), max(values)
    room = ROOM * (high - low or 1.0)
    axes.set_ylim(low - room, high + room / 2)


def _bars_only(axes: Axes, *, height: float) -> None:
    """Rows from the top down, in inches; nothing on the vertical axis."""
    axes.set_ylim(height, 0.0)
    axes.set_yticks([])
    axes.grid(False)
    axes.spines["left"].set_visible(False)


def _ring(axes: Axes, x: float, y: float, look: Stroke) -> None:
    axes.plot(
        [x], [y], "o", color="white", markeredgecolor=look.colour, markeredgewidth=1.8,
        markersize=7.5, clip_on=False, zorder=5,
    )  # fmt: skip


def _alt(kind: str, *said: str) -> str:
    """The text alternative: the kind of picture, then the words that stand in it."""
    return f"{kind}: {'; '.join(said)}.".replace("\n", " ")
