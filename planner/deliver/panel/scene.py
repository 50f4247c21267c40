"""What the picture shows: the curves of an answer beside those of where one started."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.decide.curves import cumulative, cumulative_outlay, own_cash_flow
from planner.decide.evaluation import (
    AGAINST_BUYING_IN,
    COMPARISONS,
    TODAY_ONLY,
    WHOLE_PLAN,
)
from planner.deliver.panel.tryout import Tried
from planner.scenario.estimates import Array
from planner.show.numbers import Numbers
from planner.show.pictures import COMPARISON_PLACES
from planner.show.style import RULE, TEXT, Stroke, stroke
from planner.show.words import COMPARISON_LETTERS, numbers_of, payback_words
from planner.show.words.common import payback_clause

EARLIER: Final = Stroke(RULE, (0.0, (1.0, 1.6)), "", "")  # where one started
LIMIT: Final = Stroke(TEXT, (0.0, (4.0, 2.0)), "", "")
LOOKS: Final = {name: stroke(place) for name, place in COMPARISON_PLACES.items()}
STARTED: Final = "where you started"
TITLES: Final = {
    "gained": "Money gained so far, before financing",
    "balance": "Bank balance, and the cash flow of each month",
    "flow": "",
    "month": "A month by volume: income and total cost",
    "paid": "Paid so far for the equipment",
}


@dataclass(frozen=True, eq=False)
class Track:
    """A curve, in the units of its plot's axes; ``steps`` holds each value for its whole month."""

    x: Array
    y: Array
    look: Stroke
    label: str = ""
    steps: bool = False


@dataclass(frozen=True, eq=False)
class Plot:
    """Curves from left to ``last``, points marked on them and places named above the plot."""

    tracks: tuple[Track, ...]
    last: float
    points: tuple[tuple[float, float, Stroke], ...] = ()
    drops: tuple[tuple[float, str], ...] = ()


Scene = Mapping[str, Plot]


def scene(now: Tried, start: Tried) -> Scene:
    """The five plots; earlier curves are left out where nothing has been changed."""
    earlier = None if now.settings == start.settings else start
    return {
        "gained": _gained(now, earlier),
        "balance": _balance(now, earlier),
        "flow": _flow(now, earlier),
        "month": _month(now, earlier),
        "paid": _paid(now, earlier),
    }


def _months(tried: Tried) -> Array:
    return np.arange(tried.page.case.months + 1, dtype=float)


def _gained(now: Tried, earlier: Tried | None) -> Plot:
    """Cumulative money of the three comparisons, and that of B where one started."""
    series = cumulative(now.page.best.evaluation)
    headline = AGAINST_BUYING_IN
    names = {name: COMPARISON_LETTERS[name] for name in COMPARISONS}
    if np.array_equal(series[headline], series[WHOLE_PLAN]):
        names = {TODAY_ONLY: "A", headline: "B and C"}
    times = now.page.best.figures.payback
    months, x = now.page.case.months, _months(now)
    tracks = [
        Track(x, series[name], LOOKS[name], f"{letter}: {_earned(now, name, series[name])}")
        for name, letter in names.items()
    ]
    if earlier is not None:
        before = cumulative(earlier.page.best.evaluation)[headline]
        words = f"B {STARTED}: {_back(earlier, headline)}"
        tracks.insert(0, Track(_months(earlier), before, EARLIER, words))
    points = [
        (back, 0.0, LOOKS[name])
        for name in names
        if (back := times[name].months) is not None and back > 0
    ]
    return Plot(tuple(tracks), float(months), tuple(points))


def _back(tried: Tried, name: str) -> str:
    page = tried.page
    time = page.best.figures.payback[name]
    words = payback_words(time, horizon=page.case.months, numbers=numbers_of(page.scenario))
    return payback_clause(time, words)


def _earned(tried: Tried, name: str, series: Array) -> str:
    """The payback, and what has come in at the end where there is one."""
    words = _back(tried, name)
    if tried.page.best.figures.payback[name].months is None:
        return words
    last = numbers_of(tried.page.scenario).money(float(series[-1]))
    return f"{words}, {last} at month {tried.page.case.months}"


