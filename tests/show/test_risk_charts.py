"""The pictures of what could go wrong by their structure: data, words, nothing over anything."""

import math
from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.patches import Rectangle
from matplotlib.text import Annotation
from reading_charts import (
    DE,
    US,
    assert_bare,
    assert_numbers_are_in_the_alternative,
    assert_readable,
    assert_same_bytes,
    drawn_bars,
    printed,
    texts,
)

from planner.show.charts import (
    Ends,
    Picture,
    chance_by_month,
    explained_shares,
    one_at_a_time,
    payback_grid,
    payback_range,
)
from planner.show.charts.by_input import LOOKS
from planner.show.charts.two_inputs import SHADES
from planner.show.labels import extent
from planner.show.numbers import Numbers

NEVER = math.inf
LOW, HIGH = LOOKS


def fan(
    *paybacks: float, step: float = 900.0, width: float = 12_000.0, months: int = 60,
    numbers: Numbers = US,
) -> Picture:  # fmt: skip
    middle = [-18_400 + step * month for month in range(months + 1)]
    spread = [width * month / months for month in range(months + 1)]
    return payback_range(
        low=[m - s for m, s in zip(middle, spread, strict=True)],
        middle=middle,
        high=[m + s for m, s in zip(middle, spread, strict=True)],
        paybacks=(paybacks[0], paybacks[1], paybacks[2]),
        reached=0.48,
        numbers=numbers,
    )


def rising(last: float, months: int = 60) -> list[float]:
    return [last * (month / months) ** 2 for month in range(months + 1)]


def chance(last: float, *, under: float | None = None, wanted: float = 36.0) -> Picture:
    """The chance rises to ``last`` and that of a low balance falls from ``under`` at signing."""
    return chance_by_month(
        paid_back=rising(last),
        wanted=wanted,
        under=None if under is None else rising(under)[::-1],
        floor=None if under is None else 4000.0,
        numbers=US,
    )


def ends(label: str, low: float, high: float, words: str = "pieces a week") -> Ends:
    return Ends(label, "estimated", f"58 {words}", f"104 {words}", low, high)


def bars(*inputs: Ends, plan: float = 11_372.0, numbers: Numbers = US) -> Picture:
    return one_at_a_time(inputs, plan=plan, numbers=numbers)


def shares(*of: float) -> Picture:
    names = [f"Full-front tee, dark cotton {at}: planned pieces" for at in range(len(of))]
    return explained_shares(list(zip(names, of, strict=True)), numbers=US)


def grid(months: list[list[float]], plan: tuple[int, int] = (0, 0), horizon: int = 60) -> Picture:
    return payback_grid(
        rows=[f"{10 * row} ({row}0%)" for row in range(1, len(months) + 1)],
        columns=[f"+{column}%" for column in range(len(months[0]))],
        months=months,
        plan=plan,
        wanted=36.0,
        horizon=horizon,
        row_title="pieces a week (share of the added work)",
        column_title="selling prices",
        numbers=US,
    )


LONG = "Full-front tee for the schools of the valley and the clubs beyond it, dark cotton: price"
CASES: dict[str, Callable[[], Picture]] = {
    "fan": lambda: fan(23.0, 28.0, 38.0),
    "fan, all at once": lambda: fan(20.4, 20.44, 20.45),
    "fan, slowest never": lambda: fan(41.0, 47.9, NEVER),
    "fan, middle never": lambda: fan(55.0, NEVER, NEVER, step=250),
    "fan, none": lambda: fan(NEVER, NEVER, NEVER, step=-200),
    "fan, no spread": lambda: fan(20.4, 20.4, 20.4, width=0.0),
    "fan, huge": lambda: fan(1.0, 2.0, 3.0, step=9e7, width=1e9, months=12, numbers=DE),
    "chance": lambda: chance(0.99, under=0.3),
    "chance, no limit": lambda: chance(0.4),
    "chance, none": lambda: chance(0.0, under=0.0),
    "chance, certain at the last month": lambda: chance(1.0, under=1.0, wanted=60.0),
    "bars": lambda: bars(ends("Tee: planned", 3037, 20056), ends("Tee: price", 12000, 9000)),
    "bars, both ends above": lambda: bars(ends("Tee: planned", 12_000, 20_056)),
    "bars, one end is the plan": lambda: bars(ends("Tee: planned", 11_372, 20_056)),
    "bars, ten": lambda: bars(*(ends(f"{at} {LONG}", 9000 - at, 12000 + at) for at in range(10))),
    "bars, long ends": lambda: bars(ends("Tee", 0, 9e6, "pieces of every kind each single week")),
    "bars, huge": lambda: bars(ends("Tee", -5e8, 9e8), plan=1e8, numbers=DE),
    "shares": lambda: shares(0.35, 0.3, 0.17, 0.06, 0.12),
    "shares, one": lambda: shares(1.0, 0.0),
    "grid": lambda: grid([[54.0, NEVER, 36.4], [29.0, 9.8, 35.9]], plan=(1, 0)),
    "grid, seven by seven": lambda: grid([[float(9 + r + c) for c in range(7)] for r in range(7)]),
    "grid, none": lambda: grid([[NEVER] * 7] * 7, horizon=36),
}


