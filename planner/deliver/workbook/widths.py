"""How wide columns must be to show what stands in them."""

from __future__ import annotations

from planner.deliver.workbook.grid import Value

LEAST, MOST = 8.0, 52.0  # [characters]
ROOM = 1.5  # for a figure that grows by a digit [characters]


class Widths:
    """The widest text and number seen in each column."""

    def __init__(self) -> None:
        self._seen: dict[int, float] = {}

    def see(self, column: int, value: Value, pattern: str) -> None:
        """A cell with a number; words beside figures may run over."""
        if isinstance(value, float):
            self._grow(column, _length(value, pattern) + ROOM)

    def see_text(self, column: int, text: str) -> None:
        """A cell with words that must be seen whole."""
        self._grow(column, len(text) * 0.9 + 1)

    def give(self, column: int, width: float) -> None:
        """A column whose words are wrapped to a width."""
        self._grow(column, width)

    def _grow(self, column: int, width: float) -> None:
        self._seen[column] = min(MOST, max(width, self._seen.get(column, LEAST)))

    def by_column(self) -> dict[int, float]:
        """Widths of all columns in which something stands [characters]."""
        return dict(sorted(self._seen.items()))


def _length(value: float, pattern: str) -> int:
    if pattern.startswith("mmm"):
        return 8
    if pattern.endswith("%"):
        return len(f"{100 * value:.2f}%")
    places = len(pattern.split(";")[0].partition(".")[2])
    return len(f"{value:,.{places}f}")
