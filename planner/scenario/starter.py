"""Starter files for a new scenario, and which of their numbers a scenario still holds."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final

from planner.scenario.comments import asks, comments
from planner.scenario.csv_sheet import read_test_prints
from planner.scenario.estimates import Estimate
from planner.scenario.key_paths import Path
from planner.scenario.names import filled, named
from planner.scenario.schema import Scenario, TestPrint
from planner.scenario.tree import keyed, leaves

_WORDS: Final = ("title", "prepared_for", "start")  # they name the starter's shop and month


@dataclass(frozen=True)
class Given:
    """An input that a file gives: its key, its numbers or words, and where each comes from."""

    key: str
    parts: tuple[float | str, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Starter:
    """The inputs of a starter by place, and the comment on the line of each key."""

    given: Mapping[str, Given]
    comments: Mapping[Path, str]


def short_form(prints_file: str) -> str:
    """The starter with what must be given and what most shops have a paper for.

    ``prints_file`` is the name of the sheet of test prints beside it.
    """
    return _form("short.toml", prints_file)


def full_form(prints_file: str) -> str:
    """The starter with every key; those with a default are commented out and show it."""
    return _form("full.toml", prints_file)


def test_print_sheet() -> str:
    """The starter's sheet of test prints as CSV, units in the header."""
    return _text("test-prints.csv")


def _form(name: str, prints_file: str) -> str:
    return _text(name).replace('"test-prints.csv"', json.dumps(prints_file, ensure_ascii=False))


def _text(name: str) -> str:
    return files("planner.scenario").joinpath("starters", name).read_text(encoding="utf-8")


def starter_values_left(scenario: Scenario, *, text: str = "") -> tuple[str, ...]:
    """Keys of the inputs that still hold the value of a starter, in the order of the schema.

    An input that happens to be worth the same counts as the shop's own once the user says so: by a
    ``source``, or by a comment on its line in ``text``, the file as it was read, that differs from
    the starter's and does not ask where the number is found. Entries of lists are compared by
    position, since a name may have been changed. The sheet of test prints counts as one input,
    which is left as long as one of its rows is the starter's.
    """
    said, own = comments(text), _given(scenario)
    starter = _begun_with(own)
    left = [given.key for place, given in own.items() if _is_left(place, given, starter, said)]
    rows, _ = read_test_prints(test_print_sheet(), name="sheet")
    known = [_cells(row) for row in rows]
    if any(_cells(row) in known for row in scenario.prints):
        left.append("test_prints.file")
    return tuple(left)


def still_asked(scenario: Scenario, *, text: str) -> tuple[str, ...]:
    """Keys of the inputs whose comment still asks where the number is found."""
    said = comments(text)
    given = _given(scenario).items()
    return tuple(one.key for place, one in given if asks(_behind(place, said)))


def starter_sentence(scenario: Scenario, *, text: str = "") -> str:
    """How many of the inputs given still hold the starter's values; empty where none does."""
    left, given = starter_values_left(scenario, text=text), len(_given(scenario)) + 1
    if not left:
        return ""
    hold = "inputs still holds" if len(left) == 1 else "inputs still hold"
    return f"{len(left)} of {given} {hold} what the starter file held"


def _begun_with(own: Mapping[str, Given]) -> Starter:
    """The starter that a file was made from: the short one where most of the full one is absent."""
    short, full = _starters()
    only_full = full.given.keys() - short.given.keys()
    return short if 2 * len(only_full & own.keys()) < len(only_full) else full


def _is_left(place: str, given: Given, starter: Starter, said: Mapping[Path, str]) -> bool:
    """Whether an input is the starter's, and nothing says that it is the shop's as well."""
    theirs = starter.given.get(place)
    if theirs is None or theirs.parts != given.parts:
        return False
    comment = _behind(place, said)
    is_commented = comment and not asks(comment) and comment != _behind(place, starter.comments)
    is_sourced = any(given.sources) and given.sources != theirs.sources
    return not (is_commented or is_sourced)


def _behind(place: str, said: Mapping[Path, str]) -> str:
    """The comment on the line that holds an input: that of its key, or of what it stands in."""
    path: Path = tuple(
        int(part[1:-1]) if part.startswith("[") else part
        for part in re.findall(r"[a-z_]+|\[\d+\]", place)
    )
    held = (path[:end] for end in range(len(path), 0, -1))
    return next((said[way] for way in held if way in said), "")


@cache
def _starters() -> tuple[Starter, ...]:
    return _starter(_uncommented(short_form("-"))), _starter(full_form("-"))


def _uncommented(short: str) -> str:
    """The short form with the lines of keys and tables that are off."""
    return re.sub(r"(?m)^#( *\[\[|[ a-z]+\w* *=)", r"\1", short)


def _starter(text: str) -> Starter:
    tree = named(filled(tomllib.loads(text)))
    scenario = Scenario.model_validate(tree, context={"currency": tree["currency"]})
    return Starter(given=_given(keyed(scenario)), comments=comments(text))


def _given(scenario: Scenario) -> Mapping[str, Given]:
    """The inputs that a file gives by place, their numbers rounded.

    What a user writes as one value is one input: a size, the twelve months of a season.
    """
    found: dict[str, Given] = {}
    for leaf in leaves(scenario):
        if not leaf.is_default and leaf.path in _WORDS:
            found[leaf.place] = Given(leaf.key, (str(leaf.value),), ("",))
        if leaf.is_default or not isinstance(leaf.value, Estimate):
            continue
        place, key = leaf.place, leaf.key
        if leaf.table.written_as_value:
            place, key = place.rpartition(".")[0], key.rpartition(".")[0]
        elif place.endswith("]"):
            place, key = place.rpartition("[")[0], key.rpartition("[")[0]
        before = found.get(place, Given(key, (), ()))
        numbers = (leaf.value.low, leaf.value.likely, leaf.value.high)
        found[place] = Given(
            key=key,
            parts=(*before.parts, *(_rounded(number) for number in numbers)),
            sources=(*before.sources, leaf.value.source),
        )
    return found


def _cells(row: TestPrint) -> tuple[float, ...]:
    """The numbers of a test print, rounded, whatever it is called."""
    cells = (row.area, row.copies, row.white, row.colour, row.before_powder, row.after_powder)
    return tuple(_rounded(cell.likely) for cell in cells)


def _rounded(number: float) -> float:
    return float(f"{number:.9g}")
