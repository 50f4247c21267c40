"""Faults that lie between keys: what excludes, needs or contradicts another key."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any, Final

from planner.scenario.document import Document, Path
from planner.scenario.faults import Fault
from planner.scenario.reading import repr_short

_NAMED_LISTS: Final = ("products", "equipment", "financing", "overheads")
_NAMED_IN_EQUIPMENT: Final = ("items", "start_up", "wear_parts", "warranty")
_OF_LOAN: Final = {"rate", "payment", "term", "down_payment", "fee", "covers"}
_OF_LEASE: Final = {
    "payment",
    "term",
    "due",
    "advance_payments",
    "deposit",
    "document_fee",
    "sales_tax",
    "at_end",
    "covers",
}
_ALWAYS: Final = {"name", "kind", "equipment"}


def cross_faults(document: Document) -> Iterator[Fault]:
    """Every fault between keys; works on whatever part of the file has the right form."""
    tree = document.tree
    yield from _names(document)
    yield from _ink(document, _table(tree, "ink"))
    yield from _buying_in(document)
    for at, equipment in enumerate(_tables(tree, "equipment")):
        yield from _equipment(document, at, equipment)
    for at, offer in enumerate(_tables(tree, "financing")):
        yield from _financing(document, at, offer)
    if "prints" in tree:
        path: Path = ("prints",)
        yield _fault(document, path, "be a known key", "prints", "prints belong to a product")


def _table(tree: Any, key: str) -> Mapping[str, Any]:
    value = tree.get(key) if isinstance(tree, Mapping) else None
    return value if isinstance(value, Mapping) else {}


def _tables(tree: Any, key: str) -> list[Mapping[str, Any]]:
    value = tree.get(key) if isinstance(tree, Mapping) else None
    return [v if isinstance(v, Mapping) else {} for v in value] if isinstance(value, list) else []


def _fault(document: Document, path: Path, must: str, got: str = "", suggestion: str = "") -> Fault:
    return Fault(
        where=document.where(path),
        key=document.key(path),
        must=must,
        got=got,
        suggestion=suggestion,
    )


def _names(document: Document) -> Iterator[Fault]:
    places: list[Path] = [(key,) for key in _NAMED_LISTS]
    for at, _ in enumerate(_tables(document.tree, "equipment")):
        places += [("equipment", at, key) for key in _NAMED_IN_EQUIPMENT]
    for path in places:
        node: Any = document.tree
        for part in path:
            node = node.get(part, {}) if isinstance(node, Mapping) else node[int(part)]
        if not isinstance(node, list):
            continue
        names = Counter(
            entry.get("name")
            for entry in node
            if isinstance(entry, Mapping)
            if isinstance(entry.get("name"), str)
        )
        for at, entry in enumerate(node):
            name = entry.get("name") if isinstance(entry, Mapping) else None
            if isinstance(name, str) and names[name] > 1:
                yield _fault(
                    document,
                    (*path, at, "name"),
                    "differ from other names of its list",
                    repr_short(name),
                )


def _ink(document: Document, ink: Mapping[str, Any]) -> Iterator[Fault]:
    if not ink:
        return
    parts = [key for key in ("white_price", "colour_price") if key in ink]
    if "price" in ink and parts:
        yield _fault(
            document,
            ("ink", "price"),
            "stand alone, or white_price and colour_price",
            " and ".join(["price", *parts]),
        )
    elif "price" not in ink and len(parts) < 2:
        yield _fault(
            document,
            ("ink",),
            "hold price, or white_price and colour_price",
            parts[0] if parts else "neither",
        )


def _buying_in(document: Document) -> Iterator[Fault]:
    tree = document.tree
    today = _table(tree, "today")
    for at, product in enumerate(_tables(tree, "products")):
        has_price = "buy_in_price" in today or ("buy_in" in product and "today" in tree)
        if "buy_in" in product and "today" not in tree:
            yield _fault(
                document,
                ("products", at, "buy_in"),
                "stand with a [today] table",
                suggestion="add [today], where delivery and orders are given",
            )
        works = product.get("today")
        idle = works is None or str(works).strip().startswith("0 ") or works == 0
        if not idle and not has_price and "buy_in" not in product:
            yield _fault(
                document,
                ("products", at, "today"),
                "have a price at which today's transfers are bought in",
                repr_short(works),
                "give today.buy_in_price",
            )


def _equipment(document: Document, at: int, equipment: Mapping[str, Any]) -> Iterator[Fault]:
    if not equipment:
        return
    base: Path = ("equipment", at)
    has_price, has_items = "price" in equipment, "items" in equipment
    if has_price == has_items:
        got = "both" if has_price else "neither"
        yield _fault(document, base, "hold either price or items", got)
    single = [key for key in ("printer_power", "dryer_power") if key in equipment]
    if ("power" in equipment) == bool(single):
        yield _fault(
            document,
            base,
            "hold either power, or printer_power and dryer_power",
            "both" if single else "neither",
        )
    elif len(single) == 1:
        yield _fault(document, base, "hold both printer_power and dryer_power", single[0])
    for part_at, part in enumerate(_tables(equipment, "wear_parts")):
        if part and not {"life", "life_at_most"} & set(part):
            yield _fault(
                document,
                (*base, "wear_parts", part_at),
                "hold life (an area), life_at_most (months) or both",
                "neither",
            )
    for part_at, part in enumerate(_tables(equipment, "start_up")):
        if part and not {"cost", "hours", "practice"} & set(part):
            yield _fault(
                document,
                (*base, "start_up", part_at),
                "hold cost, hours or practice",
                "none of them",
            )


def _financing(document: Document, at: int, offer: Mapping[str, Any]) -> Iterator[Fault]:
    base: Path = ("financing", at)
    kind = offer.get("kind")
    allowed = {"cash": set(), "loan": _OF_LOAN, "lease": _OF_LEASE}.get(str(kind))
    if allowed is None:
        return
    for key in offer:
        if key in _OF_LOAN | _OF_LEASE and key not in allowed:
            yield _fault(document, (*base, key), f"not stand in a way to pay of kind {kind}")
    if kind == "loan" and ("rate" in offer) == ("payment" in offer):
        yield _fault(
            document,
            base,
            "hold exactly one of rate and payment",
            "both" if "rate" in offer else "neither",
        )
    for key in {"loan": ("term",), "lease": ("term", "payment", "at_end")}.get(str(kind), ()):
        if key not in offer:
            yield _fault(document, (*base, key), "be given", "nothing")
    names = [entry.get("name") for entry in _tables(document.tree, "equipment")]
    if "equipment" in offer and offer["equipment"] not in names:
        yield _fault(
            document,
            (*base, "equipment"),
            "name a set of equipment of this file",
            repr_short(offer["equipment"]),
        )
