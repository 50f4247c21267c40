"""Lines of figures over months, products or years, their formulas written once as templates.

A template speaks of the line ``ink`` in the same month as ``{ink}``, of the month before as
``{ink.prev}``, and of another grid's line as ``{calendar.weeks}``; ``.first``, ``.last``, ``.all``
and ``.later`` are its first and last cell, all its cells, and all but the first; ``[5]`` is the
cell at position 5.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from xlsxwriter.utility import xl_rowcol_to_cell

Value = float | str | None


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of a grid.

    ``formula`` is the template of every cell and ``first`` that of the first, where it differs; a
    line without formulas holds constants. ``values`` are the engine's, one a cell, None where the
    cell stays empty. ``unit`` decides how numbers look; ``adds_up`` asks for a total beside the
    line, ``is_sum`` says that it sums up other lines.
    """

    key: str
    label: str
    unit: str
    values: tuple[Value, ...]
    formula: str = ""
    first: str = ""
    adds_up: bool = False
    is_sum: bool = False

    def template(self, position: int) -> str:
        """The template of one cell; empty for a constant."""
        return self.first if position == 0 and self.first else self.formula


@dataclass(frozen=True)
class Heading:
    """Words between lines."""

    text: str


@dataclass(kw_only=True)
class Grid:
    """Lines over the positions of an axis, side by side or, ``vertical``, one below the other.

    ``axis`` is the key and the heading of the positions' ``labels``. ``names`` is the prefix of
    the names given to the lines of a vertical grid and to their cells, empty where none are given.
    ``is_input`` holds the keys of the lines that a user may change, ``instead`` the grids that its
    templates mean when they speak of others.
    """

    alias: str
    axis: str
    labels: tuple[Value, ...]
    blocks: tuple[Line | Heading, ...]
    vertical: bool = False
    names: str = ""
    is_input: frozenset[str] = frozenset()
    instead: Mapping[str, str] = field(default_factory=dict)
    sheet: str = ""
    row: int = 0
    column: int = 0

    @property
    def lines(self) -> Iterator[tuple[int, Line]]:
        """Every line with its place among the blocks."""
        for at, block in enumerate(self.blocks):
            if isinstance(block, Line):
                yield at, block

    @property
    def height(self) -> int:
        """Rows that the grid takes."""
        return len(self.labels) + 2 if self.vertical else len(self.blocks) + 1

    @property
    def margin(self) -> int:
        """Cells before the first position: heading and unit, and beside a line its total."""
        return 2 if self.vertical else 3

    def place(self, line: int, position: int) -> tuple[int, int]:
        """Row and column of a cell; line -1 is the axis."""
        if self.vertical:
            return self.row + self.margin + position, self.column + 1 + line
        return self.row + 1 + line, self.column + self.margin + position

    def at(self, key: str) -> int:
        """Place of a line among the blocks, -1 for the axis; raises ``KeyError``."""
        return self._places[key]

    def __contains__(self, key: str) -> bool:
        return key in self._places

    @cached_property
    def _places(self) -> dict[str, int]:
        places = {self.axis: -1}
        for at, line in self.lines:
            if line.key in places:
                raise ValueError(f"{self.alias}: must have one line a key (got {line.key} twice)")
            places[line.key] = at
        return places


@dataclass(frozen=True)
class Ref:
    """A line as a formula on some sheet speaks of it, seen from one position."""

    grid: Grid
    line: int
    position: int
    sheet: str

    def _cell(self, position: int, *, fixed: bool) -> str:
        row, column = self.grid.place(self.line, position)
        return str(xl_rowcol_to_cell(row, column, row_abs=fixed, col_abs=fixed))

    def _range(self, first: int, last: int) -> str:
        return f"{self._cell(first, fixed=True)}:{self._cell(last, fixed=True)}"

    def _on_sheet(self, address: str) -> str:
        return address if self.grid.sheet == self.sheet else f"'{self.grid.sheet}'!{address}"

    def __str__(self) -> str:
        return self._on_sheet(self._cell(self.position, fixed=False))

    def __getitem__(self, position: int) -> str:
        """The cell at a position."""
        return self._on_sheet(self._cell(position, fixed=True))

    @property
    def prev(self) -> str:
        """The cell before."""
        return self._on_sheet(self._cell(self.position - 1, fixed=False))

    @property
    def first(self) -> str:
        """The first cell."""
        return self._on_sheet(self._cell(0, fixed=True))

    @property
    def last(self) -> str:
        """The last cell."""
        return self._on_sheet(self._cell(len(self.grid.labels) - 1, fixed=True))

    @property
    def all(self) -> str:
        """Every cell."""
        return self._on_sheet(self._range(0, len(self.grid.labels) - 1))

    @property
    def later(self) -> str:
        """Every cell but the first."""
        return self._on_sheet(self._range(1, len(self.grid.labels) - 1))


@dataclass(frozen=True)
class _Other:
    """Another grid, whose lines are its attributes."""

    grid: Grid
    position: int
    sheet: str

    def __getattr__(self, key: str) -> Ref:
        return Ref(self.grid, self.grid.at(key), self.position, self.sheet)


class Scope:
    """What a template may speak of, seen from one position of a grid or from a list of figures."""

    def __init__(
        self, grids: Mapping[str, Grid], *, sheet: str, own: Grid | None = None, position: int = 0
    ) -> None:
        self._grids, self._own = grids, own
        self._sheet, self._position = sheet, position

    def __getitem__(self, key: str) -> object:
        if self._own is not None:
            if key in self._own:
                return Ref(self._own, self._own.at(key), self._position, self._sheet)
            key = self._own.instead.get(key, key)
        return _Other(self._grids[key], self._position, self._sheet)

    def formula(self, template: str) -> str:
        """The formula of a template."""
        return "=" + template.format_map(self)


def total_of(terms: Sequence[str]) -> str:
    """Terms added up, 0 where there are none."""
    return "+".join(terms) or "0"
