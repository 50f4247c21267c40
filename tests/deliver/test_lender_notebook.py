"""The lender's notebook has the shape of the others and holds no logic."""

import ast
from pathlib import Path

import nbformat
import pytest
from helpers import ROOT
from nbformat import NotebookNode

from planner.deliver.parameters import declared_parameters
from planner.deliver.suite import run_suite

FOLDER = ROOT / "notebooks"


def read(name: str) -> NotebookNode:
    return nbformat.read(FOLDER / f"{name}.ipynb", as_version=4)


def tagged(notebook: NotebookNode, tag: str) -> str:
    (cell,) = [cell for cell in notebook.cells if tag in cell.metadata.get("tags", [])]
    return str(cell.source)


@pytest.mark.parametrize("other", ["payback", "lease-or-loan"])
def test_settings_and_parameters_are_those_of_every_notebook(other: str) -> None:
    ours, theirs = read("lender"), read(other)
    assert tagged(ours, "settings") == tagged(theirs, "settings")
    assert declared_parameters(ours) == declared_parameters(theirs)


def test_it_holds_no_logic() -> None:
    logic = (ast.FunctionDef, ast.ClassDef, ast.For, ast.While, ast.If, ast.Lambda)
    arithmetic = (ast.BinOp, ast.UnaryOp, ast.Compare, ast.comprehension)
    for cell in read("lender").cells:
        if cell.cell_type == "code":
            parts = list(ast.walk(ast.parse(cell.source)))
            assert not [part for part in parts if isinstance(part, logic + arithmetic)]


def test_it_asks_its_question_and_is_stored_without_outputs() -> None:
    notebook = read("lender")
    assert notebook.cells[0].source.startswith("# What do we show the lender?\n")
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert not any(cell.outputs or cell.execution_count for cell in code)
    assert len({cell.id for cell in notebook.cells}) == len(notebook.cells)


@pytest.mark.long
def test_it_leaves_the_file_and_its_tables(tmp_path: Path) -> None:
    result = run_suite(
        scenario=ROOT / "scenarios" / "shortest.toml",
        output_dir=tmp_path,
        notebooks=FOLDER,
        parameters={"choice": "", "changes": {}, "draws": 0, "seed": 0},
        only=["lender"],
    )
    assert result.message == ""
    assert (tmp_path / "lender.pdf").read_bytes().startswith(b"%PDF-1.7")
    made = {path.stem for path in (tmp_path / "tables").glob("lender-*.csv")}
    assert {"lender-request", "lender-cash-by-month", "lender-assumptions"} <= made
