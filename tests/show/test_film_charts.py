"""The drawn layout: every print in its place and to scale, nothing over anything else."""

import re
from collections.abc import Callable
from functools import cache

import pytest
from helpers import SHIPPED, exactly, shipped_answer
from matplotlib.patches import Rectangle
from reading_charts import DE, US, assert_bare, assert_readable, assert_same_bytes

from planner.decide.film import OnRoll, Roll
from planner.show.charts import Picture, sheet_layout
from planner.show.labels import extent
from planner.show.numbers import INCH, Numbers
from planner.show.pictures import MOST_LAYOUTS, layout_pictures
from planner.usage.layout import Piece, placed


def drawn(
    *pieces: tuple[float, float, int],
    width: float = 0.6,
    may_turn: bool = False,
    run_end: float = 1.0,
    numbers: Numbers = DE,
    product: str = "Tee",
) -> Picture:
    """An order of (width, length, count) on a roll with margins of 1 cm and gaps of 0.5 cm [m]."""
    kinds = tuple(Piece(width=w, length=h, count=n) for w, h, n in pieces)
    laid = placed(kinds, usable_width=width - 0.02, gap=0.005, may_turn=may_turn)
    order = OnRoll(
        product=product,
        pieces=kinds,
        laid=laid,
        across=(1,) * len(kinds),
        film=laid.length,
        film_use=0.73,
        cost=1.0,
        area_only=0.7,
    )
    roll = Roll(
        width=width,
        margin=0.01,
        run_end=run_end,
        products=(order,),
        weeks=(),
    )
    return sheet_layout(roll, order, name="film-layout-1", numbers=numbers)


CASES: dict[str, Callable[[], Picture]] = {
    "short": lambda: drawn((0.28, 0.34, 4)),
    "long": lambda: drawn((0.28, 0.34, 24)),
    "two kinds, one too small": lambda: drawn((0.08, 0.08, 6), (0.28, 0.34, 6)),
    "small ones alone": lambda: drawn((0.05, 0.05, 40)),
    "wide ones": lambda: drawn((0.57, 0.09, 8)),
    "thin ones": lambda: drawn((0.03, 0.5, 4)),
    "turned": lambda: drawn((0.4, 0.56, 3), may_turn=True),
    "twelve kinds": lambda: drawn(*((0.05 + at / 500, 0.06 + at / 500, 2) for at in range(12))),
    "narrow roll": lambda: drawn((0.28, 0.34, 3), (0.1, 0.1, 3), width=0.3),
    "inches": lambda: drawn((10.5 * INCH, 12.5 * INCH, 6), width=24 * INCH, numbers=US),
    "no run end": lambda: drawn((0.28, 0.34, 4), run_end=0.0),
    "a long name": lambda: drawn((0.28, 0.34, 4), product="Every colour of the shop, " * 8),
    "a sign without a glyph": lambda: drawn((0.28, 0.34, 4), product="Tee \U0001f455"),
}


@cache
def case(name: str) -> Picture:
    return CASES[name]()


def inside(picture: Picture) -> list[str]:
    """Labels that stand in a print or on blank film."""
    (axes,) = picture.figure.axes
    return [
        text.get_text() for text in axes.texts if extent(text).y1 < axes.bbox.y1 and text.get_text()
    ]


def prints(picture: Picture) -> list[Rectangle]:
    """Rectangles with a colour of their own, in the order of places."""
    (axes,) = picture.figure.axes
    return [patch for patch in axes.patches if patch.get_linewidth() == 0]


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_every_word_is_readable(name: str) -> None:
    assert_readable(case(name).figure)


@pytest.mark.parametrize("name", CASES)
def test_a_size_stands_inside_its_print(name: str) -> None:
    picture = case(name)
    _, *others = picture.figure.axes[0].patches  # the film itself is the first
    boxes = [patch.get_window_extent() for patch in others]
    for text in picture.figure.axes[0].texts:
        label = extent(text)
        if label.y1 < picture.figure.axes[0].bbox.y1:
            assert any(
                box.x0 <= label.x0
                and label.x1 <= box.x1
                and box.y0 <= label.y0
                and label.y1 <= box.y1
                for box in boxes
            ), text.get_text()


@pytest.mark.parametrize("name", CASES)
def test_no_title_no_legend_and_film_to_scale(name: str) -> None:
    assert_bare(case(name).figure)
    (axes,) = case(name).figure.axes
    across = axes.bbox.height / (axes.get_ylim()[1] - axes.get_ylim()[0])
    along = axes.bbox.width / (axes.get_xlim()[1] - axes.get_xlim()[0])
    assert across == pytest.approx(along, rel=1e-6)


def test_prints_are_drawn_where_they_lie() -> None:
    # two of 28 cm side by side with a gap of 0.5 cm, 1 cm from the edge; two rows of 34 cm
    found = [(p.get_x(), p.get_y(), p.get_width(), p.get_height()) for p in prints(case("short"))]
    assert found == [
        exactly(place)
        for place in (
            (0.0, 1.0, 34.0, 28.0),
            (0.0, 29.5, 34.0, 28.0),
            (34.5, 1.0, 34.0, 28.0),
            (34.5, 29.5, 34.0, 28.0),
        )
    ]


def test_inches_are_inches() -> None:
    first = prints(case("inches"))[0]
    assert (first.get_width(), first.get_height()) == (exactly(12.5), exactly(10.5))
    (axes,) = case("inches").figure.axes
    assert axes.get_xlim() == (0.0, exactly(80.0))
    assert axes.get_ylim() == (0.0, exactly(24.0))
    assert axes.get_ylabel() == "across, in"


def test_a_turned_print_is_drawn_turned_and_named_as_given() -> None:
    picture = case("turned")
    # 56 cm across and 40 cm along, since three rows of 40.5 cm are shorter than three of 56.5 cm
    sides = [(patch.get_width(), patch.get_height()) for patch in prints(picture)]
    assert sides == [exactly((40.0, 56.0))] * 3
    assert "40 × 56 cm" in inside(picture)


def test_the_first_two_metres_are_drawn_and_the_rest_is_said() -> None:
    picture = case("long")
    # twelve rows of 34.5 cm are 4.14 m; the sixth row begins at 172.5 cm, the seventh beyond 2 m
    assert len(prints(picture)) == 12
    assert "take 4,14 m of the roll" in picture.alt
    assert "The first 2 m are drawn, 2,14 m more follow." in picture.alt
    assert "more follow" not in case("short").alt


def test_the_blank_end_of_the_run_is_drawn_once_after_the_order() -> None:
    # two rows of 34.5 cm end at 69 cm, the blank end of 1 m at 169 cm
    (axes,) = case("short").figure.axes
    film, blank = [patch for patch in axes.patches if patch.get_linewidth() > 0]
    assert (film.get_x(), film.get_width()) == (0.0, exactly(69.0))
    assert (blank.get_x(), blank.get_width(), blank.get_fill()) == (
        exactly(69.0),
        exactly(100),
        False,
    )
    assert "blank end\nof the run" in inside(case("short"))
    assert "Each run ends with 1 m of blank film." in case("short").alt
    for other in ("no run end", "long"):
        assert "blank end\nof the run" not in inside(case(other))
    assert "blank" not in case("no run end").alt


def test_the_margins_are_drawn() -> None:
    (axes,) = case("short").figure.axes
    dashed = [path.vertices for lines in axes.collections for path in lines.get_paths()]
    assert [[tuple(end) for end in line] for line in dashed] == [
        [exactly((0.0, at)), exactly((69.0, at))] for at in (1.0, 59.0)
    ]


def test_a_size_stands_in_every_print_that_holds_it() -> None:
    assert inside(case("short")).count("28 × 34 cm") == 4
    assert inside(case("long")).count("28 × 34 cm") == 10  # the two that are cut off hold none
    assert inside(case("wide ones")) == ["blank end\nof the run"]  # 9 cm along hold no words
    labels = [text.get_text() for text in case("wide ones").figure.axes[0].texts]
    assert labels.count("57 × 9 cm") == 1


def test_small_prints_are_named_once_over_the_plot() -> None:
    picture = case("two kinds, one too small")
    labels = [text.get_text() for text in picture.figure.axes[0].texts]
    assert labels.count("8 × 8 cm") == 1
    assert "8 × 8 cm" not in inside(picture)
    small = [patch for patch in prints(picture) if patch.get_width() < 10]
    (axes,) = picture.figure.axes
    (dot,) = axes.lines
    (x,), (y,) = dot.get_xdata(), dot.get_ydata()
    middles = [(p.get_x() + p.get_width() / 2, p.get_y() + p.get_height() / 2) for p in small]
    assert (x, y) == exactly(max(middles, key=lambda middle: (-middle[0], middle[1])))


def test_kinds_differ_in_colour_and_hatch() -> None:
    looks = {
        (patch.get_facecolor(), patch.get_hatch())
        for patch in prints(case("two kinds, one too small"))
    }
    assert len(looks) == 2
    assert len({hatch for _, hatch in looks}) == 2


@pytest.mark.parametrize("name", CASES)
def test_the_text_alternative_says_what_the_picture_says(name: str) -> None:
    picture = case(name)
    assert "the pictures are 73" in picture.alt
    for text in picture.figure.axes[0].texts:
        words = text.get_text().replace("\n", " ")
        assert words in picture.alt or words == "blank end of the run"
    caption = picture.figure.axes[0].get_xlabel().partition("\n")[2]
    words = re.sub(r"\s+", " ", caption)
    assert words in picture.alt.replace("\U0001f455", "?")  # no glyph for a shirt


def test_two_renders_are_byte_identical() -> None:
    assert_same_bytes(CASES["turned"])


@pytest.mark.parametrize("name", SHIPPED)
def test_the_roll_of_the_set_spoken_of_comes_first(name: str) -> None:
    page = shipped_answer(name)
    pictures = layout_pictures(page)
    assert 1 <= len(pictures) <= MOST_LAYOUTS
    assert len({picture.name for picture in pictures}) == len(pictures)
    own = page.best.evaluation.plan.machine.film
    width = page.case.values.scalar(own.roll.width)
    (axes,) = pictures[0].figure.axes
    unit = INCH if page.scenario.units == "inch" else 0.01
    assert axes.get_ylim()[1] == exactly(width / unit)


def test_two_rolls_are_compared_on_the_same_work() -> None:
    first, second, _ = layout_pictures(shipped_answer("two-widths"))
    widths = sorted(one.figure.axes[0].get_ylim()[1] for one in (first, second))
    assert widths == [exactly(30.0), exactly(60.0)]
    for picture in (first, second):
        assert "T-shirt, front print: 24 of 28 × 34 cm" in picture.alt
    assert first.figure.axes[0].get_xlim() == second.figure.axes[0].get_xlim()
