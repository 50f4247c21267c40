"""Charts by their structure: the data drawn, the words printed, nothing over anything else."""

import math
from collections.abc import Callable
from functools import cache
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.axes import Axes
from matplotlib.text import Annotation
from reading_charts import (
    DE,
    US,
    assert_apart,
    assert_bare,
    assert_numbers_are_in_the_alternative,
    assert_readable,
    assert_same_bytes,
    drawn_bars,
    printed,
    texts,
)

from planner.show.charts import (
    Band,
    CostBar,
    Line,
    Mark,
    PaybackLine,
    Picture,
    break_even,
    cash_flow,
    cumulative_cash,
    financing_outlay,
    make_or_buy,
    print_cost,
    station_use,
    warranty_years,
)
from planner.show.numbers import SQUARE_FOOT, Numbers

NAMES = ("A. Today's work only", "B. The plan against buying in", "C. The whole plan against today")


def straight(start: float, step: float, months: int = 60) -> list[float]:
    return [start + step * month for month in range(months + 1)]


def payback_line(label: str, start: float, step: float, months: int = 60) -> PaybackLine:
    values = straight(start, step, months)
    return PaybackLine(label, values, -start / step if values[-1] >= 0 and start < 0 else None)


def paybacks(*lines: tuple[float, float], months: int = 60, numbers: Numbers = US) -> Picture:
    drawn = [payback_line(name, *line, months) for name, line in zip(NAMES, lines, strict=True)]
    return cumulative_cash(drawn, numbers=numbers)


def volumes(
    fixed: float, contribution: float, capacity: float, planned: float, numbers: Numbers = US
) -> Picture:
    amounts = [capacity * step / 20 for step in range(21)]
    crossing = fixed / contribution
    return break_even(
        volumes=amounts,
        income=[2 * contribution * amount for amount in amounts],
        total_cost=[fixed + contribution * amount for amount in amounts],
        crossing=Mark(crossing, 2 * fixed) if crossing <= capacity else None,
        planned=planned,
        capacity=capacity,
        numbers=numbers,
    )


def cash(
    signing: float, step: float, limit: float | None, months: int = 60, numbers: Numbers = US
) -> Picture:
    net = [signing, *(step + abs(step) * math.sin(t) for t in range(1, months + 1))]
    balance = [abs(signing) + sum(net[: t + 1]) for t in range(months + 1)]
    return cash_flow(net=net, balance=balance, limit=limit, numbers=numbers)


def transfers(fixed: float, planned: float, numbers: Numbers = US) -> Picture:
    areas = [(20.0 + 140 * step / 30) * SQUARE_FOOT for step in range(31)]
    crossing = fixed / 2.2
    return make_or_buy(
        areas=areas,
        made=[0.9 / SQUARE_FOOT + fixed / area for area in areas],
        bought=Band(2.7 / SQUARE_FOOT, 3.1 / SQUARE_FOOT, 3.6 / SQUARE_FOOT),
        crossing=crossing * SQUARE_FOOT if crossing <= 160 else None,
        planned=planned * SQUARE_FOOT,
        numbers=numbers,
    )


PARTS = ("ink", "film", "powder", "garment", "labour", "energy", "payment fee", "redone work")
COSTS = (0.62, 0.71, 0.18, 3.40, 1.05, 0.004, 0.47, 0.11)


def costs(*bars: tuple[str, float], parts: int = 8, numbers: Numbers = US) -> Picture:
    drawn = []
    for label, scale in bars:
        values = [scale * cost for cost in COSTS[:parts]]
        drawn.append(CostBar(label, values, sum(values)))
    return print_cost(drawn, parts=PARTS[:parts], numbers=numbers)


def ways(count: int) -> Picture:
    return financing_outlay(
        [Line(f"Loan from the bank round the corner {n}", straight(3700, 400 + n))
         for n in range(count)],
        numbers=US,
    )  # fmt: skip


def stations(*shares: float) -> Picture:
    names = ("Printer", "Dryer", "Press", "People")
    lines = [
        Line(name, [share * (1 + 0.1 * math.sin(t)) for t in range(60)])
        for name, share in zip(names, shares, strict=True)
    ]
    return station_use(lines, numbers=US)