def _balance(now: Tried, earlier: Tried | None) -> Plot:
    """Bank balance by month, its lowest point and what the shop wants to keep."""
    page, numbers = now.page, numbers_of(now.page.scenario)
    cash, x = page.best.figures.cash, _months(now)
    words = f"{numbers.money(float(cash.balance[-1]))} at month {page.case.months}"
    tracks = [Track(x, cash.balance, stroke(0), words)]
    if earlier is not None:
        before = earlier.page.best.figures.cash.balance
        tracks.insert(0, Track(_months(earlier), before, EARLIER, STARTED))
    floor = page.scenario.conditions.cash_never_below
    if floor is not None:
        limit = page.case.values.scalar(floor)
        label = f"keep at least {numbers.money(limit)}"
        tracks.append(Track(x[[0, -1]], np.array([limit, limit]), LIMIT, label))
    when = f"month {cash.lowest_month}" if cash.lowest_month else "at signing"
    month = float(cash.lowest_month)
    return Plot(
        tuple(tracks),
        float(page.case.months),
        ((month, cash.lowest, stroke(0)),),
        ((month, f"lowest {numbers.money(cash.lowest)},\n{when}"),),
    )


def _flow(now: Tried, earlier: Tried | None) -> Plot:
    """Own cash flow of months 1, 2, 3…; that at signing would dwarf them."""
    tracks = [
        Track(_months(tried)[1:], own_cash_flow(tried.page.best.evaluation)[1:], look, steps=True)
        for tried, look in ((earlier, EARLIER), (now, stroke(0)))
        if tried is not None
    ]
    return Plot(tuple(tracks), float(now.page.case.months))


def _month(now: Tried, earlier: Tried | None) -> Plot:
    """Income and total cost of a steady month by weekly volume."""
    numbers = numbers_of(now.page.scenario)
    curves = now.curves
    at = f"at {_pieces(float(curves.volumes[-1]), numbers)} a week"
    income, cost = (
        f"{numbers.money(float(line[-1]))} {at}" for line in (curves.income, curves.total_cost)
    )
    never = "" if curves.crossing else "; no break-even within capacity"
    tracks = [
        Track(curves.volumes, curves.income, stroke(0), f"income {income}"),
        Track(curves.volumes, curves.total_cost, stroke(1), f"total cost {cost}{never}"),
    ]
    last = float(curves.volumes[-1])
    if earlier is not None:
        tracks[:0] = _month_before(earlier)
        last = max(last, float(tracks[0].x[-1]))
    drops = [(curves.planned, f"planned\n{_pieces(curves.planned, numbers)}")]
    points = []
    if curves.crossing is not None:
        pieces, money = curves.crossing
        points.append((pieces, money, stroke(2)))
        drops.append((pieces, f"break-even\n{_pieces(pieces, numbers)}"))
    return Plot(tuple(tracks), last, tuple(points), tuple(drops))


def _month_before(earlier: Tried) -> Iterator[Track]:
    curves = earlier.curves
    yield Track(curves.volumes, curves.total_cost, EARLIER, f"cost {STARTED}")
    yield Track(curves.volumes, curves.income, EARLIER)


def _pieces(volume: float, numbers: Numbers) -> str:
    return numbers.pieces_per_week(volume).partition(" ")[0]


def _paid(now: Tried, earlier: Tried | None) -> Plot:
    """What the way to pay has taken by each month."""
    tracks = [
        Track(_months(tried), paid, look, _outlay_words(tried, paid, name))
        for tried, look, name in (
            (earlier, EARLIER, STARTED),
            (now, stroke(0), now.settings["financing"]),
        )
        if tried is not None
        for paid in (cumulative_outlay(tried.page.best.evaluation.plan),)
    ]
    return Plot(tuple(tracks), float(now.page.case.months))


def _outlay_words(tried: Tried, paid: Array, name: object) -> str:
    numbers = numbers_of(tried.page.scenario)
    first, last = (numbers.money(float(paid[at])) for at in (0, -1))
    return f"{name}: {first} at signing, {last} in all"


def described(drawn: Scene) -> str:
    """The words of the picture, for who cannot see it."""
    said = []
    for name, plot in drawn.items():
        words = [text for _, text in plot.drops] + [one.label for one in plot.tracks if one.label]
        if words:
            said.append(f"{TITLES[name]}: {'; '.join(words)}.".replace("\n", " "))
    return "Line charts. " + " ".join(said)
