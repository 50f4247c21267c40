"""A whole run beside its floor: the same kernels that only import.

Not part of the suite: python -m pytest --override-ini addopts= -s tests/bench/test_run_speed.py
Everything is compared within one run; nothing is asserted about time.
"""

from __future__ import annotations

from pathlib import Path
from time import perf_counter

import nbformat
import pytest
from helpers import ROOT
from typer.testing import CliRunner

from planner.cli import app
from planner.deliver.places import notebooks_folder
from planner.deliver.suite import run_suite

FILE = ROOT / "scenarios" / "larkspur-lane.toml"
USUAL = {"choice": "", "changes": {}, "draws": 0, "seed": 0}
KEPT = {"settings", "parameters"}


def bare_notebooks(folder: Path) -> Path:
    """The shipped notebooks with nothing left but their imports and parameters."""
    folder.mkdir()
    for source in notebooks_folder().glob("*.ipynb"):
        notebook = nbformat.read(source, as_version=4)
        notebook.cells = [one for one in notebook.cells if KEPT & set(one.metadata.get("tags", []))]
        nbformat.write(notebook, folder / source.name)
    return folder


def test_a_run_beside_its_floor(benchmark, tmp_path):
    done = benchmark.pedantic(
        CliRunner().invoke, args=(app, ["run", str(FILE), "--to", str(tmp_path / "all")]), rounds=1
    )
    assert done.exit_code == 0, done.output
    bare = bare_notebooks(tmp_path / "bare")
    begun = perf_counter()
    result = run_suite(
        scenario=FILE, output_dir=tmp_path / "floor", notebooks=bare, parameters=USUAL
    )
    floor = perf_counter() - begun
    assert not result.failed, result.message
    whole = benchmark.stats.stats.min
    print(f"\n  seconds of a run: {whole:.3g}; of its floor: {floor:.3g}")


@pytest.mark.parametrize("shop", ["larkspur-lane", "two-widths"])
def test_the_risk_notebook_with_many_cases(benchmark, tmp_path, shop):
    result = benchmark.pedantic(
        run_suite,
        kwargs={
            "scenario": ROOT / "scenarios" / f"{shop}.toml",
            "output_dir": tmp_path,
            "notebooks": notebooks_folder(),
            "parameters": USUAL | {"draws": 16_384},
            "only": ["risk"],
        },
        rounds=1,
    )
    assert not result.failed, result.message
    print(f"\n  seconds of risk for {shop}, its kernel included: {benchmark.stats.stats.min:.3g}")
