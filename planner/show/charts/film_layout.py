"""The layout of an order, drawn on the roll as it runs through the printer.

All layouts of a scenario are drawn to one scale, so that rolls and products can be compared.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate
from textwrap import fill
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.text import Annotation
from matplotlib.ticker import FixedLocator, MultipleLocator

from planner.decide.film import OnRoll, Roll
from planner.show.charts.axes import ticks
from planner.show.charts.picture import Picture, alternative
from planner.show.labels import CHARACTER, LINE, PLATE, above, settle
from planner.show.numbers import INCH, Numbers
from planner.show.style import FAINT, RULE, STROKES, WIDTH, stroke, styled
from planner.usage.layout import Place

LEFT, RIGHT, BOTTOM, TOP = 0.62, 0.2, 0.5, 0.12  # [inch] round the plot
LABEL_ROOM: Final = 0.45  # [inch] over the plot for labels of prints too small to hold theirs
CAPTION: Final = 84  # [characters] in a line under the plot


def sheet_layout(roll: Roll, order: OnRoll, *, name: str, numbers: Numbers) -> Picture:
    """Every print of an order as a rectangle on its roll, which runs from left to right.

    The first 2 m (80 in) are drawn; what follows is said in words. A print holds its size where
    there is room; else a label over the plot names the first of its kind.
    """
    view = _View(roll, order, numbers)
    caption, named = fill(_caption(view), CAPTION), _named_over(view)
    with styled():
        figure, axes = _plot(view, caption, room_over=LABEL_ROOM if named else TOP)
        _film(axes, view)
        for place in view.drawn:
            _print(axes, view, place)
        settle(figure, rows=[[_name_over(axes, view, place) for place in named]])
    alt = alternative("Prints laid out on a roll of film", _caption(view).removesuffix("."))
    return Picture(name, figure, alt)


@dataclass(frozen=True)
class _View:
    """An order on a roll as it is drawn."""

    roll: Roll
    order: OnRoll
    numbers: Numbers

    @property
    def unit(self) -> tuple[str, float, float]:
        """The unit of the axes, its size [m], and the step of ticks along the roll [unit]."""
        return ("in", INCH, 10.0) if self.numbers.units == "inch" else ("cm", 0.01, 20.0)

    @property
    def shown(self) -> float:
        """Length of the roll that is drawn [m]."""
        return 80 * INCH if self.numbers.units == "inch" else 2.0

    @property
    def scale(self) -> float:
        """Paper to film [inch/m]."""
        return (WIDTH - LEFT - RIGHT) / self.shown

    @property
    def drawn(self) -> list[Place]:
        """The prints that begin within the drawn length."""
        return [place for place in self.order.laid.places if place.y < self.shown]

    def size(self, piece: int) -> str:
        """Width and length of a print as the scenario gives them."""
        name, metres, _ = self.unit
        one = self.order.pieces[piece]
        sides = (self.numbers.plain(side / metres) for side in (one.width, one.length))
        return f"{' × '.join(sides)} {name}"

    def words_inside(self, place: Place) -> str | None:
        """The size of a print on one line or two; None where the print cannot hold it."""
        text = self.size(place.piece)
        if place.y + place.length > self.shown:
            return None
        return next(
            (
                words
                for words in (text, text.replace("× ", "×\n"))
                if _holds(words, wide=place.length * self.scale, high=place.width * self.scale)
            ),
            None,
        )


def _holds(words: str, *, wide: float, high: float) -> bool:
    """Whether a box [inch] holds words."""
    lines = words.split("\n")
    return CHARACTER * max(map(len, lines)) <= wide and LINE * len(lines) + 0.05 <= high


def _named_over(view: _View) -> list[Place]:
    """The first print of each kind that holds no label, as many as there is room to name."""
    from_the_top = sorted(view.drawn, key=lambda place: (-place.y, place.x))
    firsts = {place.piece: place for place in from_the_top}
    labelled = {place.piece for place in view.drawn if view.words_inside(place)}
    wanted = [place for piece, place in firsts.items() if piece not in labelled]
    needed = accumulate(CHARACTER * len(view.size(place.piece)) + 0.1 for place in wanted)
    return [place for place, room in zip(wanted, needed, strict=True) if room <= WIDTH]


def _plot(view: _View, caption: str, *, room_over: float) -> tuple[Figure, Axes]:
    """A figure as high as its roll and words need, both axes to the same scale."""
    name, metres, step = view.unit
    width = view.roll.width / metres
    under = BOTTOM + LINE * (caption.count("\n") + 1)  # [inch]
    high = view.scale * view.roll.width  # [inch]
    whole = under + high + room_over
    figure = Figure(figsize=(WIDTH, whole))
    axes = figure.add_axes((LEFT / WIDTH, under / whole, 1 - (LEFT + RIGHT) / WIDTH, high / whole))
    axes.grid(False)
    axes.set_xlim(0.0, view.shown / metres)
    axes.set_ylim(0.0, width)
    axes.xaxis.set_major_locator(MultipleLocator(step))
    axes.yaxis.set_major_locator(FixedLocator([0.0, width]))
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_formatter(ticks(view.numbers.plain))
    axes.set_ylabel(f"across, {name}")
    axes.set_xlabel(f"along the roll, {name}\n{caption}", loc="left")
    return figure, axes


def _film(axes: Axes, view: _View) -> None:
    """The film with its margins, and the blank end of the run after the order."""
    width, filled, (_, metres, _) = view.roll.width, view.order.laid.length, view.unit
    _rectangle(axes, view, 0.0, 0.0, filled, width, facecolor=FAINT, edgecolor=RULE)
    for at in (view.roll.margin, width - view.roll.margin):
        axes.hlines(
            at / metres, 0.0, filled / metres,
            color=RULE, linewidth=0.8, linestyle=(0.0, (4.0, 3.0)),
        )  # fmt: skip
    blank = min(view.roll.run_end, view.shown - filled)
    words = "blank end\nof the run"
    if blank > 0:
        _rectangle(axes, view, filled, 0.0, view.roll.run_end, width, fill=False, edgecolor=RULE)
    if _holds(words, wide=blank * view.scale, high=width * view.scale):
        _write(axes, view, filled + blank / 2, width / 2, words)


def _print(axes: Axes, view: _View, place: Place) -> None:
    look, words = stroke(place.piece % len(STROKES)), view.words_inside(place)
    across = view.roll.margin + place.x
    _rectangle(
        axes, view, place.y, across, place.length, place.width,
        facecolor=look.colour, edgecolor="white", hatch=look.hatch, linewidth=0.0,
    )  # fmt: skip
    if words:
        _write(axes, view, place.y + place.length / 2, across + place.width / 2, words)


def _rectangle(
    axes: Axes,
    view: _View,
    along: float,
    across: float,
    length: float,
    width: float,
    **looks: Any,
) -> None:
    """A rectangle given in metres; what lies beyond the plot is cut off."""
    _, metres, _ = view.unit
    corner, size = (along / metres, across / metres), (length / metres, width / metres)
    axes.add_patch(Rectangle(corner, *size, **looks))


def _write(axes: Axes, view: _View, along: float, across: float, words: str) -> None:
    _, metres, _ = view.unit
    place = (along / metres, across / metres)
    axes.annotate(words, place, ha="center", va="center", bbox=PLATE, annotation_clip=False)


def _name_over(axes: Axes, view: _View, place: Place) -> Annotation:
    """A label over the plot, joined to the middle of its print."""
    _, metres, _ = view.unit
    along = (place.y + min(place.length, view.shown - place.y) / 2) / metres
    across = (view.roll.margin + place.x + place.width / 2) / metres
    axes.vlines(along, across, view.roll.width / metres, color=RULE, linewidth=0.9)
    axes.plot([along], [across], "o", color="white", markeredgecolor=RULE, markersize=4.0)
    return above(axes, along, view.size(place.piece))


def _caption(view: _View) -> str:
    """What the layout takes and what of it is drawn."""
    order, roll, length = view.order, view.roll, view.numbers.length
    *kinds, last = [f"{piece.count} of {view.size(at)}" for at, piece in enumerate(order.pieces)]
    prints = f"{', '.join(kinds)} and {last}" if kinds else last
    said = (
        f"{order.product}: {prints} take {length(order.laid.length)} of the roll, "
        f"{length(roll.width)} wide with margins of {length(roll.margin)}; the pictures are "
        f"{view.numbers.percent(order.film_use)} of that film."
    )
    beyond = order.laid.length - view.shown
    if beyond > 0:
        said += f" The first {length(view.shown)} are drawn, {length(beyond)} more follow."
    if roll.run_end > 0:
        said += f" Each run ends with {length(roll.run_end)} of blank film."
    return said
