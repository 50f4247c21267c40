"""What is printed and written of single orders and the price list: text, JSON, CSV."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from pathlib import Path
from typing import Any, Final

from planner.decide.answer import AnswerPage
from planner.decide.asking import rush_surcharges
from planner.decide.job import Job, JobLine, bench, costed, jobs
from planner.decide.pictured import Pictured, pictured
from planner.decide.price_list import ListPrice, price_list
from planner.deliver.files import csv_text, flat, json_text
from planner.deliver.job_order import open_with_order, picture_of
from planner.scenario.faults import Fault, ScenarioError
from planner.scenario.schema import Rectangle
from planner.show.numbers import Numbers
from planner.show.tables.jobs import FULL, MATERIAL, WITH_EQUIPMENT, listed_words
from planner.show.words import numbers_of
from planner.show.words.jobs import (
    garment_sentences,
    order_sentence,
    picture_sentences,
    price_list_sentence,
    price_sentences,
    price_words,
    rate_sentences,
    rush_sentence,
    spoilage_sentence,
    use_sentence,
)

Json = dict[str, Any]
_WIDTHS: Final = (26, 16, 14)


def orders_document(page: AnswerPage) -> list[Json]:
    """The scenario's orders under their JSON keys."""
    return [order_by_key(page, job) for job in jobs(page)]


def price_list_document(page: AnswerPage) -> list[Json]:
    """The price list under its JSON keys."""
    return [_price_by_key(page, price) for price in price_list(page)]


def rush_by_key(page: AnswerPage) -> Json:
    """What surcharges for a hurry would bring beside the plan."""
    return {"rush_surcharges_per_month": rush_surcharges(page)}


def order_by_key(page: AnswerPage, job: Job, found: Pictured | None = None) -> Json:
    """One order under its JSON keys; a figure that does not exist is null."""
    asked, use = job.asked, job.use
    return {
        "order": job.name,
        "pieces": job.pieces,
        "area": job.area,
        "film": use.film,
        "strip": use.strip,
        "white_ink": use.white,
        "colour_ink": use.colour,
        "powder": use.powder,
        "hours": use.hours,
        "lines": [_line_by_key(page, line) for line in job.lines],
        "parts": dict(job.parts),
        "material": job.material,
        "full": job.full,
        "full_with_equipment": job.with_equipment,
        "margin_wanted": asked.margin,
        "price_at_margin": asked.at_margin,
        "rush_surcharge": asked.rush,
        "minimum_order": asked.minimum,
        "price": asked.price,
        "price_set_by": asked.set_by if asked.price is not None else None,
        **_margins_by_key(job, "margin", asked.price),
        "offered": job.offered,
        **_margins_by_key(job, "offered_margin", job.offered),
        "artwork": _picture_by_key(found) if found else None,
    }


def _picture_by_key(found: Pictured) -> Json:
    picture, covered, pooled = found.picture, found.job.use.covered, found.pooled.use
    return {
        "file": picture.name,
        "white_coverage": picture.coverage.white,
        "colour_coverage": picture.coverage.colour,
        "pictures": picture.fit.pictures,
        "white_ink_error": picture.use.white.error * covered,
        "colour_ink_error": picture.use.colour.error * covered,
        "pooled_white_ink": pooled.white,
        "pooled_colour_ink": pooled.colour,
        "pooled_powder": pooled.powder,
        "pooled_full": found.pooled.full,
        "notes": list(picture.use.notes),
    }


def _margins_by_key(job: Job, key: str, price: float | None) -> Json:
    margins = None if price is None else job.margins(price)
    return {
        key: margins.with_equipment if margins else None,
        f"{key}_over_full": margins.full if margins else None,
    }


def _line_by_key(page: AnswerPage, line: JobLine) -> Json:
    return {
        "product": line.ordered.product,
        "pieces": line.pieces,
        "prints": [_sides(page, size) for size in line.product.prints],
        "new_designs": line.new_designs,
        "design": line.ordered.design,
        "test_prints": line.own.prints if line.own else len(page.scenario.prints),
    }


def _sides(page: AnswerPage, size: Rectangle) -> list[float]:
    return [page.case.values.scalar(side) for side in (size.width, size.length)]


def _price_by_key(page: AnswerPage, one: ListPrice) -> Json:
    return {
        "product": one.product,
        "size": _sides(page, one.size) if one.size else None,
        "quantity": one.quantity,
        "price": one.price,
        "cost": one.cost,
        "margin": one.margin,
        "set_by": one.set_by if one.price is not None else None,
    }


