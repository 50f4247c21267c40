"""Cases of the fuzzer: a number gives the same spoilt files on every machine."""

from __future__ import annotations

import random
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from trust.scenario_mutations import OF_SCENARIO, another_kind, another_number, another_unit
from trust.sheet_mutations import OF_SHEET, another_cell
from trust.spoiling import Mutation

ROOT: Final = Path(__file__).parents[2]
# The shipped scenarios, and those that hold what they do not: how often each comes up, and for
# which share of the cases that are accepted the figures are worked out; the quick ones more often.
SOURCES: Final = {
    "scenarios/shortest": (48, 0.7),
    "scenarios/larkspur-lane": (14, 0.3),
    "scenarios/new-shop": (12, 0.4),
    "scenarios/two-widths": (8, 0.3),
    "tests/variants/own-season": (10, 0.7),
    "tests/variants/overtime": (3, 0.5),
    "tests/variants/press-only": (3, 0.5),
    "tests/variants/two-machines": (2, 0.5),
}
NAMES_ITS_LINE: Final = (another_kind, another_number, another_unit, another_cell)
SCENARIO: Final = "shop.toml"
SHEET: Final = "prints.csv"


@dataclass(frozen=True)
class Case:
    """Files that a user could have, how they came about, and what is asked of ``figures``, if so.

    ``line`` is where the one value stands that is wrong, in the file ``at_fault``; None where more
    than one thing was changed, or it is not certain that it is wrong.
    """

    number: int
    source: str
    mutations: tuple[str, ...]
    files: dict[str, bytes]
    arguments: tuple[str, ...]
    at_fault: str = ""
    line: int | None = None

    def write(self, folder: Path) -> Path:
        """Lay the files out in a folder; the path of the scenario."""
        for name, content in self.files.items():
            (folder / name).write_bytes(content)
        return folder / SCENARIO

    def __str__(self) -> str:
        return f"case {self.number} ({self.source}: {', '.join(self.mutations)})"


def case(number: int) -> Case:
    """The case of a number: one to three mutations of one source."""
    rng = random.Random(f"case {number}")
    source = rng.choices(list(SOURCES), weights=[weight for weight, _ in SOURCES.values()])[0]
    files = unspoilt(source)
    done: list[Mutation] = []
    line, at_fault = None, ""
    for _ in range(rng.choices((1, 2, 3), weights=(6, 3, 1))[0]):
        at_fault = rng.choices((SCENARIO, SHEET), weights=(8, 2))[0]
        mutations = OF_SCENARIO if at_fault == SCENARIO else OF_SHEET
        mutate = rng.choices([m for m, _ in mutations], weights=[w for _, w in mutations])[0]
        spoilt = mutate(rng, files[at_fault])
        files[at_fault], line = spoilt.content, spoilt.line
        done.append(mutate)
    is_certain = len(done) == 1 and done[0] in NAMES_ITS_LINE
    return Case(
        number=number,
        source=source,
        mutations=tuple(mutate.__name__ for mutate in done),
        files=files,
        arguments=_arguments(rng) if rng.random() < SOURCES[source][1] else (),
        at_fault=at_fault if is_certain else "",
        line=line if is_certain else None,
    )


def unspoilt(source: str) -> dict[str, bytes]:
    """Scenario and sheet of a source, under the names that every case has."""
    scenario = (ROOT / f"{source}.toml").read_bytes()
    name = scenario.split(b"[test_prints]")[1].split(b'file = "')[1].split(b'"')[0]
    sheet = (ROOT / source).with_name(name.decode()).read_bytes()
    return {SCENARIO: scenario.replace(name, SHEET.encode()), SHEET: sheet}


def _arguments(rng: random.Random) -> tuple[str, ...]:
    """What ``figures`` is asked for: text or JSON, a few with drawn cases."""
    form = rng.choices(("text", "json", "csv"), weights=(6, 3, 1))[0]
    draws = ("--draws", "32") if rng.random() < 0.06 else ()
    return ("--format", form, *draws)
