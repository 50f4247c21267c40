"""Names for what a file may leave without one: warranties and ways to pay."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from pydantic_core import PydanticCustomError

from planner.scenario.document import Document
from planner.scenario.fields import reads_at

CASH = {"kind": "cash", "name": "Cash"}


def named(document: Document) -> Document:
    """The document in which every warranty and way to pay has a name; cash is always one.

    What has not the right form stays as it is, to be found by the checks.
    """
    tree = copy.deepcopy(document.tree)
    offers = tree.setdefault("financing", [])
    for offer in _tables(offers):
        offer.setdefault("name", _offer_name(offer))
    if isinstance(offers, list) and not any(
        offer.get("kind") == "cash" for offer in _tables(offers)
    ):
        offers.append(dict(CASH))
    for equipment in _tables(tree.get("equipment")):
        terms = equipment.setdefault("warranty", [{}])
        for warranty in _tables(terms):
            warranty.setdefault("name", _warranty_name(warranty))
    return replace(document, tree=tree)


def _tables(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, list):
        yield from (entry for entry in value if isinstance(entry, dict))


def _offer_name(offer: Mapping[str, Any]) -> str:
    term = _months(offer, "financing")
    kind = str(offer.get("kind", "way to pay"))[:40].capitalize()
    return f"{kind}, {term}" if term else kind


def _warranty_name(warranty: Mapping[str, Any]) -> str:
    term = _months({"term": "12 months", **warranty}, "equipment", "warranty")
    kind = "Extended" if warranty.get("price", 0) else "Included"
    return f"{kind}, {term}" if term else kind


def _months(table: Mapping[str, Any], *path: str) -> str:
    """A term in months; empty where none can be read."""
    reads = reads_at((*path, "term"))
    assert reads is not None
    try:
        months = reads.estimate(table.get("term"), currency="").likely
    except PydanticCustomError:
        return ""
    return f"{months:g} months" if months != 1 else "1 month"
