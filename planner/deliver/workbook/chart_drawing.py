"""Native line charts, drawn from cells; they say nothing that changed inputs could make untrue."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from planner.deliver.workbook.book import Chart
from planner.deliver.workbook.grid import Grid, Ref
from planner.deliver.workbook.looks import PALE
from planner.show.style import STROKES

_DASHES: Final = ("solid", "dash", "round_dot", "dash_dot")
_FONT: Final = {"name": "Arial", "size": 9, "bold": False}
_SIZE: Final = {"width": 900, "height": 380}  # pixels


def put_chart(
    workbook: Any, page: Any, place: tuple[int, int], chart: Chart, grids: Mapping[str, Grid]
) -> None:
    """Put a chart on a page; each line has the colour and a dash that it has in every picture."""
    drawing, grid = workbook.add_chart({"type": "line"}), grids[chart.alias]
    looks = zip(chart.lines, chart.names, STROKES, _DASHES, strict=False)
    for key, name, stroke, dash in looks:
        drawing.add_series(
            {
                "name": name,
                "categories": f"={Ref(grid, -1, 0, '').all}",
                "values": f"={Ref(grid, grid.at(key), 0, '').all}",
                "line": {"color": stroke.colour, "dash_type": dash, "width": 2},
            }
        )
    drawing.set_x_axis(
        {
            "name": chart.across,
            "name_font": _FONT,
            "num_font": _FONT,
            "label_position": "low",
            "interval_unit": 12,
            "interval_tick": 12,
        }
    )
    drawing.set_y_axis(
        {
            "name": chart.up,
            "name_font": _FONT,
            "num_font": _FONT,
            "num_format": "#,##0",
            "major_gridlines": {"visible": True, "line": {"color": PALE}},
        }
    )
    drawing.set_title({"none": True})
    is_alone = len(chart.lines) == 1
    drawing.set_legend({"none": True} if is_alone else {"position": "bottom", "font": _FONT})
    drawing.set_size(_SIZE)
    words = f"{chart.heading}, by {chart.across}, in {chart.up}: {'; '.join(chart.names)}."
    page.insert_chart(*place, drawing, {"description": words})
