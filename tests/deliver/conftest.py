"""Small notebooks made on the spot, in folders with awkward names."""

from collections.abc import Callable
from pathlib import Path

import nbformat
import pytest

PARAMETERS = 'scenario = "shop.toml"\noutput_dir = "out"\nchanges = {}\nseed = 0'
WriteNotebook = Callable[..., Path]


@pytest.fixture
def sources(tmp_path: Path) -> Path:
    """Folder of source notebooks; braces and spaces in a path must do no harm."""
    folder = tmp_path / "the {source} notebooks"
    folder.mkdir()
    return folder


@pytest.fixture
def write_notebook(sources: Path) -> WriteNotebook:
    """Writes a notebook: a title, the parameters cell, then the code cells given."""

    def write(name: str, *code: str, parameters: str | None = PARAMETERS) -> Path:
        cells = [nbformat.v4.new_markdown_cell("# Does it pay?\n\nFrom $5 to $6.", id="title")]
        if parameters is not None:
            tags = {"tags": ["parameters"]}
            cells.append(nbformat.v4.new_code_cell(parameters, id="given", metadata=tags))
        cells += [nbformat.v4.new_code_cell(c, id=f"code-{n}") for n, c in enumerate(code)]
        path = sources / f"{name}.ipynb"
        nbformat.write(nbformat.v4.new_notebook(cells=cells), path)
        return path

    return write
