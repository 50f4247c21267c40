"""``planner run`` as a process of its own that can be killed, and what it leaves behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[2]
SCENARIO: Final = ROOT / "scenarios" / "shortest.toml"
PATIENCE: Final = 60  # [s] until a process that lost its parent must be gone


@dataclass(frozen=True)
class Place:
    """Folders of one test: results, and what the system keeps temporary files in."""

    folder: Path
    results: Path = field(init=False)
    temporary: Path = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "results", self.folder / "results")
        object.__setattr__(self, "temporary", self.folder / "tmp")
        self.temporary.mkdir(parents=True, exist_ok=True)

    def start(self, *words: str, by: Sequence[str] = ()) -> subprocess.Popen[str]:
        """Start ``planner run`` on the shortest scenario, in a process group of its own.

        ``by`` is a command that starts another one.
        """
        command = [sys.executable, "-m", "planner", "run", str(SCENARIO), "--to", str(self.results)]
        return subprocess.Popen(
            [*by, *command, *words],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env={**os.environ, "TMPDIR": str(self.temporary)},
            start_new_session=True,
        )

    def run(self, *words: str) -> tuple[int, str, str]:
        """Run it to its end: exit code, output, messages."""
        process = self.start(*words)
        out, err = process.communicate()
        return process.returncode, out, err

    def files(self) -> dict[str, bytes]:
        """Every file of the results, hidden or not."""
        found = [path for path in sorted(self.results.rglob("*")) if path.is_file()]
        return {path.relative_to(self.results).as_posix(): path.read_bytes() for path in found}

    def left_over(self) -> list[str]:
        """Hidden and temporary files that a run has left, in the results or elsewhere."""
        hidden = list(self.results.rglob(".*"))
        return [str(path.relative_to(self.folder)) for path in [*hidden, *self.temporary.iterdir()]]

    def processes(self) -> list[int]:
        """Processes that were started for these results and still run."""
        found = []
        for entry in Path("/proc").iterdir():
            if entry.name.isdigit():
                try:
                    words = (entry / "cmdline").read_bytes()
                except OSError:
                    continue
                if str(self.folder).encode() in words:
                    found.append(int(entry.name))
        return found

    def wait_until_alone(self) -> list[int]:
        """Wait until no process is left; those that are left all the same."""
        until = time.monotonic() + PATIENCE
        while self.processes() and time.monotonic() < until:
            time.sleep(0.1)
        return self.processes()


def end(process: subprocess.Popen[str], number: signal.Signals) -> tuple[int, str, str]:
    """Send a signal and wait for the end: exit code, output, messages."""
    process.send_signal(number)
    out, err = process.communicate()
    return process.returncode, out, err


def is_of(found: dict[str, bytes], *whole: dict[str, bytes]) -> Sequence[str]:
    """Names of files that are in none of the whole results as they stand."""
    return [name for name, raw in found.items() if all(raw != one.get(name) for one in whole)]
