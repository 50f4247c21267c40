"""What the program says to a case, and whether that is as it must be."""

from __future__ import annotations

import re
import signal
import traceback
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Final

from trust.cases import Case
from typer.testing import CliRunner

from planner.cli import app

LONGEST: Final = 5  # [s] of the processor for one command: more counts as a hang
STUCK: Final = 60  # times as long by the clock, however busy the machine is
FAULT: Final = re.compile(r"(?P<file>[^:\n]+):(?P<line>\d+): (?P<key>.+?): must \S.*")
GOT: Final = re.compile(r"\(got .+\)")
NO_NUMBER: Final = re.compile(r"(?<![\w.-])[-\u2212]?[$\u20ac]?(nan|inf|NaN|Infinity)\b")
UNPRINTED: Final = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


class Hang(BaseException):
    """A command that does not come to its end."""


@dataclass(frozen=True)
class Said:
    """What a command printed, its exit code, and what else came out of it."""

    words: tuple[str, ...]
    code: int
    out: str
    err: str
    trouble: tuple[str, ...] = ()


@contextmanager
def _ended_within(longest: int) -> Iterator[None]:
    """Raises ``Hang`` in what takes too long; a guard, no measurement."""

    def stop(number: int, frame: FrameType | None) -> None:
        raise Hang("".join(traceback.format_stack(frame, limit=4)))

    before = {number: signal.signal(number, stop) for number in (signal.SIGPROF, signal.SIGALRM)}
    signal.setitimer(signal.ITIMER_PROF, longest)
    signal.setitimer(signal.ITIMER_REAL, longest * STUCK)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.setitimer(signal.ITIMER_REAL, 0)
        for number, handler in before.items():
            signal.signal(number, handler)


def say(*words: str, longest: int = LONGEST) -> Said:
    """Run a command in this process for at most so long [s], as the entry point does."""
    trouble: list[str] = []
    with warnings.catch_warnings(record=True) as warned:
        warnings.simplefilter("always")
        try:
            with _ended_within(longest):
                done = CliRunner().invoke(app, list(words))
        except Hang as hang:
            return Said(words, -1, "", "", (f"took longer than {longest} s\n{hang}",))
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        trouble.append("".join(traceback.format_exception(done.exception)))
    trouble += [f"warned: {one.message!r} ({one.filename}:{one.lineno})" for one in warned]
    return Said(words, done.exit_code, done.stdout, done.stderr, tuple(trouble))


def judged(case: Case, folder: Path) -> tuple[list[Said], list[str]]:
    """All that was said to a case, and what is wrong with it; nothing must be."""
    scenario = str(case.write(folder))
    said = [say("check", scenario)]
    if said[0].code == 0 and case.arguments:
        said.append(say("figures", scenario, *case.arguments))
    wrong = [complaint for one in said for complaint in complaints(one, case)]
    if said[0].code == 0 and said[-1].code == 2:
        wrong.append("figures refuses what check accepts")
    return said, wrong


def complaints(said: Said, case: Case) -> Iterator[str]:
    """What is wrong with an answer to a case."""
    yield from said.trouble
    if said.code == -1:
        return
    if said.code not in (0, 1, 2):
        yield f"exit code {said.code}"
    if not (said.out if said.code == 0 else said.err).strip():
        yield f"nothing is said with exit code {said.code}"
    if said.code == 0 and said.err:
        yield f"exit code 0, but: {said.err[:300]}"
    if "Traceback" in said.out + said.err or 'File "' in said.err:
        yield "a traceback is shown"
    if found := UNPRINTED.search(said.out.replace("\r\n", "\n") + said.err):
        yield f"the sign {found[0]!r} reaches the terminal"
    if any(len(line) > 2_000 for line in said.err.splitlines()) or said.err.count("\n") > 101:
        yield "a message as long as a file"
    if said.words[0] == "figures" and not _holds_no_number(case) and NO_NUMBER.search(said.out):
        yield "a figure is no number"
    if said.code == 2:
        yield from _faults(said.err, case)


def _holds_no_number(case: Case) -> bool:
    """Whether a file of the case says so itself."""
    return any(NO_NUMBER.search(raw.decode("utf-8", "replace")) for raw in case.files.values())


def _faults(text: str, case: Case) -> Iterator[str]:
    """Every line a fault with a file, a line that the file has, a key and what stands there."""
    named = []
    for line in re.sub(r"\nand \d+ more$", "", text.rstrip("\n")).split("\n"):
        found = FAULT.fullmatch(line)
        if not found:
            yield f"no fault with its place: {line[:300]!r}"
            continue
        content = case.files.get(found["file"])
        if content is None:
            yield f"a file that is not of the case: {line[:300]!r}"
        elif not 1 <= int(found["line"]) <= _lines(content):
            yield f"a line that the file does not have: {line[:300]!r}"
        named.append((found["file"], int(found["line"])))
    if case.line is not None and named and (case.at_fault, case.line) not in named:
        yield f"line {case.line} of {case.at_fault} was spoilt and is not named:\n{text[:600]}"


def _lines(content: bytes) -> int:
    """Lines of a file, however they end."""
    return len(re.split(rb"\r\n|\r|\n", content))
