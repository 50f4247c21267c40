"""One style, the same bytes each time, whatever the user's own settings are."""

from collections.abc import Callable
from itertools import combinations

import matplotlib
import pytest
from matplotlib.figure import Figure

from planner.show.style import (
    RC,
    SMALLEST_TEXT,
    STROKES,
    drawable,
    stroke,
    styled,
    to_png,
    to_svg,
)


def picture() -> Figure:
    with styled():
        figure = Figure(figsize=(3, 2), layout="constrained")
        axes = figure.add_subplot()
        axes.plot([0, 1], [1, 3], clip_on=True)
        axes.bar([0, 1], [1, 2], hatch="//")
        axes.set_ylabel("from $2 to $3")
    return figure


@pytest.mark.parametrize("save", [to_svg, to_png])
def test_two_renders_are_byte_identical(save: Callable[..., bytes]) -> None:
    first = save(picture(), title="name", description="words")
    with matplotlib.rc_context({"svg.hashsalt": None, "font.size": 20, "axes.facecolor": "red"}):
        second = save(picture(), title="name", description="words")
    assert first == second


def test_files_carry_the_words_but_no_date_and_no_program() -> None:
    svg = to_svg(picture(), title="name", description="a < b").decode("utf-8")
    assert "a &lt; b" in svg
    assert "dc:date" not in svg
    assert "dc:creator" not in svg
    png = to_png(picture(), title="name", description="words")
    assert b"words" in png
    assert b"Matplotlib" not in png


def test_the_user_s_settings_are_given_back() -> None:
    with matplotlib.rc_context({"font.size": 20}):
        with styled():
            assert matplotlib.rcParams["font.size"] == SMALLEST_TEXT
        assert matplotlib.rcParams["font.size"] == 20


def test_no_text_is_smaller_than_nine_points() -> None:
    sizes = [value for key, value in RC.items() if key.endswith("size") and "marker" not in key]
    assert sizes
    assert all(isinstance(size, float) and size >= 9 for size in sizes)


def test_each_stroke_differs_from_each_other_in_every_way() -> None:
    for one, other in combinations(STROKES, 2):
        assert one.colour != other.colour
        assert one.dash != other.dash
        assert one.marker != other.marker
        assert one.hatch != other.hatch


def test_a_place_outside_the_set_is_an_error() -> None:
    assert stroke(len(STROKES) - 1) is STROKES[-1]
    for place in (-1, len(STROKES)):
        with pytest.raises(IndexError, match="must be 0 to"):
            stroke(place)


def test_signs_missing_from_the_font_are_replaced() -> None:
    assert drawable("$5 ft²\nä €") == "$5 ft²\nä €"
    assert drawable("\uffe55") == "¥5"  # the wide yen sign has a plain form
    assert drawable("印刷") == "??"
