"""Words beside what they name: placed after the figure is laid out, moved apart, then frozen."""

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from textwrap import fill
from typing import Literal

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Annotation, Text
from matplotlib.transforms import Bbox

from planner.show.style import RULE, Stroke, drawable

LINE = 0.165  # [inch] from one line of a label to the next
CHARACTER = 0.085  # [inch] a generous width of a character
CORNER = 30  # [characters] of a sentence in a corner of the plot
TIER = 0.52  # [inch] from one tier of labels over a bar to the next
WRAP = 24  # [characters] of a label beside a line
SPACE = 14.0  # [pt] between the end of a line and its label
RISE = 9.0  # [pt] between the top edge of a plot and a label above it
GAP = 3.0  # [pt] between two labels
EDGE = 3.0  # [pt] kept free at the edge of the page
PLATE = {"boxstyle": "square,pad=0.15", "facecolor": "white", "edgecolor": "none", "alpha": 0.85}


def spread(
    *, centres: Sequence[float], sizes: Sequence[float], low: float, high: float, gap: float
) -> list[float]:
    """Move labels on a line apart, as little as possible in least squares, keeping their order.

    Parameters
    ----------
    centres, sizes : sequence of float
        Wanted centre and extent of each label [px].
    low, high : float
        Limits of the line [px].
    gap : float
        Least distance between two labels [px].

    Returns
    -------
    list of float
        Centre of each label [px], in the order given.

    Raises
    ------
    ValueError
        If the labels do not fit between the limits.

    Notes
    -----
    Less the room that the labels before it need, each label's place must not fall: that is a
    monotone regression, solved by pooling neighbours that violate it, then cut at the limits.
    """
    if not centres:
        return []
    order = sorted(range(len(centres)), key=lambda i: (centres[i], -i))
    needed = [0.0]
    for before, after in pairwise(order):
        needed.append(needed[-1] + (sizes[before] + sizes[after]) / 2 + gap)
    first = low + sizes[order[0]] / 2
    last = high - sizes[order[-1]] / 2 - needed[-1]
    if last < first:
        raise ValueError(f"labels: must fit into {high - low:.0f} px (got {len(centres)} labels)")
    pooled: list[tuple[float, int]] = []
    for i, room in zip(order, needed, strict=True):
        pooled.append((centres[i] - room, 1))
        while len(pooled) > 1 and pooled[-2][0] > pooled[-1][0]:
            (a, m), (b, n) = pooled[-2:]
            pooled[-2:] = [((a * m + b * n) / (m + n), m + n)]
    level = [min(max(mean, first), last) for mean, count in pooled for _ in range(count)]
    places = [0.0] * len(centres)
    for i, value, room in zip(order, level, needed, strict=True):
        places[i] = value + room
    return places


@lru_cache(maxsize=1024)  # from one picture to the next few labels change
def wrapped(text: str, width: int) -> str:
    """Text broken at `width` [characters], the line ends it already has kept."""
    return "\n".join(fill(line, width) for line in text.split("\n"))


def beside(axes: Axes, x: float, y: float, text: str, look: Stroke) -> Annotation:
    """A label to the right of the end of a line, joined to it in the line's own colour and dash."""
    return axes.annotate(
        wrapped(text, WRAP),
        (x, y),
        (SPACE, 0.0),
        textcoords="offset points",
        ha="left",
        va="center",
        annotation_clip=False,
        arrowprops=_leader(look.colour, look.dash, relpos=(0.0, 0.5)),
    )


def above(axes: Axes, x: float, text: str) -> Annotation:
    """A label over the top edge of the plot, joined to the place on the horizontal axis."""
    return axes.annotate(
        text,
        (x, 1.0),
        (0.0, RISE),
        xycoords=("data", "axes fraction"),
        textcoords="offset points",
        ha="center",
        va="bottom",
        annotation_clip=False,
        arrowprops=_leader(RULE, "solid", relpos=(0.5, 0.0)),
    )


def over(axes: Axes, x: float, y: float, text: str, *, tier: int) -> Annotation:
    """A narrow label over a part of a bar, `tier` labels [-] high, joined to the part's edge."""
    return axes.annotate(
        text,
        (x, y),
        (0.0, RISE + 72 * TIER * tier),
        textcoords="offset points",
        ha="center",
        va="bottom",
        annotation_clip=False,
        bbox=PLATE,
        zorder=4 - 0.1 * tier,
        arrowprops=_leader(RULE, "solid", relpos=(0.5, 0.0)),
    )


def corner(axes: Axes, text: str, *, side: Literal["left", "right"]) -> Annotation:
    """A sentence in an upper corner of the plot, where there is no crossing to be marked."""
    return axes.annotate(
        wrapped(text, CORNER),
        (0.03 if side == "left" else 0.97, 0.97),
        xycoords="axes fraction",
        ha=side,
        va="top",
        bbox=PLATE,
    )


def settle(
    figure: Figure,
    *,
    column: Sequence[Annotation] = (),
    rows: Sequence[Sequence[Annotation]] = (),
) -> None:
    """Lay the figure out, move the labels of the column and of each row apart, freeze the result.

    The column stays below the row above its own plot. Raises ValueError if its labels are higher
    than the page, or those of a row wider.
    """
    for words in figure.findobj(Text):
        words.set_text(drawable(words.get_text()))
    figure.draw_without_rendering()
    figure.set_layout_engine("none")
    point = figure.dpi / 72
    high = figure.bbox.height - EDGE * point
    for row in rows:
        boxes = [extent(label) for label in row]
        places = spread(
            centres=[(box.x0 + box.x1) / 2 for box in boxes],
            sizes=[box.width for box in boxes],
            low=EDGE * point,
            high=figure.bbox.width - EDGE * point,
            gap=2 * GAP * point,
        )
        for label, box, place in zip(row, boxes, places, strict=True):
            _move(label, right=(place - (box.x0 + box.x1) / 2) / point)
        if column and row and row[0].axes is column[0].axes:
            high = min(box.y0 for box in boxes) - RISE * point
    boxes = [extent(label) for label in column]
    places = spread(
        centres=[(box.y0 + box.y1) / 2 for box in boxes],
        sizes=[box.height for box in boxes],
        low=EDGE * point,
        high=high,
        gap=GAP * point,
    )
    for label, box, place in zip(column, boxes, places, strict=True):
        _move(label, up=(place - (box.y0 + box.y1) / 2) / point)


def height_of(texts: Sequence[str]) -> float:
    """Height [inch] that labels beside lines need, one under the other."""
    return sum(LINE * (wrapped(text, WRAP).count("\n") + 1) + 2 * GAP / 72 for text in texts)


def width_of(texts: Sequence[str]) -> float:
    """Width [inch] that labels side by side need, at a generous width a character."""
    longest = [max(len(line) for line in text.split("\n")) for text in texts]
    return sum(CHARACTER * length + 0.09 for length in longest)


def extent(label: Text) -> Bbox:
    """The box of the words alone [px], without the line that joins them to their place."""
    return Text.get_window_extent(label)


def _move(label: Annotation, *, right: float = 0.0, up: float = 0.0) -> None:
    x, y = label.xyann
    label.xyann = (x + right, y + up)


def _leader(colour: str, dash: object, *, relpos: tuple[float, float]) -> dict[str, object]:
    return {
        "arrowstyle": "-",
        "color": colour,
        "linestyle": dash,
        "linewidth": 1.0,
        "shrinkA": 1.0,
        "shrinkB": 0.0,
        "relpos": relpos,
    }
