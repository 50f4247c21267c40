"""The pictures: one function a chart, from plain data to a figure and its text alternative.

No chart computes a figure: what is marked or printed was passed in, or is a point of the data
itself. The finding is the heading above a picture, set in text, so no picture has a title. Labels
stand beside what they name; there is no legend and no second axis; bars start at zero.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from textwrap import shorten

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Annotation
from matplotlib.ticker import FuncFormatter, MaxNLocator, MultipleLocator

from planner.show.labels import (
    TIER,
    above,
    beside,
    corner,
    height_of,
    over,
    settle,
    wrapped,
)
from planner.show.numbers import Numbers
from planner.show.style import (
    FAINT,
    RULE,
    STROKES,
    TEXT,
    WIDTH,
    Stroke,
    drawable,
    stroke,
    styled,
)

NO_BREAK = "\u00a0"  # a space at which no line is broken
HALF_CENT = 0.005  # [currency]
HEIGHT = 4.0  # [inch]
ROOM = 0.14  # [-] of the data's range left free above and below for words
MONTH_STEPS = (1, 2, 3, 6, 12, 24, 60, 120)
LIMIT = Stroke(TEXT, (0.0, (4.0, 2.0)), "", "")  # a limit that is not itself a series


@dataclass(frozen=True)
class Picture:
    """A figure ready to be saved, the name of its files, and its text alternative."""

    name: str
    figure: Figure
    alt: str


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


@dataclass(frozen=True)
class Mark:
    """A point to be marked, in the units of the chart's axes."""

    x: float
    y: float


@dataclass(frozen=True)
class Band:
    """A price [currency/m^2] and the range it may lie in; one value, or one for each area."""

    low: float | Sequence[float]
    likely: float | Sequence[float]
    high: float | Sequence[float]


@dataclass(frozen=True)
class CostBar:
    """What one product costs by part, and the total [currency/piece]."""

    label: str
    values: Sequence[float]
    total: float


# --- money over time --------------------------------------------------------------------------


def cumulative_cash(lines: Sequence[PaybackLine], *, numbers: Numbers) -> Picture:
    """Cumulative money by month; marked where a line has earned its outlay back for good.

    Raises ValueError if the lines differ in length or a payback contradicts its line.
    """
    horizon = _horizon([line.values for line in lines])
    words = [_payback_words(line, horizon=horizon, numbers=numbers) for line in lines]
    month, lowest = _lowest([line.values for line in lines])
    owner = next(line.short for line in lines if line.values[month] == lowest)
    low_words = f"{owner} lowest".strip() + f"\n{numbers.money(lowest)}, {_at(month)}"
    with styled():
        figure, axes = _month_axes(horizon=horizon, words=words)
        _money_axis(axes, numbers, label=f"money gained so far, {numbers.currency}")
        _zero_line(axes)
        _leave_room(axes, [0.0, *(value for line in lines for value in line.values)])
        _drop(axes, month, to=lowest)
        tops, ends = [above(axes, month, low_words)], []
        for index, (line, text) in enumerate(zip(lines, words, strict=True)):
            look = _look(line.place, index)
            _curve(axes, range(horizon + 1), line.values, look, index=index)
            ends.append(beside(axes, horizon, line.values[-1], text, look))
            if line.payback:
                _drop(axes, line.payback)
                _point(axes, line.payback, 0.0, look)
                after = numbers.months(line.payback, limit=horizon)
                name = f"{line.short} pays back" if line.short else "pays back"
                tops.append(above(axes, line.payback, f"{name} after\n{after}"))
        settle(figure, column=ends, rows=[tops])
    alt = _alt(f"Line chart of money so far by month over {horizon} months", *words, low_words)
    return Picture("cumulative-cash", figure, alt)


