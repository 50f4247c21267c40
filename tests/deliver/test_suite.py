"""The suite: whole or evidence, the same bytes each time, every notebook in a kernel of its own."""

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path

import nbformat
import pytest

from planner.deliver import kernel, suite
from planner.deliver.errors import KernelError, ParameterError
from planner.deliver.suite import Outcome, SuiteResult, run_suite

WriteNotebook = Callable[..., Path]
Run = Callable[..., SuiteResult]

WRITE = """
from pathlib import Path
from planner.deliver.page import Page
page = Page(output_dir, "payback")
page.say(f"seed {seed}, changes {changes}")
Path(output_dir, "charts").mkdir(exist_ok=True)
Path(output_dir, "charts", "a.svg").write_text(f"<svg>{seed}</svg>")
"""
FAIL = 'page.checks([("first", True, ""), ("sums", seed == 0, "the sum is off")])'


@pytest.fixture
def results(tmp_path: Path) -> Path:
    return tmp_path / "plans {0} and more"


@pytest.fixture
def run(sources: Path, results: Path, tmp_path: Path) -> Run:
    """Runs the suite on the notebooks written, with seed and changes as asked."""

    def start(*, seed: object = 0, changes: object = None, **options: object) -> SuiteResult:
        settings: dict[str, object] = {
            "scenario": tmp_path / "my {shop}.toml",
            "output_dir": results,
            "notebooks": sources,
            "parameters": {"seed": seed, "changes": changes or {}},
        }
        return run_suite(**(settings | options))  # type: ignore[arg-type]

    return start


