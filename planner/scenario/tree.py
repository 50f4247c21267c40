"""Walking the typed scenario: every input by its key path."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, NamedTuple

from pydantic import BaseModel

from planner.scenario.estimates import Estimate
from planner.scenario.key_paths import Path, quoted_name
from planner.scenario.reading import with_origin
from planner.scenario.schema import Origin, Scenario, Table


@dataclass(frozen=True)
class Leaf:
    """One value of a scenario.

    ``key`` is the path by which a user addresses it, ``place`` the same by position
    (``products[0].price``); ``table`` the table that holds it.
    """

    place: str
    key: str
    value: Any
    is_default: bool
    table: Table

    @property
    def path(self) -> str:
        """Where the value stands in the schema, without list entries (``products.price``)."""
        return re.sub(r"\[\d+\]", "", self.place)

    @property
    def written_key(self) -> str:
        """The key under which a user writes the value, which may hold more than this one."""
        return self.key.rpartition(".")[0] if self.table.written_as_value else self.key


def keyed(scenario: Scenario, *, said: Mapping[Path, Mapping[str, str]] | None = None) -> Scenario:
    """The same tree with each input's key path, origin and "default" basis filled in.

    An origin is the input's own, else that of its table, else what is ``said`` of its key.
    """
    named = _rebuild(scenario, "", {}, False, said=said or {}, at=())
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


def _path(base: str, name: str) -> str:
    return f"{base}.{name}" if base else name


class _Field(NamedTuple):
    """A field of a table, and the name that a file uses for it."""

    name: str
    written: str
    is_excluded: bool


@cache
def _fields(model: type[BaseModel]) -> tuple[_Field, ...]:
    return tuple(
        _Field(name, field.alias or name, bool(field.exclude))
        for name, field in model.model_fields.items()
    )


def _entry(base: str, at: int, entry: Any) -> str:
    name = getattr(entry, "name", None)
    return f"{base}.{quoted_name(name)}" if isinstance(name, str) and name else f"{base}[{at}]"


def _rebuild(
    node: Any,
    path: str,
    origin: Mapping[str, Any],
    is_default: bool,
    *,
    said: Mapping[Path, Mapping[str, str]],
    at: Path,
) -> Any:
    if isinstance(node, Estimate):
        node = with_origin(node, origin)
        if not is_default and node.basis is None and not node.source:
            ways = (at[:end] for end in range(len(at), 0, -1))
            node = with_origin(node, next((said[way] for way in ways if way in said), {}))
        basis = "default" if is_default else node.basis or "estimated"
        return replace(node, key=path, basis=basis)
    if isinstance(node, tuple):
        return tuple(
            _rebuild(entry, _entry(path, n, entry), origin, is_default, said=said, at=(*at, n))
            for n, entry in enumerate(node)
        )
    if not isinstance(node, BaseModel):
        return node
    if isinstance(node, Origin):
        origin = {name: getattr(node, name) for name in ("basis", "source", "date")}
    changes = {
        name: _rebuild(
            value,
            _path(path, written),
            origin,
            is_default or name not in node.model_fields_set,
            said=said,
            at=(*at, written),
        )
        for name, written, _ in _fields(type(node))
        if (value := getattr(node, name)) is not None
    }
    rebuilt = node.model_copy(update=changes)
    rebuilt.model_fields_set.intersection_update(node.model_fields_set)  # as the file has it
    return rebuilt


def _leaves(node: Table, place: str, key: str, is_default: bool) -> Iterator[Leaf]:
    for name, written, is_excluded in _fields(type(node)):
        if is_excluded:
            continue
        is_own_default = is_default or name not in node.model_fields_set
        paths = _path(place, written), _path(key, written)
        for own_place, own_key, entry in _entries(*paths, getattr(node, name)):
            if isinstance(entry, Table):
                yield from _leaves(entry, own_place, own_key, is_own_default)
            else:
                yield Leaf(own_place, own_key, entry, is_own_default, node)


def _entries(place: str, key: str, value: Any) -> Iterator[tuple[str, str, Any]]:
    """The entries of a list of tables or numbers, each with its place and key; else the value."""
    if isinstance(value, tuple) and value and isinstance(value[0], Table | Estimate):
        for at, entry in enumerate(value):
            yield f"{place}[{at}]", _entry(key, at, entry), entry
    else:
        yield place, key, value
