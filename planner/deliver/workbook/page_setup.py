"""Widths, frozen panes, protection and print set-up of a sheet."""

from __future__ import annotations

from typing import Any, Final

from planner.deliver.workbook.book import Sheet
from planner.deliver.workbook.grid import Grid
from planner.deliver.workbook.widths import Widths

LETTER, A4 = 1, 9
_WIDE: Final = {LETTER: 11.0, A4: 11.69}  # [inch]
MARGIN: Final = 0.4  # [inch]
_INCH: Final = 96.0  # [pixel]
_SAFE: Final = 0.92  # programs do not agree on how wide a character is
_MONTHS: Final = 12
_ALLOWED: Final = {
    "objects": True,
    "scenarios": True,
    "format_columns": True,
    "format_rows": True,
    "format_cells": True,
}


def set_up(page: Any, sheet: Sheet, widths: Widths, *, is_metric: bool) -> None:
    """What makes a sheet readable on a screen and on paper."""
    columns = widths.by_column() | dict(sheet.widths)
    months = _month_grid(sheet)
    if months is not None:
        columns |= _even(columns, months)
    for column, width in columns.items():
        page.set_column(column, column, width)
    if any(sheet.frozen):
        page.freeze_panes(*sheet.frozen)
    page.protect("", _ALLOWED)
    paper = A4 if is_metric else LETTER
    page.set_paper(paper)
    page.set_landscape()
    page.set_margins(left=MARGIN, right=MARGIN, top=0.5, bottom=0.6)
    page.set_footer("&L&A&RPage &P of &N")
    if months is None:
        page.fit_to_pages(1, int(sheet.on_one_page))
        for grid in _grids(sheet):
            if grid.vertical:
                page.repeat_rows(grid.row, grid.row + grid.margin - 1)
        return
    _year_by_year(page, sheet, months, columns, paper)


def _month_grid(sheet: Sheet) -> Grid | None:
    """The grid of a sheet that has more months than fit on a page."""
    wide = [grid for grid in _grids(sheet) if not grid.vertical and grid.axis == "month"]
    return wide[0] if wide else None


def _grids(sheet: Sheet) -> list[Grid]:
    return [block for _, _, block in sheet.placed if isinstance(block, Grid)]


def _even(columns: dict[int, float], grid: Grid) -> dict[int, float]:
    """The same width for every month."""
    months = range(grid.margin, grid.margin + len(grid.labels))
    return dict.fromkeys(months, max(columns.get(column, 0.0) for column in months))


def _year_by_year(
    page: Any, sheet: Sheet, grid: Grid, columns: dict[int, float], paper: int
) -> None:
    """Twelve months a page across, with the lines' names repeated, scaled to the paper's width."""
    first, last = grid.margin, grid.margin + len(grid.labels) - 1
    shown = range(min(last, first + _MONTHS) + 1)
    pixels = sum(7 * columns.get(column, 8.0) + 5 for column in shown)
    room = (_WIDE[paper] - 2 * MARGIN) * _INCH * _SAFE
    page.set_print_scale(max(10, min(100, int(100 * room / pixels))))
    page.set_v_pagebreaks(list(range(first + _MONTHS + 1, last + 1, _MONTHS)))
    page.repeat_columns(0, first - 1)
    page.repeat_rows(grid.row, sheet.frozen[0] - 1)
