"""Where the notebooks and the shipped example lie, installed or in a checkout."""

from __future__ import annotations

from pathlib import Path
from typing import Final

PACKAGE: Final = Path(__file__).resolve().parent.parent
EXAMPLE: Final = "larkspur-lane.toml"


def notebooks_folder() -> Path:
    """The folder of the source notebooks."""
    return _beside("notebooks")


def example_scenario() -> Path:
    """The scenario that is run where none is named."""
    return _beside("scenarios") / EXAMPLE


def _beside(name: str) -> Path:
    installed = PACKAGE / name
    return installed if installed.is_dir() else PACKAGE.parent / name