@cache
def case(name: str) -> Picture:
    return CASES[name]()


def grey(colour: str) -> float:
    """How light a colour prints [-], by the weights of ITU-R BT.601 (from memory)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    return sum(share * part for share, part in zip((0.299, 0.587, 0.114), parts, strict=True))


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_every_word_is_readable(name: str) -> None:
    assert_readable(case(name).figure)


@pytest.mark.long
@settings(max_examples=15, deadline=None)
@given(st.lists(st.floats(0, 60), min_size=3, max_size=3), st.floats(-900, 2000))
def test_any_paybacks_are_readable(paybacks: list[float], step: float) -> None:
    assert_readable(fan(*sorted(paybacks), step=step).figure)


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_no_title_and_no_legend(name: str) -> None:
    assert_bare(case(name).figure)
    assert len(case(name).figure.axes) == 1


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_the_text_alternative_says_what_the_picture_says(name: str) -> None:
    picture = case(name)
    assert_numbers_are_in_the_alternative(picture)
    assert "\n" not in picture.alt
    assert not picture.alt.endswith("..")


@pytest.mark.long
@pytest.mark.parametrize("name", ["fan", "chance", "bars", "shares", "grid"])
def test_two_renders_are_byte_identical(name: str) -> None:
    assert_same_bytes(CASES[name])


# --- the band -----------------------------------------------------------------------------------


def test_the_band_prints_its_paybacks_and_ends() -> None:
    """900 a month for 60 months less 18,400 is 35,600; the band is 24,000 wide there."""
    words = printed(case("fan"))
    for said in (
        "1 of 10 paid back after 23 months",
        "5 of 10 paid back after 28 months",
        "9 of 10 paid back after 38 months",
        "1 of 10 cases ends above $47,600",
        "5 of 10 cases end above $35,600",
        "9 of 10 cases end above $23,600",
    ):
        assert said in words


def test_ends_of_the_band_have_no_more_digits_than_a_hundredth_of_its_width() -> None:
    # 3 wide at its end, which is 1/100 of 300: whole money; 24,000 wide: hundreds
    narrow = payback_range(
        low=[-9, 1232.6], middle=[-9, 1234.1], high=[-9, 1235.6],
        paybacks=(1.0, 1.0, 1.0), reached=1.0, numbers=US,
    )  # fmt: skip
    assert "$1,234" in printed(narrow)
    wide = payback_range(
        low=[-9, -10_766.0], middle=[-9, 1234.0], high=[-9, 13_234.0],
        paybacks=(1.0, 1.0, NEVER), reached=0.8, numbers=US,
    )  # fmt: skip
    assert "$1,200" in printed(wide)


def test_the_range_of_paybacks_lies_on_zero() -> None:
    (axes,) = case("fan").figure.axes
    on_zero = [line for line in axes.lines if line.get_linewidth() == 4.0]
    assert [list(line.get_xdata()) for line in on_zero] == [[23.0, 38.0]]
    rings = [line.get_xdata()[0] for line in axes.lines if line.get_marker() == "o"]
    assert rings == [23.0, 28.0, 38.0]


def test_what_so_many_cases_do_not_reach_is_said_and_not_marked() -> None:
    picture = case("fan, slowest never")
    assert "48% paid back within 60 months" in printed(picture)
    assert "48% paid back within 60 months" in " ".join(picture.alt.split())
    (axes,) = picture.figure.axes
    assert [list(line.get_xdata()) for line in axes.lines if line.get_linewidth() == 4.0] == [
        [41.0, 60]
    ]
    none = case("fan, none")
    assert "48% paid back within 60 months" in printed(none)
    assert not [line for line in none.figure.axes[0].lines if line.get_linewidth() == 4.0]


# --- the chances --------------------------------------------------------------------------------


def test_chances_print_the_month_wanted_and_the_worst_month() -> None:
    """Of 1 at month 60 a square law leaves (36 ÷ 60)² = 36 % at month 36."""
    words = printed(chance(1.0, under=0.3))
    assert "wanted within 36 months 36% paid back" in words
    assert "paid back by month 60: 100%" in words
    assert "balance under $4,000: at most 30%, signing" in words


def test_a_balance_that_is_never_under_its_limit_is_said() -> None:
    assert "balance under $4,000: in no case drawn" in printed(case("chance, none"))
    assert "balance" not in printed(case("chance, no limit"))


def test_chances_are_drawn_whole() -> None:
    (axes,) = case("chance").figure.axes
    assert axes.get_ylim() == (0.0, 1.0)
    curves = [list(line.get_ydata()) for line in axes.lines if len(line.get_ydata()) > 2]
    assert curves == [rising(0.99), rising(0.3)[::-1]]


# --- the bars -----------------------------------------------------------------------------------


def test_bars_start_at_the_value_of_the_plan() -> None:
    (axes,) = case("bars").figure.axes
    starts_and_ends = [(bar.get_x(), bar.get_x() + bar.get_width()) for bar in drawn_bars(axes)]
    assert [start for start, _ in starts_and_ends] == pytest.approx([11_372.0] * 4)
    assert [end for _, end in starts_and_ends] == pytest.approx([3037, 20_056, 12_000, 9000])
    assert "as planned $11,372" in printed(case("bars"))


def test_the_lower_end_stands_on_the_left() -> None:
    """A price that is worth less at its high end has its high end on the left."""
    picture = bars(ends("Tee: price", 12_000, 9000))
    places = {
        text.get_text().replace("\n", " "): extent(text).x0
        for text in texts(picture.figure)
        if isinstance(text, Annotation)
    }
    assert places[f"{HIGH}: 104 pieces a week $9,000"] < places[f"{LOW}: 58 pieces a week $12,000"]


def test_every_end_says_which_it_is_and_the_first_bar_how_both_look() -> None:
    picture = bars(ends("Tee: planned", 3037, 20_056), ends("Tee: price", 12_000, 9000))
    words = printed(picture)
    assert f"{LOW}: 58 pieces a week $3,037" in words
    assert f"{HIGH}: 104 pieces a week $20,056" in words
    assert "high: 104 pieces a week $9,000" in words
    assert "low: 58 pieces a week $12,000" in words
    (axes,) = picture.figure.axes
    low, high, *_ = drawn_bars(axes)
    assert (_hex(low), low.get_hatch()) == ("#0072b2", "")
    assert (_hex(high), high.get_hatch()) == ("#d55e00", "////")
    assert "the low end of the input in blue, the high end in orange and hatched" in picture.alt


def test_both_ends_above_the_plan_leave_the_left_words_at_the_plan() -> None:
    picture = case("bars, both ends above")
    (axes,) = picture.figure.axes
    plan = axes.transData.transform((11_372.0, 0.0))[0]
    left = next(text for text in texts(picture.figure) if "$12,000" in text.get_text())
    assert extent(left).x1 == pytest.approx(plan - 4 * picture.figure.dpi / 72, abs=1.5)


@pytest.mark.parametrize("name", [name for name in CASES if name.startswith("bars")])
def test_words_at_the_ends_of_bars_have_room_in_the_plot(name: str) -> None:
    picture = case(name)
    (axes,) = picture.figure.axes
    for text in texts(picture.figure):
        if text.get_text().startswith(("low", "high")):
            box = extent(text)
            assert axes.bbox.x0 - 1 <= box.x0 < box.x1 <= axes.bbox.x1 + 1, text.get_text()


def test_the_largest_comes_first_and_its_name_stands_over_it() -> None:
    picture = case("bars")
    heights = {
        text.get_text(): extent(text).y0
        for text in texts(picture.figure)
        if text.get_text().startswith("Tee")
    }
    assert heights["Tee: planned (estimated)"] > heights["Tee: price (estimated)"]


def test_shares_are_bars_from_zero_with_the_rest_hatched() -> None:
    (axes,) = case("shares").figure.axes
    bars_drawn = drawn_bars(axes)
    assert [bar.get_x() for bar in bars_drawn] == [0.0] * 5
    assert [bar.get_width() for bar in bars_drawn] == [0.35, 0.3, 0.17, 0.06, 0.12]
    assert [bool(bar.get_hatch()) for bar in bars_drawn] == [False] * 4 + [True]
    assert "12%" in printed(case("shares"))


# --- the grid -----------------------------------------------------------------------------------


def test_cells_hold_months_or_no_and_are_shaded_by_the_limit() -> None:
    """36.4 months are not within 36, and must not read as 36."""
    (axes,) = case("grid").figure.axes
    cells = [patch for patch in axes.patches if patch.get_fill()]
    in_time, later, never = SHADES
    wanted = [later, never, later, in_time, in_time, in_time]
    assert [_hex(cell) for cell in cells] == wanted
    words = printed(case("grid"))
    assert all(f"| {cell} |" in f"| {words} |" for cell in ("54", "no", "36.4", "29", "9.8"))


def _hex(patch: Rectangle) -> str:
    return "#" + "".join(f"{round(255 * part):02x}" for part in patch.get_facecolor()[:3])


def test_the_cell_of_the_plan_is_framed() -> None:
    (axes,) = case("grid").figure.axes
    (frame,) = [patch for patch in axes.patches if not patch.get_fill()]
    assert (frame.get_x(), frame.get_y()) == (-0.5, 0.5)  # first column, second row


def test_a_limit_at_the_horizon_leaves_no_later() -> None:
    assert "white: later" in printed(case("grid"))
    assert "white" not in printed(case("grid, none"))


def test_shades_differ_in_grey() -> None:
    levels = sorted(grey(colour) for colour in SHADES)
    assert min(np.diff(levels)) > 0.05
    assert levels[0] > 0.6  # words in black stay readable
