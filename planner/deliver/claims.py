"""Folders that one process holds until it ends, however it ends.

The hold is the system's lock on the folder itself, so that a process that was killed holds nothing
and leaves nothing of it. Where the system has no such locks, nobody is kept out.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import mkdtemp

if sys.platform != "win32":
    import fcntl

CAN_LOCK = sys.platform != "win32"


@contextmanager
def claimed(folder: Path) -> Iterator[bool]:
    """Hold a folder; False where another process holds it, or it is gone. No link is followed."""
    if not CAN_LOCK:
        yield True
        return
    try:
        place = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    except (FileNotFoundError, NotADirectoryError):
        yield False
        return
    try:
        yield _is_locked(place) and folder.exists()
    finally:
        os.close(place)


def _is_locked(place: int) -> bool:
    try:
        fcntl.flock(place, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:  # a file system without locks
        return True
    return True


@contextmanager
def own_folder(prefix: str, parent: Path) -> Iterator[Path]:
    """A new folder that this user alone may enter, held, and gone at the end."""
    while True:
        made = Path(mkdtemp(prefix=prefix, dir=parent))
        with claimed(made) as is_ours:
            if is_ours:  # else another process took it for one left behind, before it was held
                try:
                    yield made
                finally:
                    shutil.rmtree(made, ignore_errors=True)
                return


def sweep(prefix: str, parent: Path) -> None:
    """Remove the folders of a prefix that processes left behind when they were killed.

    What is held, is a link or belongs to another user is left alone.
    """
    for folder in parent.glob(f"{prefix}*") if CAN_LOCK else ():
        with suppress(OSError):
            if folder.lstat().st_uid == os.getuid():
                _remove_unheld(folder)


def _remove_unheld(folder: Path) -> None:
    with claimed(folder) as is_ours:
        if is_ours:
            shutil.rmtree(folder)