def files(folder: Path) -> dict[str, bytes]:
    found = [path for path in sorted(folder.rglob("*")) if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def outputs(path: Path) -> str:
    """What the code cells of an executed notebook printed."""
    cells = nbformat.read(path, as_version=4).cells
    return "".join(o.get("text", "") for cell in cells for o in cell.get("outputs", []))


def test_a_notebook_runs_with_its_parameters(
    run: Run, write_notebook: WriteNotebook, results: Path, tmp_path: Path
) -> None:
    source = write_notebook("payback", WRITE, "print(scenario); print(output_dir); print(changes)")
    before = source.read_bytes()
    here = Path.cwd()
    told: list[Outcome] = []
    changes = {'products."Full {front} tee, é".planned': "80 piece/week", "x": [None, True, 1.5]}
    result = run(seed=7, changes=changes, progress=told.append)
    good = results / "notebooks" / "payback.ipynb"
    assert result == SuiteResult((Outcome("payback", good, None),))
    assert (result.failed, result.message) == ((), "")
    assert told == list(result.outcomes)
    assert outputs(good).splitlines() == [str(tmp_path / "my {shop}.toml"), "..", str(changes)]
    assert set(files(results)) == {"notebooks/payback.ipynb", "charts/a.svg"}
    assert source.read_bytes() == before
    assert Path.cwd() == here


@pytest.mark.long
def test_two_runs_are_byte_identical_wherever_they_end(
    run: Run, write_notebook: WriteNotebook, tmp_path: Path
) -> None:
    controls = "import ipywidgets\nfor value in range(3):\n    display(ipywidgets.IntSlider(value))"
    write_notebook("explore", WRITE, controls, "import warnings; warnings.warn('careful')", "1 + 1")
    write_notebook("payback", WRITE)
    for name in ("one", "two"):
        assert not run(output_dir=tmp_path / name).failed
    assert files(tmp_path / "one") == files(tmp_path / "two")
    text = (tmp_path / "one" / "notebooks" / "explore.ipynb").read_text("utf-8")
    assert "IntSliderModel" in text
    assert "iopub" not in text
    assert "start_time" not in text
    nbformat.validate(nbformat.reads(text, as_version=4))


@pytest.mark.long
def test_a_notebook_that_fails_leaves_evidence_and_spoils_nothing(
    run: Run, write_notebook: WriteNotebook, results: Path
) -> None:
    write_notebook("payback", WRITE, FAIL)
    write_notebook("risk", "print('fine')")
    run(seed=0)
    good = files(results)
    result = run(seed=1)
    (failed,) = result.failed
    assert failed.path == results / "notebooks" / "payback.failed.ipynb"
    assert failed.error is not None
    assert failed.error.startswith("CheckFailed: payback: checks: must all hold (failed: sums)")
    assert result.message == f"payback: {failed.error} (see {failed.path})"
    after = files(results)
    evidence = after.pop("notebooks/payback.failed.ipynb").decode("utf-8")
    assert "did not run to its end" in evidence
    assert "the sum is off" in evidence
    assert after["charts/a.svg"] == b"<svg>0</svg>"
    assert after["notebooks/payback.ipynb"] == good["notebooks/payback.ipynb"]
    assert set(after) == set(good)
    run(seed=0)
    assert files(results) == good  # the evidence goes when the notebook is good again


@pytest.mark.long
def test_a_kernel_that_dies_is_a_failure_with_its_name(
    run: Run, write_notebook: WriteNotebook, results: Path
) -> None:
    write_notebook("payback", "import os; os._exit(3)")
    (failed,) = run().failed
    assert failed.error is not None
    assert "died" in failed.error
    assert failed.path.exists()


@pytest.mark.long
def test_a_cell_that_does_not_end_is_a_failure(
    run: Run, write_notebook: WriteNotebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(suite, "CELL_WITHIN", 1)
    write_notebook("payback", "import time; time.sleep(60)")
    (failed,) = run().failed
    assert failed.error is not None
    assert failed.error.startswith("CellTimeoutError")


@pytest.mark.long
def test_two_at_a_time_each_in_a_folder_and_a_process_of_its_own(
    run: Run, write_notebook: WriteNotebook, results: Path
) -> None:
    code = "import os; print(os.getpid()); print(os.getcwd()); x = globals().get('x', 0) + 1"
    for name in ("a", "b", "c"):
        write_notebook(name, code, "print(x)")
    assert not run(jobs=2).failed
    printed = [outputs(results / "notebooks" / f"{n}.ipynb").splitlines() for n in ("a", "b", "c")]
    for what in (0, 1):
        assert len({lines[what] for lines in printed}) == 3
    assert {lines[2] for lines in printed} == {"1"}
    assert str(os.getpid()) not in {lines[0] for lines in printed}


def test_only_the_notebooks_asked_for(run: Run, write_notebook: WriteNotebook) -> None:
    write_notebook("payback", "1")
    write_notebook("risk", "1")
    assert [outcome.name for outcome in run(only=["risk"]).outcomes] == ["risk"]


def test_names_that_are_not_there_are_errors(
    run: Run, write_notebook: WriteNotebook, results: Path, tmp_path: Path
) -> None:
    with pytest.raises(ParameterError, match="where there is none"):
        run()
    write_notebook("payback", "1")
    with pytest.raises(ParameterError, match="notebook pay: must be one of payback"):
        run(only=["pay"])
    assert not results.exists()


def test_parameters_that_do_not_fit_stop_everything(
    run: Run, write_notebook: WriteNotebook, results: Path
) -> None:
    write_notebook("payback", WRITE)
    write_notebook("risk", WRITE, parameters="scenario = output_dir = 1")
    with pytest.raises(ParameterError, match="risk: parameters cell"):
        run()
    with pytest.raises(ParameterError, match="parameter sede: must be one of"):
        run(parameters={"sede": 1, "changes": {}}, only=["payback"])
    with pytest.raises(ParameterError, match="parameter output_dir: must be left to the suite"):
        run(parameters={"output_dir": "x"}, only=["payback"])
    with pytest.raises(ParameterError, match="parameter seed: must be text, number"):
        run(seed=(1, 2), only=["payback"])
    assert not results.exists()


def test_kernels_registered_by_others_do_not_matter(
    run: Run,
    write_notebook: WriteNotebook,
    results: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    spec = {"argv": ["/no/such/python"], "language": "python", "display_name": "other"}
    folder = tmp_path / "kernels" / "python3"
    folder.mkdir(parents=True)
    (folder / "kernel.json").write_text(json.dumps(spec))
    monkeypatch.setenv("JUPYTER_PATH", str(tmp_path))
    write_notebook("payback", "import sys; print(sys.executable)")
    assert not run().failed
    assert outputs(results / "notebooks" / "payback.ipynb").strip() == sys.executable


def test_without_a_kernel_the_error_says_what_is_missing(
    run: Run, write_notebook: WriteNotebook, results: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kernel, "find_spec", lambda name: None)
    write_notebook("payback", "1")
    with pytest.raises(KernelError, match="must have ipykernel"):
        run()
    assert not results.exists()


CONNECTION = """
import json, os, stat
from pathlib import Path
from ipykernel import get_connection_file
path = Path(get_connection_file())
info = json.loads(path.read_text())
others = path.parent.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO)
print(info["transport"], "curve_secretkey" in info, others, str(path.parent) in info["ip"])
print(path.parent)
"""


@pytest.mark.long
@pytest.mark.skipif(os.name != "posix", reason="sockets in folders are POSIX's")
@pytest.mark.parametrize(
    ("longest", "expected"),
    [(1000, "ipc False 0 True"), (0, "tcp True 0 False")],
    ids=["sockets in a private folder", "encrypted where a path would be too long"],
)
def test_nobody_else_can_read_the_kernel_s_traffic(
    longest: int,
    expected: str,
    run: Run,
    write_notebook: WriteNotebook,
    results: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(kernel, "LONGEST_FOLDER", longest)
    write_notebook("payback", CONNECTION)
    assert not run().failed
    connection, folder = outputs(results / "notebooks" / "payback.ipynb").splitlines()
    assert connection == expected
    assert not Path(folder).exists()


@pytest.mark.long
def test_an_interrupt_ends_the_kernels_and_leaves_nothing_half_done(
    run: Run, write_notebook: WriteNotebook, results: Path
) -> None:
    write_notebook("a", "1")
    write_notebook("b", "import time; time.sleep(600)")

    def interrupt(outcome: Outcome) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(progress=interrupt)
    assert set(files(results)) == {"notebooks/a.ipynb"}  # what was stopped is no evidence
    assert not list(results.glob(".*"))
