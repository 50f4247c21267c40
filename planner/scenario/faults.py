"""Faults in what the user wrote, and the errors that carry them all at once."""

from __future__ import annotations

from dataclasses import dataclass


class PlannerError(Exception):
    """Base of every error this package raises on purpose."""


@dataclass(frozen=True, kw_only=True)
class Fault:
    """One thing wrong with an input, in one line.

    ``where`` is ``file:line``; ``key`` the key path; ``must`` completes "must …";
    ``got`` is what stands there; ``suggestion`` is empty where none is sensible.
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


class ScenarioError(PlannerError):
    """A scenario that cannot be used; holds every fault found in it."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults
