"""From a file on disk to a checked, frozen scenario."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel, ValidationError

from planner.scenario.checks import cross_faults
from planner.scenario.csv_sheet import read_test_prints
from planner.scenario.document import Document, changed, parse
from planner.scenario.faults import Fault, ScenarioError
from planner.scenario.reading import repr_short
from planner.scenario.schema import Financing, Scenario
from planner.scenario.tree import keyed

LARGEST_FILE: Final = 20_000_000  # bytes


def load(path: str | Path, *, changes: Mapping[str, Any] | None = None) -> Scenario:
    """Read, check and type a scenario file and its sheet of test prints.

    ``changes`` maps key paths to new values, checked like the file. Raises ``ScenarioError`` with
    every fault found; nothing is guessed.
    """
    path = Path(path)
    document = parse(_text(path), name=path.name)
    if changes:
        document = changed(document, changes)
    faults: list[Fault] = []
    scenario = _typed(document, faults)
    faults.extend(cross_faults(document))
    prints = _test_prints(document, path.parent, faults)
    if faults or scenario is None:
        raise ScenarioError(tuple(dict.fromkeys(faults)))
    scenario = scenario.model_copy(update={"prints": prints, "financing": _financing(scenario)})
    return keyed(scenario)


def _text(path: Path) -> str:
    where = f"{path.name}:1"
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise ScenarioError((Fault(where=where, key="(file)", must="be under 20 MB"),))
        return path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = path.read_bytes()[: error.start].count(b"\n") + 1
        raise ScenarioError(
            (Fault(where=f"{path.name}:{line}", key="(file)", must="be saved as UTF-8 text"),)
        ) from None
    except OSError as error:
        reason = error.strerror or "not readable"
        hint = _nearby(path)
        raise ScenarioError(
            (Fault(where=where, key="(file)", must="be readable", got=reason, suggestion=hint),)
        ) from None
    except ValueError:
        raise ScenarioError((Fault(where=where, key="(file)", must="be a file name"),)) from None


def _nearby(path: Path) -> str:
    try:
        names = [entry.name for entry in path.parent.iterdir()]
    except (OSError, ValueError):
        return ""
    near = difflib.get_close_matches(path.name, names, n=1)
    return f"did you mean {near[0]}?" if near else ""


def _typed(document: Document, faults: list[Fault]) -> Scenario | None:
    currency = document.tree.get("currency")
    context = {"currency": currency if isinstance(currency, str) else ""}
    try:
        return Scenario.model_validate(document.tree, context=context)
    except ValidationError as error:
        faults.extend(_fault(document, problem) for problem in error.errors(include_url=False))
        return None


def _fault(document: Document, problem: Mapping[str, Any]) -> Fault:
    path = _path_in_file(document, problem["loc"])
    context = problem.get("ctx", {})
    kind = problem["type"]
    must, got, suggestion = context.get("must"), context.get("got", ""), context.get("suggestion")
    if kind == "missing":
        must, got, suggestion = "be given", "nothing", _similar(document, path)
    elif kind == "extra_forbidden":
        must, got, suggestion = "be a known key", str(path[-1]), _known(path)
    elif must is None:
        must, got, suggestion = _plain(problem), repr_short(problem["input"]), ""
    return Fault(
        where=document.where(path),
        key=document.key(path),
        must=must,
        got=got,
        suggestion=suggestion or "",
    )


def _plain(problem: Mapping[str, Any]) -> str:
    return {
        "model_type": "be a table",
        "model_attributes_type": "be a table",
        "dict_type": "be a table",
        "bool_type": "be true or false",
        "tuple_type": "be a list",
        "literal_error": f"be {problem.get('ctx', {}).get('expected', 'a known word')}",
    }.get(problem["type"], "be of the right kind")


def _path_in_file(document: Document, loc: Sequence[str | int]) -> tuple[str | int, ...]:
    """The path as far as it is the user's own; parts that the types add are dropped."""
    path: list[str | int] = []
    node: Any = document.tree
    for part in loc:
        inside = isinstance(node, Mapping) or (isinstance(node, list) and isinstance(part, int))
        if not inside:
            break
        path.append(part)
        node = node.get(part) if isinstance(node, Mapping) else node[int(part)]
    return tuple(path)


def _model_at(path: Sequence[str | int]) -> type[BaseModel] | None:
    model: type[BaseModel] | None = Scenario
    for part in path:
        if isinstance(part, int) or model is None:
            continue
        info = next((f for n, f in model.model_fields.items() if (f.alias or n) == part), None)
        model = _model_in(info.annotation) if info else None
    return model


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for part in getattr(annotation, "__args__", ()):
        found = _model_in(part)
        if found:
            return found
    return None


def _known(path: Sequence[str | int]) -> str:
    model = _model_at(path[:-1])
    if model is None:
        return ""
    names = [info.alias or name for name, info in model.model_fields.items() if name != "prints"]
    if model.__name__ == "Product":
        names.append("prints")
    near = difflib.get_close_matches(str(path[-1]), names, n=1, cutoff=0.5)
    return f"did you mean {near[0]}?" if near else f"known here: {', '.join(names)}"


def _similar(document: Document, path: Sequence[str | int]) -> str:
    """A key that stands beside the missing one and may be it, misspelt."""
    node: Any = document.tree
    for part in path[:-1]:
        node = node[part]
    model = _model_at(path[:-1])
    known = {info.alias or name for name, info in model.model_fields.items()} if model else set()
    strange = [str(key) for key in node if key not in known] if isinstance(node, Mapping) else []
    near = difflib.get_close_matches(str(path[-1]), strange, n=1, cutoff=0.5)
    return f"is {near[0]} meant?" if near else ""


def _test_prints(document: Document, folder: Path, faults: list[Fault]) -> Any:
    table = document.tree.get("test_prints")
    name = table.get("file") if isinstance(table, Mapping) else None
    if not isinstance(name, str) or not name.strip():
        return ()
    where, key = document.where(("test_prints", "file")), "test_prints.file"
    path = folder / name
    if Path(name).is_absolute() or ".." in Path(name).parts or "\0" in name:
        faults.append(
            Fault(where=where, key=key, must="be a file beside the scenario", got=repr_short(name))
        )
        return ()
    try:
        text = _text(path)
    except ScenarioError as error:
        reason = error.faults[0]
        faults.append(
            Fault(
                where=where,
                key=key,
                must=f"name a file that can be read: must {reason.must}",
                got=f"{repr_short(name)}, {reason.got}".rstrip(", "),
                suggestion=reason.suggestion,
            )
        )
        return ()
    prints, found = read_test_prints(text, name=path.name)
    faults.extend(found)
    return prints


def _financing(scenario: Scenario) -> tuple[Financing, ...]:
    """The ways to pay with a name each; cash is always one of them."""
    offers = [
        offer if offer.name else offer.model_copy(update={"name": _named(offer)})
        for offer in scenario.financing
    ]
    if not any(offer.kind == "cash" for offer in offers):
        offers.append(Financing(kind="cash", name="Cash"))
    return tuple(offers)


def _named(offer: Financing) -> str:
    term = f", {offer.term.likely:g} months" if offer.term else ""
    return f"{offer.kind.capitalize()}{term}"
