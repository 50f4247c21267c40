"""Parameters are checked against the notebooks before anything runs."""

import math
from collections.abc import Callable
from pathlib import Path

import nbformat
import numpy as np
import pytest

from planner.deliver.errors import ParameterError
from planner.deliver.parameters import check_parameters, declared_parameters

WriteNotebook = Callable[..., Path]

GIVEN = {"scenario": "shop.toml", "output_dir": "..", "changes": {}, "seed": 0}


def read(path: Path) -> nbformat.NotebookNode:
    return nbformat.read(path, as_version=4)


def test_parameters_that_fit(write_notebook: WriteNotebook) -> None:
    check_parameters({"payback": read(write_notebook("payback"))}, GIVEN)


def test_declared_in_the_order_of_the_cell(write_notebook: WriteNotebook) -> None:
    cell = "# settings\nb: int = 1\na = {'x': [1, None, -2.5]}"
    declared = declared_parameters(read(write_notebook("n", parameters=cell)))
    assert list(declared.items()) == [("b", 1), ("a", {"x": [1, None, -2.5]})]


def test_unknown_and_missing_are_all_named_at_once(write_notebook: WriteNotebook) -> None:
    notebooks = {name: read(write_notebook(name)) for name in ("payback", "risk")}
    given = {name: value for name, value in GIVEN.items() if name != "seed"} | {"sede": 0}
    with pytest.raises(ParameterError) as caught:
        check_parameters(notebooks, given)
    assert len(caught.value.faults) == 4
    for name in notebooks:
        assert f"{name}: parameter sede: must be one of scenario, output_dir" in str(caught.value)
        assert f"{name}: parameter seed: must be given" in str(caught.value)


@pytest.mark.parametrize(
    "value",
    [
        (1, 2),
        Path("x"),
        np.float64(1.0),
        np.int64(1),
        math.nan,
        math.inf,
        {"a": [1, {2}]},
        {1: "a"},
    ],
)
def test_only_what_json_has_is_let_in(value: object, write_notebook: WriteNotebook) -> None:
    with pytest.raises(ParameterError, match="parameter changes"):
        check_parameters({"n": read(write_notebook("n"))}, GIVEN | {"changes": value})


def test_a_fault_deep_inside_is_named_by_its_place(write_notebook: WriteNotebook) -> None:
    given = GIVEN | {"changes": {"a": [1, math.nan]}}
    with pytest.raises(ParameterError, match=r"parameter changes\['a'\]\[1\]: must be finite"):
        check_parameters({"n": read(write_notebook("n"))}, given)


@pytest.mark.parametrize(
    "cell",
    [None, "import os", "seed = 1 + x", "a = b = 1", "a.b = 1", "x: int", "seed ="],
)
def test_a_cell_of_anything_but_literals_is_an_error(
    cell: str | None, write_notebook: WriteNotebook
) -> None:
    with pytest.raises(ParameterError, match=r"n: (parameters cell|cells tagged parameters)"):
        check_parameters({"n": read(write_notebook("n", parameters=cell))}, {})


def test_two_parameter_cells_are_an_error(write_notebook: WriteNotebook) -> None:
    notebook = read(write_notebook("n", "other = 1"))
    notebook.cells[-1].metadata.tags = ["parameters"]
    with pytest.raises(ParameterError, match=r"must be one \(got 2\)"):
        declared_parameters(notebook)
