"""Pieces a month: what is asked for, made, bought in or lost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.deliver.workbook.facts import Facts, Side
from planner.deliver.workbook.grid import Heading, Line
from planner.deliver.workbook.months import Months
from planner.scenario.estimates import Number

Blocks = Iterator[Line | Heading]


def span(facts: Facts, key: str) -> str:
    """The cells of all products' lines of a kind in one month."""
    count = len(facts.scenario.products)
    return f"{{{key}_1}}:{{{key}_{count}}}" if count > 1 else f"{{{key}_1}}"


def by_product(
    facts: Facts, key: str, flows: Sequence[Number], formula: str, *, adds_up: bool = True
) -> Iterator[Line]:
    """A line a product; ``#`` in the formula stands for the product's number."""
    line = Months(facts.months).line
    for at, (product, flow) in enumerate(zip(facts.scenario.products, flows, strict=True), start=1):
        yield line(
            f"{key}_{at}",
            product.name,
            "piece",
            flow,
            formula.replace("#", str(at)),
            adds_up=adds_up,
        )


def could_buy_lines(facts: Facts, side: Side, *, added: bool) -> Blocks:
    """Pieces that bought-in transfers could serve; ``added`` counts work beyond today's."""
    more = "+{calendar.share}*(product_#_planned-product_#_today)*(1-product_#_needs_machine)"
    yield Heading("Pieces that bought-in transfers could serve")
    yield from by_product(
        facts,
        "could_buy",
        side.could_buy,
        f"(product_#_today{more if added else ''})*{{calendar.scale_#}}*product_#_can_buy",
    )


def bought_lines(facts: Facts, side: Side) -> Blocks:
    """Pieces that a shop without the machine sells and loses."""
    works = side.operations.works
    yield Heading("Pieces sold, with transfers bought in")
    yield from by_product(facts, "sold", [done.sold for done in works], "{served}*{could_buy_#}")
    yield Heading("Pieces that people and press cannot serve")
    yield from by_product(facts, "lost", [done.lost for done in works], "{could_buy_#}-{sold_#}")


def asked_lines(facts: Facts, side: Side, *, added: bool) -> Blocks:
    """Pieces asked for with the machine; ``added`` counts work beyond today's."""
    more = "+{calendar.share}*(product_#_planned-product_#_today)"
    yield Heading("Pieces asked for with the machine")
    yield from by_product(
        facts,
        "asked",
        side.asked,
        f"(product_#_today{more if added else ''})*{{calendar.scale_#}}",
    )


def made_lines(facts: Facts, side: Side, *, without: str) -> Blocks:
    """Pieces made, and those not made that bought-in transfers could serve.

    ``without`` is the grid of the same work without the machine.
    """
    running, unmade = "{calendar.running}", ""
    if facts.prints:
        yield Heading("Pieces made here")
        made = [done.made for done in side.operations.works]
        yield from by_product(facts, "made", made, f"{running}*{{served}}*{{asked_#}}")
        unmade = "*(1-{served})"
    yield Heading("Pieces not made here that bought-in transfers could serve")
    yield from by_product(
        facts,
        "buyable",
        side.buyable,
        f"{running}{unmade}*MIN({{asked_#}},{{{without}.could_buy_#}})",
    )


def outcome_lines(facts: Facts, side: Side, *, without: str) -> Blocks:
    """Pieces bought in, sold and lost; ``without`` as above."""
    works, until = side.operations.works, f"(1-{{calendar.running}})*{{{without}.sold_#}}"
    now = "{fits}*{buyable_#}"
    asked = f"{{calendar.running}}*{{asked_#}}+(1-{{calendar.running}})*{{{without}.could_buy_#}}"
    bought = ("bought", "Pieces with transfers bought in", [done.bought for done in works])
    hurried = ("hurried", "Pieces with transfers bought in a hurry", [d.hurried for d in works])
    kinds = [(*bought, f"{until}+{now}")]
    if facts.prints:
        kinds = [(*bought, until), (*hurried, now)]
    sold = "+".join(f"{{{key}_#}}" for key in kinds_of(facts))
    kinds += [
        ("sold", "Pieces sold", [done.sold for done in works], sold),
        ("lost", "Pieces that cannot be served", [done.lost for done in works],
         f"{asked}-{{sold_#}}"),
    ]  # fmt: skip
    for key, heading, flows, formula in kinds:
        yield Heading(heading)
        yield from by_product(facts, key, flows, formula)


def kinds_of(facts: Facts) -> tuple[str, ...]:
    """The lines of pieces that are sold, by where their transfers come from."""
    return ("made", "bought", "hurried") if facts.prints else ("bought",)
