"""The notebook suite: every notebook run on one scenario, each in a kernel of its own.

The sources are read, never written to. A notebook works in a folder beside the results, and only
when it has run to its end are its files put in their place; one that fails leaves nothing but
itself, as evidence, and what was good before stays as it was.
"""

import asyncio
import logging
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, as_completed, wait
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import gettempdir

import nbformat
from jupyter_core.utils import ensure_event_loop
from nbformat import NotebookNode
from papermill import execute_notebook
from papermill.engines import papermill_engines

from planner.deliver.claims import own_folder, sweep
from planner.deliver.errors import ParameterError
from planner.deliver.files import write_text
from planner.deliver.kernel import PrivateKernel, end_kernels, private_channels, require_kernel
from planner.deliver.markup import markdown_escape
from planner.deliver.parameters import check_parameters
from planner.deliver.tidy import tidied

START_WITHIN = 60  # [s] for a kernel
CELL_WITHIN = 900  # [s] for one cell
MADE, CHANNELS = ".run-", "planner-kernel-"  # folders that last for one notebook

logging.getLogger("papermill").addHandler(logging.NullHandler())  # what failed is said once, here


@dataclass(frozen=True)
class Outcome:
    """One notebook: where it stands now, and why it failed (None if it did not)."""

    name: str
    path: Path
    error: str | None


@dataclass(frozen=True)
class SuiteResult:
    """Every notebook of the suite, in the order of their names."""

    outcomes: tuple[Outcome, ...]

    @property
    def failed(self) -> tuple[Outcome, ...]:
        """The notebooks that did not run to their end."""
        return tuple(outcome for outcome in self.outcomes if outcome.error is not None)

    @property
    def message(self) -> str:
        """One line for each notebook that failed, with its cause and its evidence; else empty."""
        return "\n".join(f"{o.name}: {o.error} (see {o.path})" for o in self.failed)


def run_suite(
    *,
    scenario: Path,
    output_dir: Path,
    notebooks: Path,
    parameters: Mapping[str, object],
    only: Sequence[str] = (),
    jobs: int = 2,
    progress: Callable[[Outcome], None] = lambda outcome: None,
) -> SuiteResult:
    """Run the notebooks of a folder on a scenario, `jobs` at a time.

    Each ends as output_dir/notebooks/<name>.ipynb, or as <name>.failed.ipynb beside what an earlier
    run left. The same sources, parameters and results give the same bytes.

    Parameters
    ----------
    scenario : Path
        The scenario file; the notebooks get its full path as `scenario`.
    output_dir : Path
        Folder of the results; the notebooks get it as `output_dir`, seen from their own folder.
    notebooks : Path
        Folder of the sources, `<name>.ipynb` each.
    parameters : mapping
        The notebooks' other parameters, all of them, of types that JSON has.
    only : sequence of str
        Names of the notebooks to run; empty for all.
    jobs : int
        Notebooks run at a time [-], at least 1.
    progress : callable, optional
        Called with the outcome of each notebook as it ends, always from the calling thread.

    Raises
    ------
    ParameterError
        If parameters or names do not fit the notebooks; nothing has run then.
    KernelError
        If this Python cannot start a kernel.
    """
    sources = _sources(notebooks, only)
    if taken := sorted({"scenario", "output_dir"} & set(parameters)):
        raise ParameterError([f"parameter {name}: must be left to the suite" for name in taken])
    given = {"scenario": str(scenario.resolve()), "output_dir": "..", **parameters}
    check_parameters(sources, given)
    require_kernel()
    output_dir.mkdir(parents=True, exist_ok=True)
    sweep(MADE, output_dir)
    sweep(CHANNELS, Path(gettempdir()))
    outcomes = []
    at_work = _AtWork()
    with ThreadPoolExecutor(max_workers=jobs) as pool:
        runs = [
            pool.submit(_run, name, source, _prepared(source, given), output_dir, at_work)
            for name, source in sources.items()
        ]
        try:
            for run in as_completed(runs):
                outcomes.append(run.result())
                progress(outcomes[-1])
        except BaseException:
            at_work.end(runs)
            raise
    return SuiteResult(tuple(sorted(outcomes, key=lambda outcome: outcome.name)))


