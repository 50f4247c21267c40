"""Faults that lie between keys: what excludes, needs or contradicts another key."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from typing import Any, Final

from planner.scenario.document import Document
from planner.scenario.faults import Fault
from planner.scenario.key_paths import Path
from planner.scenario.peek import table, tables
from planner.scenario.reading import repr_short

_NAMED_LISTS: Final = ("products", "equipment", "financing", "overheads", "orders")
_NAMED_IN_EQUIPMENT: Final = ("items", "start_up", "wear_parts", "warranty")
_OF_EVERY_DEBT: Final = frozenset(
    {"rate", "payment", "term", "covers", "signed", "first_payment", "equipment"}
)
_OF_LOAN: Final = _OF_EVERY_DEBT | {
    "amount",
    "down_payment",
    "fee",
    "fee_financed",
    "balloon",
    "interest_only",
    "first_payment_after",
    "step",
    "early_repayment_charge",
}
_OF_LEASE: Final = _OF_EVERY_DEBT | {
    "due",
    "advance_payments",
    "deposit",
    "document_fee",
    "sales_tax",
    "at_end",
    "notice",
    "counts_as",
}
KEYS_OF_KIND: Final[Mapping[str, frozenset[str]]] = {
    "cash": frozenset(),
    "loan": _OF_LOAN,
    "instalments": _OF_LOAN,
    "lease": _OF_LEASE,
}
OF_PRINTER: Final = (
    "power",
    "printer_power",
    "dryer_power",
    "dryer_speed",
    "dryer_warm_up",
    "dryer_on",
    "idle_power",
    "machines",
    "film",
)
_NEEDED: Final = {"loan": ("term",), "instalments": ("term",), "lease": ("term", "at_end")}
_KEYS_OF_KINDS: Final = _OF_LOAN | _OF_LEASE


def cross_faults(document: Document) -> Iterator[Fault]:
    """Every fault between keys; works on whatever part of the file has the right form."""
    tree = document.tree
    yield from _names(document)
    yield from _ink(document)
    yield from _buying_in(document)
    for at, equipment in tables(document, "equipment"):
        yield from _equipment(document, at, equipment)
    for at, offer in tables(document, "financing"):
        yield from _financing(document, at, offer)
    for at, _ in tables(document, "orders"):
        for line_at, line in tables(document, "orders", at, "lines"):
            yield from _order_line(document, ("orders", at, "lines", line_at), line)
    if "prints" in tree:
        hint = "prints belong to a product"
        yield document.fault(("prints",), "be a known key", "prints", hint)


def _names(document: Document) -> Iterator[Fault]:
    for key in _NAMED_LISTS:
        yield from _names_in(document, (key,), tables(document, key))
    yield from _names_in(document, ("shop", "debts"), tables(document, "shop", "debts"))
    for at, _ in tables(document, "equipment"):
        for key in _NAMED_IN_EQUIPMENT:
            yield from _names_in(
                document, ("equipment", at, key), tables(document, "equipment", at, key)
            )


def _names_in(
    document: Document, base: Path, entries: list[tuple[int, Mapping[str, Any]]]
) -> Iterator[Fault]:
    names = {at: entry.get("name") for at, entry in entries}
    counts = Counter(name.strip() for name in names.values() if isinstance(name, str))
    for at, name in names.items():
        if isinstance(name, str) and counts[name.strip()] > 1:
            must = "differ from other names of its list"
            hint = "" if (*base, at, "name") in document.lines else "give each a name"
            yield document.fault((*base, at, "name"), must, repr_short(name), hint)


def _ink(document: Document) -> Iterator[Fault]:
    ink = table(document, "ink")
    parts = [key for key in ("white_price", "colour_price") if key in ink]
    if "price" in ink and parts:
        must = "stand alone, or be left out for white_price and colour_price"
        yield document.fault(("ink", "price"), must, " and ".join(["price", *parts]))
    elif "ink" in document.tree and "price" not in ink and len(parts) < 2:
        must = "hold price, or white_price and colour_price"
        yield document.fault(("ink",), must, parts[0] if parts else "neither")


def _buying_in(document: Document) -> Iterator[Fault]:
    tree = document.tree
    today = table(document, "today")
    has_price = "buy_in_price" in today
    if "price_breaks" in today and today["price_breaks"] != [] and not has_price:
        must = "stand with buy_in_price, the price of orders below the first break"
        yield document.fault(("today", "price_breaks"), must)
    priced = [at for at, product in tables(document, "products") if "buy_in" in product]
    if "today" in tree and not has_price and not priced:
        must = "hold buy_in_price, or a product must hold buy_in"
        yield document.fault(("today",), must, "neither", "leave [today] out without a price")
    for at in priced if "today" not in tree else []:
        hint = "add [today], where delivery and orders are given"
        yield document.fault(
            ("products", at, "buy_in"), "stand with a [today] table", suggestion=hint
        )


def _equipment(document: Document, at: int, equipment: Mapping[str, Any]) -> Iterator[Fault]:
    base: Path = ("equipment", at)
    if ("price" in equipment) == ("items" in equipment):
        got = "both" if "price" in equipment else "neither"
        yield document.fault(base, "hold either price or items", got)
    yield from (_powers if _prints(equipment) else _only_presses)(document, base, equipment)
    for part_at, part in tables(document, *base, "wear_parts"):
        if not {"life", "life_at_most"} & set(part):
            must = "hold life (an area), life_at_most (months) or both"
            yield document.fault((*base, "wear_parts", part_at), must, "neither")
    for part_at, part in tables(document, *base, "start_up"):
        if not {"cost", "hours", "practice"} & set(part):
            must = "hold cost, hours or practice"
            yield document.fault((*base, "start_up", part_at), must, "none of them")


def _prints(equipment: Mapping[str, Any]) -> bool:
    """Whether a set has a printer, going by its keys."""
    return any(key in equipment for key in ("print_speed", *OF_PRINTER))


def _powers(document: Document, base: Path, equipment: Mapping[str, Any]) -> Iterator[Fault]:
    if "print_speed" not in equipment and not any(
        get_close_matches(key, ["print_speed"]) for key in equipment
    ):
        hint = "leave out what belongs to a printer if the set only presses"
        yield document.fault((*base, "print_speed"), "be given", "nothing", hint)
    single = [key for key in ("printer_power", "dryer_power") if key in equipment]
    if ("power" in equipment) == bool(single):
        must = "hold either power, or printer_power and dryer_power"
        yield document.fault(base, must, "both" if single else "neither")
    elif len(single) == 1:
        yield document.fault(base, "hold both printer_power and dryer_power", single[0])


def _only_presses(document: Document, base: Path, equipment: Mapping[str, Any]) -> Iterator[Fault]:
    products = [product for _, product in tables(document, "products")]
    if "buy_in_price" not in table(document, "today") and not all("buy_in" in p for p in products):
        must = "hold print_speed, or [today] must hold buy_in_price, the transfers that it presses"
        yield document.fault(base, must, "neither")


def _financing(document: Document, at: int, offer: Mapping[str, Any]) -> Iterator[Fault]:
    base: Path = ("financing", at)
    kind = offer.get("kind")
    if not isinstance(kind, str) or kind not in KEYS_OF_KIND:
        return
    for key in offer:
        if key in _KEYS_OF_KINDS - KEYS_OF_KIND[kind]:
            yield document.fault((*base, key), f"not stand in a way to pay of kind {kind}")
    if kind != "cash" and ("rate" in offer) == ("payment" in offer):
        got = "both" if "rate" in offer else "neither"
        yield document.fault(base, "hold exactly one of rate and payment", got)
    if "amount" in offer and "down_payment" in offer:
        must = "hold amount or down_payment, not both: what is not lent is paid from own money"
        yield document.fault(base, must, "both")
    for key in _NEEDED.get(kind, ()):
        if key not in offer:
            yield document.fault((*base, key), "be given", "nothing")
    if ("signed" in offer) != ("first_payment" in offer):
        yield document.fault(base, "hold both signed and first_payment, or neither", "one")
    yield from _offer_refers(document, base, offer)


def _offer_refers(document: Document, base: Path, offer: Mapping[str, Any]) -> Iterator[Fault]:
    names = [entry.get("name") for _, entry in tables(document, "equipment")]
    known = [name.strip() for name in names if isinstance(name, str)]
    wanted = offer.get("equipment")
    if isinstance(wanted, str) and wanted.strip() not in known:
        must = "name a set of equipment of this file"
        hint = f"there is {', '.join(repr_short(name) for name in known)}" if known else ""
        yield document.fault((*base, "equipment"), must, repr_short(wanted), hint)
    covers = offer.get("covers")
    parts = [part for part in covers if isinstance(part, str)] if isinstance(covers, list) else []
    if len(set(parts)) < len(parts):
        twice = next(part for part in parts if parts.count(part) > 1)
        yield document.fault((*base, "covers"), "name each part once", repr_short(twice))


def _order_line(document: Document, base: Path, line: Mapping[str, Any]) -> Iterator[Fault]:
    """A line names a product of the file, or says itself what is printed on what."""
    if "product" in line:
        named = line["product"]
        known = [entry.get("name") for _, entry in tables(document, "products")]
        names = [name.strip() for name in known if isinstance(name, str)]
        if isinstance(named, str) and named.strip() not in names:
            near = get_close_matches(named.strip(), names, n=1)
            hint = f"did you mean {repr_short(near[0])}?" if near else f"there is {_listed(names)}"
            must = "name a product of this file"
            yield document.fault((*base, "product"), must, repr_short(named), hint)
        return
    if "prints" not in line:
        must = "hold product, or prints"
        yield document.fault(base, must, "neither")
    if "garment" not in line and line.get("pressed") is not False:
        hint = "give what one costs, and pressed = false for prints sold loose"
        yield document.fault((*base, "garment"), "be given where no product is", "nothing", hint)


def _listed(names: Sequence[str]) -> str:
    return ", ".join(repr_short(name) for name in names)
