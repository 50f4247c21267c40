"""Draws the sheets: cells with their formulas and values."""

from __future__ import annotations

import math
from datetime import datetime
from io import BytesIO
from typing import Any, Final

import xlsxwriter

from planner.deliver.workbook.book import (
    Book,
    Chart,
    Entry,
    Listing,
    Origin,
    Sheet,
    Table,
    Words,
)
from planner.deliver.workbook.chart_drawing import put_chart
from planner.deliver.workbook.grid import Grid, Heading, Line, Scope, Value
from planner.deliver.workbook.looks import INPUT, INPUT_INK, PALE, RULE, WARN, Looks
from planner.deliver.workbook.page_setup import set_up
from planner.deliver.workbook.widths import Widths

CREATED: Final = datetime(2000, 1, 1)  # no clock: the same workbook, the same bytes
_ROW: Final = 12.5  # points
_RUNS_OVER: Final = 30  # characters; longer words run over the cells to their right
_SIGNS: Final = ("=", "+", "-", "@")
_WORDS: Final[dict[str, dict[str, Any]]] = {
    "title": {"bold": True, "font_size": 14},
    "heading": {"bold": True, "font_size": 11},
    "strong": {"bold": True},
    "caution": {"font_color": WARN},
    "text": {},
}
_ORIGIN: Final = {"as written": 30.0, "basis": 10.0, "source": 32.0}  # with their widths
_NAMES: Final = {"name in formulas": 27.0}
_NOTE: Final = {"note": 34.0}


def drawn(book: Book, *, currency: str, is_metric: bool, title: str) -> bytes:
    """The workbook as the bytes of its file."""
    buffer = BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
        "default_format_properties": {"font_name": "Arial", "font_size": 10},
    }
    with xlsxwriter.Workbook(buffer, options) as workbook:
        workbook.set_properties({"title": title, "created": CREATED})
        workbook.set_calc_mode("auto")
        looks = Looks(workbook, currency)
        for sheet in book.sheets:
            _Pen(workbook, book, sheet, looks).draw(is_metric=is_metric)
        for name, cells in book.names.items():
            workbook.define_name(name, f"={cells}")
    return buffer.getvalue()