def cash_flow(
    *, net: Sequence[float], balance: Sequence[float], limit: float | None, numbers: Numbers
) -> Picture:
    """The balance at the ends of months 0, 1, 2... over each month's net flow, both [currency].

    The flow at signing would dwarf every other bar: it is printed in words, and the balance shows
    what it does. `limit` is what the shop wants to keep at least, None if it is not stated.
    """
    horizon = _horizon([net, balance])
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
        _months_across(lower, horizon=horizon, last=horizon + 0.5)
        _money_axis(upper, numbers, label=f"balance, {numbers.currency}")
        _money_axis(lower, numbers, label=f"net flow, {numbers.currency}")
        _leave_room(upper, [0.0, *balance, *([limit] if limit is not None else [])])
        _leave_room(lower, [0.0, *net[1:]])
        _zero_line(upper)
        _curve(upper, range(horizon + 1), balance, stroke(0), index=0)
        _drop(upper, month, to=lowest)
        _point(upper, month, lowest, stroke(0))
        ends = [beside(upper, horizon, balance[-1], end_words, stroke(0))]
        if limit is not None and limit_words is not None:
            _limit_line(upper, limit)
            ends.append(beside(upper, horizon + 0.5, limit, limit_words, LIMIT))
        _flow_bars(lower, net)
        for t in {best, worst}:
            _drop(lower, t, to=net[t])
        low_label = above(upper, month, low_words)
        flow_labels = [above(lower, t, text) for t, text in flow_words.items()]
        settle(figure, column=ends, rows=[[low_label], flow_labels])
    said = [low_words, end_words, limit_words or "the shop states no limit of its own"]
    kind = f"Balance and net flow by month over {horizon} months"
    return Picture("cash-flow", figure, _alt(kind, *said, *flow_words.values()))


def financing_outlay(lines: Sequence[Line], *, numbers: Numbers) -> Picture:
    """What each way to pay has taken so far [currency], at the ends of months 0, 1, 2..."""
    horizon = _horizon([line.values for line in lines])
    words = [
        f"{line.label}:\n{numbers.money(line.values[0])} at signing,\n"
        f"{numbers.money(line.values[-1])} in all"
        for line in lines
    ]
    with styled():
        figure, axes = _month_axes(horizon=horizon, words=words)
        _money_axis(axes, numbers, label=f"paid so far, {numbers.currency}")
        _leave_room(axes, [0.0, *(value for line in lines for value in line.values)], below=0.0)
        ends = []
        for index, (line, text) in enumerate(zip(lines, words, strict=True)):
            look = _look(line.place, index)
            _curve(axes, range(horizon + 1), line.values, look, index=index)
            ends.append(beside(axes, horizon, line.values[-1], text, look))
        settle(figure, column=ends)
    alt = _alt(f"Line chart of money paid so far over {horizon} months", *words)
    return Picture("financing-outlay", figure, alt)


def station_use(lines: Sequence[Line], *, numbers: Numbers) -> Picture:
    """Share of its hours that each station works [-], at the ends of months 1, 2, 3..."""
    horizon = len(lines[0].values)
    words = []
    for line in lines:
        month = max(range(horizon), key=line.values.__getitem__)
        words.append(
            f"{line.label}: most\n{numbers.percent(line.values[month])}, month {month + 1}"
        )
    with styled():
        figure, axes = _month_axes(horizon=horizon, words=words)
        axes.set_ylabel("share of available hours")
        axes.yaxis.set_major_formatter(_ticks(numbers.percent))
        _leave_room(axes, [0.0, 1.0, *(v for line in lines for v in line.values)], below=0.0)
        _limit_line(axes, 1.0)
        ends = [beside(axes, horizon, 1.0, f"all hours {numbers.percent(1.0)}", LIMIT)]
        for index, (line, text) in enumerate(zip(lines, words, strict=True)):
            look = _look(line.place, index)
            _curve(axes, range(1, horizon + 1), line.values, look, index=index)
            ends.append(beside(axes, horizon, line.values[-1], text, look))
        settle(figure, column=ends)
    alt = _alt(f"Line chart of the share of hours used over {horizon} months", *words)
    return Picture("station-use", figure, alt)


