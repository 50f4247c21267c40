"""A copy of the notebooks set to one scenario, in a folder that the user keeps."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Final

import nbformat

from planner.deliver.files import write_text
from planner.deliver.places import notebooks_folder

QUIET: Final = (
    "--LabApp.news_url=None",
    "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
)


def prepare_lab(scenario: Path, folder: Path) -> tuple[Path, ...]:
    """Copy scenario, test prints and notebooks into a folder; what is there is never touched.

    Returns the files that were added.
    """
    folder.mkdir(parents=True, exist_ok=True)
    added = []
    for source in (scenario, *_test_prints(scenario)):
        target = folder / source.name
        if not target.exists():
            shutil.copyfile(source, target)
            added.append(target)
    for source in sorted(notebooks_folder().glob("*.ipynb")):
        target = folder / source.name
        if not target.exists():
            write_text(target, _set_to(source, scenario.name))
            added.append(target)
    return tuple(added)


def _test_prints(scenario: Path) -> list[Path]:
    import tomllib

    tree = tomllib.loads(scenario.read_text(encoding="utf-8-sig"))
    return [scenario.parent / tree["test_prints"]["file"]]


def _set_to(source: Path, scenario: str) -> str:
    """The notebook with its parameters set to the scenario beside it and results below it."""
    notebook = nbformat.read(source, as_version=4)  # type: ignore[no-untyped-call]
    for cell in notebook.cells:
        if "parameters" in cell.metadata.get("tags", []):
            cell.source = re.sub(r"(?m)^scenario = .*$", f"scenario = {scenario!r}", cell.source)
            cell.source = re.sub(r"(?m)^output_dir = .*$", 'output_dir = "results"', cell.source)
    text: str = nbformat.writes(notebook)  # type: ignore[no-untyped-call]
    return text


def open_lab(folder: Path) -> int:
    """Open JupyterLab on the folder and wait until it is closed; returns its exit code."""
    command = [sys.executable, "-m", "jupyterlab", *QUIET, str(folder)]
    return subprocess.run(command, check=False).returncode
