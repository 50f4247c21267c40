"""Faults in what the user wrote, and the errors that carry them all at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

MOST_SHOWN: Final = 100  # lines of a message


class PlannerError(Exception):
    """Base of every error this package raises on purpose."""


@dataclass(frozen=True, kw_only=True)
class Fault:
    """One thing wrong with an input, in one line.

    ``where`` is ``file:line``, or ``--set`` for a change given beside the file; ``key`` the key
    path; ``must`` completes "must …"; ``got`` is what stands there; ``suggestion`` is empty where
    none is sensible.
    """

    where: str
    key: str
    must: str
    got: str = ""
    suggestion: str = ""

    def __str__(self) -> str:
        got = f" (got {self.got})" if self.got else ""
        suggestion = f"; {self.suggestion}" if self.suggestion else ""
        return f"{self.where}: {self.key}: must {self.must}{got}{suggestion}"

    @property
    def place(self) -> tuple[str, int]:
        """File and line, for sorting; a change beside the file has line 0."""
        file, _, line = self.where.rpartition(":")
        return (file, int(line)) if line.isdigit() else (self.where, 0)


def in_order(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Each fault once, by file, line and key."""
    return tuple(sorted(dict.fromkeys(faults), key=lambda fault: (fault.place, fault.key)))


class ScenarioError(PlannerError):
    """A scenario that cannot be used; holds every fault found in it, by file and line.

    Its message shows the first hundred.
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = in_order(faults)
        lines = [str(fault) for fault in self.faults[:MOST_SHOWN]]
        if len(self.faults) > MOST_SHOWN:
            lines.append(f"and {len(self.faults) - MOST_SHOWN} more")
        super().__init__("\n".join(lines))
