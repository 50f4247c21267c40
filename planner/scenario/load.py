"""From a file on disk to a checked, frozen scenario."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from planner.scenario.checks import cross_faults
from planner.scenario.csv_sheet import read_test_prints
from planner.scenario.document import Document, changed, parse
from planner.scenario.faults import Fault, ScenarioError
from planner.scenario.fields import fields, table_at
from planner.scenario.limits import value_faults
from planner.scenario.names import named
from planner.scenario.reading import repr_short
from planner.scenario.schema import Scenario, TestPrint
from planner.scenario.text_file import read_text
from planner.scenario.tree import keyed

LARGEST_SCENARIO: Final = 1_000_000  # bytes
_SHEET: Final = ("test_prints", "file")
LARGEST_SHEET: Final = 20_000_000  # bytes


def load(path: str | Path, *, changes: Mapping[str, Any] | None = None) -> Scenario:
    """Read, check and type a scenario file and its sheet of test prints.

    ``changes`` maps key paths to new values, checked like the file. Raises ``ScenarioError`` with
    every fault found; nothing is guessed.
    """
    path = Path(path)
    document = parse(read_text(path, largest=LARGEST_SCENARIO), name=path.name)
    faults: list[Fault] = []
    document = named(_with(document, changes or {}, faults))
    scenario = _typed(document, faults)
    faults.extend(cross_faults(document))
    faults.extend(value_faults(document))
    prints = _test_prints(document, path.parent, faults)
    if faults or scenario is None:
        raise ScenarioError(faults)
    return keyed(scenario.model_copy(update={"prints": prints}))


def _with(document: Document, changes: Mapping[str, Any], faults: list[Fault]) -> Document:
    try:
        return changed(document, changes)
    except ScenarioError as error:
        faults.extend(error.faults)
        return document


def _typed(document: Document, faults: list[Fault]) -> Scenario | None:
    tree = {key: value for key, value in document.tree.items() if key != "prints"}
    try:
        return Scenario.model_validate(tree, context={"currency": document.currency})
    except ValidationError as error:
        problems = error.errors(include_url=False)
        faults.extend(_fault(document, problem) for problem in problems)
        return None


def _fault(document: Document, problem: Mapping[str, Any]) -> Fault:
    path = _path_in_file(document, problem["loc"])
    context = problem.get("ctx", {})
    got: str = repr_short(problem["input"])
    match problem["type"]:
        case "fault":
            must, got, suggestion = context["must"], context["got"], context["suggestion"]
        case "missing":
            must, got, suggestion = "be given", "nothing", _similar(document, path)
        case "extra_forbidden":
            must, got, suggestion = "be a known key", str(path[-1])[:60], _known(path)
        case "literal_error":
            must, suggestion = _one_of(context["expected"], problem["input"])
        case kind:
            must, suggestion = _KINDS.get(kind, "be of the right kind"), _as_table(problem["input"])
    return document.fault(path, must, _one_line(got), suggestion)


_KINDS: Final = {
    "model_type": "be a table",
    "model_attributes_type": "be a table",
    "bool_type": "be true or false",
}


def _one_line(text: str) -> str:
    return "".join(c if c.isprintable() else "\ufffd" for c in text)


def _as_table(value: Any) -> str:
    return "its header stands in single brackets: […]" if isinstance(value, list) else ""


def _one_of(expected: str, got: Any) -> tuple[str, str]:
    """Must and suggestion where only certain words may stand."""
    words = re.findall(r"'([^']*)'", expected)
    near = difflib.get_close_matches(str(got)[:40], words, n=1, cutoff=0.5)
    if isinstance(got, str) and got.strip().lower() in (word.lower() for word in words):
        near = [word for word in words if word.lower() == got.strip().lower()]
    named_words = ", ".join(f'"{word}"' for word in words)
    return f"be one of {named_words}", f'did you mean "{near[0]}"?' if near else ""


def _path_in_file(document: Document, loc: Sequence[str | int]) -> tuple[str | int, ...]:
    """The path as far as it is the user's own; parts that the types add are dropped."""
    path: list[str | int] = []
    node: Any = document.tree
    for part in loc:
        inside = isinstance(node, Mapping) or (isinstance(node, list) and isinstance(part, int))
        if not inside or _reads_value(path, node, part):
            break
        path.append(part)
        node = node.get(part) if isinstance(node, Mapping) else node[int(part)]
    return tuple(path)


def _reads_value(path: Sequence[str | int], node: Any, part: str | int) -> bool:
    """Whether the node is written as one value, so that the part is none of the user's keys."""
    return isinstance(node, Mapping) and part not in node and table_at(path) is None


def _known(path: Sequence[str | int]) -> str:
    model = table_at(path[:-1])
    names = list(fields(model)) if model else []
    near = difflib.get_close_matches(str(path[-1])[:40], names, n=1, cutoff=0.5)
    return f"did you mean {near[0]}?" if near else f"known here: {', '.join(names)}"


def _similar(document: Document, path: Sequence[str | int]) -> str:
    """A key that stands beside the missing one and may be it, misspelt."""
    node: Any = document.tree
    for part in path[:-1]:
        node = node[part]
    model = table_at(path[:-1])
    known = fields(model) if model else {}
    strange = [str(key)[:40] for key in node if key not in known]
    near = difflib.get_close_matches(str(path[-1]), strange, n=1, cutoff=0.5)
    return f"is {_one_line(near[0])} meant?" if near else ""


def _test_prints(document: Document, folder: Path, faults: list[Fault]) -> tuple[TestPrint, ...]:
    """The sheet of test prints that the scenario names."""
    table = document.tree.get("test_prints")
    name = table.get("file") if isinstance(table, Mapping) else None
    if not isinstance(name, str) or not name.strip():
        return ()
    path = folder / name.strip()
    if not _is_beside(name):
        faults.append(document.fault(_SHEET, "be a file beside the scenario", repr_short(name)))
        return ()
    try:
        text = read_text(path, largest=LARGEST_SHEET)
    except ScenarioError as error:
        reason = error.faults[0]
        got = ", ".join(part for part in (repr_short(name), reason.got) if part)
        must = f"name a file that can be used: it must {reason.must}"
        faults.append(document.fault(_SHEET, must, got, reason.suggestion))
        return ()
    prints, found = read_test_prints(text, name=path.name)
    faults.extend(found)
    return prints


def _is_beside(name: str) -> bool:
    """Whether a file name stays in the scenario's folder, on any system."""
    parts = re.split(r"[/\\]", name.strip())
    return ".." not in parts and parts[0] != "" and ":" not in parts[0] and "\0" not in name