@dataclass
class _AtWork:
    """The event loops of the notebooks that run, and whether they were told to end."""

    loops: list[asyncio.AbstractEventLoop] = field(default_factory=list)
    is_ended: bool = False

    def end(self, runs: Sequence[Future[Outcome]]) -> None:
        """End every notebook and wait until it is gone."""
        self.is_ended = True
        for run in runs:
            run.cancel()
        told: set[asyncio.AbstractEventLoop] = set()
        while True:
            end_kernels()
            for loop in set(self.loops) - told:
                told.add(loop)
                with suppress(RuntimeError):  # it has just come to its end by itself
                    loop.call_soon_threadsafe(_cancel_all, loop)
            if not wait(runs, timeout=0.1).not_done:
                return


def _cancel_all(loop: asyncio.AbstractEventLoop) -> None:
    for task in asyncio.all_tasks(loop):
        task.cancel()


def _sources(folder: Path, only: Sequence[str]) -> dict[str, NotebookNode]:
    """The notebooks of the folder by name; raises ParameterError if one asked for is not there."""
    found = {path.stem: path for path in sorted(folder.glob("*.ipynb"))}
    unknown = [name for name in only if name not in found]
    if unknown or not found:
        known = ", ".join(found) or f"in {folder}, where there is none"
        raise ParameterError(
            [f"notebook {name}: must be one of {known}" for name in unknown or "?"]
        )
    chosen = [name for name in found if not only or name in only]
    return {name: _read(found[name]) for name in chosen}


def _read(path: Path) -> NotebookNode:
    notebook: NotebookNode = nbformat.read(path, as_version=4)  # type: ignore[no-untyped-call]
    return notebook


def _prepared(source: NotebookNode, parameters: Mapping[str, object]) -> NotebookNode:
    """A copy of the source with the parameters put in below its own."""
    notebook: NotebookNode = execute_notebook(
        source,
        None,
        parameters=dict(parameters),
        kernel_name="python3",
        language="python",
        prepare_only=True,
        progress_bar=False,
    )
    return notebook


def _run(
    name: str, source: NotebookNode, notebook: NotebookNode, output_dir: Path, at_work: _AtWork
) -> Outcome:
    """Run one prepared notebook and put what it made where it belongs."""
    good = output_dir / "notebooks" / f"{name}.ipynb"
    evidence = good.with_name(f"{name}.failed.ipynb")
    with own_folder(MADE, output_dir) as made:
        error = _execute(notebook, made / "notebooks", at_work)
        if at_work.is_ended:
            return Outcome(name, good, "ended before it was done")
        if error is not None:
            _announce(notebook, error)
            write_text(evidence, tidied(notebook, source))
            return Outcome(name, evidence, error)
        _publish(made, output_dir)
    write_text(good, tidied(notebook, source))
    evidence.unlink(missing_ok=True)
    return Outcome(name, good, None)


def _execute(notebook: NotebookNode, folder: Path, at_work: _AtWork) -> str | None:
    """Run the notebook in the folder, filling in its outputs; returns why it failed, or None."""
    folder.mkdir()
    with own_folder(CHANNELS, Path(gettempdir())) as channels:
        loop = ensure_event_loop()  # that of this thread, which the kernel's client will use
        at_work.loops.append(loop)
        try:
            papermill_engines.execute_notebook_with_engine(
                None,
                notebook,
                kernel_name="python3",
                output_path=None,
                progress_bar=False,
                start_timeout=START_WITHIN,
                execution_timeout=CELL_WITHIN,
                resources={"metadata": {"path": str(folder)}},
                kernel_manager_class=PrivateKernel,
                config=private_channels(channels),
                coalesce_streams=True,
            )
        except Exception as error:  # whatever it was, it is this notebook's failure
            return f"{type(error).__name__}: {error}".splitlines()[0]
        finally:
            loop.close()
    return next(_errors(notebook), None)


def _errors(notebook: NotebookNode) -> Iterator[str]:
    for cell in notebook.cells:
        for output in cell.get("outputs", []):
            if output.output_type == "error":
                yield f"{output.ename}: {output.evalue}"


def _announce(notebook: NotebookNode, error: str) -> None:
    """Say at the top of a failed notebook that it failed, and why."""
    words = f"**This notebook did not run to its end.** {markdown_escape(error)}"
    cell = nbformat.v4.new_markdown_cell(words)  # type: ignore[no-untyped-call]
    notebook.cells.insert(0, cell)


def _publish(made: Path, output_dir: Path) -> None:
    """Move each file that a notebook made to its place, over what was there."""
    for path in sorted(made.rglob("*")):
        if path.is_file():
            target = output_dir / path.relative_to(made)
            target.parent.mkdir(parents=True, exist_ok=True)
            os.replace(path, target)