def warranties(*by_year: list[float], numbers: Numbers = US) -> Picture:
    names = ("Included, 12 months", "36 months, with a loan machine", "Seller's", "Dealer's")
    lines = [Line(name, values) for name, values in zip(names, by_year, strict=False)]
    return warranty_years(lines, totals=[0.8 * sum(one) for one in by_year], numbers=numbers)


YEARS = ([155.0, 1159, 2490, 1240, 2490], [1255.0, 203, 1453, 1159, 2490])
CASES: dict[str, Callable[[], Picture]] = {
    "payback": lambda: paybacks((-18400, 190), (-18400, 1100), (-18400, 1750)),
    "payback, lines end close together": lambda: paybacks(
        (-18400, 1000), (-18400, 1010), (-18400, 1020)
    ),
    "payback, all negative": lambda: paybacks((-18400, -190), (-18400, 100), (-18400, 101)),
    "payback, last months": lambda: paybacks((-18400, 307), (-18400, 310), (-18400, 320)),
    "payback, twelve months": lambda: paybacks((-14, 1), (-14, 3), (-14, 4), months=12),
    "payback, huge": lambda: paybacks((-3e9, 5e7), (-3e9, 1e8), (-3e9, 6e7), numbers=DE),
    "break-even": lambda: volumes(2300, 32, 140, 81),
    "break-even, close to the plan": lambda: volumes(2300, 32, 140, 72),
    "break-even, plan at capacity": lambda: volumes(2300, 32, 73, 73),
    "break-even, at once": lambda: volumes(10, 32, 140, 130),
    "break-even, none": lambda: volumes(9000, 32, 140, 81),
    "break-even, huge": lambda: volumes(2.3e6, 32, 140000, 81000, DE),
    "cash": lambda: cash(-6400, 600, 2000),
    "cash, falling": lambda: cash(-18400, -300, 2000),
    "cash, no limit": lambda: cash(-6400, 600, None),
    "cash, tiny": lambda: cash(-2, 0.3, 0),
    "cash, huge": lambda: cash(-6e8, 5e7, 1e8, numbers=DE),
    "cash, twelve months": lambda: cash(-6400, 600, 2000, 12),
    "outlay": lambda: ways(3),
    "outlay, seven ways": lambda: ways(7),
    "stations": lambda: stations(0.55, 0.4, 0.72, 1.05),
    "stations, idle": lambda: stations(0.02, 0.03, 0.04, 0.05),
    "warranties": lambda: warranties(*YEARS),
    "warranties, one year of one": lambda: warranties([155.0]),
    "warranties, four": lambda: warranties(*YEARS, [0.0] * 5, [9000.0, 0, 0, 0, 0]),
    "warranties, sales at a loss": lambda: warranties([-20.0, 400], [-20.0, -90]),
    "make or buy": lambda: transfers(110, 72),
    "make or buy, close": lambda: transfers(150, 70),
    "make or buy, never": lambda: transfers(700, 72, DE),
    "cost": lambda: costs(("Tee", 1.0), ("Polo, left chest, in every colour of the shop" * 3, 2.0)),
    "cost, three parts": lambda: costs(("Sheet", 1.0), parts=3),
    "cost, tiny beside large": lambda: costs(("Label", 0.01), ("Banner", 50.0)),
    "cost, huge": lambda: costs(("Tee", 1e5), numbers=DE),
}


@cache
def case(name: str) -> Picture:
    return CASES[name]()


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_every_word_is_readable(name: str) -> None:
    assert_readable(case(name).figure)


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_no_title_no_legend_and_no_second_axis(name: str) -> None:
    figure = case(name).figure
    assert_bare(figure)
    assert len(figure.axes) in (1, 2)
    assert not any(a.bbox.overlaps(b.bbox) for a, b in combinations(figure.axes, 2))


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_the_text_alternative_says_what_the_picture_says(name: str) -> None:
    assert_numbers_are_in_the_alternative(case(name), but=("100%",))


@pytest.mark.long
@pytest.mark.parametrize("name", ["payback", "break-even", "cash", "cost", "make or buy"])
def test_two_renders_are_byte_identical(name: str) -> None:
    assert_same_bytes(CASES[name])


