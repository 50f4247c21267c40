"""Money over volume: where income covers the cost, and where making is cheaper than buying."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes

from planner.show.charts.axes import leave_room, money_up, number_across, plot
from planner.show.charts.marks import curve, drop, ring
from planner.show.charts.picture import Picture, alternative
from planner.show.labels import above, beside, corner, settle, width_of
from planner.show.numbers import Numbers
from planner.show.style import FAINT, RULE, WIDTH, stroke, styled


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


def break_even(
    *,
    volumes: Sequence[float],
    income: Sequence[float],
    total_cost: Sequence[float],
    crossing: Mark | None,
    planned: float,
    capacity: float,
    worth: float | None = None,
    numbers: Numbers,
) -> Picture:
    """Income and total cost of a steady month [currency/month] over volume [piece/week].

    `crossing` is where income first covers the cost; if None the chart says in words that it does
    not within `capacity` [piece/week]. `worth` [piece/week] is from where the purchase is worth
    more than what it is compared with.
    """
    marks = {"planned": planned, "capacity": capacity}
    if worth is not None:
        marks["worth more"] = worth
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
        figure, axes = plot(words=line_words)
        number_across(axes, numbers, values=volumes, label="pieces a week")
        money_up(axes, numbers, label=f"money a month, {numbers.currency}")
        leave_room(axes, [0.0, *income, *total_cost], below=0.0)
        ends = []
        for index, (values, text) in enumerate(zip((income, total_cost), line_words, strict=True)):
            curve(axes, volumes, values, stroke(index), index=index)
            ends.append(beside(axes, volumes[-1], values[-1], text, stroke(index)))
        for volume in marks.values():
            drop(axes, volume)
        if crossing is None:
            corner(axes, finding, side="left")
        else:
            _drop_left(axes, crossing)
            ring(axes, crossing.x, crossing.y, stroke(2))
        tops = [above(axes, marks[name], words[name]) for name in marks]
        settle(figure, column=ends, rows=[tops])
    said = [*(words[name] for name in marks if name != "break-even"), *line_words]
    alt = alternative("Line chart of income and total cost a month by volume", finding, *said)
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
        finding = f"making stays cheaper from\n{numbers.area_per_week(crossing)}"
        marks[finding] = crossing
    ends_of_price = {
        f"{name}: from\n{numbers.area_per_week(area)}": area
        for name, area in (("low price", crossing_low), ("high price", crossing_high))
        if area is not None and areas[0] <= area <= areas[-1]
    }
    if width_of([*marks, *ends_of_price]) > WIDTH:  # they do not fit side by side
        ends_of_price = {}
    marks |= ends_of_price
    with styled():
        figure, axes = plot(words=[made_words, bought_words])
        number_across(axes, numbers, values=shown, label=f"{numbers.area_unit} a week")
        label = f"cost of one {numbers.area_unit}, {numbers.currency}"
        money_up(axes, numbers, label=label, cents=True)
        leave_room(axes, [0.0, *prices, *high], below=0.0)
        axes.fill_between(shown, low, high, facecolor=FAINT, edgecolor="none", alpha=0.7)
        curve(axes, shown, prices, stroke(0), index=0)
        curve(axes, shown, likely, stroke(1), index=1)
        ends = [
            beside(axes, shown[-1], prices[-1], made_words, stroke(0)),
            beside(axes, shown[-1], likely[-1], bought_words, stroke(1)),
        ]
        for area in marks.values():
            drop(axes, numbers.area_shown(area))
        for area in ends_of_price.values():
            place = numbers.area_shown(area)
            ring(axes, place, float(np.interp(place, shown, prices)), stroke(1), size=5.0)
        if crossing is None:
            corner(axes, finding, side="right")
        else:
            place = numbers.area_shown(crossing)
            ring(axes, place, float(np.interp(place, shown, likely)), stroke(2))
        tops = [above(axes, numbers.area_shown(area), text) for text, area in marks.items()]
        settle(figure, column=ends, rows=[tops])
    said = [text for text in marks if text != finding]
    alt = alternative("Line chart of cost by area", finding, *said, made_words, bought_words)
    return Picture("make-or-buy", figure, alt)


def _bought_words(bought: Band, *, ends_at: str, numbers: Numbers) -> str:
    """The price of bought-in transfers at the last area, with its range where it has one."""
    low, likely, high = (
        numbers.money_per_area(_each(price, 1)[-1])
        for price in (bought.low, bought.likely, bought.high)
    )
    span = "" if low == high else f",\nfrom {low} to {high}"
    return f"bought in\n{likely} at\n{ends_at}{span}"


def _each(price: float | Sequence[float], count: int) -> Sequence[float]:
    """A price for each area, from one for all or one for each."""
    return [price] * count if isinstance(price, int | float) else price


def _drop_left(axes: Axes, mark: Mark) -> None:
    """A thin line from a point to the vertical axis."""
    left, _ = axes.get_xlim()
    axes.hlines(mark.y, left, mark.x, color=RULE, linewidth=0.9, linestyle=":")
