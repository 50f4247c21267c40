"""The copy of the notebooks, and what is served from it."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from shutil import copytree
from types import SimpleNamespace
from typing import Any

import nbformat
import pytest
from helpers import ROOT
from typer.testing import CliRunner

from planner.cli import app
from planner.deliver import lab, results
from planner.deliver.lab import NoPageError, open_lab, open_page, prepare_lab
from planner.deliver.places import notebooks_folder
from planner.deliver.suite import SuiteResult
from planner.scenario.faults import ScenarioError
from planner.scenario.load import load

LANE = ROOT / "scenarios" / "larkspur-lane.toml"


def planner(*words: object) -> Any:
    return CliRunner().invoke(app, [str(word) for word in words])


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What would have been served: command, folder and environment."""
    asked: list[dict[str, Any]] = []

    def run(command: Sequence[str], **given: Any) -> SimpleNamespace:
        asked.append({"command": list(command), **given})
        return SimpleNamespace(returncode=7)

    monkeypatch.setattr(subprocess, "run", run)
    return asked


def test_all_that_the_scenario_needs_is_copied_to_where_it_names_it(tmp_path: Path) -> None:
    added = prepare_lab(LANE, tmp_path / "lab")
    assert all(path.exists() for path in added)
    own = tmp_path / "lab" / LANE.name
    assert own.read_bytes() == LANE.read_bytes()
    scenario = load(own)
    pictures = [row.artwork for row in scenario.prints if row.artwork]
    assert pictures
    for picture in pictures:
        assert (own.parent / picture).read_bytes() == (LANE.parent / picture).read_bytes()


def test_a_sheet_in_a_folder_of_its_own_stays_in_it(tmp_path: Path) -> None:
    source = tmp_path / "shop"
    (source / "measured").mkdir(parents=True)
    copytree(ROOT / "scenarios" / "artwork", source / "measured" / "artwork")
    sheet = (ROOT / "scenarios" / "larkspur-lane-test-prints.csv").read_bytes()
    (source / "measured" / "prints.csv").write_bytes(sheet)
    text = LANE.read_text(encoding="utf-8")
    moved = text.replace("larkspur-lane-test-prints.csv", "measured/prints.csv")
    (source / "shop.toml").write_text(moved, encoding="utf-8")
    prepare_lab(source / "shop.toml", tmp_path / "lab")
    assert load(tmp_path / "lab" / "shop.toml").prints
    assert (tmp_path / "lab" / "measured" / "artwork" / "bold-crest.png").is_file()


def test_notebooks_are_set_to_the_scenario_beside_them(tmp_path: Path) -> None:
    prepare_lab(LANE, tmp_path)
    for source in notebooks_folder().glob("*.ipynb"):
        notebook = nbformat.read(tmp_path / source.name, as_version=4)
        (cell,) = (c for c in notebook.cells if "parameters" in c.metadata.get("tags", []))
        assert "scenario = 'larkspur-lane.toml'" in cell.source
        assert 'output_dir = "results"' in cell.source
    assert (tmp_path / "explore.ipynb").exists()


def test_what_is_there_is_never_touched(tmp_path: Path) -> None:
    prepare_lab(LANE, tmp_path)
    for name in ("explore.ipynb", LANE.name, "larkspur-lane-test-prints.csv"):
        (tmp_path / name).write_text("mine", encoding="utf-8")
    assert not prepare_lab(LANE, tmp_path)
    assert (tmp_path / "explore.ipynb").read_text(encoding="utf-8") == "mine"


