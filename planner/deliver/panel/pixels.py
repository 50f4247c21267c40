"""From drawn pixels to a PNG in few milliseconds: words set, colours counted, packed in a hurry."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
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
    image = Image.fromarray(pixels).convert("RGB")
    draw = ImageDraw.Draw(image)
    for word in words:
        draw.multiline_text(
            (word.x, image.height - word.y),
            drawable(word.text),
            fill=TEXT,
            font=_font(),
            anchor="md" if word.above else "lm",
            align="center" if word.above else "left",
            spacing=LINE - _line_height(),
        )
    buffer = BytesIO()
    image.quantize(palette=_palette(), dither=Image.Dither.NONE).save(
        buffer, "PNG", compress_level=1
    )
    return buffer.getvalue()


@cache
def _font() -> ImageFont.FreeTypeFont:
    """The style's font at its smallest size, at 100 pixels an inch."""
    size = SMALLEST_TEXT * 100 / 72
    return ImageFont.truetype(findfont("DejaVu Sans"), size, layout_engine=ImageFont.Layout.BASIC)


@cache
def _line_height() -> float:
    """What a line takes without spacing [px]."""
    box = ImageDraw.Draw(Image.new("L", (1, 1))).textbbox((0, 0), "A", font=_font())
    return float(box[3])


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