def printed_order(
    scenario: Path, given: Mapping[str, Any], *, changes: Mapping[str, object], format: str
) -> str:
    """What ``planner job`` prints: the order of the options, an order by name, all, or prices.

    Raises ``ScenarioError`` for options that do not fit, and ``JobError`` where nothing is printed.
    """
    page = open_with_order(scenario, given, changes=changes)
    own = bench(page.case, page.best.evaluation.plan)
    if "--prices" in given:
        return printed_prices(page, format=format)
    named = given.get("--order", "").strip()
    orders = [order for order in page.scenario.orders if not named or order.name == named]
    if not orders:
        raise ScenarioError((_NO_ORDERS,))
    if "--artwork" in given:
        picture = picture_of(scenario, page.scenario.prints, given["--artwork"])
        found = pictured(own, orders[0], picture)
        return printed_jobs(page, [found.job], format=format, found=found)
    return printed_jobs(page, [costed(own, order) for order in orders], format=format)


_NO_ORDERS: Final = Fault(
    where="planner job",
    key="orders",
    must="stand in the scenario, or be described",
    got="none",
    suggestion='give --size "11 in x 13 in" --pieces 16, or --product and --pieces',
)


def printed_jobs(
    page: AnswerPage, orders: Sequence[Job], *, format: str, found: Pictured | None = None
) -> str:
    """Orders as text that can be read aloud, as JSON or as CSV; the one ``found`` has a picture."""
    if format == "text":
        return "\n".join(_job_lines(page, orders, found)) + "\n"
    documents = [order_by_key(page, job, found) for job in orders]
    if format == "json":
        return json_text(_head(page) | {"orders": documents} | rush_by_key(page))
    rows = [(one["order"], key, value) for one in documents for key, value in flat("", one)]
    return csv_text(("order", "figure", "value"), rows)


def printed_prices(page: AnswerPage, *, format: str) -> str:
    """The price list as text, JSON or CSV."""
    if format == "text":
        return "\n".join(_price_lines(page)) + "\n"
    documents = price_list_document(page)
    if format == "json":
        return json_text(_head(page) | {"price_list": documents})
    header = ("a piece of", "quantity", "price", "cost", "margin", "set by")
    rows = [
        (listed_words(page, one), one.quantity, one.price, one.cost, one.margin, one.set_by)
        for one in price_list(page)
    ]
    return csv_text(header, rows)


def _head(page: AnswerPage) -> Json:
    return {
        "scenario": page.scenario.title,
        "currency": page.scenario.currency,
        "choice": page.best.choice.label,
    }


def _job_lines(page: AnswerPage, orders: Sequence[Job], found: Pictured | None) -> Iterator[str]:
    numbers, scenario, values = numbers_of(page.scenario), page.scenario, page.case.values
    yield scenario.title
    yield f"Costed on: {page.best.choice.label}, in a month at full volume and month-1 prices"
    for job in orders:
        yield ""
        yield order_sentence(page, job)
        yield from rate_sentences(job)
        yield from picture_sentences(page, found) if found else ()
        yield from garment_sentences(job, values)
        yield ""
        yield from _cost_rows(job, numbers)
        yield ""
        yield use_sentence(job, numbers)
        yield from price_sentences(job, scenario.selling, numbers)
    yield ""
    yield spoilage_sentence(scenario.spoilage, numbers, values)
    yield rush_sentence(page)


def _cost_rows(job: Job, numbers: Numbers) -> Iterator[str]:
    """Parts and the three costs, for the order and for a piece."""
    is_one = job.pieces == 1
    yield _row("", "the order", "" if is_one else "a piece")
    costs = {
        **job.parts,
        MATERIAL: job.material,
        FULL: job.full,
        WITH_EQUIPMENT: job.with_equipment,
    }
    for name, cost in costs.items():
        each = "" if is_one else numbers.money(cost / job.pieces, cents=True)
        yield _row(name, numbers.money(cost, cents=True), each)


def _row(*cells: str) -> str:
    name, *amounts = zip(cells, _WIDTHS, strict=True)
    said = "".join(f"{cell:>{width}}" for cell, width in amounts)
    return f"  {name[0]:<{name[1]}}{said}".rstrip()


def _price_lines(page: AnswerPage) -> Iterator[str]:
    numbers = numbers_of(page.scenario)
    yield page.scenario.title
    yield f"Costed on: {page.best.choice.label}"
    yield ""
    yield "Price of a piece, by the quantity of its order:"
    for _, alike in groupby(price_list(page), key=lambda one: (one.product, one.size)):
        prices = [*alike]
        said = ", ".join(f"{one.quantity} at {_price(one, numbers)}" for one in prices)
        yield f"  {listed_words(page, prices[0])}: {said}"
    yield ""
    yield price_list_sentence(page)


def _price(one: ListPrice, numbers: Numbers) -> str:
    return "no price" if one.price is None else price_words(one.price, numbers)
