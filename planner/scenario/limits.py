"""Faults that lie between values: a plan that ends before it begins, a loan never repaid."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.scenario.derived import LOAN_DOWN_PAYMENT
from planner.scenario.document import Document
from planner.scenario.estimates import Estimate
from planner.scenario.faults import Fault
from planner.scenario.fit import fit_faults
from planner.scenario.key_paths import Path
from planner.scenario.peek import month_at, number, table, tables, written
from planner.scenario.reading import repr_short

LEAST_GOOD: Final = 0.1  # share of what is made; below it the plan is about scrap


def value_faults(document: Document) -> Iterator[Fault]:
    """Every fault between values that can be read."""
    yield from _running(document)
    yield from _closed(document)
    yield from _work(document)
    yield from _spoilage(document)
    yield from fit_faults(document)
    for at, _ in tables(document, "equipment"):
        if _price(document, at) == 0:
            yield document.fault(("equipment", at), "have a price above 0", "0")
    for at, _ in tables(document, "financing"):
        yield from _financing(document, at)


def _running(document: Document) -> Iterator[Fault]:
    horizon, runs_from = number(document, "horizon"), number(document, "runs_from")
    if horizon and runs_from and runs_from.likely >= horizon.likely:
        must = f"be before the horizon, {horizon.written}"
        yield document.fault(("runs_from",), must, repr_short(runs_from.written))


def _closed(document: Document) -> Iterator[Fault]:
    start, horizon = month_at(document, "start"), number(document, "horizon")
    runs_from, closed = number(document, "runs_from"), written(document, "shop", "closed")
    if start is None or horizon is None or not isinstance(closed, list):
        return
    months = [month_at(document, "shop", "closed", at) for at in range(len(closed))]
    last = start.plus(round(horizon.likely) - 1)
    for at, shut in enumerate(months):
        if shut is not None and not start <= shut <= last:
            must = f"be a month of the plan, {start} to {last}"
            yield document.fault(("shop", "closed", at), must, repr_short(str(shut)))
    first = start.plus(int(runs_from.likely) if runs_from else 0)
    if first <= last and len({m for m in months if m and first <= m <= last}) > last.since(first):
        yield document.fault(("shop", "closed"), "leave a month open in which the printer runs")


def _work(document: Document) -> Iterator[Fault]:
    products = tables(document, "products")
    planned = [number(document, "products", at, "planned") for at, _ in products]
    if planned and all(one is not None and one.likely == 0 for one in planned):
        yield document.fault(("products",), "hold one that is planned at more than 0 piece/week")
    has_price = "buy_in_price" in table(document, "today")
    for at, product in products:
        works = number(document, "products", at, "today")
        if works and works.high > 0 and not has_price and "buy_in" not in product:
            path: Path = ("products", at, "today")
            must = "have a price at which today's transfers are bought in"
            hint = "give today.buy_in_price, or the product's buy_in"
            yield document.fault(path, must, repr_short(works.written), hint)


def _spoilage(document: Document) -> Iterator[Fault]:
    """Rejects and spoiled garments that leave next to nothing of what is made."""
    paths: list[Path] = [("spoilage", "transfers"), ("ramp", "spoilage_at_start")]
    read = [(share, path) for path in paths if (share := number(document, *path)) is not None]
    garments = number(document, "spoilage", "garments")
    if garments is None or not read:
        return
    rejected, path = max(read, key=lambda one: one[0].high)
    if (1 - rejected.high) * (1 - garments.high) < LEAST_GOOD - 1e-12:
        if garments.high > rejected.high:
            path = ("spoilage", "garments")
        must = "leave at least 10 % of what is made, rejects and spoiled garments together"
        yield document.fault(path, must, f"{rejected.written} and {garments.written}")


def _price(document: Document, at: int) -> float | None:
    """Price of a set before discount [money]; None where it cannot be read."""
    base: Path = ("equipment", at)
    if "price" in table(document, *base):
        whole = number(document, *base, "price")
        return whole.likely if whole else None
    total = 0.0
    for item, _ in tables(document, *base, "items"):
        price = number(document, *base, "items", item, "price")
        quantity = number(document, *base, "items", item, "quantity")
        if price is None or quantity is None:
            return None
        total += price.likely * quantity.likely
    return total if "items" in table(document, *base) else None


def _financing(document: Document, at: int) -> Iterator[Fault]:
    base: Path = ("financing", at)
    term, payment = number(document, *base, "term"), number(document, *base, "payment")
    advance = number(document, *base, "advance_payments")
    if term is None:
        return
    if advance is not None and advance.likely > term.likely:
        must = f"be at most the payments of the term, {term.likely:g}"
        yield document.fault((*base, "advance_payments"), must, advance.written)
    if payment is not None and table(document, *base).get("kind") == "loan":
        yield from _repaid(document, base, payment=payment, months=term.likely)


def _repaid(document: Document, base: Path, *, payment: Estimate, months: float) -> Iterator[Fault]:
    """A loan whose payments do not add up to what the equipment alone makes it lend."""
    covers = table(document, *base).get("covers", ["equipment"])
    down = number(document, *base, "down_payment")
    if not isinstance(covers, list) or "equipment" not in covers:
        return
    share = LOAN_DOWN_PAYMENT if down is None else down.likely
    lent = max(_prices_for(document, base), default=0.0) * (1 - share)
    if payment.low * months < lent * (1 - 1e-9):
        least = f"{lent / months:.2f} {document.currency or 'money'}/month"
        must = f"repay at least the price of the equipment, {least}"
        yield document.fault((*base, "payment"), must, repr_short(payment.written))


def _prices_for(document: Document, offer: Path) -> Iterator[float]:
    """Prices after discount of the sets that an offer is for [money]."""
    wanted = table(document, *offer).get("equipment")
    for at, equipment in tables(document, "equipment"):
        price, discount = _price(document, at), number(document, "equipment", at, "discount")
        if wanted in (None, equipment.get("name")) and price is not None and discount is not None:
            yield price * (1 - discount.likely)
