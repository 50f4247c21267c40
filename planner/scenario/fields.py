"""Walking the schema: which keys there are, what each holds and how a number is read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic.fields import FieldInfo

from planner.scenario.reading import Reads
from planner.scenario.schema import Scenario, Table


@dataclass(frozen=True)
class Key:
    """One key of the schema.

    ``path`` is dotted and holds no names of list entries (``equipment.items.price``); ``reads``
    is None where no number stands; ``table`` is the table below it, None where a value stands.
    """

    path: str
    field: FieldInfo
    reads: Reads | None
    table: type[Table] | None


def keys(model: type[Table] = Scenario, base: str = "") -> Iterator[Key]:
    """Every key that a file may hold below a table, tables before what they hold."""
    for name, field in fields(model).items():
        path = f"{base}.{name}" if base else name
        table = table_in(field.annotation)
        yield Key(path, field, _reads(field), table)
        if table is not None:
            yield from keys(table, path)


@cache
def fields(model: type[Table]) -> Mapping[str, FieldInfo]:
    """The fields of a table under the names that a file uses."""
    return {
        field.alias or name: field
        for name, field in model.model_fields.items()
        if not field.exclude
    }


def table_in(annotation: Any) -> type[Table] | None:
    """The table that a key holds, alone or in a list; None where a value is written."""
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return None if annotation.written_as_value else annotation
    found = (table_in(part) for part in getattr(annotation, "__args__", ()))
    return next((table for table in found if table is not None), None)


def table_at(path: Sequence[str | int]) -> type[Table] | None:
    """The table to which a path leads, positions in lists left out."""
    model: type[Table] | None = Scenario
    for part in path:
        if isinstance(part, str) and model is not None:
            model = _tables(model).get(part)
    return model


@cache
def _tables(model: type[Table]) -> Mapping[str, type[Table] | None]:
    """The table that each key of a table holds."""
    return {name: table_in(field.annotation) for name, field in fields(model).items()}


def field_at(path: Sequence[str | int]) -> FieldInfo | None:
    """The field to which a path leads; None where the schema knows no such key."""
    model = table_at(path[:-1])
    return fields(model).get(str(path[-1])) if model else None


def reads_at(path: Sequence[str | int]) -> Reads | None:
    """How the number under a path is read; None where no number stands."""
    model = table_at(path[:-1])
    return _numbers(model).get(str(path[-1])) if model else None


@cache
def _numbers(model: type[Table]) -> Mapping[str, Reads | None]:
    """How the number under each key of a table is read."""
    return {name: _reads(field) for name, field in fields(model).items()}


def _reads(field: FieldInfo) -> Reads | None:
    marks = [mark for mark in field.metadata if isinstance(mark, Reads)]
    return marks[0] if marks else _reads_in(field.annotation)


def _reads_in(annotation: Any) -> Reads | None:
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return None
    for mark in getattr(annotation, "__metadata__", ()):
        if isinstance(mark, Reads):
            return mark
    found = (_reads_in(part) for part in getattr(annotation, "__args__", ()))
    return next((reads for reads in found if reads is not None), None)
