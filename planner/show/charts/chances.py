"""How surely it pays back: the range of cumulative money, and the chances month by month."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial
from typing import Final

from matplotlib.axes import Axes

from planner.show.charts.axes import leave_room, money_ticks, month_plot, ticks
from planner.show.charts.marks import LIMIT, drop, ring, zero_line
from planner.show.charts.picture import Picture, alternative
from planner.show.labels import above, beside, settle
from planner.show.numbers import Numbers
from planner.show.style import FAINT, RULE, stroke, styled
from planner.show.words.chances import COIN, share_in_percent, to_error

IN_TEN: Final = (1, 5, 9)  # cases of 10 below the low, the middle and the high line
ROOM: Final = 0.1  # [-] of the data's range left free below, half as much above


def payback_range(
    *,
    low: Sequence[float],
    middle: Sequence[float],
    high: Sequence[float],
    paybacks: tuple[float, float, float],
    reached: float,
    numbers: Numbers,
) -> Picture:
    """Cumulative money [currency] in 8 of 10 cases at the ends of months 0, 1, 2...

    ``paybacks`` are the times [month] by which 1, 5 and 9 of 10 cases have paid back, infinite
    where so many do not; they are marked on the line of zero. ``reached`` is the share of cases
    that have paid back by the last month [-].
    """
    horizon = len(middle) - 1
    marks = _marks(paybacks, reached, horizon=horizon, numbers=numbers)
    ends = [
        f"{count} of 10 cases {'ends' if count == 1 else 'end'} above\n{numbers.money(value)}"
        for count, value in zip(IN_TEN, _ends_shown(low, middle, high), strict=True)
    ]
    months = range(horizon + 1)
    with styled():
        figure, axes = month_plot(horizon=horizon, words=ends)
        money_ticks(axes.yaxis, numbers)
        axes.set_ylabel(f"money gained so far, {numbers.currency}")
        leave_room(axes, [0.0, *low, *high], room=ROOM)
        axes.fill_between(months, low, high, facecolor=FAINT, edgecolor=RULE, linewidth=0.8)
        zero_line(axes)
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
    return Picture("payback-range", figure, alternative(kind, *marks, *ends))


def _ends_shown(
    low: Sequence[float], middle: Sequence[float], high: Sequence[float]
) -> list[float]:
    """Where the lines end, the highest first, to about a hundredth of the band's width."""
    width = high[-1] - low[-1]
    return [to_error(one[-1], error=width / 100, finest=COIN) for one in (high, middle, low)]


def _marks(
    paybacks: Sequence[float], reached: float, *, horizon: int, numbers: Numbers
) -> dict[str, float]:
    """The words over the plot and the months to which they belong."""
    marks: dict[str, float] = {}
    for count, months in zip(IN_TEN, paybacks, strict=True):
        if math.isinf(months):
            share = share_in_percent(reached, numbers)
            marks[f"{share} paid back\nwithin {horizon} months"] = horizon
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
    for months in paybacks:
        if not math.isinf(months):
            drop(axes, months, to=0.0)
            ring(axes, months, 0.0, look)


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
        figure, axes = month_plot(horizon=horizon, words=list(lines))
        axes.set_ylabel("share of cases")
        axes.yaxis.set_major_formatter(ticks(partial(numbers.percent, digits=0)))
        axes.set_ylim(0.0, 1.0)
        ends = []
        for index, (words, values) in enumerate(lines.items()):
            look = stroke(index)
            axes.plot(
                range(horizon + 1), values, color=look.colour, linestyle=look.dash, clip_on=False
            )
            ends.append(beside(axes, horizon, values[-1], words, look))
        drop(axes, wanted)
        ring(axes, wanted, by_then, stroke(0))
        settle(figure, column=ends, rows=[[above(axes, wanted, mark)]])
    kind = f"Line chart of the share of cases by month over {horizon} months"
    return Picture("chance-by-month", figure, alternative(kind, mark, *lines))
