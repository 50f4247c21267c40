"""Walking the typed scenario: every input by its key path."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from pydantic import BaseModel

from planner.scenario.document import quoted_name
from planner.scenario.estimates import Estimate
from planner.scenario.reading import with_origin
from planner.scenario.schema import Later, Origin, Scenario


def keyed(scenario: Scenario) -> Scenario:
    """The same tree with each input's key path, inherited origin and "default" basis filled in."""
    named = _rebuild(scenario, "", None, False)
    assert isinstance(named, Scenario)
    return named


def inputs(scenario: BaseModel) -> Iterator[Estimate]:
    """Every numeric input of the scenario, in the order of the schema."""
    yield from _leaves(scenario)


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


def _rebuild(node: Any, path: str, origin: Mapping[str, Any] | None, is_default: bool) -> Any:
    if isinstance(node, Estimate):
        node = with_origin(node, origin or {})
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
    return node.model_copy(update=changes)


def _leaves(node: Any) -> Iterator[Estimate]:
    if isinstance(node, Estimate):
        yield node
    elif isinstance(node, tuple):
        for entry in node:
            yield from _leaves(entry)
    elif isinstance(node, BaseModel):
        for name in type(node).model_fields:
            yield from _leaves(getattr(node, name))


def _later(node: Any, path: str) -> Iterator[tuple[str, str]]:
    if isinstance(node, tuple):
        for at, entry in enumerate(node):
            yield from _later(entry, _entry(path, at, entry))
    elif isinstance(node, BaseModel):
        for name, info in type(node).model_fields.items():
            if name not in node.model_fields_set:
                continue
            key = _path(path, _written_name(type(node), name))
            marks = [mark for mark in info.metadata if isinstance(mark, Later)]
            if marks:
                yield key, marks[0].until
            else:
                yield from _later(getattr(node, name), key)
