"""Spoilt files: a clear message with its place, or figures; never a traceback, never a hang.

``-m fuzz`` and the gate try 2,000 cases, the ordinary suite the first 25. More, or one:

    FUZZ_CASES=20000 python -m pytest -m fuzz tests/trust
    python tests/trust/show_case.py 17
"""

from __future__ import annotations

import os
from dataclasses import replace
from itertools import count, islice
from pathlib import Path

import pytest
from trust.cases import Case, case, unspoilt
from trust.judge import Said, complaints, judged, say

CASES = int(os.environ.get("FUZZ_CASES", "2000"))
BLOCK = 25
NOTEBOOKS = 3  # cases with words of their own that run through a notebook
IN_NOTEBOOK = ("print-cost", "payback", "lender")


def run_block(first: int, folder: Path) -> None:
    """The cases of a block; what is wrong with any of them."""
    wrong: list[str] = []
    for number in range(first, first + BLOCK):
        one = case(number)
        _, found = judged(one, folder)
        wrong += [f"{one}: {complaint}" for complaint in found]
    assert not wrong, "\n".join(wrong)


def test_the_first_cases(tmp_path: Path):
    run_block(0, tmp_path)


@pytest.mark.fuzz
@pytest.mark.parametrize("first", range(BLOCK, CASES, BLOCK))
def test_cases(first: int, tmp_path: Path):
    run_block(first, tmp_path)


@pytest.mark.fuzz
@pytest.mark.parametrize("at", range(NOTEBOOKS))
def test_words_of_a_case_run_through_a_notebook(at: int, tmp_path: Path):
    one = _cases_with_words(tmp_path)[at]
    scenario, out = one.write(tmp_path), tmp_path / "out"
    name = IN_NOTEBOOK[at % len(IN_NOTEBOOK)]
    said = say("run", str(scenario), "--to", str(out), "--only", name, "--draws", "0", longest=120)
    assert (said.code, said.trouble) == (0, ()), f"{one}: {said}"
    assert (out / f"{name}.html").is_file()


def _cases_with_words(folder: Path) -> list[Case]:
    """The first cases that hold words nobody would write, and that are accepted."""
    words = (one for one in map(case, count()) if one.mutations == ("other_words_for_words",))
    accepted = (one for one in words if say("check", str(one.write(folder))).code == 0)
    return list(islice(accepted, NOTEBOOKS))


def test_a_number_gives_the_same_case_each_time():
    for number in range(40):
        assert case(number) == case(number)
    assert len({str(sorted(case(number).files.items())) for number in range(40)}) > 35


def test_every_case_differs_from_its_source():
    same = [number for number in range(200) if case(number).files == unspoilt(case(number).source)]
    assert len(same) < 10  # a line moved onto itself, a value drawn that stood there


GOOD = Said(words=("check",), code=2, out="", err="shop.toml:2: a.b: must be so (got x)\n")


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        ({}, ""),
        ({"trouble": ("Traceback of an error",)}, "Traceback of an error"),
        ({"code": 3}, "exit code 3"),
        ({"err": "\n"}, "nothing is said"),
        ({"code": 0, "out": ""}, "nothing is said"),
        ({"code": 0, "out": "fine"}, "exit code 0, but"),
        ({"err": "shop.toml:2: a: must be so\nTraceback (most recent call last):"}, "a traceback"),
        ({"err": "shop.toml:2: a: must be \x1b[31m (got x)\n"}, "'\\x1b' reaches"),
        ({"err": "shop.toml:2: a\u202e: must be (got x)\n"}, "reaches the terminal"),
        ({"err": f"shop.toml:2: {'a' * 3_000}: must be so (got x)\n"}, "as long as a file"),
        ({"err": "shop.toml: must be so\n"}, "no fault with its place"),
        ({"err": "other.toml:2: a: must be so (got x)\n"}, "not of the case"),
        ({"err": "shop.toml:4: a: must be so (got x)\n"}, "does not have"),
        ({"err": "shop.toml:1: a: must be so (got x)\n"}, "was spoilt and is not named"),
        ({"words": ("figures",), "code": 0, "err": "", "out": "worth $nan"}, "is no number"),
        ({"words": ("figures",), "code": 0, "err": "", "out": "fern and info"}, ""),
    ],
)
def test_the_judge_finds(change: dict[str, object], complaint: str):
    one = Case(
        number=0,
        source="",
        mutations=(),
        files={"shop.toml": b"a = 1\nb = 2\n"},
        arguments=(),
        at_fault="shop.toml",
        line=2,
    )
    found = list(complaints(replace(GOOD, **change), one))  # type: ignore[arg-type]
    assert complaint in "\n".join(found)
    assert bool(complaint) == bool(found)


def test_a_command_that_hangs_is_ended(monkeypatch: pytest.MonkeyPatch):
    def without_end(*arguments: object) -> None:
        while True:
            pass

    monkeypatch.setattr("planner.scenario.load.load", without_end)
    said = say("check", str(Path(__file__)), longest=1)
    assert "took longer than 1 s" in said.trouble[0]
