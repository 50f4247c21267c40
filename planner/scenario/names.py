"""Names for what a file may leave without one: warranties and ways to pay."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from pydantic_core import PydanticCustomError

from planner.scenario.fields import reads_at

Tree = dict[str, Any]


def filled(tree: Tree) -> Tree:
    """The tree with what is always there: cash as a way to pay, a warranty for each equipment.

    What has not the right form stays as it is, to be found by the checks.
    """
    offers = tree.get("financing", [])
    if isinstance(offers, list) and not any(o.get("kind") == "cash" for o in _tables(offers)):
        offers = [*offers, {"kind": "cash"}]
    tree = {**tree, "financing": offers}
    return _with_tables(
        tree, "equipment", lambda one: {**one, "warranty": one.get("warranty", [{}])}
    )


def named(tree: Tree) -> Tree:
    """The tree in which every warranty and way to pay has a name."""
    tree = _with_names(tree, "financing")
    return _with_tables(tree, "equipment", lambda one: _with_names(one, "warranty"))


def _with_names(tree: Tree, key: str) -> Tree:
    return _with_tables(tree, key, lambda one: {**one, "name": one.get("name", name_of(key, one))})


def _with_tables(tree: Tree, key: str, make: Callable[[Tree], Tree]) -> Tree:
    """The tree with each table of the list under a key made anew; what is no table stays."""
    entries = tree.get(key)
    if not isinstance(entries, list):
        return tree
    made = [make(entry) if isinstance(entry, dict) else entry for entry in entries]
    return {**tree, key: made}


def name_of(key: str, entry: Any) -> str:
    """The name of an entry of the list under a key, written or implied; empty without one."""
    if not isinstance(entry, Mapping):
        return ""
    if "name" in entry or key not in ("financing", "warranty"):
        name = entry.get("name")
        return name.strip() if isinstance(name, str) else ""
    kind, term = _offer(entry) if key == "financing" else _warranty(entry)
    return f"{kind}, {term}" if term else kind


def _tables(value: Any) -> Iterator[Tree]:
    if isinstance(value, list):
        yield from (entry for entry in value if isinstance(entry, dict))


def _offer(entry: Mapping[str, Any]) -> tuple[str, str]:
    kind = entry.get("kind")
    said = kind.capitalize() if kind in ("cash", "loan", "instalments", "lease") else "Way to pay"
    return said, _months(entry.get("term"), "financing")


def _warranty(entry: Mapping[str, Any]) -> tuple[str, str]:
    term = _months(entry.get("term", "12 months"), "equipment", "warranty")
    return "Extended" if entry.get("price", 0) else "Included", term


def _months(term: Any, *path: str) -> str:
    """A term in months; empty where none can be read."""
    reads = reads_at((*path, "term"))
    assert reads is not None
    try:
        months = reads.estimate(term, currency="").likely
    except PydanticCustomError:
        return ""
    return "1 month" if months == 1 else f"{months:g} months"
