"""Reading drawn charts: the words they print and where these stand, and what they look like."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations

from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.text import Annotation, Text

from planner.show.charts import Picture
from planner.show.labels import extent
from planner.show.numbers import Numbers
from planner.show.style import SMALLEST_TEXT, styled, to_svg

US = Numbers(locale="en_US", currency="USD", units="inch")
DE = Numbers(locale="de_DE", currency="EUR", units="metric")


def texts(figure: Figure) -> list[Text]:
    """Every text that is drawn: labels, and the ticks within the limits."""
    with styled():
        figure.draw_without_rendering()
    drawn: list[Text] = [t for t in figure.findobj(Text) if isinstance(t, Annotation)]
    for axes in figure.axes:
        drawn += [axes.xaxis.label, axes.yaxis.label, *ticks(axes.xaxis), *ticks(axes.yaxis)]
    return [text for text in drawn if text.get_visible() and text.get_text()]


def ticks(axis: Axis) -> list[Text]:
    low, high = sorted(axis.get_view_interval())
    shown = [tick for tick in axis.get_major_ticks() if low <= tick.get_loc() <= high]
    labels = [label for tick in shown for label in (tick.label1, tick.label2)]
    return [label for label in labels if label.get_visible()]


def printed(picture: Picture) -> str:
    """All words of a picture on one line."""
    return " | ".join(text.get_text() for text in texts(picture.figure)).replace("\n", " ")


def drawn_bars(axes: Axes) -> list[Rectangle]:
    return [patch for container in axes.containers for patch in container]


def assert_apart(words: list[Text]) -> None:
    """No words stand over other words."""
    boxes = {text: extent(text) for text in words}
    for (one, a), (other, b) in combinations(boxes.items(), 2):
        across, up = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
        assert across <= 1 or up <= 1, (one.get_text(), other.get_text())


def assert_readable(figure: Figure) -> None:
    """No words over other words, none beyond the page, none below nine points."""
    words = texts(figure)
    assert_apart(words)
    for text in words:
        box = extent(text)
        assert min(box.x0, box.y0) >= -1, text.get_text()
        assert box.x1 <= figure.bbox.width + 1, text.get_text()
        assert box.y1 <= figure.bbox.height + 1, text.get_text()
        assert float(text.get_fontsize()) >= SMALLEST_TEXT


def assert_numbers_are_in_the_alternative(picture: Picture, *, but: Sequence[str] = ()) -> None:
    """Each number that a label prints stands in the text alternative; cut labels aside."""
    for text in texts(picture.figure):
        if isinstance(text, Annotation) and "..." not in text.get_text():
            words = text.get_text().replace("\u00a0", " ").split()
            numbers = [word.strip(",:;") for word in words if any(map(str.isdigit, word))]
            assert all(number in picture.alt for number in numbers if number not in but), (
                text.get_text()
            )


def assert_bare(figure: Figure) -> None:
    """No plot has a title or a legend."""
    for axes in figure.axes:
        assert axes.get_title() == ""
        assert axes.get_legend() is None


def assert_same_bytes(draw: Callable[[], Picture]) -> None:
    """Drawn twice, a picture is the same bytes."""
    first, second = (
        to_svg(picture.figure, title=picture.name, description=picture.alt)
        for picture in (draw(), draw())
    )
    assert first == second
