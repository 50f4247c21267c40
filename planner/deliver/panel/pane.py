"""One plot of the panel's picture: its axes, and the lines and words that move over them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import FuncFormatter, MultipleLocator
from matplotlib.transforms import Bbox, IdentityTransform

from planner.deliver.panel.scene import Plot, Track
from planner.scenario.estimates import Array
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


@dataclass(frozen=True, kw_only=True)
class Pen:
    """How a line looks, in the library's own words."""

    color: str
    linestyle: str | tuple[float, tuple[float, ...]] = "solid"
    linewidth: float = 1.8
    drawstyle: str = "default"
    marker: str = ""
    markevery: int | None = None
    markersize: float = 5.5
    markerfacecolor: str = "auto"
    markeredgewidth: float = 1.0


@dataclass(frozen=True, eq=False)
class Line:
    """A line drawn with a pen, in the units of the axes or ``in_pixels`` of the picture."""

    pen: Pen
    x: Sequence[float] | Array
    y: Sequence[float] | Array
    in_pixels: bool = False


class Pane:
    """Axes on a canvas that is blank at first, drawn again only where their limits change."""

    def __init__(
        self, canvas: Any, place: Place, numbers: Numbers, *, across: str, title: str, rise: int
    ) -> None:
        figure: Figure = canvas.figure
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
        self._axes, self._canvas = axes, canvas
        self._pens: dict[tuple[Pen, bool], Line2D] = {}
        left, bottom, width, height = place.cell
        self._cell = Bbox.from_bounds(left, bottom, width, height)
        self._blank: Any = canvas.copy_from_bbox(self._cell)
        self._limits: Limits | None = None
        self._background: Any = None

    def draw(self, plot: Plot, limits: Limits) -> Iterator[Word]:
        """Draw the plot on the canvas; its words are left to be set."""
        renderer = self._canvas.get_renderer()
        if limits == self._limits:
            self._canvas.restore_region(self._background)
        else:
            self._canvas.restore_region(self._blank)
            self._set(limits)
            self._axes.draw(renderer)
            self._background = self._canvas.copy_from_bbox(self._cell)
            self._limits = limits
        named = [track for track in plot.tracks if track.label]
        places = self._beside(named)
        for line in self._lines(plot, named, places):
            artist = self._artist(line.pen, line.in_pixels)
            artist.set_data(line.x, line.y)
            artist.draw(renderer)
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

    def _artist(self, pen: Pen, in_pixels: bool) -> Line2D:
        """What draws lines with a pen."""
        if (pen, in_pixels) not in self._pens:
            made = Line2D([], [], **asdict(pen))
            made.set_figure(self._canvas.figure)
            made.set_transform(IdentityTransform() if in_pixels else self._axes.transData)
            self._pens[pen, in_pixels] = made
        return self._pens[pen, in_pixels]

    def _lines(self, plot: Plot, named: Sequence[Track], places: Sequence[float]) -> Iterator[Line]:
        """Each line, from the one that lies lowest."""
        low, high = self._axes.get_ylim()
        yield from (_dropped(x, low, high) for x, _ in plot.drops)
        yield from (_curve(track) for track in plot.tracks)
        yield from (_mark(x, y, look.colour) for x, y, look in plot.points)
        right = self._axes.bbox.x1 + LEADER
        for track, place in zip(named, places, strict=True):
            x, y = self._end(track)
            pen = Pen(color=track.look.colour, linestyle=track.look.dash, linewidth=1.0)
            yield Line(pen, (x, right), (y, place), in_pixels=True)

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


def _curve(track: Track) -> Line:
    look = track.look
    pen = Pen(
        color=look.colour,
        linestyle=look.dash,
        drawstyle="steps-mid" if track.steps else "default",
        marker="" if track.steps else look.marker,
        markevery=max(1, len(track.x) // MARKED),
    )
    return Line(pen, track.x, track.y)


def _dropped(x: float, low: float, high: float) -> Line:
    """A thin line through the plot, from the name above it down."""
    return Line(Pen(color=RULE, linestyle=":", linewidth=0.9), (x, x), (low, high))


def _mark(x: float, y: float, colour: str) -> Line:
    pen = Pen(
        color=colour,
        linestyle="",
        marker="o",
        markersize=7.5,
        markerfacecolor="white",
        markeredgewidth=1.8,
    )
    return Line(pen, (x,), (y,))
