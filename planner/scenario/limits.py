"""Faults that lie between values: a plan that ends before it begins, work that is all scrap."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from pydantic import ValidationError

from planner.scenario.document import Document
from planner.scenario.faults import Fault
from planner.scenario.fit import fit_faults
from planner.scenario.key_paths import Path
from planner.scenario.offers import offer_faults, price_of
from planner.scenario.peek import month_at, number, shown, table, tables, written
from planner.scenario.reading import repr_short
from planner.scenario.schema import Depreciation

MOST_CHOICES: Final = 100  # sets by warranties by ways to pay; each is a plan of its own
LEAST_GOOD: Final = 0.1  # share of what is made; below it the plan is about scrap


def value_faults(document: Document) -> Iterator[Fault]:
    """Every fault between values that can be read."""
    yield from _running(document)
    yield from _closed(document)
    yield from _work(document)
    yield from _spoilage(document)
    yield from fit_faults(document)
    yield from _choices(document)
    for at, equipment in tables(document, "equipment"):
        if price_of(document, at) == 0:
            path: Path = ("equipment", at)
            if "price" in equipment:
                yield document.fault((*path, "price"), "be more than 0", "0")
            else:
                yield document.fault(path, "have a price above 0", "0")
    for at, _ in tables(document, "financing"):
        yield from offer_faults(document, at)
    yield from _depreciation(document)


def _running(document: Document) -> Iterator[Fault]:
    horizon, runs_from = number(document, "horizon"), number(document, "runs_from")
    if horizon and runs_from and runs_from.likely >= horizon.likely:
        must = f"be before the horizon, {horizon.written}"
        yield document.fault(("runs_from",), must, shown(document, "runs_from"))


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
            yield document.fault(
                ("shop", "closed", at), must, shown(document, "shop", "closed", at)
            )
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
            yield document.fault(path, must, shown(document, *path), hint)


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


def _choices(document: Document) -> Iterator[Fault]:
    """Every set under every warranty, with every way to pay that is offered for it."""
    offers = [offer.get("equipment") for _, offer in tables(document, "financing")]
    count = 0
    for at, equipment in tables(document, "equipment"):
        ways = sum(offer in (None, equipment.get("name")) for offer in offers)
        count += ways * len(tables(document, "equipment", at, "warranty"))
    if count > MOST_CHOICES:
        must = f"be at most {MOST_CHOICES} choices, by warranties and ways to pay"
        yield document.fault(("equipment",), must, str(count))


def _depreciation(document: Document) -> Iterator[Fault]:
    """Shares by year that are not the whole price; units of production without their number."""
    path: Path = ("tax", "depreciation")
    try:
        read = Depreciation.model_validate(written(document, *path))
    except ValidationError:
        return
    if read.rule == "units of production" and read.life is None:
        must = 'say how much the equipment prints, as in { life = "20000 ft^2" }'
        yield document.fault(path, must, repr_short(read.rule))
    total = sum(share.likely for share in read.shares or ())
    if read.shares is not None and abs(total - 1) > 1e-9:
        must = "hold shares that add up to 100 %"
        yield document.fault(path, must, f"{total * 100:.6g} %")
