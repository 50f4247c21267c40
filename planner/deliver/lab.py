"""A copy of the notebooks set to one scenario, in a folder that the user keeps."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import Final

import nbformat

import planner
from planner.deliver.errors import DeliveryError
from planner.deliver.files import write_text
from planner.deliver.places import notebooks_folder
from planner.scenario.load import load
from planner.scenario.schema import Scenario

PANEL: Final = "explore.ipynb"
THIS_MACHINE: Final = "127.0.0.1"
SERVED: Final = Path(__file__).parent / "templates" / "served"
ALONE: Final = (  # nothing is asked of a network, and nothing pops up
    "--LabApp.news_url=None",
    "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
    "--LabApp.extension_manager=readonly",
)
NO_PAGE: Final = "lab --page: must have voila installed; pip install 'planner[page]' installs it"


class NoPageError(DeliveryError):
    """What serves the panel as a page is not installed."""


def prepare_lab(scenario: Path, folder: Path) -> tuple[Path, ...]:
    """Copy scenario, test prints, their pictures and notebooks; what is there is never touched.

    Returns the files that were added. Raises ``ScenarioError`` for a scenario that cannot be used;
    nothing is copied then.
    """
    beside = [Path(scenario.name), *_beside(scenario, load(scenario))]
    folder.mkdir(parents=True, exist_ok=True)
    added = []
    for name in beside:
        target = folder / name
        if not target.exists():
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(scenario.parent / name, target)
            added.append(target)
    for source in sorted(notebooks_folder().glob("*.ipynb")):
        target = folder / source.name
        if not target.exists():
            write_text(target, _set_to(source, scenario.name))
            added.append(target)
    return tuple(added)


def _beside(path: Path, scenario: Scenario) -> Iterator[Path]:
    """The sheet of test prints and the pictures that it names, as seen from the scenario."""
    sheet = Path(scenario.test_prints.file)
    yield sheet
    for picture in dict.fromkeys(row.artwork for row in scenario.prints if row.artwork):
        for place in dict.fromkeys((Path(picture), sheet.parent / picture)):
            if (path.parent / place).is_file():
                yield place


def _set_to(source: Path, scenario: str) -> str:
    """The notebook with its parameters set to the scenario beside it and results below it."""
    notebook = nbformat.read(source, as_version=4)  # type: ignore[no-untyped-call]
    for cell in notebook.cells:
        if "parameters" in cell.metadata.get("tags", []):
            cell.source = re.sub(
                r"(?m)^scenario = .*$", lambda _: f"scenario = {scenario!r}", cell.source
            )
            cell.source = re.sub(r"(?m)^output_dir = .*$", 'output_dir = "results"', cell.source)
    text: str = nbformat.writes(notebook)  # type: ignore[no-untyped-call]
    return text


def open_lab(folder: Path) -> int:
    """Open JupyterLab on the folder, the panel first, and wait until it is closed.

    It answers this machine alone, and only who has its token. How its tabs stand is kept in the
    folder. Returns its exit code.
    """
    return _served(
        folder,
        "jupyterlab",
        *ALONE,
        f"--ServerApp.ip={THIS_MACHINE}",
        f"--ServerApp.root_dir={folder.resolve()}",
        f"--LabApp.default_url=/lab/tree/{PANEL}",
        f"--LabApp.workspaces_dir={folder.resolve() / '.jupyter'}",
    )


def open_page(folder: Path) -> int:
    """Serve the panel of the folder as a page without code, and wait until it is ended.

    It answers this machine alone, and only who has its token. Returns its exit code. Raises
    ``NoPageError`` where what serves it is not installed.
    """
    if find_spec("voila") is None:
        raise NoPageError(NO_PAGE)
    return _served(
        folder,
        "voila",
        str((folder / PANEL).resolve()),
        f"--Voila.ip={THIS_MACHINE}",
        "--Voila.auto_token=True",
        "--VoilaConfiguration.strip_sources=True",
        "--VoilaConfiguration.template=planner",
    )


def _served(folder: Path, module: str, *options: str) -> int:
    command: Sequence[str] = [sys.executable, "-m", module, *options]
    return subprocess.run(command, check=False, cwd=folder, env=_environment()).returncode


def _environment() -> dict[str, str]:
    """Where a kernel finds this package, and a server its templates and its quiet settings."""
    added = {"JUPYTER_PATH": SERVED, "JUPYTER_CONFIG_PATH": SERVED}
    home = Path(planner.__file__).parents[1]
    if home.name not in ("site-packages", "dist-packages"):
        added["PYTHONPATH"] = home
    environment = dict(os.environ)
    for name, place in added.items():
        known = environment.get(name)
        environment[name] = os.pathsep.join([str(place), *([known] if known else [])])
    return environment
