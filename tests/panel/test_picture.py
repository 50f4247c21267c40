"""The picture: what it holds, and that it is the same whatever was drawn before."""

from __future__ import annotations

from io import BytesIO
from itertools import pairwise

import numpy as np
import pytest
from helpers import SHIPPED
from PIL import Image

from planner.decide.curves import cumulative, cumulative_outlay, own_cash_flow
from planner.deliver.panel.pane import Word
from planner.deliver.panel.picture import SIZE, Picture, round_step
from planner.deliver.panel.pixels import encoded
from planner.deliver.panel.scene import EARLIER, STARTED, Plot, Track, described, scene
from planner.deliver.panel.tryout import Tried, Tryout
from planner.show.numbers import Numbers
from planner.show.style import TEXT, stroke
from planner.show.words import numbers_of

US = Numbers("en_US", "USD", "inch")


def moved(tryout: Tryout, **settings: float) -> Tried:
    return tryout.compute({**tryout.start, **settings})


def pixels(png: bytes) -> np.ndarray:
    return np.asarray(Image.open(BytesIO(png)).convert("RGB"))


@pytest.fixture(scope="module")
def pair(tryouts: dict[str, Tryout]) -> tuple[Tried, Tried]:
    """A dearer plan, and where it started."""
    tryout = tryouts["larkspur-lane"]
    return moved(tryout, price=17.0), tryout.compute(tryout.start)


def test_the_curves_are_those_of_the_answer(pair: tuple[Tried, Tried]) -> None:
    now, start = pair
    drawn = scene(now, start)
    own, before = now.page.best, start.page.best
    (earlier, *three) = drawn["gained"].tracks
    expected = cumulative(own.evaluation)
    looks = {"today_only": 1, "against_buying_in": 0, "whole_plan": 2}  # as in every picture
    for track, (name, place) in zip(three, looks.items(), strict=True):
        np.testing.assert_array_equal(track.y, expected[name])
        assert track.look == stroke(place)
    np.testing.assert_array_equal(earlier.y, cumulative(before.evaluation)["against_buying_in"])
    np.testing.assert_array_equal(drawn["balance"].tracks[1].y, own.figures.cash.balance)
    np.testing.assert_array_equal(drawn["flow"].tracks[1].y, own_cash_flow(own.evaluation)[1:])
    np.testing.assert_array_equal(drawn["paid"].tracks[1].y, cumulative_outlay(own.evaluation.plan))
    monthly = own.figures.break_even.monthly.value
    assert monthly is not None
    pieces, money, _ = drawn["month"].points[0]
    assert pieces == pytest.approx(monthly * own.figures.weekly_pieces)
    cost, income, now_income, now_cost = drawn["month"].tracks
    assert np.interp(pieces, now_income.x, now_income.y) == pytest.approx(money, rel=1e-3)
    assert np.interp(pieces, now_cost.x, now_cost.y) == pytest.approx(money, rel=1e-3)
    assert {cost.look, income.look} == {EARLIER}


def test_where_you_started_is_kept_only_once_something_moved(pair: tuple[Tried, Tried]) -> None:
    now, start = pair
    for name, plot in scene(now, start).items():
        assert plot.tracks[0].look == EARLIER, name
    for plot in scene(start, start).values():
        assert EARLIER not in [track.look for track in plot.tracks]
    assert STARTED not in described(scene(start, start))
    assert described(scene(now, start)).count(STARTED) == 4


@pytest.mark.long
@pytest.mark.parametrize("name", SHIPPED)
def test_every_scenario_can_be_drawn(name: str, tryouts: dict[str, Tryout]) -> None:
    tryout = tryouts[name]
    start = tryout.compute(tryout.start)
    picture = Picture(numbers_of(tryout.scenario))
    for equipment in tryout.options("equipment", tryout.start):
        settings = tryout.settled({**tryout.start, "equipment": equipment})
        for financing in tryout.options("financing", settings):
            now = tryout.compute({**settings, "financing": financing})
            image = pixels(picture.png(scene(now, start)))
            assert image.shape == (SIZE[1], SIZE[0], 3)


