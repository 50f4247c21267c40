"""The panel's one picture: five plots on a figure that is made once and drawn again and again.

The picture depends on what is shown alone, not on what was shown before.
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from planner.deliver.panel.pane import Limits, Pane, Place
from planner.deliver.panel.pixels import encoded
from planner.deliver.panel.scene import TITLES, Plot, Scene
from planner.show.numbers import Numbers
from planner.show.style import styled

SIZE: Final = (920, 760)  # [px]
DOTS: Final = 100  # [px/inch]
MONTHS: Final = (1, 2, 3, 6, 12, 24, 60, 120)  # from one tick to the next
PARTS: Final = 4  # of an axis of money or volume, at most
PLACES: Final = {  # of which every pixel is in one cell
    "gained": Place((0, 380, 460, 380), (84, 440, 214, 256)),
    "balance": Place((460, 554, 460, 206), (544, 566, 214, 130)),
    "flow": Place((460, 380, 460, 174), (544, 440, 214, 98)),
    "month": Place((0, 0, 460, 380), (84, 56, 214, 256)),
    "paid": Place((460, 0, 460, 380), (544, 56, 214, 256)),
}
ACROSS: Final = {"balance": "", "month": "pieces a week"}  # else months
RISE: Final = {"balance": 40, "month": 40}  # of a title over a plot that names places [px]


class Picture:
    """A figure that is made once; ``png`` draws a scene on it. One thread at a time may use it."""

    def __init__(self, numbers: Numbers) -> None:
        with styled():
            # a little more, for a pixel that is not quite whole may be dropped
            width, height = ((side + 0.01) / DOTS for side in SIZE)
            figure = Figure(figsize=(width, height), dpi=DOTS)
            canvas: Any = FigureCanvasAgg(figure)
            canvas.draw()
            self._canvas = canvas
            self._panes = {name: _pane(canvas, name, numbers) for name in PLACES}

    def png(self, scene: Scene) -> bytes:
        """The scene as PNG."""
        with styled():
            words = [
                word
                for name, plot in scene.items()
                for word in self._panes[name].draw(plot, _limits(plot, name))
            ]
        return encoded(np.asarray(self._canvas.buffer_rgba()), words)


def _pane(canvas: Any, name: str, numbers: Numbers) -> Pane:
    across, rise = ACROSS.get(name, "month"), RISE.get(name, 12)
    return Pane(canvas, PLACES[name], numbers, across=across, title=TITLES[name], rise=rise)


def _limits(plot: Plot, name: str) -> Limits:
    """Limits of a plot's axes on round ticks, so that they stay through small moves."""
    values = np.concatenate([track.y for track in plot.tracks])
    low, high = min(0.0, float(values.min())), max(0.0, float(values.max()))
    tick = round_step((high - low) or 1.0)
    if name == "month":
        tick_across = round_step(plot.last)
        last = tick_across * math.ceil(plot.last / tick_across - 1e-9)
    else:
        last = plot.last
        tick_across = next(step for step in MONTHS if last <= 8 * step or step == MONTHS[-1])
    return Limits(
        last=last,
        tick_across=tick_across,
        low=tick * math.floor(low / tick + 1e-9),
        high=tick * math.ceil(high / tick - 1e-9),
        tick=tick,
    )


def round_step(span: float) -> float:
    """The roundest step of which a span holds at most ``PARTS``."""
    wanted = span / PARTS
    size = 10.0 ** math.floor(math.log10(wanted))
    return next(part * size for part in (1.0, 2.0, 5.0, 10.0) if part * size >= wanted * (1 - 1e-9))
