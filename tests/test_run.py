"""``planner run``: what it leaves on disk, and what it does when a notebook fails."""

from __future__ import annotations

import json
import re
from pathlib import Path

import nbformat
import pytest
from typer.testing import CliRunner

from planner.cli import app
from planner.deliver.places import notebooks_folder

pytestmark = pytest.mark.long

ROOT = Path(__file__).parent.parent
DRAWS = 64
NOTEBOOKS = ("break-even", "lease-or-loan", "lender", "payback", "print-cost", "risk")


def planner(*words: object):
    return CliRunner().invoke(app, [str(word) for word in words])


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Everything that a run on the scenario without payback leaves."""
    folder = tmp_path_factory.mktemp("results")
    scenario = ROOT / "scenarios" / "new-shop.toml"
    done = planner("run", scenario, "--to", folder, "--draws", DRAWS)
    assert done.exit_code == 0, done.output
    return folder


def test_every_file_of_the_list_is_there(results: Path):
    for name in NOTEBOOKS:
        assert (results / f"{name}.html").stat().st_size > 10_000
        assert (results / "notebooks" / f"{name}.ipynb").exists()
    for name in (
        "cumulative-cash",
        "cash-flow",
        "break-even",
        "financing-outlay",
        "print-cost",
        "payback-range",
        "what-matters",
    ):
        assert (results / "charts" / f"{name}.svg").exists()
        assert (results / "charts" / f"{name}.png").exists()
    for name in ("lender.pdf", "plan.xlsx"):
        assert (results / name).stat().st_size > 10_000
    for name in ("ledger", "years", "inputs", "figures", "choices", "comparisons", "cover"):
        assert (results / "tables" / f"{name}.csv").exists()
    assert not [path for path in results.rglob("*") if path.name.startswith((".", "tmp"))]


def test_figures_json_is_what_figures_prints(results: Path):
    scenario = ROOT / "scenarios" / "new-shop.toml"
    printed = planner("figures", scenario, "--format", "json", "--draws", DRAWS).stdout
    assert json.loads((results / "figures.json").read_text(encoding="utf-8")) == json.loads(printed)


def test_pages_load_nothing_from_a_network(results: Path):
    for page in results.glob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert not re.search(r"""(?:src|href)\s*=\s*["']?(?:https?:)?//""", text), page.name
        assert not re.search(r"url\(\s*['\"]?(?:https?:)?//", text), page.name
        assert "<script" not in text, page.name


def test_the_front_page_opens_with_the_comparison_and_the_answer(results: Path):
    text = (results / "index.html").read_text(encoding="utf-8")
    body = re.sub(r"<[^>]+>", " ", text.split("</h1>")[1])
    opening = " ".join(body.split())[:400]
    assert opening.startswith("Compared with not taking the work")
    assert "Not yet, from " in opening
    assert "because the volume comes late" in opening


def test_every_picture_carries_its_text(results: Path):
    for page in results.glob("*.html"):
        for image in re.findall(r"<img[^>]*>", page.read_text(encoding="utf-8")):
            assert re.search(r'alt="[^"]{40,}"', image), page.name


def test_a_scenario_with_faults_writes_nothing(tmp_path: Path):
    bad = tmp_path / "bad.toml"
    bad.write_text('currency = "USD"\n', encoding="utf-8")
    done = planner("run", bad, "--to", tmp_path / "out")
    assert done.exit_code == 2
    assert not (tmp_path / "out").exists()


def test_an_unknown_notebook_is_named(tmp_path: Path):
    done = planner("run", "--only", "paybak", "--to", tmp_path / "out")
    assert done.exit_code == 1
    assert "paybak" in done.stderr
    assert not (tmp_path / "out").exists()


def test_the_panel_is_no_page_of_a_run(tmp_path: Path):
    done = planner("run", "--only", "explore", "--to", tmp_path / "out")
    assert done.exit_code == 1
    assert "planner lab opens explore" in done.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("name", NOTEBOOKS)
def test_source_notebooks_are_thin_and_alike(name: str):
    notebook = nbformat.read(notebooks_folder() / f"{name}.ipynb", as_version=4)
    code = [cell.source for cell in notebook.cells if cell.cell_type == "code"]
    assert not re.search(r"^\s*(def|class|for|while|lambda)\b", "\n".join(code), re.MULTILINE)
    assert not any(cell.get("outputs") for cell in notebook.cells)
    tagged = {tag: cell.source for cell in notebook.cells for tag in cell.metadata.get("tags", [])}
    assert set(tagged) == {"settings", "parameters"}
    names = re.findall(r"^(\w+) =", tagged["parameters"], re.MULTILINE)
    assert names == ["scenario", "output_dir", "choice", "changes", "draws", "seed"]
    assert notebook.cells[0].source.startswith("# ")
    assert notebook.cells[0].source.splitlines()[0].endswith("?")


def test_settings_cells_are_identical():
    settings = set()
    for path in notebooks_folder().glob("*.ipynb"):
        notebook = nbformat.read(path, as_version=4)
        settings |= {
            cell.source for cell in notebook.cells if "settings" in cell.metadata.get("tags", [])
        }
    assert len(settings) == 1


def test_of_notebooks_run_alone_what_an_earlier_run_left_is_said(tmp_path: Path):
    scenario = ROOT / "scenarios" / "shortest.toml"
    names = ["break-even", "print-cost"]
    for at, name in enumerate(names):
        done = planner("run", scenario, "--only", name, "--to", tmp_path, "--draws", 0)
        assert done.exit_code == 0, done.output
        there = sorted(path.stem for path in (tmp_path / "notebooks").iterdir())
        assert there == names[: at + 1]
    text = (tmp_path / "index.html").read_text(encoding="utf-8")
    assert "How many prints a week must we sell? (from an earlier run)" in text
    assert "What does a print cost to make? (" not in text
    assert text.count("<img") == 3  # the pictures of this run alone


def test_headings_of_pictures_are_their_findings(results: Path):
    text = (results / "index.html").read_text(encoding="utf-8")
    assert "Against not taking the work it does not pay back within 48 months" in text
    assert "The bank balance falls to $1,415, under the $2,000 wanted" in text
