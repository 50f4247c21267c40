"""From drawn pixels to a PNG in few milliseconds: words set, colours counted, packed in a hurry."""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterable
from functools import cache, lru_cache
from io import BytesIO
from typing import Any, Final

import numpy as np
from matplotlib.font_manager import findfont
from PIL import Image, ImageDraw, ImageFont

from planner.deliver.panel.pane import LINE, Word
from planner.show.style import RULE, SMALLEST_TEXT, STROKES, TEXT, drawable

SHADES: Final = 16  # of a colour on its way to white; nearer ones would dull the white
DRAWN: Final = (TEXT, RULE, *(look.colour for look in STROKES[:3]))


def encoded(pixels: np.ndarray[Any, np.dtype[np.uint8]], words: Iterable[Word]) -> bytes:
    """Pixels (height, width, 4) with words set on them, as PNG.

    The colours are those of the style and their shades, which one byte a pixel can tell apart.
    """
    height, width, _ = pixels.shape
    image = Image.frombytes("RGB", (width, height), pixels, "raw", "RGBX")
    draw = ImageDraw.Draw(image)
    for word in words:
        _set(draw, word, height - word.y)
    buffer = BytesIO()
    image.quantize(palette=_palette(), dither=Image.Dither.NONE).save(
        buffer, "PNG", compress_type=zlib.Z_RLE
    )
    return buffer.getvalue()


def _set(draw: ImageDraw.ImageDraw, word: Word, y: float) -> None:
    """Set a word at a height from the top [px], each line on whole pixels."""
    lines = drawable(word.text).split("\n")
    first = y - LINE * (len(lines) - 1) * (1.0 if word.above else 0.5)
    for at, line in enumerate(lines):
        ink, left, top = _inked(line, "md" if word.above else "lm")
        place = math.floor(word.x + 0.5) + left, math.ceil(first + LINE * at - 0.5) + top
        draw.bitmap(place, ink, TEXT)


@lru_cache(maxsize=1024)  # from one picture to the next few lines change
def _inked(line: str, anchor: str) -> tuple[Image.Image, int, int]:
    """A line of text as ink, and where the ink begins right of its anchor and below it [px]."""
    left, top, right, bottom = map(int, _font().getbbox(line, anchor=anchor))
    ink = Image.new("L", (right - left, bottom - top))
    ImageDraw.Draw(ink).text((-left, -top), line, fill=255, font=_font(), anchor=anchor)
    return ink, left, top


@cache
def _font() -> ImageFont.FreeTypeFont:
    """The style's font at its smallest size, at 100 pixels an inch."""
    size = SMALLEST_TEXT * 100 / 72
    return ImageFont.truetype(findfont("DejaVu Sans"), size, layout_engine=ImageFont.Layout.BASIC)


@cache
def _palette() -> Image.Image:
    """White, and each colour that is drawn in shades that lead to it."""
    shades: set[tuple[int, ...]] = {(255, 255, 255)}
    for colour in DRAWN:
        full = np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)])
        steps = np.linspace(255, full, SHADES + 1)
        shades |= {tuple(int(part) for part in np.rint(step)) for step in steps}
    ordered = sorted(shades)
    image = Image.new("P", (1, 1))
    image.putpalette([part for shade in ordered for part in shade])
    return image