@pytest.mark.parametrize("name", CASES)
def test_nothing_drawn_lies_outside_its_plot(name: str) -> None:
    seen = 0
    for axes in case(name).figure.axes:
        (left, right), (low, high) = sorted(axes.get_xlim()), sorted(axes.get_ylim())
        for x, y in [*curves(axes), *corners(axes)]:
            seen += 1
            assert left <= min(x) <= max(x) <= right
            assert low <= min(y) <= max(y) <= high
    assert seen > 0


def curves(axes: Axes) -> list[tuple[list[float], list[float]]]:
    """Points of each line in the units of the data; a line across the whole plot has none."""
    return [
        (np.asarray(line.get_xdata(), float).tolist(), np.asarray(line.get_ydata(), float).tolist())
        for line in axes.lines
        if line.get_transform() == axes.transData
    ]


def corners(axes: Axes) -> list[tuple[list[float], list[float]]]:
    boxes = [bar.get_bbox() for bar in drawn_bars(axes)]
    return [([box.x0, box.x1], [box.y0, box.y1]) for box in boxes]


@pytest.mark.long
@settings(max_examples=20, deadline=None)
@given(st.lists(st.tuples(st.floats(-9e4, -1e3), st.floats(-500, 9e3)), min_size=3, max_size=3))
def test_any_three_lines_are_readable(lines: list[tuple[float, float]]) -> None:
    labels = [text for text in texts(paybacks(*lines).figure) if isinstance(text, Annotation)]
    assert_apart(labels)


def test_payback_prints_its_key_values() -> None:
    """-18,400 + 1,100 a month pays back after 16.7 months and stands at 47,600 after 60."""
    picture = case("payback")
    words = printed(picture)
    assert "pays back after 17 months" in words
    assert "$47,600 at\u00a0month\u00a060" in words
    assert "does not pay back within 60 months, short by $7,000" in words
    assert "lowest −$18,400, at signing" in words
    drawn = [y for _, y in curves(picture.figure.axes[0])]
    assert straight(-18400, 190) in drawn


def test_payback_at_zero_is_said_in_words_and_not_marked() -> None:
    line = PaybackLine("B", straight(0, 10), 0.0)
    assert "is never below zero" in printed(cumulative_cash([line], numbers=US))


def test_a_payback_that_contradicts_its_line_is_an_error() -> None:
    for payback, end in ((None, 100.0), (12.0, -100.0)):
        with pytest.raises(ValueError, match="payback of 'B': must be None exactly if"):
            cumulative_cash([PaybackLine("B", [-5.0, end], payback)], numbers=US)


def test_lines_of_different_length_are_an_error() -> None:
    with pytest.raises(ValueError, match="must be of one length"):
        financing_outlay([Line("a", [1, 2]), Line("b", [1, 2, 3])], numbers=US)


def test_a_place_fixes_the_look_of_a_line() -> None:
    alone = financing_outlay([Line("Lease", [1, 2], place=2)], numbers=US)
    among = financing_outlay([Line(name, [1, 2]) for name in "abc"], numbers=US)
    assert alone.figure.axes[0].lines[0].get_color() == among.figure.axes[0].lines[2].get_color()
    assert alone.figure.axes[0].lines[0].get_marker() == "^"


def test_break_even_prints_its_key_values() -> None:
    """2,300 ÷ 32 = 71.9 pieces; there income is 64 x 71.9 = 4,600."""
    words = printed(case("break-even"))
    assert "break-even 72 pieces a week, $4,600 a month" in words
    assert "planned 81 pieces a week" in words
    assert "capacity 140 pieces a week" in words
    assert "income $8,960 a month" in words
    assert "total cost $6,780 a month" in words


def test_no_break_even_is_said_in_words() -> None:
    picture = case("break-even, none")
    assert "no break-even within capacity, 140 pieces a week" in printed(picture)
    assert "no break-even within capacity" in picture.alt


