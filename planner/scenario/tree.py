"""Walking the typed scenario: every input by its key path."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from pydantic import BaseModel

from planner.scenario.estimates import Estimate
from planner.scenario.key_paths import quoted_name
from planner.scenario.kinds import Later
from planner.scenario.reading import with_origin
from planner.scenario.schema import Origin, Scenario, Table


@dataclass(frozen=True)
class Leaf:
    """One value of a scenario.

    ``path`` is its place in the schema, without names of list entries (``products.price``);
    ``key`` the path by which a user addresses it; ``table`` the table that holds it;
    ``is_later`` says that it is read but does not act yet.
    """

    path: str
    key: str
    value: Any
    is_default: bool
    is_later: bool
    table: Table


def keyed(scenario: Scenario) -> Scenario:
    """The same tree with each input's key path, inherited origin and "default" basis filled in."""
    named = _rebuild(scenario, "", {}, False)
    assert isinstance(named, Scenario)
    return named


def leaves(scenario: Scenario) -> Iterator[Leaf]:
    """Every value of the scenario in the order of the schema, the sheet of test prints aside."""
    yield from _leaves(scenario, "", "", False)


def inputs(scenario: Scenario) -> Iterator[Estimate]:
    """Every numeric input, in the order of the schema; the cells of the test prints come last."""
    yield from (leaf.value for leaf in leaves(scenario) if isinstance(leaf.value, Estimate))
    for row in scenario.prints:
        cells = _leaves(row, "prints", "prints", False)
        yield from (leaf.value for leaf in cells if isinstance(leaf.value, Estimate))


def defaults_in_use(scenario: Scenario) -> tuple[Estimate, ...]:
    """The inputs that the file does not give."""
    return tuple(leaf for leaf in inputs(scenario) if leaf.basis == "default")


def unused_keys(scenario: Scenario) -> dict[str, str]:
    """Keys written in the file that do not act yet, with what will use them."""
    return dict(_later(scenario, ""))


def _path(base: str, name: str) -> str:
    return f"{base}.{name}" if base else name


def _written_name(model: type[BaseModel], field: str) -> str:
    return model.model_fields[field].alias or field


def _entry(base: str, at: int, entry: Any) -> str:
    name = getattr(entry, "name", None)
    return f"{base}.{quoted_name(name)}" if isinstance(name, str) and name else f"{base}[{at}]"


def _marks(model: type[BaseModel], field: str) -> list[Later]:
    return [mark for mark in model.model_fields[field].metadata if isinstance(mark, Later)]


def _rebuild(node: Any, path: str, origin: Mapping[str, Any], is_default: bool) -> Any:
    if isinstance(node, Estimate):
        node = with_origin(node, origin)
        basis = "default" if is_default else node.basis or "estimated"
        return replace(node, key=path, basis=basis)
    if isinstance(node, tuple):
        return tuple(
            _rebuild(entry, _entry(path, at, entry), origin, is_default)
            for at, entry in enumerate(node)
        )
    if not isinstance(node, BaseModel):
        return node
    if isinstance(node, Origin):
        origin = {name: getattr(node, name) for name in ("basis", "source", "date")}
    model = type(node)
    changes = {
        name: _rebuild(
            getattr(node, name),
            _path(path, _written_name(model, name)),
            origin,
            is_default or name not in node.model_fields_set,
        )
        for name in model.model_fields
    }
    rebuilt = node.model_copy(update=changes)
    rebuilt.model_fields_set.intersection_update(node.model_fields_set)  # as the file has it
    return rebuilt


def _leaves(node: Table, path: str, key: str, is_default: bool) -> Iterator[Leaf]:
    model = type(node)
    for field, info in model.model_fields.items():
        if info.exclude:
            continue
        name = _written_name(model, field)
        own_path, own_key = _path(path, name), _path(key, name)
        is_own_default = is_default or field not in node.model_fields_set
        is_later = bool(_marks(model, field))
        value = getattr(node, field)
        entries = [(own_key, value)]
        if isinstance(value, tuple) and value and not isinstance(value[0], str):
            entries = [(_entry(own_key, at, entry), entry) for at, entry in enumerate(value)]
        for entry_key, entry in entries:
            if isinstance(entry, Table):
                yield from _leaves(entry, own_path, entry_key, is_own_default)
            else:
                yield Leaf(own_path, entry_key, entry, is_own_default, is_later, node)


def _later(node: Any, path: str) -> Iterator[tuple[str, str]]:
    if isinstance(node, tuple):
        for at, entry in enumerate(node):
            yield from _later(entry, _entry(path, at, entry))
    elif isinstance(node, BaseModel):
        for name in type(node).model_fields:
            if name not in node.model_fields_set:
                continue
            key = _path(path, _written_name(type(node), name))
            marks = _marks(type(node), name)
            if marks:
                yield key, marks[0].until
            else:
                yield from _later(getattr(node, name), key)
