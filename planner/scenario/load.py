"""From a file on disk to a checked, frozen scenario."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from planner.scenario.checks import cross_faults
from planner.scenario.comments import origins
from planner.scenario.correlated import together_faults
from planner.scenario.csv_sheet import is_beside, read_test_prints
from planner.scenario.document import Document, changed, parse
from planner.scenario.faults import Fault, ScenarioError
from planner.scenario.fields import fields, table_at
from planner.scenario.limits import value_faults
from planner.scenario.names import filled, named
from planner.scenario.peek import table, tables
from planner.scenario.reading import repr_short
from planner.scenario.schema import Scenario, TestPrint
from planner.scenario.text_file import read_text
from planner.scenario.tree import keyed

LARGEST_SCENARIO: Final = 1_000_000  # bytes
_SHEET: Final = ("test_prints", "file")
LARGEST_SHEET: Final = 2_000_000  # bytes


def load(path: str | Path, *, changes: Mapping[str, Any] | None = None) -> Scenario:
    """Read, check and type a scenario file and its sheet of test prints.

    ``changes`` maps key paths to new values, checked like the file. Raises ``ScenarioError`` with
    every fault found; nothing is guessed.
    """
    path = Path(path)
    text = read_text(path, largest=LARGEST_SCENARIO)
    document = parse(text, name=path.name)
    faults: list[Fault] = []
    document = _with(document, changes or {}, faults)
    scenario = _typed(document, faults)
    faults.extend(cross_faults(document))
    faults.extend(value_faults(document))
    prints = _test_prints(document, path.parent, faults)
    faults.extend(_designs(document, prints))
    if faults or scenario is None:
        raise ScenarioError(faults)
    said = {key: given for key, given in origins(text).items() if key in document.lines}
    whole = keyed(scenario.model_copy(update={"prints": prints}), said=said)
    if faults := list(together_faults(document, whole, changed=changes or {})):
        raise ScenarioError(faults)
    return whole


def _with(document: Document, changes: Mapping[str, Any], faults: list[Fault]) -> Document:
    """The document with its changes and with all that a file may leave unsaid."""
    document = replace(document, tree=filled(document.tree))
    try:
        document = changed(document, changes)
    except ScenarioError as error:
        faults.extend(error.faults)
    return replace(document, tree=named(filled(document.tree)))


def _typed(document: Document, faults: list[Fault]) -> Scenario | None:
    tree = {key: value for key, value in document.tree.items() if key != "prints"}
    try:
        return Scenario.model_validate(tree, context={"currency": document.currency})
    except ValidationError as error:
        found = (_fault(document, problem) for problem in error.errors(include_url=False))
        faults.extend(fault for fault in found if fault is not None)
        return None


def _fault(document: Document, problem: Mapping[str, Any]) -> Fault | None:
    """What pydantic found, in our form; None for a missing key that stands there misspelt."""
    path = _path_in_file(document, problem["loc"])
    context = problem.get("ctx", {})
    got: str = repr_short(problem["input"])
    match problem["type"]:
        case "fault":
            must, got, suggestion = context["must"], context["got"], context["suggestion"]
        case "missing":
            if _is_misspelt(document, path):
                return None
            must, got, suggestion = "be given", "nothing", _WITHOUT.get(path[0::2], "")
        case "extra_forbidden":
            must, got, suggestion = "be a known key", str(path[-1])[:60], _known(path)
        case "literal_error":
            must, suggestion = _one_of(context["expected"], problem["input"])
        case kind:
            must, suggestion = _KINDS.get(kind, "be of the right kind"), _as_table(problem["input"])
    return document.fault(path, must, _one_line(got), _hint(path, must, suggestion))


# Keys beside which a number of another kind is often at hand.
_HINTS: Final[Mapping[tuple[str, ...], str]] = {
    ("financing", "down_payment"): "a sum that is lent is written as amount instead",
    ("today", "delivery"): "divide what a week costs by the orders of a week, today.orders",
}

_WITHOUT: Final[Mapping[tuple[str | int, ...], str]] = {  # what to write where a key is missing
    ("products", "planned"): "today plus the added work; today's number if none is added",
}


def _hint(path: Sequence[str | int], must: str, suggestion: str) -> str:
    """The suggestion, and what to write instead where a key got a number of another kind."""
    more = _HINTS.get(tuple(part for part in path if isinstance(part, str)))
    is_other_kind = must.startswith(("be in a unit like", "be a percentage such as"))
    if more is None or not is_other_kind or suggestion.startswith("if you mean"):
        return suggestion
    return f"{suggestion}; {more}" if suggestion else more


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
    said = str(got)[:40].strip().lower()
    near = _near(said, [word.lower() for word in words])
    meant = next((word for word in words if near and word.lower() == near), "")
    must = f"be one of {', '.join(repr_short(word) for word in words)}"
    return must, f"did you mean {repr_short(meant)}?" if meant else ""


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
    """The key that an unknown one may mean, else all there are."""
    model = table_at(path[:-1])
    names = list(fields(model)) if model else []
    near = _near(path[-1], names)
    return f"did you mean {near}?" if near else f"known here: {', '.join(names)}"


def _is_misspelt(document: Document, path: Sequence[str | int]) -> bool:
    """Whether a missing key is what an unknown one beside it is taken for."""
    model = table_at(path[:-1])
    known = list(fields(model)) if model else []
    beside = table(document, *path[:-1])
    return any(_near(key, known) == path[-1] for key in beside if key not in known)


def _near(written: object, names: Sequence[str]) -> str:
    near = difflib.get_close_matches(str(written)[:40], names, n=1)
    return near[0] if near else ""


def _test_prints(document: Document, folder: Path, faults: list[Fault]) -> tuple[TestPrint, ...]:
    """The sheet of test prints that the scenario names."""
    name = table(document, "test_prints").get("file")
    if not isinstance(name, str) or not name.strip() or not name.isprintable():
        return ()
    path = folder / name.strip()
    if not is_beside(name):
        faults.append(document.fault(_SHEET, "be a file beside the scenario", repr_short(name)))
        return ()
    try:
        text = read_text(path, largest=LARGEST_SHEET)
    except ScenarioError as error:
        reason = error.faults[0]
        got = ", ".join(part for part in (repr_short(name), reason.got) if part)
        faults.append(document.fault(_SHEET, reason.must, got, reason.suggestion))
        return ()
    prints, found = read_test_prints(text, name=path.name)
    faults.extend(found)
    return prints


def _designs(document: Document, prints: Sequence[TestPrint]) -> Iterator[Fault]:
    """Designs that lines of orders name: each must be a test print, and one that used ink."""
    inked = {row.design: row.white.likely + row.colour.likely > 0 for row in prints}
    for at, _ in tables(document, "orders"):
        for line_at, line in tables(document, "orders", at, "lines"):
            path, design = ("orders", at, "lines", line_at, "design"), line.get("design")
            if not isinstance(design, str) or not prints or inked.get(design.strip()):
                continue
            near = _near(design, list(inked))
            hint = f"did you mean {repr_short(near)}?" if near and near != design.strip() else ""
            must = "name a test print of the sheet that used ink"
            yield document.fault(path, must, repr_short(design), hint)
