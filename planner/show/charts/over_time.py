"""Money and hours over time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from planner.show.charts.axes import leave_room, money_up, month_plot, months_across, plot, ticks
from planner.show.charts.lines import (
    Line,
    PaybackLine,
    length,
    named_line,
    named_lines,
    points,
)
from planner.show.charts.marks import (
    LIMIT,
    bar_look,
    curve,
    drop,
    limit_line,
    look_of,
    ring,
    zero_line,
)
from planner.show.charts.picture import HALF_CENT, NO_BREAK, Picture, alternative
from planner.show.labels import above, beside, settle
from planner.show.numbers import Numbers
from planner.show.style import WIDTH, stroke, styled

GROUP: Final = 0.8  # [year] that the bars of one year take together


def cumulative_cash(lines: Sequence[PaybackLine], *, numbers: Numbers) -> Picture:
    """Cumulative money by month; marked where a line has earned its outlay back for good.

    Raises ValueError if the lines differ in length or a payback contradicts its line.
    """
    horizon = length([line.values for line in lines]) - 1
    words = [_payback_words(line, horizon=horizon, numbers=numbers) for line in lines]
    month, lowest = _lowest([line.values for line in lines])
    owner = next(line.short for line in lines if line.values[month] == lowest)
    low_words = f"{owner} lowest".strip() + f"\n{numbers.money(lowest)}, {_at(month)}"
    with styled():
        figure, axes = month_plot(horizon=horizon, words=words)
        money_up(axes, numbers, label=f"money gained so far, {numbers.currency}")
        zero_line(axes)
        leave_room(axes, [0.0, *points(lines)])
        drop(axes, month, to=lowest)
        tops, ends = [above(axes, month, low_words)], []
        for index, (line, text) in enumerate(zip(lines, words, strict=True)):
            look = look_of(line.place, index)
            ends.append(named_line(axes, line, text, look, index=index))
            if line.payback:
                drop(axes, line.payback)
                ring(axes, line.payback, 0.0, look)
                after = numbers.months(line.payback, limit=horizon)
                name = f"{line.short} pays back" if line.short else "pays back"
                tops.append(above(axes, line.payback, f"{name} after\n{after}"))
        settle(figure, column=ends, rows=[tops])
    alt = alternative(
        f"Line chart of money so far by month over {horizon} months", *words, low_words
    )
    return Picture("cumulative-cash", figure, alt)


def _payback_words(line: PaybackLine, *, horizon: int, numbers: Numbers) -> str:
    """How a line ends, with its payback or what it is short by; raises if they disagree."""
    last = line.values[-1]
    if (last > HALF_CENT) if line.payback is None else (last < -HALF_CENT):
        raise ValueError(
            f"payback of {line.label!r}: must be None exactly if the last value is below zero "
            f"(got {line.payback} and {last})"
        )
    within = numbers.months(horizon)
    if line.payback is None:
        short = numbers.money(-last)
        return f"{line.label}:\ndoes not pay back\nwithin {within},\nshort by {short}"
    after = f"pays back after\n{numbers.months(line.payback, limit=horizon)}"
    how = after if line.payback else "is never below zero"
    return f"{line.label}:\n{how},\n{numbers.money(last)} at{NO_BREAK}month{NO_BREAK}{horizon}"


def _lowest(series: Sequence[Sequence[float]]) -> tuple[int, float]:
    """Month and value of the lowest point of all the series, the first if several are as low."""
    value, month = min((value, month) for values in series for month, value in enumerate(values))
    return month, value


def _at(month: int) -> str:
    return f"month {month}" if month else "at signing"


def cash_flow(
    *, net: Sequence[float], balance: Sequence[float], limit: float | None, numbers: Numbers
) -> Picture:
    """The balance at the ends of months 0, 1, 2... and what the plan adds by month [currency].

    The flow at signing would dwarf every other bar: it is printed in words, and the balance shows
    what it does. `limit` is what the shop wants to keep at least, None if it is not stated.
    """
    horizon = length([net, balance]) - 1
    month, lowest = _lowest([balance])
    best = max(range(1, horizon + 1), key=lambda t: net[t])
    worst = min(range(1, horizon + 1), key=lambda t: net[t])
    low_words = f"lowest balance\n{numbers.money(lowest)}, {_at(month)}"
    end_words = f"balance {numbers.money(balance[-1])}\nat month {horizon}"
    limit_words = f"the shop keeps at least\n{numbers.money(limit)}" if limit is not None else None
    flow_words = {0: f"at signing (no bar)\n{numbers.money(net[0])}"}
    flow_words[best] = f"best, month {best}\n{numbers.money(net[best])}"
    flow_words[worst] = f"worst later, month {worst}\n{numbers.money(net[worst])}"
    with styled():
        figure = Figure(figsize=(WIDTH, 5.6), layout="constrained")
        upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=[3, 2])
        months_across(lower, horizon=horizon, last=horizon + 0.5)
        money_up(upper, numbers, label=f"balance, {numbers.currency}")
        money_up(lower, numbers, label=f"the plan adds, {numbers.currency}")
        leave_room(upper, [0.0, *balance, *([limit] if limit is not None else [])])
        leave_room(lower, [0.0, *net[1:]])
        zero_line(upper)
        curve(upper, range(horizon + 1), balance, stroke(0), index=0)
        drop(upper, month, to=lowest)
        ring(upper, month, lowest, stroke(0))
        ends = [beside(upper, horizon, balance[-1], end_words, stroke(0))]
        if limit is not None and limit_words is not None:
            limit_line(upper, limit)
            ends.append(beside(upper, horizon + 0.5, limit, limit_words, LIMIT))
        _flow_bars(lower, net)
        for t in {best, worst}:
            drop(lower, t, to=net[t])
        low_label = above(upper, month, low_words)
        flow_labels = [above(lower, t, text) for t, text in flow_words.items()]
        settle(figure, column=ends, rows=[[low_label], flow_labels])
    said = [low_words, end_words, limit_words or "the shop states no limit of its own"]
    kind = f"Balance, and what the plan adds by month, over {horizon} months"
    return Picture("cash-flow", figure, alternative(kind, *said, *flow_words.values()))


def _flow_bars(axes: Axes, net: Sequence[float]) -> None:
    """Bars of months 1, 2, 3... from zero, money out hatched."""
    for look, sign in ((stroke(0), 1.0), (stroke(1), -1.0)):
        axes.bar(
            range(1, len(net)),
            [value if value * sign > 0 else 0.0 for value in net[1:]],
            **bar_look(look),
        )
    zero_line(axes)


def financing_outlay(lines: Sequence[Line], *, numbers: Numbers) -> Picture:
    """What each way to pay has taken so far [currency], at the ends of months 0, 1, 2..."""
    horizon = length([line.values for line in lines]) - 1
    words = [
        f"{line.label}:\n{numbers.money(line.values[0])} at signing,\n"
        f"{numbers.money(line.values[-1])} in all"
        for line in lines
    ]
    with styled():
        figure, axes = month_plot(horizon=horizon, words=words)
        money_up(axes, numbers, label=f"paid so far, {numbers.currency}")
        leave_room(axes, [0.0, *points(lines)], below=0.0)
        settle(figure, column=named_lines(axes, lines, words))
    alt = alternative(f"Line chart of money paid so far over {horizon} months", *words)
    return Picture("financing-outlay", figure, alt)


def station_use(lines: Sequence[Line], *, numbers: Numbers) -> Picture:
    """Share of its hours that each station works [-], at the ends of months 1, 2, 3..."""
    horizon = length([line.values for line in lines])
    words = []
    for line in lines:
        month = max(range(horizon), key=line.values.__getitem__)
        words.append(
            f"{line.label}: most\n{numbers.percent(line.values[month])}, month {month + 1}"
        )
    with styled():
        figure, axes = month_plot(horizon=horizon, words=words)
        axes.set_ylabel("share of available hours")
        axes.yaxis.set_major_formatter(ticks(numbers.percent))
        leave_room(axes, [0.0, 1.0, *points(lines)], below=0.0)
        limit_line(axes, 1.0)
        ends = [beside(axes, horizon, 1.0, f"all hours {numbers.percent(1.0)}", LIMIT)]
        settle(figure, column=[*ends, *named_lines(axes, lines, words, first=1)])
    alt = alternative(f"Line chart of the share of hours used over {horizon} months", *words)
    return Picture("station-use", figure, alt)


def warranty_years(lines: Sequence[Line], *, totals: Sequence[float], numbers: Numbers) -> Picture:
    """What failures and their cover cost by year under each warranty [currency], year 1 first.

    A bar a warranty in each year; `totals` are the same in values today.
    """
    years = length([line.values for line in lines])
    words = [
        f"{line.label}:\n{numbers.money(line.values[-1])} in year {years},\n"
        f"{numbers.money(total)} in values today"
        for line, total in zip(lines, totals, strict=True)
    ]
    wide = GROUP / len(lines)
    with styled():
        figure, axes = plot(words=words)
        edge = years + 0.5
        axes.set_xlim(0.5, edge)
        axes.set_xlabel("year")
        axes.xaxis.set_major_locator(MultipleLocator(max(1, years // 10)))
        money_up(axes, numbers, label=f"cost a year, {numbers.currency}")
        leave_room(axes, [0.0, *points(lines)], below=min(0.0, *points(lines)))
        zero_line(axes)
        ends = []
        for index, (line, text) in enumerate(zip(lines, words, strict=True)):
            look, off = look_of(line.place, index), wide * (index + 0.5) - GROUP / 2
            places = [year + off for year in range(1, years + 1)]
            axes.bar(places, line.values, width=wide, **bar_look(look, edge=1.0))
            axes.hlines(line.values[-1], places[-1] + wide / 2, edge, color=look.colour,
                        linestyle=look.dash, linewidth=1.0)  # fmt: skip
            ends.append(beside(axes, edge, line.values[-1], text, look))
        settle(figure, column=ends)
    said = [
        f"{text}, from year 1 on {', '.join(map(numbers.money, line.values))}"
        for line, text in zip(lines, words, strict=True)
    ]
    kind = f"Bars of the cost of failures, wear and warranty by year over {years} years"
    return Picture("warranty-years", figure, alternative(kind, *said))