def warranty_years(lines: Sequence[Line], *, totals: Sequence[float], numbers: Numbers) -> Picture:
    """What failures and their cover cost by year under each warranty [currency], year 1 first.

    `totals` are the same in values today.
    """
    years = len(lines[0].values)
    words = [
        f"{line.label}:\n{numbers.money(line.values[-1])} in year {years},\n"
        f"{numbers.money(total)} in values today"
        for line, total in zip(lines, totals, strict=True)
    ]
    with styled():
        figure, axes = _axes(words=words)
        axes.set_xlim(min(1.0, years - 0.5), years)
        axes.set_xlabel("year")
        axes.xaxis.set_major_locator(MultipleLocator(max(1, years // 10)))
        _money_axis(axes, numbers, label=f"cost a year, {numbers.currency}")
        _leave_room(axes, [0.0, *(value for line in lines for value in line.values)], below=0.0)
        ends = []
        for index, (line, text) in enumerate(zip(lines, words, strict=True)):
            look = _look(line.place, index)
            _curve(axes, range(1, years + 1), line.values, look, index=0)
            ends.append(beside(axes, years, line.values[-1], text, look))
        settle(figure, column=ends)
    alt = _alt(f"Line chart of the cost of failures, wear and warranty over {years} years", *words)
    return Picture("warranty-years", figure, alt)


# --- money over volume ------------------------------------------------------------------------


def break_even(
    *,
    volumes: Sequence[float],
    income: Sequence[float],
    total_cost: Sequence[float],
    crossing: Mark | None,
    planned: float,
    capacity: float,
    numbers: Numbers,
) -> Picture:
    """Income and total cost of a steady month [currency/month] over volume [piece/week].

    `crossing` is where income first covers the cost; if None the chart says in words that it does
    not within `capacity` [piece/week].
    """
    marks = {"planned": planned, "capacity": capacity}
    words = {name: f"{name}\n{numbers.pieces_per_week(marks[name])}" for name in marks}
    finding = f"no break-even within capacity, {numbers.pieces_per_week(capacity)}"
    if crossing is not None:
        marks["break-even"] = crossing.x
        finding = f"break-even\n{numbers.pieces_per_week(crossing.x)}"
        finding = words["break-even"] = f"{finding},\n{numbers.money(crossing.y)} a month"
    ends_at = numbers.pieces_per_week(volumes[-1])
    line_words = [
        f"{name} {numbers.money(values[-1])}\na month at\n{ends_at}"
        for name, values in (("income", income), ("total cost", total_cost))
    ]
    with styled():
        figure, axes = _axes(words=line_words)
        _number_across(axes, numbers, values=volumes, label="pieces a week")
        _money_axis(axes, numbers, label=f"money a month, {numbers.currency}")
        _leave_room(axes, [0.0, *income, *total_cost], below=0.0)
        ends = []
        for index, (values, text) in enumerate(zip((income, total_cost), line_words, strict=True)):
            _curve(axes, volumes, values, stroke(index), index=index)
            ends.append(beside(axes, volumes[-1], values[-1], text, stroke(index)))
        for volume in marks.values():
            _drop(axes, volume)
        if crossing is None:
            corner(axes, finding, side="left")
        else:
            _drop_left(axes, crossing)
            _point(axes, crossing.x, crossing.y, stroke(2))
        tops = [above(axes, marks[name], words[name]) for name in marks]
        settle(figure, column=ends, rows=[tops])
    said = [words["planned"], words["capacity"], *line_words]
    alt = _alt("Line chart of income and total cost a month by volume", finding, *said)
    return Picture("break-even", figure, alt)


def make_or_buy(
    *,
    areas: Sequence[float],
    made: Sequence[float],
    bought: Band,
    crossing: float | None,
    planned: float,
    numbers: Numbers,
    crossing_low: float | None = None,
    crossing_high: float | None = None,
) -> Picture:
    """Cost by area of transfers made here and bought in [currency/m^2] over area [m^2/week].

    `crossing` is the lowest area from which making stays cheaper [m^2/week]; if None the chart says
    in words that there is none. `crossing_low` and `crossing_high` are those at the ends of the
    bought-in price, marked smaller where they lie in the plot and there is room for their labels.
    Start `areas` where the cost is worth reading: as the area goes to zero, it grows without limit.
    """
    shown = [numbers.area_shown(area) for area in areas]
    prices = [numbers.per_area_shown(price) for price in made]
    low, likely, high = (
        [numbers.per_area_shown(price) for price in _each(prices_bought, len(areas))]
        for prices_bought in (bought.low, bought.likely, bought.high)
    )
    ends_at = numbers.area_per_week(areas[-1])
    made_words = f"made here\n{numbers.money_per_area(made[-1])} at\n{ends_at}"
    bought_words = _bought_words(bought, ends_at=ends_at, numbers=numbers)
    marks = {f"planned\n{numbers.area_per_week(planned)}": planned}
    finding = f"making never stays cheaper up to {ends_at}"
    if crossing is not None:
        finding = f"making is cheaper from\n{numbers.area_per_week(crossing)}"
        marks[finding] = crossing
    ends_of_price = {
        f"{name}: from\n{numbers.area_per_week(area)}": area
        for name, area in (("low price", crossing_low), ("high price", crossing_high))
        if area is not None and areas[0] <= area <= areas[-1]
    }
    if not _fit_in_a_row([*marks, *ends_of_price]):
        ends_of_price = {}
    marks |= ends_of_price
    with styled():
        figure, axes = _axes(words=[made_words, bought_words])
        _number_across(axes, numbers, values=shown, label=f"{numbers.area_unit} a week")
        label = f"cost of one {numbers.area_unit}, {numbers.currency}"
        _money_axis(axes, numbers, label=label, cents=True)
        _leave_room(axes, [0.0, *prices, *high], below=0.0)
        axes.fill_between(shown, low, high, facecolor=FAINT, edgecolor="none", alpha=0.7)
        _curve(axes, shown, prices, stroke(0), index=0)
        _curve(axes, shown, likely, stroke(1), index=1)
        ends = [
            beside(axes, shown[-1], prices[-1], made_words, stroke(0)),
            beside(axes, shown[-1], likely[-1], bought_words, stroke(1)),
        ]
        for area in marks.values():
            _drop(axes, numbers.area_shown(area))
        for area in ends_of_price.values():
            place = numbers.area_shown(area)
            _point(axes, place, float(np.interp(place, shown, prices)), stroke(1), size=5.0)
        if crossing is None:
            corner(axes, finding, side="right")
        else:
            place = numbers.area_shown(crossing)
            _point(axes, place, float(np.interp(place, shown, likely)), stroke(2))
        tops = [above(axes, numbers.area_shown(area), text) for text, area in marks.items()]
        settle(figure, column=ends, rows=[tops])
    said = [text for text in marks if text != finding]
    alt = _alt("Line chart of cost by area", finding, *said, made_words, bought_words)
    return Picture("make-or-buy", figure, alt)


# --- money a piece ----------------------------------------------------------------------------


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
        axes.set_ylim(pitch * len(bars), 0.0)
        axes.set_xlim(0.0, max(bar.total for bar in bars) or 1.0)
        _money_across(axes, numbers, label=f"a piece, {numbers.currency}")
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
    return Picture("print-cost", figure, _alt("Bars of the cost of a piece by part", *said))


# --- the words ---------------------------------------------------------------------------------


def _alt(kind: str, *said: str) -> str:
    """The text alternative: the kind of picture, then the words that stand in it."""
    return f"{kind}: {'; '.join(said)}.".replace("\n", " ").replace(NO_BREAK, " ")


def _at(month: int) -> str:
    return f"month {month}" if month else "at signing"


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


def _bought_words(bought: Band, *, ends_at: str, numbers: Numbers) -> str:
    """The price of bought-in transfers at the last area, with its range where it has one."""
    low, likely, high = (
        numbers.money_per_area(_each(price, 1)[-1])
        for price in (bought.low, bought.likely, bought.high)
    )
    span = "" if low == high else f",\nfrom {low} to {high}"
    return f"bought in\n{likely} at\n{ends_at}{span}"


def _part_words(bar: CostBar, parts: Sequence[str], numbers: Numbers) -> dict[int, str]:
    """Name and cost of each part worth naming, by its place in the bar."""
    return {
        place: f"{wrapped(part, 9)}\n{numbers.money(value, cents=True)}"
        for place, (part, value) in enumerate(zip(parts, bar.values, strict=True))
        if numbers.money(value, cents=True) != numbers.money(0.0, cents=True)
    }


def _tiers(texts: Sequence[str]) -> int:
    """Tiers of labels [-] needed over a bar, at a generous width a character."""
    return math.ceil(_width_of(texts) / WIDTH) or 1


def _fit_in_a_row(texts: Sequence[str]) -> bool:
    """Whether labels fit side by side over a plot."""
    return _width_of(texts) <= WIDTH


def _width_of(texts: Sequence[str]) -> float:
    """Width of labels side by side [inch], at a generous width a character."""
    longest = [max(len(line) for line in text.split("\n")) for text in texts]
    return sum(0.085 * length + 0.09 for length in longest)


# --- the axes ----------------------------------------------------------------------------------


def _axes(*, words: Sequence[str]) -> tuple[Figure, Axes]:
    """One plot, high enough for the words beside its lines."""
    figure = Figure(figsize=(WIDTH, max(HEIGHT, 1.0 + height_of(words))), layout="constrained")
    return figure, figure.add_subplot()


def _month_axes(*, horizon: int, words: Sequence[str]) -> tuple[Figure, Axes]:
    figure, axes = _axes(words=words)
    _months_across(axes, horizon=horizon)
    return figure, axes


def _months_across(axes: Axes, *, horizon: int, last: float | None = None) -> None:
    step = next(step for step in MONTH_STEPS if horizon <= 8 * step or step == MONTH_STEPS[-1])
    axes.set_xlim(0.0, last or horizon)
    axes.set_xlabel("month")
    axes.xaxis.set_major_locator(MultipleLocator(step))


def _number_across(axes: Axes, numbers: Numbers, *, values: Sequence[float], label: str) -> None:
    axes.set_xlim(min(values), max(values))
    axes.set_xlabel(label)
    room = max(3, 30 // (len(numbers.plain(max(values))) + 1))  # ticks whose numbers do not touch
    axes.xaxis.set_major_locator(MaxNLocator(nbins=room, steps=[1, 2, 2.5, 5, 10]))
    axes.xaxis.set_major_formatter(_ticks(numbers.plain))


def _money_axis(axes: Axes, numbers: Numbers, *, label: str, cents: bool = False) -> None:
    """Ticks only where the money printed is the exact place of the tick."""
    axes.set_ylabel(label)
    axes.yaxis.set_major_locator(MaxNLocator(nbins=6, steps=[1, 2, 2.5, 5, 10], integer=not cents))
    axes.yaxis.set_major_formatter(_ticks(partial(numbers.money, cents=cents)))


def _money_across(axes: Axes, numbers: Numbers, *, label: str) -> None:
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.set_xlabel(label)
    axes.xaxis.set_major_locator(MaxNLocator(nbins=5, steps=[1, 2, 5, 10]))
    axes.xaxis.set_major_formatter(_ticks(partial(numbers.money, cents=True)))


def _ticks(write: Callable[[float], str]) -> FuncFormatter:
    return FuncFormatter(lambda value, _: drawable(write(value)))


def _leave_room(axes: Axes, values: Sequence[float], *, below: float | None = None) -> None:
    """Limits that clip nothing and leave room for words; `below` fixes the lower one."""
    low, high = min(values), max(values)
    span = (high - low) or 1.0
    axes.set_ylim(low - ROOM * span if below is None else below, high + ROOM / 2 * span)


def _each(price: float | Sequence[float], count: int) -> Sequence[float]:
    """A price for each area, from one for all or one for each."""
    return [price] * count if isinstance(price, int | float) else price


def _horizon(series: Sequence[Sequence[float]]) -> int:
    """The last month of series that start at month 0; raises ValueError if they differ."""
    lengths = {len(values) for values in series}
    if len(lengths) != 1:
        raise ValueError(f"series: must be of one length (got {sorted(lengths)})")
    return lengths.pop() - 1


def _lowest(series: Sequence[Sequence[float]]) -> tuple[int, float]:
    """Month and value of the lowest point of all the series, the first if several are as low."""
    value, month = min((value, month) for values in series for month, value in enumerate(values))
    return month, value


# --- the marks ---------------------------------------------------------------------------------


def _look(place: int | None, index: int) -> Stroke:
    return stroke(index if place is None else place)


def _curve(axes: Axes, x: Sequence[float], y: Sequence[float], look: Stroke, *, index: int) -> None:
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


def _point(axes: Axes, x: float, y: float, look: Stroke, *, size: float = 7.5) -> None:
    axes.plot(
        [x], [y], "o", color="white", markeredgecolor=look.colour, markeredgewidth=1.8,
        markersize=size, clip_on=False, zorder=4,
    )  # fmt: skip


def _zero_line(axes: Axes) -> None:
    axes.axhline(0.0, color=TEXT, linewidth=1.0)


def _limit_line(axes: Axes, value: float) -> None:
    axes.axhline(value, color=LIMIT.colour, linestyle=LIMIT.dash, linewidth=1.2)


def _drop(axes: Axes, x: float, *, to: float | None = None) -> None:
    """A thin line through the plot, from the label above to a point or to the horizontal axis."""
    low, high = axes.get_ylim()
    axes.vlines(x, low if to is None else to, high, color=RULE, linewidth=0.9, linestyle=":")


def _drop_left(axes: Axes, mark: Mark) -> None:
    """A thin line from a point to the vertical axis."""
    left, _ = axes.get_xlim()
    axes.hlines(mark.y, left, mark.x, color=RULE, linewidth=0.9, linestyle=":")


def _flow_bars(axes: Axes, net: Sequence[float]) -> None:
    """Bars of months 1, 2, 3... from zero, money out hatched."""
    for look, sign in ((stroke(0), 1.0), (stroke(1), -1.0)):
        axes.bar(
            range(1, len(net)),
            [value if value * sign > 0 else 0.0 for value in net[1:]],
            color=look.colour,
            edgecolor="white",
            hatch=look.hatch,
            linewidth=0.0,
        )
    _zero_line(axes)


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
            color=look.colour,
            edgecolor="white",
            hatch=look.hatch,
            linewidth=1.0,
        )
        if place in words:
            tier = len(labels) % tiers
            labels.append(over(axes, left + value / 2, top, words[place], tier=tier))
        left += value
    return labels
