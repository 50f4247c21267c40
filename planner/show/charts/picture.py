"""A picture: a figure with its name and its text alternative."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from matplotlib.figure import Figure

NO_BREAK: Final = "\u00a0"  # a space at which no line is broken
HALF_CENT: Final = 0.005  # [currency] by which figures that belong together may differ


@dataclass(frozen=True)
class Picture:
    """A figure ready to be saved, the name of its files, and its text alternative."""

    name: str
    figure: Figure
    alt: str


def alternative(kind: str, *said: str) -> str:
    """The text alternative: the kind of picture, then the words that stand in it."""
    return f"{kind}: {'; '.join(said)}.".replace("\n", " ").replace(NO_BREAK, " ")
