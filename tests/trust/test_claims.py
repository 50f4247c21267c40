"""Folders that one process holds: no other gets in, and what a killed one left is removed."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from planner.deliver import claims
from planner.deliver.claims import claimed, own_folder, sweep

pytestmark = pytest.mark.skipif(os.name != "posix", reason="locks on folders are POSIX's")

HOLD = """
import sys, time
from pathlib import Path
from planner.deliver.claims import own_folder
with own_folder("held-", Path(sys.argv[1])) as made:
    print(made, flush=True)
    time.sleep(600)
"""


def holder(folder: Path) -> tuple[subprocess.Popen[str], Path]:
    """A process that holds a new folder, and the folder."""
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(folder)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    return process, Path(process.stdout.readline().strip())


def test_a_folder_is_held_by_one_alone(tmp_path: Path):
    with claimed(tmp_path) as first, claimed(tmp_path) as second:
        assert (first, second) == (True, False)
    with claimed(tmp_path) as again:
        assert again


def test_what_is_gone_no_folder_or_a_link_cannot_be_held(tmp_path: Path):
    (tmp_path / "file").touch()
    (tmp_path / "folder").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "folder")
    for name in ("gone", "file", "link"):
        with claimed(tmp_path / name) as is_ours:
            assert not is_ours


def test_an_own_folder_is_private_and_gone_at_the_end(tmp_path: Path):
    with own_folder("x-", tmp_path) as made:
        assert made.stat().st_mode & 0o077 == 0
        (made / "file").touch()
    assert not list(tmp_path.iterdir())


def test_an_own_folder_is_gone_after_an_error_too(tmp_path: Path):
    with pytest.raises(FileNotFoundError), own_folder("x-", tmp_path):
        raise FileNotFoundError
    assert not list(tmp_path.iterdir())


def test_a_folder_of_a_killed_process_is_removed_and_that_of_a_living_one_is_not(tmp_path: Path):
    process, made = holder(tmp_path)
    with process:
        sweep("held-", tmp_path)
        assert made.is_dir()
        process.kill()
    assert made.is_dir()
    sweep("held-", tmp_path)
    assert not made.exists()


def test_only_folders_of_the_prefix_are_removed_and_links_are_not_followed(tmp_path: Path):
    kept = tmp_path / "kept"
    kept.mkdir()
    (kept / "file").touch()
    (tmp_path / "held-link").symlink_to(kept)
    (tmp_path / "held-file").touch()
    (tmp_path / "other").mkdir()
    sweep("held-", tmp_path)
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == ["held-file", "held-link", "kept", "other"]
    assert (kept / "file").exists()


@pytest.mark.parametrize("moment", ["before it is opened", "before it is held"])
def test_a_folder_taken_away_too_early_is_made_again(
    moment: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    module, name = (os, "open") if moment == "before it is opened" else (claims.fcntl, "flock")
    real, asked = getattr(module, name), []

    def taken_away(*words: Any, **more: Any) -> Any:
        asked.append(words)
        if len(asked) == 1:
            os.rmdir(next(tmp_path.iterdir()))
        return real(*words, **more)

    monkeypatch.setattr(module, name, taken_away)
    with own_folder("x-", tmp_path) as folder:
        assert folder.is_dir()
        assert list(tmp_path.iterdir()) == [folder]
        assert len(asked) == 2


def test_folders_of_other_users_are_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    (tmp_path / "held-theirs").mkdir()
    monkeypatch.setattr(claims.os, "getuid", lambda: -1)
    sweep("held-", tmp_path)
    assert (tmp_path / "held-theirs").is_dir()


def test_a_file_system_without_locks_keeps_nobody_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    def cannot(place: int, how: int) -> None:
        raise OSError("no locks available")

    monkeypatch.setattr(claims.fcntl, "flock", cannot)
    with claimed(tmp_path) as first, claimed(tmp_path) as second:
        assert (first, second) == (True, True)
