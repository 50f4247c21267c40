"""The one style sheet of every picture, and how a picture becomes bytes.

Same figure, same bytes: the style starts from the library's own defaults, the identifiers in an SVG
come from a fixed salt, and neither format carries a date or a program name.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from typing import Any
from unicodedata import normalize

import matplotlib
from matplotlib.figure import Figure
from matplotlib.font_manager import findfont, get_font

WIDTH = 6.5  # printed width [inch]: the text width of a Letter or A4 page
SMALLEST_TEXT = 9.0  # [pt] at that width
TEXT, FAINT, RULE = "#1a1a1a", "#d9d9d9", "#595959"  # words, grid, drop lines
DOTS_PER_INCH = 200

RC: dict[Any, object] = {  # the library types its keys one by one
    "font.family": "DejaVu Sans",
    "font.size": SMALLEST_TEXT,
    "axes.labelsize": SMALLEST_TEXT,
    "xtick.labelsize": SMALLEST_TEXT,
    "ytick.labelsize": SMALLEST_TEXT,
    "text.color": TEXT,
    "axes.labelcolor": TEXT,
    "axes.edgecolor": RULE,
    "xtick.color": TEXT,
    "ytick.color": TEXT,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.grid.axis": "y",
    "axes.axisbelow": True,
    "grid.color": FAINT,
    "grid.linewidth": 0.6,
    "lines.linewidth": 1.8,
    "lines.markersize": 5.5,
    "hatch.linewidth": 0.6,
    "text.parse_math": False,  # a dollar sign is money, never mathematics
    "svg.fonttype": "path",  # the reader's machine may not have the font
    "svg.hashsalt": "planner",
    "text.hinting": "none",  # the same text widths in both formats
    "figure.dpi": 100.0,
}


@dataclass(frozen=True)
class Stroke:
    """How one series looks: colour, dash, marker and hatch each tell it apart without the rest."""

    colour: str
    dash: str | tuple[float, tuple[float, ...]]
    marker: str
    hatch: str


# Colours: Okabe and Ito, Color Universal Design, 2008; their yellow is too pale on white.
STROKES: tuple[Stroke, ...] = (
    Stroke("#0072B2", "solid", "o", ""),
    Stroke("#D55E00", (0.0, (5.0, 1.6)), "s", "////"),
    Stroke("#000000", (0.0, (1.2, 1.4)), "^", "...."),
    Stroke("#009E73", (0.0, (7.0, 1.6, 1.4, 1.6)), "D", "\\\\\\\\"),
    Stroke("#CC79A7", (0.0, (3.0, 1.2)), "v", "xxxx"),
    Stroke("#E69F00", (0.0, (7.0, 1.6, 1.4, 1.6, 1.4, 1.6)), "P", "----"),
    Stroke("#56B4E9", (0.0, (2.0, 2.4)), "X", "||||"),
)


def stroke(index: int) -> Stroke:
    """The fixed look of the series with this place; a place outside the set raises IndexError."""
    if not 0 <= index < len(STROKES):
        raise IndexError(f"stroke: must be 0 to {len(STROKES) - 1} (got {index})")
    return STROKES[index]


@contextmanager
def styled() -> Iterator[None]:
    """Within it, figures are made and saved in the one style whatever the user's own settings."""
    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(RC)
        yield


def drawable(text: str) -> str:
    """The text as the font can draw it: the nearest form of a missing sign, or a question mark."""
    return "".join(
        sign if sign in "\n" or ord(sign) in _signs() else _nearest(sign) for sign in text
    )


def _nearest(sign: str) -> str:
    plain = normalize("NFKC", sign)
    return plain if all(ord(part) in _signs() for part in plain) else "?"


@cache
def _signs() -> frozenset[int]:
    """Every sign in the font of the pictures, by its code point."""
    return frozenset(get_font(findfont("DejaVu Sans")).get_charmap())


def to_svg(figure: Figure, *, title: str, description: str) -> bytes:
    """The figure as SVG, byte for byte the same each time."""
    metadata = {"Title": title, "Description": description, "Date": None, "Creator": None}
    return _saved(figure, form="svg", metadata=metadata)


def to_png(figure: Figure, *, title: str, description: str) -> bytes:
    """The figure as PNG at 200 dots per inch, byte for byte the same each time."""
    metadata = {"Title": title, "Description": description, "Software": None}
    return _saved(figure, form="png", metadata=metadata)


def _saved(figure: Figure, *, form: str, metadata: dict[str, str | None]) -> bytes:
    buffer = BytesIO()
    with styled():
        figure.savefig(buffer, format=form, dpi=DOTS_PER_INCH, metadata=metadata)
    return buffer.getvalue()
