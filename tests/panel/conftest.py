"""Copies of the shipped scenarios in folders that a test may write into."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from shutil import copyfile

import pytest
from helpers import ROOT

from planner.deliver.panel.tryout import Tryout


def _copied(name: str, folder: Path) -> Path:
    for file in (f"{name}.toml", f"{name}-test-prints.csv"):
        copyfile(ROOT / "scenarios" / file, folder / file)
    return folder / f"{name}.toml"


@pytest.fixture
def copied(tmp_path: Path) -> Callable[[str], Path]:
    """Copies a shipped scenario and its test prints into a folder of the test's own."""
    return lambda name: _copied(name, tmp_path)


@pytest.fixture(scope="session")
def tryouts(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Tryout]:
    """A tryout of each shipped scenario, opened when it is first asked for."""

    class Opened(dict[str, Tryout]):
        def __missing__(self, name: str) -> Tryout:
            self[name] = Tryout(_copied(name, tmp_path_factory.mktemp(name)))
            return self[name]

    return Opened()