def test_cash_flow_prints_its_key_values() -> None:
    net, balance = (-6400, 900, -200, 500), (2600, 3500, 3300, 3800)
    picture = cash_flow(net=net, balance=balance, limit=2000, numbers=US)
    words = printed(picture)
    for said in (
        "lowest balance $2,600, at signing",
        "balance $3,800 at month 3",
        "the shop keeps at least $2,000",
        "at signing (no bar) −$6,400",
        "best, month 1 $900",
        "worst later, month 2 −$200",
    ):
        assert said in words


def test_bars_start_at_zero() -> None:
    upper, lower = case("cash").figure.axes
    assert all(bar.get_y() == 0 for bar in drawn_bars(lower))
    assert lower.get_ylim()[0] <= 0 <= lower.get_ylim()[1]
    (axes,) = case("cost").figure.axes
    assert axes.get_xlim()[0] == 0
    assert upper.get_shared_x_axes().joined(upper, lower)


def test_each_year_of_each_warranty_is_a_bar_of_its_own() -> None:
    """No line joins sums of whole years, and bars of one year stand side by side."""
    (axes,) = case("warranties").figure.axes
    assert curves(axes) == []
    bars = drawn_bars(axes)
    assert [bar.get_height() for bar in bars] == [*YEARS[0], *YEARS[1]]
    middles = [round(bar.get_x() + bar.get_width() / 2, 9) for bar in bars]
    assert middles == [0.8, 1.8, 2.8, 3.8, 4.8, 1.2, 2.2, 3.2, 4.2, 5.2]
    assert len({bar.get_hatch() for bar in bars}) == 2
    assert "36 months, with a loan machine: $2,490 in year 5, $5,248 in values today" in (
        printed(case("warranties")).replace("\n", " ")
    )
    assert "from year 1 on $1,255, $203, $1,453, $1,159, $2,490" in case("warranties").alt


def test_print_cost_names_its_parts_and_leaves_out_what_rounds_to_nothing() -> None:
    words = printed(costs(("Tee", 1.0)))
    assert "Tee: $6.54" in words  # the sum of the eight costs is 6.544
    assert "garment $3.40" in words
    assert "energy" not in words  # 0.4 of a cent


def test_print_cost_whose_parts_do_not_make_the_total_is_an_error() -> None:
    print_cost([CostBar("Tee", [1.0, 2.0], 3.004)], parts=("ink", "film"), numbers=US)
    for values, total in (((1.0, 2.0), 3.01), ((-1.0, 4.0), 3.0)):
        with pytest.raises(ValueError, match="cost of 'Tee'"):
            print_cost([CostBar("Tee", values, total)], parts=("ink", "film"), numbers=US)


def test_make_or_buy_in_square_metres_is_the_same_place() -> None:
    """110 a week ÷ (3.10 - 0.90) a square foot = 50 square feet = 4.65 m²."""
    assert "making stays cheaper from 50 ft² a week" in printed(transfers(110, 72))
    assert "making stays cheaper from 4,65 m² a week" in printed(transfers(110, 72, DE))
    assert "$3.10/ft² at 160 ft² a week, from $2.70/ft² to $3.60/ft²" in printed(transfers(110, 72))


def test_a_bought_in_price_may_fall_with_the_area() -> None:
    """Making at 4 - x meets buying at 3 - x/2 where x = 2, at a price of 2."""
    picture = make_or_buy(
        areas=[1.0, 2.0, 3.0],
        made=[3.0, 2.0, 1.0],
        bought=Band([2.5, 2.0, 1.5], [2.5, 2.0, 1.5], [2.5, 2.0, 1.5]),
        crossing=2.0,
        planned=3.0,
        numbers=DE,
    )
    points = curves(picture.figure.axes[0])
    assert ([2.0], [2.0]) in points
    assert ([1.0, 2.0, 3.0], [2.5, 2.0, 1.5]) in points
    assert "from" not in printed(picture).partition("bought in")[2].partition("|")[0]


def test_making_that_never_is_cheaper_is_said_in_words() -> None:
    assert "making never stays cheaper up to 160 ft² a week" in printed(transfers(700, 72))


def test_station_use_prints_the_peak_and_its_month() -> None:
    picture = station_use([Line("Press", [0.5, 0.9, 0.7])], numbers=US)
    assert "Press: most 90%, month 2" in printed(picture)
    assert "all hours 100%" in printed(picture)
