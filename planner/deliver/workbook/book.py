"""The workbook before it is drawn: sheets, what stands where, and the names of cells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from xlsxwriter.utility import xl_rowcol_to_cell

from planner.deliver.workbook.grid import Grid, Value
from planner.scenario.estimates import Estimate
from planner.scenario.units import readable


@dataclass(frozen=True, kw_only=True)
class Origin:
    """Where an input comes from, in the user's own words."""

    written: str = ""
    basis: str = ""
    source: str = ""
    date: str = ""


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One named figure of a list: an input, a figure that stays as it is, or one worked out.

    ``formula`` is its template, empty for a constant; ``most`` is the largest whole number that a
    user may enter, None where any number may stand; ``note`` says what a reader should know.
    """

    name: str
    label: str
    unit: str
    value: Value
    formula: str = ""
    is_input: bool = False
    most: int | None = None
    origin: Origin | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Listing:
    """Named figures one below the other; ``together`` names the whole column of them.

    ``with_origin`` shows where they come from, ``with_names`` what formulas call them.
    """

    title: str
    entries: tuple[Entry, ...]
    together: str = ""
    with_origin: bool = False
    with_names: bool = True

    @property
    def height(self) -> int:
        """Rows that the list takes."""
        return len(self.entries) + 1


@dataclass(frozen=True, kw_only=True)
class Words:
    """A line of text."""

    text: str
    style: Literal["title", "heading", "text", "strong", "caution"] = "text"

    @property
    def height(self) -> int:
        """Rows that the line takes."""
        return 1


@dataclass(frozen=True, kw_only=True)
class Table:
    """A plain table of values, without formulas; ``units`` decide how numbers look."""

    header: tuple[str, ...]
    units: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]

    @property
    def height(self) -> int:
        """Rows that the table takes."""
        return len(self.rows) + 1


@dataclass(frozen=True, kw_only=True)
class Chart:
    """A native line chart of lines of a grid over its axis."""

    heading: str
    alias: str
    lines: tuple[str, ...]
    names: tuple[str, ...]
    across: str
    up: str

    @property
    def height(self) -> int:
        """Rows that the chart covers."""
        return 22


Block = Words | Listing | Table | Grid | Chart


@dataclass(kw_only=True)
class Sheet:
    """Blocks at their places.

    ``frozen`` is the first row and column that scroll; ``widths`` are given by column, else they
    follow from what the cells show; sentences span ``text_columns``, or run over where it is 0;
    ``on_one_page`` prints the sheet so.
    """

    title: str
    widths: Mapping[int, float] = field(default_factory=dict)
    frozen: tuple[int, int] = (0, 0)
    text_columns: int = 0
    on_one_page: bool = False
    placed: list[tuple[int, int, Block]] = field(default_factory=list)
    next_row: int = 0

    @property
    def text_width(self) -> float:
        """Characters that fit into the columns that sentences span."""
        return sum(self.widths[column] for column in range(self.text_columns))

    def add(self, *blocks: Block) -> Sheet:
        """Put blocks one below the other."""
        for block in blocks:
            self.put(self.next_row, 0, block)
            self.next_row += block.height
        return self

    def gap(self) -> Sheet:
        """Leave a row empty."""
        self.next_row += 1
        return self

    def put(self, row: int, column: int, block: Block) -> None:
        """Put a block at a place of its own."""
        if isinstance(block, Grid):
            block.sheet, block.row, block.column = self.title, row, column
        self.placed.append((row, column, block))


@dataclass(frozen=True)
class Book:
    """All sheets in their order."""

    sheets: Sequence[Sheet]

    @property
    def grids(self) -> dict[str, Grid]:
        """Every grid under the name that templates use."""
        found = [block for sheet in self.sheets for _, _, block in sheet.placed]
        return {block.alias: block for block in found if isinstance(block, Grid)}

    @property
    def names(self) -> dict[str, str]:
        """Every defined name with what it stands for; one given twice raises ``ValueError``."""
        named: dict[str, str] = {}
        for sheet in self.sheets:
            for row, column, block in sheet.placed:
                found: dict[str, str] = {}
                if isinstance(block, Listing):
                    found = _listed(sheet.title, row, column, block)
                if isinstance(block, Grid) and block.names:
                    found = _columns(block)
                if twice := named.keys() & found.keys():
                    raise ValueError(f"names: must stand for one cell (got {sorted(twice)} twice)")
                named |= found
        return named


def _listed(sheet: str, row: int, column: int, listing: Listing) -> dict[str, str]:
    cells = [_fixed(row + 1 + at, column + 2) for at in range(len(listing.entries))]
    named = {
        entry.name: f"'{sheet}'!{cell}"
        for entry, cell in zip(listing.entries, cells, strict=True)
        if entry.name
    }
    if listing.together:
        named[listing.together] = f"'{sheet}'!{cells[0]}:{cells[-1]}"
    return named


def _columns(grid: Grid) -> dict[str, str]:
    named: dict[str, str] = {}
    last = len(grid.labels) - 1
    for at, line in grid.lines:
        cells = [_fixed(*grid.place(at, position)) for position in range(last + 1)]
        named[f"{grid.names}_{line.key}"] = f"'{grid.sheet}'!{cells[0]}:{cells[-1]}"
        for position, cell in enumerate(cells):
            named[f"{grid.names}_{position + 1}_{line.key}"] = f"'{grid.sheet}'!{cell}"
    return named


def _fixed(row: int, column: int) -> str:
    return str(xl_rowcol_to_cell(row, column, row_abs=True, col_abs=True))


def origin_of(estimate: Estimate) -> Origin:
    """Where an input comes from."""
    return Origin(
        written=estimate.written,
        basis=estimate.basis or "estimated",
        source=estimate.source,
        date=estimate.date,
    )


def unit_of(estimate: Estimate, currency: str) -> str:
    """The canonical unit of an input as a reader knows it."""
    return readable(estimate.unit, currency).replace("^2", "²")
