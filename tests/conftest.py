"""Fixtures and settings that the rooms share."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest
from helpers import write_bare
from hypothesis import settings

from planner.scenario.load import load
from planner.scenario.schema import Scenario

settings.register_profile("steady", deadline=None, derandomize=True, database=None)
settings.load_profile("steady")

Loads = Callable[..., Scenario]


@pytest.fixture(scope="session")
def bare(tmp_path_factory: pytest.TempPathFactory) -> Loads:
    """Loads the bare shop with changes by key path."""
    path = write_bare(tmp_path_factory.mktemp("bare"))

    def loads(changes: Mapping[str, Any] | None = None) -> Scenario:
        return load(path, changes=changes)

    return loads