def test_the_same_scene_gives_the_same_bytes_whatever_came_before(
    pair: tuple[Tried, Tried], tryouts: dict[str, Tryout]
) -> None:
    now, start = pair
    metric = tryouts["two-widths"]
    far = metric.compute(metric.start)  # on other axes
    drawn, other = scene(now, start), scene(far, far)
    used, alone = Picture(US), Picture(US)
    first = used.png(drawn)
    second = used.png(other)
    assert second != first
    assert second == used.png(other) == alone.png(other)
    assert used.png(drawn) == first == alone.png(drawn)


def test_small_moves_leave_the_axes_where_they_are(tryouts: dict[str, Tryout]) -> None:
    tryout = tryouts["larkspur-lane"]
    start = tryout.compute(tryout.start)
    images = []
    picture = Picture(US)
    for price in (15.55, 15.6):
        images.append(pixels(picture.png(scene(moved(tryout, price=price), start))))
    ticks = (slice(None), slice(0, 76))  # numbers left of the plots on the left
    np.testing.assert_array_equal(images[0][ticks], images[1][ticks])
    assert (images[0] != images[1]).any()


def test_white_is_white_and_colours_are_those_of_the_style(pair: tuple[Tried, Tried]) -> None:
    image = pixels(Picture(US).png(scene(*pair)))
    assert tuple(image[0, 0]) == (255, 255, 255)
    found = {tuple(colour) for colour in image.reshape(-1, 3)}
    for look in (stroke(0), stroke(1), stroke(2)):
        full = tuple(int(look.colour[at : at + 2], 16) for at in (1, 3, 5))
        assert full in found
    assert len(found) < 256


def test_labels_stand_apart() -> None:
    # five curves that end at the same place
    x = np.array([0.0, 60.0])
    tracks = tuple(
        Track(x, np.array([0.0, 100.0]), stroke(at), f"curve {at} of five, in so many words")
        for at in range(5)
    )
    picture = Picture(US)
    drawn = {name: Plot(tracks, 60.0) for name in ("gained", "balance", "flow", "month", "paid")}
    picture.png(drawn)
    pane = picture._panes["gained"]
    heights = sorted(pane._beside(tracks))
    assert all(above - below >= 30 for below, above in pairwise(heights))


def test_names_above_a_plot_stand_apart_and_in_the_picture() -> None:
    x = np.array([0.0, 100.0])
    plot = Plot(
        (Track(x, x, stroke(0)),),
        100.0,
        drops=((50.0, "planned\n105"), (50.5, "break-even\n104"), (51.0, "a third\nname")),
    )
    picture = Picture(US)
    picture.png(dict.fromkeys(("gained", "balance", "flow", "month", "paid"), plot))
    words = list(picture._panes["month"]._above(plot.drops))
    places = [word.x for word in words]
    assert all(right - left > 60 for left, right in pairwise(places))
    assert min(places) > 0
    assert max(places) < SIZE[0]


def test_a_word_is_set_where_it_belongs() -> None:
    blank = np.full((100, 300, 4), 255, np.uint8)
    for word, box in (
        (Word("Middle", 150.0, 50.0, above=True), (slice(30, 51), slice(110, 190))),
        (Word("Beside", 150.0, 50.0), (slice(40, 62), slice(149, 215))),
    ):
        image = pixels(encoded(blank, [word]))
        ink = (image < 128).any(axis=-1)
        inside = np.zeros_like(ink)
        inside[box] = True
        assert ink.any()
        assert not (ink & ~inside).any()
    dark = tuple(int(TEXT[at : at + 2], 16) for at in (1, 3, 5))
    assert dark in {tuple(colour) for colour in image.reshape(-1, 3)}


def test_what_the_font_cannot_draw_is_drawn_otherwise() -> None:
    blank = np.full((40, 200, 4), 255, np.uint8)
    assert encoded(blank, [Word("\u4e2d", 10.0, 20.0)]) == encoded(blank, [Word("?", 10.0, 20.0)])


def test_steps_are_round_and_few() -> None:
    # 1, 2 or 5 times a power of ten, at most four of them
    assert [round_step(span) for span in (4.0, 4.1, 9.0, 21.0, 123_456.0)] == [
        1.0, 2.0, 5.0, 10.0, 50_000.0,
    ]  # fmt: skip


def test_the_picture_is_described_in_words(pair: tuple[Tried, Tried]) -> None:
    words = described(scene(*pair))
    assert words.startswith("Line charts. Money gained so far, before financing:")
    assert "B: pays back in" in words
    assert "break-even" in words
    assert "\n" not in words
