"""Starter files for a new scenario, and which of their numbers a scenario still holds."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from planner.scenario.csv_sheet import read_test_prints
from planner.scenario.estimates import Estimate
from planner.scenario.names import filled, named
from planner.scenario.schema import Scenario, TestPrint
from planner.scenario.tree import keyed, leaves

# By place of an input: its key and its numbers.
Given = Mapping[str, tuple[str, tuple[float, ...]]]


def short_form(prints_file: str) -> str:
    """The starter with what must be given and little more, at most 40 lines of keys.

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


def starter_values_left(scenario: Scenario) -> tuple[str, ...]:
    """Keys of the inputs that still hold the value of a starter, in the order of the schema.

    Entries of lists are compared by position, since a name may have been changed. The sheet of
    test prints counts as one input, which is left as long as one of its rows is the starter's.
    """
    starters = _starters()
    left = [
        key
        for place, (key, numbers) in _given(scenario).items()
        if any(place in starter and starter[place][1] == numbers for starter in starters)
    ]
    rows, _ = read_test_prints(test_print_sheet(), name="sheet")
    known = [_cells(row) for row in rows]
    if any(_cells(row) in known for row in scenario.prints):
        left.append("test_prints.file")
    return tuple(left)


def starter_sentence(scenario: Scenario) -> str:
    """How many of the inputs given still hold the starter's values; empty where none does."""
    left, given = starter_values_left(scenario), len(_given(scenario)) + 1
    if not left:
        return ""
    return f"{len(left)} of {given} inputs still hold the starter's values: {', '.join(left)}"


@cache
def _starters() -> tuple[Given, ...]:
    trees = [named(filled(tomllib.loads(form("-")))) for form in (short_form, full_form)]
    return tuple(
        _given(keyed(Scenario.model_validate(tree, context={"currency": tree["currency"]})))
        for tree in trees
    )


def _given(scenario: Scenario) -> Given:
    """The inputs that a file gives, their numbers rounded.

    What a user writes as one value is one input: a size, the twelve months of a season.
    """
    given: dict[str, tuple[str, tuple[float, ...]]] = {}
    for leaf in leaves(scenario):
        if leaf.is_default or not isinstance(leaf.value, Estimate):
            continue
        place, key = leaf.place, leaf.key
        if leaf.table.written_as_value:
            place, key = place.rpartition(".")[0], key.rpartition(".")[0]
        elif place.endswith("]"):
            place, key = place.rpartition("[")[0], key.rpartition("[")[0]
        before = given.get(place, (key, ()))[1]
        numbers = (leaf.value.low, leaf.value.likely, leaf.value.high)
        given[place] = (key, (*before, *(_rounded(number) for number in numbers)))
    return given


def _cells(row: TestPrint) -> tuple[float, ...]:
    """The numbers of a test print, rounded, whatever it is called."""
    cells = (row.area, row.copies, row.white, row.colour, row.before_powder, row.after_powder)
    return tuple(_rounded(cell.likely) for cell in cells)


def _rounded(number: float) -> float:
    return float(f"{number:.9g}")
