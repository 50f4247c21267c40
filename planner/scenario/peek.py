"""Single values of a document, typed one by one.

A check that compares two values reads just these, so that a fault elsewhere in the file does not
hide what it finds. A value that is no good reads as None: it is a fault of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError
from pydantic_core import PydanticCustomError

from planner.scenario.document import Document
from planner.scenario.estimates import Estimate
from planner.scenario.fields import field_at, reads_at
from planner.scenario.key_paths import child
from planner.scenario.kinds import Month, month
from planner.scenario.reading import repr_short
from planner.scenario.schema import Rectangle


def written(document: Document, *path: str | int) -> Any:
    """What stands under a path; None where nothing does."""
    node: Any = document.tree
    for part in path:
        node = child(node, part)
    return node


def number(document: Document, *path: str | int) -> Estimate | None:
    """The number under a path, its default where none is written."""
    field, reads = field_at(path), reads_at(path)
    if field is None or reads is None:
        return None
    value = written(document, *path)
    try:
        return reads.estimate(field.default if value is None else value, currency=document.currency)
    except PydanticCustomError:
        return None


def shown(document: Document, *path: str | int) -> str:
    """What stands under a path, or its default, as messages show it."""
    value, field = written(document, *path), field_at(path)
    if value is None and field is not None:
        value = field.default
    read = number(document, *path) if isinstance(value, Mapping) else None
    return read.written if read else repr_short(value)


def rectangle(document: Document, *path: str | int) -> Rectangle | None:
    """The size under a path."""
    try:
        return Rectangle.model_validate(written(document, *path))
    except ValidationError:
        return None


def month_at(document: Document, *path: str | int) -> Month | None:
    """The month under a path."""
    try:
        return month(written(document, *path))
    except PydanticCustomError:
        return None


def tables(document: Document, *path: str | int) -> list[tuple[int, Mapping[str, Any]]]:
    """The tables in the list under a path, with their positions."""
    value = written(document, *path)
    entries = value if isinstance(value, list) else []
    return [(at, entry) for at, entry in enumerate(entries) if isinstance(entry, Mapping)]


def table(document: Document, *path: str | int) -> Mapping[str, Any]:
    """The table under a path; an empty one where something else stands."""
    value = written(document, *path)
    return value if isinstance(value, Mapping) else {}
