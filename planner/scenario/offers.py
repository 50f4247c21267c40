"""Faults between the values of a way to pay: a loan never repaid, more advances than payments."""

from __future__ import annotations

import re
from collections.abc import Iterator

from planner.scenario.derived import LOAN_DOWN_PAYMENT
from planner.scenario.document import Document
from planner.scenario.faults import Fault
from planner.scenario.key_paths import Path
from planner.scenario.peek import number, shown, table, tables, written


def offer_faults(document: Document, at: int) -> Iterator[Fault]:
    """Every fault between the values of one way to pay."""
    base: Path = ("financing", at)
    term = number(document, *base, "term")
    yield from _dates(document, base)
    if term is None:
        return
    for key, what in (("advance_payments", "payments"), ("notice", "months")):
        counted = number(document, *base, key)
        if counted is not None and counted.likely > term.likely:
            must = f"be at most the {what} of the term, {term.likely:g}"
            yield document.fault((*base, key), must, shown(document, *base, key))
    match table(document, *base).get("kind"):
        case "loan" | "instalments":
            yield from _repayments(document, base, term=term.likely)
        case "lease":
            yield from _paid_at_signing(document, base)


def price_of(document: Document, at: int) -> float | None:
    """Price of a set of equipment before discount [money]; None where it cannot be read."""
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


def _dates(document: Document, base: Path) -> Iterator[Fault]:
    signed, first = (written(document, *base, key) for key in ("signed", "first_payment"))
    if _is_date(signed) and _is_date(first) and str(first) <= str(signed):
        must = f"lie after the day of signing, {signed}"
        yield document.fault((*base, "first_payment"), must, str(first))


def _is_date(value: object) -> bool:
    return re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", str(value)) is not None


def _repayments(document: Document, base: Path, *, term: float) -> Iterator[Fault]:
    """Months left to repay in, and whether the payments repay what is lent."""
    interest_only = number(document, *base, "interest_only")
    first = number(document, *base, "first_payment_after")
    before = (interest_only.likely if interest_only else 0) + (first.likely - 1 if first else 0)
    if before >= term:
        key = "interest_only" if interest_only and interest_only.likely else "first_payment_after"
        must = f"leave a month of the term of {term:g} to repay in"
        waits = [wait.written for wait in (interest_only, first) if wait is not None]
        yield document.fault((*base, key), must, " and ".join(waits))
        return
    fee = number(document, *base, "fee")
    lent = [_lent(document, base, price * (1 + tax)) for price, tax in _prices_for(document, base)]
    if not lent:
        return
    yield from _repaid(document, base, lent=max(lent), months=round(term - before))
    if fee is not None and fee.high >= min(lent):
        must = f"be less than the price of the equipment that is lent, {min(lent):.2f}"
        yield document.fault((*base, "fee"), must, shown(document, *base, "fee"))


def _lent(document: Document, base: Path, price: float) -> float:
    """What is lent of a price with its sales tax [money]."""
    amount, down = (number(document, *base, key) for key in ("amount", "down_payment"))
    if amount is not None:
        return min(amount.likely, price)
    return price * (1 - (LOAN_DOWN_PAYMENT if down is None else down.likely))


def _repaid(document: Document, base: Path, *, lent: float, months: int) -> Iterator[Fault]:
    payment, balloon = number(document, *base, "payment"), number(document, *base, "balloon")
    last = balloon.likely if balloon else 0.0
    times = _payments(document, base, months)
    if payment is not None and payment.low * times + last < lent * (1 - 1e-9):
        least = f"{(lent - last) / times:.2f} {document.currency or 'money'}/month"
        must = f"repay at least the price of the equipment, {least}"
        yield document.fault((*base, "payment"), must, shown(document, *base, "payment"))


def _payments(document: Document, base: Path, months: int) -> float:
    """All payments of a loan together, in payments of the first size."""
    every, change = (
        number(document, *base, "step", "every"),
        number(document, *base, "step", "change"),
    )
    if every is None or change is None:
        return float(months)
    return sum((1 + change.likely) ** (month // round(every.likely)) for month in range(months))


def _paid_at_signing(document: Document, base: Path) -> Iterator[Fault]:
    """A lease that takes as much at signing as the lessor pays for the equipment."""
    payment, fee = number(document, *base, "payment"), number(document, *base, "document_fee")
    advance = number(document, *base, "advance_payments")
    prices = [price for price, _ in _prices_for(document, base)]
    ahead = advance.likely * payment.high if advance and payment else 0.0
    paid = ahead + (fee.high if fee else 0.0)
    if prices and paid >= min(prices):
        key = "document_fee" if fee and fee.high > ahead else "advance_payments"
        must = f"leave the payments at signing below the price, {min(prices):.2f}"
        yield document.fault((*base, key), must, f"{paid:.2f}")


def _prices_for(document: Document, offer: Path) -> Iterator[tuple[float, float]]:
    """Price after discount [money] and share of sales tax of the sets that an offer is for.

    Nothing where the offer does not cover the equipment.
    """
    covers = table(document, *offer).get("covers", ["equipment"])
    wanted = table(document, *offer).get("equipment")
    if not isinstance(covers, list) or "equipment" not in covers:
        return
    for at, equipment in tables(document, "equipment"):
        price = price_of(document, at)
        discount = number(document, "equipment", at, "discount")
        tax = number(document, "equipment", at, "sales_tax")
        if wanted in (None, equipment.get("name")) and price and discount and tax:
            yield price * (1 - discount.likely), tax.likely
