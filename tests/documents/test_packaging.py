"""What is packed: a wheel that works alone and holds no test data, an sdist that builds it.

Both are built without a network, by the build backend of this environment. The wheel is installed
alone in a new environment that sees this one's dependencies, but not the package in this checkout.
"""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import tarfile
import venv
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.packaging

ROOT = Path(__file__).parents[2]
NOT_PACKED = ("-expected.json", ".svg")  # what tests and README look at


def ran(*words: object, cwd: Path, **env: str) -> str:
    """What a command prints; it must end well."""
    done = subprocess.run(
        [*map(str, words)],
        cwd=cwd,
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | env,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def built(source: Path, to: Path, kind: str) -> Path:
    """The wheel or sdist of a source tree."""
    ran(
        sys.executable, "-m", "build", "--no-isolation", f"--{kind}", "--outdir", to, source, cwd=to
    )
    (found,) = to.iterdir()
    return found


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built(ROOT, tmp_path_factory.mktemp("wheel"), "wheel")


@pytest.fixture(scope="module")
def sdist(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built(ROOT, tmp_path_factory.mktemp("sdist"), "sdist")


def packed(folder: str, *suffixes: str) -> set[str]:
    """Files of a folder of the source tree that belong into the wheel."""
    found = (path for path in (ROOT / folder).rglob("*") if path.suffix in suffixes)
    return {path.relative_to(ROOT).as_posix() for path in found if path.is_file()}


def test_the_wheel_holds_the_package_notebooks_and_scenarios_and_nothing_else(wheel: Path):
    package = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "planner").rglob("*")
        if path.is_file() and path.suffix != ".pyc"
    }
    notebooks = packed("notebooks", ".ipynb")
    scenarios = packed("scenarios", ".toml", ".csv", ".png")
    assert "scenarios/larkspur-lane.toml" in scenarios
    assert "notebooks/payback.ipynb" in notebooks
    with zipfile.ZipFile(wheel) as archive:
        held = {name for name in archive.namelist() if ".dist-info/" not in name}
    assert held == package | {f"planner/{name}" for name in notebooks | scenarios}


def test_the_wheel_holds_no_test_data(wheel: Path):
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
    assert not [name for name in names if name.endswith(NOT_PACKED)]
    assert not [name for name in names if {"tests", "bench"} & set(Path(name).parts)]
    assert not [name for name in names if Path(name).name.startswith(("conftest", "."))]


def test_the_sdist_builds_the_same_wheel(sdist: Path, wheel: Path, tmp_path: Path):
    with tarfile.open(sdist) as archive:
        archive.extractall(tmp_path, filter="data")
    (source,) = tmp_path.iterdir()
    out = tmp_path / "out"
    out.mkdir()
    again = built(source, out, "wheel")
    assert again.name == wheel.name
    assert again.read_bytes() == wheel.read_bytes()


def test_the_sdist_holds_the_tests(sdist: Path):
    with tarfile.open(sdist) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}
    assert {"README.md", "DEVELOPERS.md", "pyproject.toml", ".ci/run", "tests/conftest.py"} <= names
    assert "scenarios/shortest-expected.json" in names


def installed() -> list[str]:
    """Where the packages of this environment lie."""
    return [path for path in sys.path if path.endswith(("site-packages", "dist-packages"))]


@pytest.fixture(scope="module")
def alone(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The commands of a new environment into which the wheel was installed, and it alone."""
    folder = tmp_path_factory.mktemp("alone")
    venv.create(folder, with_pip=False)
    there = sysconfig.get_path("purelib", "venv", {"base": str(folder)})
    # Plain paths: what is installed here is seen, and no editable package.
    Path(there, "dependencies.pth").write_text("\n".join(installed()), encoding="utf-8")
    bin_folder = folder / "bin"
    pip = (sys.executable, "-m", "pip", "--python", bin_folder / "python")
    ran(*pip, "install", "--quiet", "--no-deps", "--no-index", wheel, cwd=folder)
    return bin_folder


def test_the_wheel_installed_alone_runs_in_an_empty_folder(alone: Path, tmp_path: Path):
    where = ran(alone / "python", "-c", "import planner; print(planner.__file__)", cwd=tmp_path)
    assert Path(where).is_relative_to(alone.parent)
    shared = os.pathsep.join(f"{Path(path).parents[2]}/share/jupyter" for path in installed())
    ran(alone / "planner", "run", "--only", "payback", cwd=tmp_path, JUPYTER_PATH=shared)
    results = tmp_path / "plans" / "larkspur-lane"
    assert [path.name for path in tmp_path.iterdir()] == ["plans"]
    for name in ("index.html", "payback.html", "figures.json", "plan.xlsx", "tables/ledger.csv"):
        assert (results / name).stat().st_size > 1000, name
