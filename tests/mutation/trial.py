"""Tests run against a mutant, in a process of its own that never writes a file of the package."""

from __future__ import annotations

import ast
import gc
import os
import resource
import sys
from collections.abc import Iterable, Iterator, Sequence
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from importlib.util import resolve_name, spec_from_file_location
from pathlib import Path
from tempfile import TemporaryDirectory
from types import ModuleType
from typing import Final

import pytest
from hypothesis import Phase, settings

from .mutants import Mutant

LONGEST: Final = 120  # seconds of processor time; a mutant that takes longer does not end
MORE_MEMORY: Final = 4 * 2**30  # bytes, beyond what importing all has taken
# A test fails, a module cannot be imported by a test or by what all tests share.
NOTICED: Final = (
    pytest.ExitCode.TESTS_FAILED,
    pytest.ExitCode.INTERRUPTED,
    pytest.ExitCode.USAGE_ERROR,
)
FAULT_OF_OURS: Final = 70
OPTIONS: Final = (
    *("-q", "-x", "--numprocesses=0", "--assert=plain", "-m", "not fuzz"),
    *("-p", "no:cacheprovider", "-p", "no:unraisableexception"),
)


class Quick:
    """Tests in the order of their cost; examples of hypothesis that fail are not made smaller."""

    @staticmethod
    def pytest_configure() -> None:
        phases = (Phase.explicit, Phase.generate)
        settings.register_profile("quick", settings.get_profile("steady"), phases=phases)
        settings.load_profile("quick")

    @staticmethod
    def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
        items.sort(key=lambda item: hasattr(getattr(item, "obj", None), "hypothesis"))


class Instead(MetaPathFinder, Loader):
    """Gives a mutant to whoever imports its module."""

    def __init__(self, mutant: Mutant) -> None:
        self.mutant = mutant

    def find_spec(
        self, name: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if name != self.mutant.module:
            return None
        return spec_from_file_location(name, self.mutant.code.co_filename, loader=self)

    def exec_module(self, module: ModuleType) -> None:
        exec(self.mutant.code, module.__dict__)


def warm(tests: Sequence[str], *, module: str, root: Path) -> None:
    """Import what tests need, so that processes begun later have it, but not what may change.

    That is the module to be mutated, whatever imports it, and the tests.
    """
    _pytest([*tests, "--collect-only"])
    ours = {
        name: Path(file)
        for name, one in sys.modules.items()
        if (file := getattr(one, "__file__", None)) and Path(file).is_relative_to(root)
    }
    stays = {name for name in ours if name.split(".")[0] == module.split(".")[0]}
    imports = {name: set(_imports(ours[name], name)) for name in stays}
    changed = {module}
    while more := {name for name in stays - changed if imports[name] & changed}:
        changed |= more
    for name in ours:
        if name not in stays - changed and not name.startswith(__package__):
            del sys.modules[name]
            package, _, own = name.rpartition(".")
            if package in sys.modules:  # where ``from package import own`` would find it
                vars(sys.modules[package]).pop(own, None)
    gc.freeze()


def _imports(file: Path, name: str) -> Iterator[str]:
    """What a module imports, by full names, some of which may be of what modules hold."""
    package = name if file.name == "__init__.py" else name.rpartition(".")[0]
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            source = resolve_name("." * node.level + (node.module or ""), package)
            yield source
            yield from (f"{source}.{alias.name}" for alias in node.names)


def trials(
    mutants: Iterable[Mutant], tests: Sequence[str], *, workers: int
) -> Iterator[tuple[Mutant, bool]]:
    """Each mutant and whether it survived, as they end; so many at a time."""
    running: dict[int, Mutant] = {}
    with TemporaryDirectory() as folder:
        for mutant in mutants:
            if len(running) == workers:
                yield _ended(running)
            running[_begin(mutant, tests, folder)] = mutant
        while running:
            yield _ended(running)


def unspoilt(tests: Sequence[str]) -> int:
    """How its tests end with the package as it is: 0 where they pass."""
    with TemporaryDirectory() as folder:
        _, status = os.waitpid(_begin(None, tests, folder), 0)
    return os.waitstatus_to_exitcode(status)


def _begin(mutant: Mutant | None, tests: Sequence[str], folder: str) -> int:
    """Run tests against a mutant, or the package as it is, in a new process; its id."""
    if process := os.fork():
        return process
    code = FAULT_OF_OURS
    try:
        _limit(resource.RLIMIT_CPU, LONGEST)
        _limit(resource.RLIMIT_AS, _memory_taken() + MORE_MEMORY)
        if mutant:
            sys.meta_path.insert(0, Instead(mutant))
        code = _pytest([f"--basetemp={folder}/{os.getpid()}", *tests])
    finally:
        os._exit(code)


def _limit(kind: int, most: int) -> None:
    """Set a limit, unless a lower one stands."""
    hard = resource.getrlimit(kind)[1]
    most = most if hard == resource.RLIM_INFINITY else min(most, hard)
    resource.setrlimit(kind, (most, hard))


def _memory_taken() -> int:
    """The size of this process's addresses [bytes]; much of it is never used."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    return pages * resource.getpagesize()


def _ended(running: dict[int, Mutant]) -> tuple[Mutant, bool]:
    """The next mutant whose tests end: it survived if they passed."""
    process, status = os.wait()
    mutant = running.pop(process)
    if os.WIFEXITED(status) and os.WEXITSTATUS(status) not in (pytest.ExitCode.OK, *NOTICED):
        raise RuntimeError(f"its tests could not be run: {mutant.path}:{mutant.line}")
    return mutant, status == pytest.ExitCode.OK


def _pytest(arguments: Sequence[str]) -> int:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    kept = [os.dup(1), os.dup(2)]
    sys.stdout.flush()
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    try:
        return int(pytest.main([*OPTIONS, *arguments], plugins=[Quick()]))
    finally:
        for stream, old in enumerate(kept, start=1):
            os.dup2(old, stream)
            os.close(old)
        os.close(nowhere)