class _Pen:
    """Draws one sheet."""

    def __init__(self, workbook: Any, book: Book, sheet: Sheet, looks: Looks) -> None:
        self._workbook, self._sheet, self._looks = workbook, sheet, looks
        self._page = workbook.add_worksheet(sheet.title)
        self._grids, self._widths = book.grids, Widths()
        self._scope = Scope(self._grids, sheet=sheet.title)

    def draw(self, *, is_metric: bool) -> None:
        """Every block, then widths and print set-up."""
        for row, column, block in self._sheet.placed:
            match block:
                case Words():
                    self._words(row, column, block)
                case Listing():
                    self._listing(row, column, block)
                case Table():
                    self._table(row, column, block)
                case Grid():
                    self._grid(block)
                case Chart():
                    self._heading(row, column, block.heading)
                    put_chart(self._workbook, self._page, (row + 1, column), block, self._grids)
        set_up(self._page, self._sheet, self._widths, is_metric=is_metric)

    def _text(self, row: int, column: int, text: str, **properties: Any) -> None:
        """Text stays text whatever its first sign, also when a user edits the cell."""
        if text.startswith(_SIGNS):
            properties["quote_prefix"] = True
        self._page.write_string(row, column, text, self._looks.of(**properties))

    def _cell(
        self, row: int, column: int, value: Value, unit: str, formula: str, **properties: Any
    ) -> None:
        """A formula with the engine's value, a number, or text; nothing for None without one."""
        if isinstance(value, str):
            properties = {"align": "right" if formula else "left"} | properties
        look = self._looks.number(unit, value, **properties)
        if formula:
            self._page.write_formula(row, column, formula, look, value)
        elif isinstance(value, str):
            self._text(row, column, value, **properties)
        elif value is None:
            self._page.write_blank(row, column, None, look)
        else:
            self._page.write_number(row, column, value, look)
        self._widths.see(column, value, self._looks.pattern(unit, value))

    def _words(self, row: int, column: int, words: Words) -> None:
        span = self._sheet.text_columns
        look = _WORDS[words.style]
        if not span:
            self._text(row, column, words.text, **look)
            return
        wrapped = self._looks.of(text_wrap=True, **look)
        self._page.merge_range(row, column, row, column + span - 1, "", wrapped)
        self._text(row, column, words.text, text_wrap=True, **look)
        size = look.get("font_size", 9)
        lines = math.ceil(len(words.text) * size / 9 / self._sheet.text_width)
        self._page.set_row(row, lines * size * 1.4)

    def _heading(self, row: int, column: int, text: str) -> None:
        self._text(row, column, text, bold=True, font_size=10)

    def _listing(self, row: int, column: int, listing: Listing) -> None:
        self._heading(row, column, listing.title)
        self._widths.see_text(column, listing.title)
        self._text(row, column + 1, "unit", bold=True)
        self._text(row, column + 2, "value", bold=True, align="right")
        heads: dict[str, float] = dict(_NAMES) if listing.with_names else {}
        if listing.with_origin:
            heads = _ORIGIN | heads | _NOTE
        for at, (head, width) in enumerate(heads.items(), start=column + 3):
            self._text(row, at, head, bold=True, align="left", indent=1)
            if listing.with_origin:
                self._widths.give(at, width)
        for at, entry in enumerate(listing.entries, start=1):
            self._entry(row + at, column, entry)
            if heads:
                self._notes(row + at, column + 3, entry, listing)

    def _entry(self, row: int, column: int, entry: Entry) -> None:
        self._text(row, column, entry.label)
        self._text(row, column + 1, entry.unit)
        self._widths.see_text(column, entry.label)
        self._widths.see_text(column + 1, entry.unit)
        formula = self._scope.formula(entry.formula) if entry.formula else ""
        look = _input_look() if entry.is_input else {}
        if isinstance(entry.value, str):
            look |= {"align": "left"} if len(entry.value) > _RUNS_OVER else {}
        self._cell(row, column + 2, entry.value, entry.unit, formula, **look)
        if entry.most is not None:
            whole = {"validate": "integer", "criteria": "between", "minimum": 1}
            self._page.data_validation(
                row, column + 2, row, column + 2, whole | {"maximum": entry.most}
            )

    def _notes(self, row: int, column: int, entry: Entry, listing: Listing) -> None:
        """Where an entry comes from, its name and what should be known of it."""
        notes = [entry.name, entry.note]
        if listing.with_origin:
            origin = entry.origin or Origin()
            source = ", ".join(part for part in (origin.source, origin.date) if part)
            notes = [origin.written, origin.basis, source, *notes]
            widths = (*_ORIGIN.values(), *_NAMES.values(), *_NOTE.values())
            lines = max(math.ceil(len(t) / w) for t, w in zip(notes, widths, strict=True))
            self._page.set_row(row, _ROW * max(1, lines))
        for at, text in enumerate(notes, start=column):
            if text:
                look = {"align": "left", "indent": 1, "text_wrap": listing.with_origin}
                self._text(row, at, text, **look)

    def _table(self, row: int, column: int, table: Table) -> None:
        for at, (head, unit) in enumerate(
            zip(table.header, table.units, strict=True), start=column
        ):
            side = {"align": "right"} if unit else {"align": "left", "indent": 1}
            self._text(row, at, head, bold=True, text_wrap=True, bottom=1, **side)
            self._widths.give(at, 11.5)
        self._page.set_row(row, 50)
        for down, cells in enumerate(table.rows, start=1):
            for at, (value, unit) in enumerate(zip(cells, table.units, strict=True), start=column):
                self._cell(row + down, at, value, unit, "", indent=int(isinstance(value, str)))
                if isinstance(value, str):
                    self._widths.see_text(at, value)

    def _grid(self, grid: Grid) -> None:
        self._axis(grid)
        for at, block in enumerate(grid.blocks):
            if isinstance(block, Heading):
                self._heading(grid.row + 1 + at, grid.column, block.text)
            else:
                self._beside(grid, at, block)
                self._line(grid, at, block)

    def _axis(self, grid: Grid) -> None:
        name = grid.axis.replace("_", " ")
        look = {"bold": True, "bg_color": PALE, "text_wrap": True}
        if grid.vertical:
            self._text(grid.row, grid.column, name, **look)
            self._text(grid.row + 1, grid.column, "", **look)
            self._page.set_row(grid.row, 64)
        else:
            total = "total" if any(line.adds_up for _, line in grid.lines) else ""
            for column, head in enumerate((name, "unit", total), start=grid.column):
                self._text(grid.row, column, head, **look)
        for position, label in enumerate(grid.labels):
            row, column = grid.place(-1, position)
            side = {} if grid.vertical else {"align": "right"}
            self._cell(row, column, label, "count", "", **look, **side)
            if isinstance(label, str) and grid.vertical:
                self._widths.see_text(column, label)
            elif isinstance(label, str):
                self._widths.give(column, 16.0)
                self._page.set_row(grid.row, 38)

    def _beside(self, grid: Grid, at: int, line: Line) -> None:
        """A line's words and unit, and beside a line of flows their total."""
        row, column = grid.place(at, 0)
        if grid.vertical:
            look = {"bold": True, "bg_color": PALE, "text_wrap": True, "align": "right"}
            self._text(row - 2, column, line.label, **look)
            self._text(row - 1, column, line.unit, **look)
            self._widths.give(column, 10.5)
            return
        look = {"bold": line.is_sum}
        self._text(row, grid.column, line.label, align="left", indent=1, **look)
        self._text(row, grid.column + 1, line.unit, **look)
        self._widths.see_text(grid.column, line.label)
        self._widths.see_text(grid.column + 1, line.unit)
        if line.adds_up:
            scope = Scope(self._grids, sheet=self._sheet.title, own=grid)
            total = math.fsum(value for value in line.values if isinstance(value, float))
            formula = scope.formula(f"SUM({{{line.key}.all}})")
            self._cell(row, grid.column + 2, total, line.unit, formula, **_look(line))

    def _line(self, grid: Grid, at: int, line: Line) -> None:
        look = _look(line) | (_input_look() if line.key in grid.is_input else {})
        for position, value in enumerate(line.values):
            if value is None:
                continue
            scope = Scope(self._grids, sheet=self._sheet.title, own=grid, position=position)
            template = line.template(position)
            formula = scope.formula(template) if template else ""
            self._cell(*grid.place(at, position), value, line.unit, formula, **look)


def _look(line: Line) -> dict[str, Any]:
    return {"bold": True, "top": 1, "top_color": RULE} if line.is_sum else {}


def _input_look() -> dict[str, Any]:
    return {
        "locked": False,
        "bg_color": INPUT,
        "font_color": INPUT_INK,
        "border": 1,
        "border_color": RULE,
    }