def test_a_scenario_with_faults_copies_nothing(tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text('currency = "USD"\n', encoding="utf-8")
    with pytest.raises(ScenarioError):
        prepare_lab(bad, tmp_path / "lab")
    assert not (tmp_path / "lab").exists()


def test_lab_opens_the_panel_for_this_machine_alone(
    tmp_path: Path, served: list[dict[str, Any]]
) -> None:
    assert open_lab(tmp_path) == 7
    (asked,) = served
    assert asked["command"][:3] == [sys.executable, "-m", "jupyterlab"]
    options = asked["command"][3:]
    assert "--ServerApp.ip=127.0.0.1" in options
    assert "--LabApp.default_url=/lab/tree/explore.ipynb" in options
    assert "--LabApp.news_url=None" in options
    assert f"--ServerApp.root_dir={tmp_path.resolve()}" in options
    assert not [option for option in options if "token" in option or "password" in option]


def test_the_page_is_served_for_this_machine_alone_and_without_code(
    tmp_path: Path, served: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lab, "find_spec", lambda name: object())
    assert open_page(tmp_path) == 7
    (asked,) = served
    command = asked["command"]
    assert command[:4] == [sys.executable, "-m", "voila", str(tmp_path.resolve() / "explore.ipynb")]
    assert "--Voila.ip=127.0.0.1" in command
    assert "--Voila.auto_token=True" in command
    assert "--VoilaConfiguration.strip_sources=True" in command
    (template,) = (option.partition("=")[2] for option in command if ".template=" in option)
    places = asked["env"]["JUPYTER_PATH"].split(":" if sys.platform != "win32" else ";")
    assert (Path(places[0]) / "voila" / "templates" / template / "index.html.j2").is_file()


def test_without_what_serves_it_one_line_says_what_to_install(
    tmp_path: Path, served: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lab, "find_spec", lambda name: None)
    with pytest.raises(NoPageError, match=r"pip install 'planner\[page\]'"):
        open_page(tmp_path)
    done = planner("lab", LANE, "--to", tmp_path / "lab", "--page")
    assert done.exit_code == 1
    assert len(done.stderr.strip().splitlines()) == 1
    assert "pip install 'planner[page]'" in done.stderr
    assert not served


def test_the_template_of_the_page_asks_nothing_of_a_network() -> None:
    text = "".join(
        path.read_text(encoding="utf-8") for path in lab.SERVED.rglob("*") if path.is_file()
    )
    assert "http" not in text
    assert "super.super()" in text  # the block in which voila's own template fetches its icons
    for name in ("panel.css", "panel.js"):
        own = (lab.SERVED.parent / "panel" / name).read_text(encoding="utf-8")
        assert "http" not in own
        assert "url(" not in own


def test_a_run_of_all_notebooks_leaves_the_panel_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Sequence[str]] = []

    def run_suite(**given: Any) -> SuiteResult:
        asked.append(given["only"])
        raise InterruptedError

    monkeypatch.setattr(results, "run_suite", run_suite)
    for only in ((), ("payback",)):
        with pytest.raises(InterruptedError):
            results.deliver(
                scenario=ROOT / "scenarios" / "shortest.toml",
                output_dir=tmp_path,
                changes={},
                only=only,
            )
    assert asked == [tuple(results.QUESTIONS), ("payback",)]
    assert "explore" not in results.QUESTIONS
    others = {path.stem for path in notebooks_folder().glob("*.ipynb")} - {"explore"}
    assert others == set(results.QUESTIONS)


def test_the_panels_notebook_is_thin_and_like_the_others() -> None:
    explore, payback = (
        nbformat.read(notebooks_folder() / f"{name}.ipynb", as_version=4)
        for name in ("explore", "payback")
    )
    title = explore.cells[0].source.splitlines()[0]
    assert title == f"# {explore.metadata.title}"
    assert title.endswith("?")
    code = [cell for cell in explore.cells if cell.cell_type == "code"]
    assert len(code) == 3
    others = [cell for cell in payback.cells if cell.cell_type == "code"]
    for own, other in zip(code[:2], others[:2], strict=True):
        assert (own.source, own.metadata.tags) == (other.source, other.metadata.tags)
    assert code[2].source.count("(") == 1
    assert not any(cell.outputs for cell in code)


@pytest.mark.long
def test_the_notebook_runs_without_a_browser(tmp_path: Path, copied: Callable[[str], Path]) -> None:
    from planner.deliver.suite import run_suite

    result = run_suite(
        scenario=copied("shortest"),
        output_dir=tmp_path / "out",
        notebooks=notebooks_folder(),
        parameters={"choice": "", "changes": {"shop.wage": "19 USD/hour"}, "draws": 0, "seed": 0},
        only=("explore",),
    )
    assert not result.failed, result.message
    text = (tmp_path / "out" / "notebooks" / "explore.ipynb").read_text(encoding="utf-8")
    outputs = [
        output
        for cell in json.loads(text)["cells"]
        if cell["cell_type"] == "code"
        for output in cell["outputs"]
    ]
    assert any("application/vnd.jupyter.widget-view+json" in one["data"] for one in outputs)
