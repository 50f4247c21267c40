"""What a notebook shows and writes: sentences, pictures, tables, and its own checks."""

import base64
import math
from collections.abc import Callable, Mapping, Sequence
from html import escape
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from IPython.display import display

from planner.deliver.errors import CheckFailed
from planner.deliver.files import safe_name, write_bytes, write_csv
from planner.deliver.markup import (
    NO_MATHEMATICS,
    markdown_escape,
    markdown_to_html,
    plain_to_html,
    table_to_html,
)
from planner.show.charts import Picture
from planner.show.numbers import with_minus
from planner.show.style import to_png, to_svg

MISSING = "none"  # how a cell without a figure is shown
Check = tuple[str, bool | np.bool_, str]
Formats = Mapping[str, Callable[[Any], str]]


class Page:
    """The page that one notebook makes; its files go below `output_dir`.

    Parameters
    ----------
    output_dir : str or Path
        Folder of the scenario's results; made where it is missing.
    notebook : str
        Name of the notebook, for its messages.
    """

    def __init__(self, output_dir: str | Path, notebook: str) -> None:
        self.output_dir = Path(output_dir)
        self.notebook = notebook

    def say(self, text: str) -> None:
        """Show plain text, every sign as it stands; a blank line parts two paragraphs."""
        _show(f'<div class="words {NO_MATHEMATICS}">{plain_to_html(text)}</div>', text)

    def words(self, markdown: str, /, **values: str) -> None:
        """Show Markdown; each `{name}` in it is filled with plain text that cannot become markup.

        What a user wrote belongs into `values`. A brace of its own is doubled; a name without a
        value raises KeyError.
        """
        filled = markdown.format(**{k: markdown_escape(v) for k, v in values.items()})
        html = f'<div class="words {NO_MATHEMATICS}">{markdown_to_html(filled)}</div>'
        _show(html, markdown.format(**values))

    def picture(self, picture: Picture) -> None:
        """Write charts/<name>.svg and .png, and show the picture with its text alternative."""
        svg = to_svg(picture.figure, title=picture.name, description=picture.alt)
        png = to_png(picture.figure, title=picture.name, description=picture.alt)
        for ending, content in (("svg", svg), ("png", png)):
            write_bytes(self.output_dir / "charts" / f"{safe_name(picture.name)}.{ending}", content)
        source = f"data:image/svg+xml;base64,{base64.b64encode(svg).decode('ascii')}"
        image = f'<img src="{source}" alt="{escape(picture.alt)}" style="max-width: 100%">'
        label = escape(f"Picture: {picture.name}")
        frame = f'<figure class="picture" tabindex="0" aria-label="{label}">{image}</figure>'
        _show(frame, picture.alt)

    def pictures(self, pictures: Sequence[Picture]) -> None:
        """Write and show several pictures, one under the other."""
        for picture in pictures:
            self.picture(picture)

    def table(
        self, name: str, frame: pd.DataFrame, caption: str, *, formats: Formats | None = None
    ) -> None:
        """Write tables/<name>.csv with all digits, and show the table as a reader wants it.

        `formats` says by column how its values are shown; the first column heads the rows, and an
        index that is more than a count becomes that column. A missing value is an empty cell in
        the file and the word "none" on the page; a table without rows is not shown.
        """
        whole = frame if isinstance(frame.index, pd.RangeIndex) else frame.reset_index()
        header = [str(column) for column in whole.columns]
        rows = [[_cell(value) for value in row] for row in whole.itertuples(index=False, name=None)]
        write_csv(self.output_dir / "tables" / f"{safe_name(name)}.csv", header, rows)
        if not rows:
            return
        writers = [(formats or {}).get(column) for column in header]
        shown = [
            [_shown(value, write) for value, write in zip(row, writers, strict=True)]
            for row in rows
        ]
        numeric = [all(_is_number(row[place]) for row in rows) for place in range(len(header))]
        _show(table_to_html(caption=caption, header=header, rows=shown, numeric=numeric), caption)

    def write_table(self, name: str, frame: pd.DataFrame) -> None:
        """Write tables/<name>.csv without showing it: a table too long for a page."""
        rows = [[_cell(value) for value in row] for row in frame.itertuples(index=False, name=None)]
        path = self.output_dir / "tables" / f"{safe_name(name)}.csv"
        write_csv(path, [str(column) for column in frame.columns], rows)

    def checks(self, checks: Sequence[Check]) -> None:
        """Show each check as (name, whether it holds, detail); raise CheckFailed if one does not.

        An empty list raises ValueError, for a page without checks has not been checked; a result
        that is neither true nor false raises TypeError.
        """
        if not checks:
            raise ValueError("checks: must be at least one (got none)")
        for name, ok, _ in checks:
            if not isinstance(ok, bool | np.bool_):
                raise TypeError(f"check {name!r}: must be true or false (got {ok!r})")
        rows = [[name, "holds" if ok else "DOES NOT HOLD", detail] for name, ok, detail in checks]
        caption, header = "Checks of this page", ["Check", "Result", "Detail"]
        table = table_to_html(caption=caption, header=header, rows=rows, numeric=[False] * 3)
        failed = [name for name, ok, _ in checks if not ok]
        _show(table, f"{caption}: {len(checks) - len(failed)} of {len(checks)} hold")
        if failed:
            raise CheckFailed(self.notebook, failed)


def _show(html: str, text: str) -> None:
    display({"text/html": html, "text/plain": text}, raw=True)  # type: ignore[no-untyped-call]


def _cell(value: Any) -> Any:
    """A value of a frame as a plain one: None where there is none, a Python number, or text."""
    if pd.isna(value):
        return None
    plain = value.item() if hasattr(value, "item") else value
    return plain if isinstance(plain, str | int | float) else str(plain)


def _is_number(value: Any) -> bool:
    return value is None or (isinstance(value, int | float) and not isinstance(value, bool))


def _shown(value: Any, write: Callable[[Any], str] | None) -> str:
    """A cell in words: by its own format, else to three figures."""
    if value is None:
        return MISSING
    if write is not None:
        return write(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        whole = abs(value) >= 100 or math.floor(value) == value
        return with_minus(f"{value:.0f}" if whole else f"{value:.3g}")
    return with_minus(str(value)) if isinstance(value, int) else str(value)
