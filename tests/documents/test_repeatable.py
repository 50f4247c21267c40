"""The same scenario and seed give the same bytes, wherever and in whatever surroundings."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SURROUNDINGS = {
    "one": {
        "TZ": "Pacific/Kiritimati",
        "LC_ALL": "C",
        "PYTHONUTF8": "0",
        "PYTHONCOERCECLOCALE": "0",
        "COLUMNS": "43",
        "PYTHONHASHSEED": "1",
    },
    "another": {
        "TZ": "America/St_Johns",
        "LC_ALL": "C.UTF-8",
        "LANGUAGE": "de",
        "COLUMNS": "230",
        "PYTHONHASHSEED": "2",
    },
}
SEEN = """
import locale, shutil, time
print(hash("a"), time.strftime("%H", time.localtime(0)), shutil.get_terminal_size().columns)
print(locale.getpreferredencoding(False))
"""


def python(*words: object, surroundings: str, cwd: Path | None = None) -> bytes:
    """What a process of its own prints; it must end well."""
    done = subprocess.run(
        [sys.executable, *map(str, words)],
        capture_output=True,
        check=False,
        cwd=cwd,
        env=os.environ | SURROUNDINGS[surroundings],
    )
    assert done.returncode == 0, done.stderr.decode("utf-8", "replace")
    return done.stdout


def test_the_surroundings_differ_in_all_that_a_program_could_see():
    seen = [python("-c", SEEN, surroundings=name).split() for name in SURROUNDINGS]
    assert [one == other for one, other in zip(*seen, strict=True)] == [False] * 4


@pytest.mark.long
def test_figures_depend_on_no_locale_time_zone_width_or_hash():
    words = ("figures", SCENARIOS / "shortest.toml", "--draws", 64, "--format", "json")
    one, other = (python("-m", "planner", *words, surroundings=name) for name in SURROUNDINGS)
    assert one == other
    assert len(one) > 10_000


def files(folder: Path) -> dict[str, bytes]:
    """Every file of a folder, by its path within it."""
    found = [path for path in sorted(folder.rglob("*")) if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


@pytest.mark.packaging
def test_two_whole_runs_leave_the_same_bytes(tmp_path: Path):
    """In folders whose paths differ in length, started from elsewhere in other surroundings.

    PLANNER_RUN names what the README's command left, so that the first of them need not be run.
    """
    given = os.environ.get("PLANNER_RUN", "")
    first = Path(given) if given else run(tmp_path / "a", SCENARIOS / "larkspur-lane.toml", "one")
    once = files(first)
    deep = tmp_path / "much" / "deeper down" / "the second of two folders"
    again = files(run(deep, scenario_of(first / "notebooks" / "risk.ipynb"), "another"))
    assert once.keys() == again.keys()
    assert [name for name in once if once[name] != again[name]] == []
    for name in ("figures.json", "lender.pdf", "plan.xlsx", "notebooks/risk.ipynb"):
        assert name in once
    assert {Path(name).suffix for name in once} >= {".csv", ".svg", ".png", ".html"}


def scenario_of(notebook: Path) -> Path:
    """The scenario that a notebook was run on: the last that its parameters name."""
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    lines = [line for cell in cells for line in cell["source"] if line.startswith("scenario = ")]
    return Path(json.loads(lines[-1].removeprefix("scenario = ")))


def run(folder: Path, scenario: Path, surroundings: str) -> Path:
    """Everything that a run leaves in a folder."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    words = ("run", scenario, "--to", folder)
    python("-m", "planner", *words, surroundings=surroundings, cwd=folder.parent)
    return folder
