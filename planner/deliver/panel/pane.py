"""One plot of the panel's picture: its axes, and the lines and words that move over them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import FuncFormatter, MultipleLocator
from matplotlib.transforms import Bbox, IdentityTransform

from planner.deliver.panel.scene import Plot, Track
from planner.show.labels import spread, wrapped
from planner.show.numbers import Numbers
from planner.show.style import RULE, TEXT, drawable

LINE: Final = 15.0  # [px] from one line of a label to the next
LETTER: Final = 8.0  # [px] width of a letter, generously
GAP: Final = 4.0  # [px] between two labels
WRAP: Final = 19  # [characters] of a label beside a line
LEADER: Final = 12.0  # [px] from the end of a line to its label
RISE: Final = 4.0  # [px] from the top of a plot to the names above it
MARKED: Final = 6  # marks along a line [-]


@dataclass(frozen=True)
class Place:
    """A cell of the picture and the box of the axes in it: left, bottom, width, height [px]."""

    cell: tuple[int, int, int, int]
    box: tuple[int, int, int, int]


@dataclass(frozen=True)
class Word:
    """A label and where it is anchored [px from the left and the bottom of the picture].

    It stands right of the place, centred on its height; or, ``above``, centred over it.
    """

    text: str
    x: float
    y: float
    above: bool = False


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Limits and distance of the ticks of both axes, in their units."""

    last: float
    tick_across: float
    low: float
    high: float
    tick: float


class Pane:
    """Axes in a figure, drawn again only where their limits change."""

    def __init__(
        self, figure: Figure, place: Place, numbers: Numbers, *, across: str, title: str, rise: int
    ) -> None:
        left, bottom, width, height = place.box
        wide, high = figure.bbox.width, figure.bbox.height
        axes: Axes = figure.add_axes((left / wide, bottom / high, width / wide, height / high))
        axes.axhline(0.0, color=TEXT, linewidth=1.0)
        axes.yaxis.set_major_formatter(FuncFormatter(lambda y, _: drawable(numbers.money(y))))
        axes.xaxis.set_major_formatter(FuncFormatter(lambda x, _: drawable(numbers.plain(x))))
        axes.set_xlabel(across)
        axes.tick_params(labelbottom=bool(across))
        self._title = axes.annotate(
            title, (0.0, 1.0), (0, rise), xycoords="axes fraction", textcoords="offset pixels",
            weight="bold", annotation_clip=False,
        )  # fmt: skip
        self._axes = axes
        self._line = Line2D([], [])
        self._line.set_figure(figure)
        left, bottom, width, height = place.cell
        self._cell = Bbox.from_bounds(left, bottom, width, height)
        self._limits: Limits | None = None
        self._background: Any = None

    def draw(self, canvas: Any, plot: Plot, limits: Limits) -> Iterator[Word]:
        """Draw the plot on a canvas, on which its cell is blank; its words are left to be set."""
        renderer = canvas.get_renderer()
        if limits == self._limits:
            canvas.restore_region(self._background)
        else:
            self._set(limits)
            self._axes.draw(renderer)
            self._background = canvas.copy_from_bbox(self._cell)
            self._limits = limits
        named = [track for track in plot.tracks if track.label]
        places = self._beside(named)
        for look in self._lines(plot, named, places):
            self._line.set_transform(look.pop("transform", self._axes.transData))
            self._line.set(**_PLAIN | look)
            self._line.draw(renderer)
        right = self._axes.bbox.x1 + LEADER + 3
        yield from (
            Word(wrapped(track.label, WRAP), right, y)
            for track, y in zip(named, places, strict=True)
        )
        yield from self._above(plot.drops)

    def _set(self, limits: Limits) -> None:
        self._axes.set(xlim=(0.0, limits.last), ylim=(limits.low, limits.high))
        self._axes.xaxis.set_major_locator(MultipleLocator(limits.tick_across))
        self._axes.yaxis.set_major_locator(MultipleLocator(limits.tick))

    def _lines(
        self, plot: Plot, named: Sequence[Track], places: Sequence[float]
    ) -> Iterator[dict[str, Any]]:
        """How each line looks, from the one that lies lowest."""
        low, high = self._axes.get_ylim()
        yield from (_dropped(x, low, high) for x, _ in plot.drops)
        yield from (_curve(track) for track in plot.tracks)
        yield from (_mark(x, y, look.colour) for x, y, look in plot.points)
        right = self._axes.bbox.x1 + LEADER
        for track, place in zip(named, places, strict=True):
            x, y = self._end(track)
            yield {
                "data": ([x, right], [y, place]),
                "color": track.look.colour,
                "linestyle": track.look.dash,
                "linewidth": 1.0,
                "transform": IdentityTransform(),
            }

    def _end(self, track: Track) -> tuple[float, float]:
        """The last point of a curve [px]."""
        x, y = self._axes.transData.transform((float(track.x[-1]), float(track.y[-1])))
        return float(x), float(y)

    def _beside(self, tracks: Sequence[Track]) -> list[float]:
        """Heights of the labels of curves, moved apart [px]."""
        box = self._axes.bbox
        sizes = [LINE * (wrapped(track.label, WRAP).count("\n") + 1) for track in tracks]
        needed = sum(sizes) + GAP * len(sizes)
        return spread(
            centres=[self._end(track)[1] for track in tracks],
            sizes=sizes,
            low=min(box.y0, box.y1 - needed),
            high=box.y1 + GAP,
            gap=GAP,
        )

    def _above(self, drops: Sequence[tuple[float, str]]) -> Iterator[Word]:
        """Names of places, over the plot, moved apart."""
        box = self._axes.bbox
        sizes = [LETTER * max(map(len, text.split("\n"))) for _, text in drops]
        low = box.x0 - 40
        places = spread(
            centres=[float(self._axes.transData.transform((x, 0.0))[0]) for x, _ in drops],
            sizes=sizes,
            low=low,
            high=max(box.x1 + 120, low + sum(sizes) + GAP * len(sizes)),
            gap=GAP,
        )
        for (_, text), x in zip(drops, places, strict=True):
            yield Word(text, x, box.y1 + RISE, above=True)


_PLAIN: Final[dict[str, Any]] = {
    "linestyle": "solid",
    "linewidth": 1.8,
    "marker": "",
    "markevery": None,
    "drawstyle": "default",
    "markersize": 5.5,
    "markeredgewidth": 1.0,
}


def _curve(track: Track) -> dict[str, Any]:
    return {
        "data": (track.x, track.y),
        "color": track.look.colour,
        "markerfacecolor": track.look.colour,
        "markeredgecolor": track.look.colour,
        "linestyle": track.look.dash,
        "marker": "" if track.steps else track.look.marker,
        "markevery": max(1, len(track.x) // MARKED),
        "drawstyle": "steps-mid" if track.steps else "default",
    }


def _dropped(x: float, low: float, high: float) -> dict[str, Any]:
    """A thin line through the plot, from the name above it down."""
    return {"data": ([x, x], [low, high]), "color": RULE, "linestyle": ":", "linewidth": 0.9}


def _mark(x: float, y: float, colour: str) -> dict[str, Any]:
    return {
        "data": ([x], [y]),
        "linestyle": "",
        "marker": "o",
        "markersize": 7.5,
        "markerfacecolor": "white",
        "markeredgecolor": colour,
        "markeredgewidth": 1.8,
    }
