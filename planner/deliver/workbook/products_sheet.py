"""Products as rows: what a user may change, what was laid out, and what follows for one piece."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from planner.deliver.workbook.book import Entry, Listing, Sheet, Words, origin_of, unit_of
from planner.deliver.workbook.facts import Facts, one
from planner.deliver.workbook.grid import Grid, Line
from planner.scenario.estimates import Number
from planner.scenario.schema import Product
from planner.shop import work

PRODUCTS: Final = "Products"
_GIVEN: Final = (
    *("today", "planned", "needs_machine", "price", "garment", "buy_in"),
    *("coverage", "filled"),
)


def products_sheet(facts: Facts) -> Sheet:
    """The products with their inputs."""
    grid = Grid(
        alias="products",
        axis="product",
        labels=tuple(product.name for product in facts.scenario.products),
        blocks=tuple(_lines(facts)),
        vertical=True,
        names="product",
        is_input=frozenset(_GIVEN),
    )
    sheet = Sheet(title=PRODUCTS, frozen=(0, 1))
    sheet.add(
        Words(text="Products", style="title"),
        Words(
            text="Change the coloured cells. Areas, film and pieces an order are laid out by the "
            "program and are not live: other sizes or orders need the program."
        ),
    ).gap()
    return sheet.add(grid)


def products_origins(facts: Facts) -> Listing:
    """Where each input of the products comes from."""
    return Listing(
        title="Products, to be changed on their sheet",
        entries=tuple(
            Entry(
                name="",
                label=f"{product.name}: {key.replace('_', ' ')}",
                unit=unit_of(estimate, facts.currency),
                value=facts.values.scalar(estimate),
                formula=f"product_{at}_{key}",
                origin=origin_of(estimate),
            )
            for at, product in enumerate(facts.scenario.products, start=1)
            for key in _GIVEN
            if (estimate := getattr(product, key)) is not None
        ),
        with_origin=True,
    )


def _lines(facts: Facts) -> Iterator[Line]:
    values, currency = facts.values, facts.currency
    machine, today = facts.machine, facts.scenario.today

    def column(
        key: str, label: str, unit: str, of: Callable[[int, Product], Number], formula: str = ""
    ) -> Line:
        found = tuple(one(of(at, product)) for at, product in enumerate(facts.scenario.products))
        return Line(key=key, label=label, unit=unit, values=found, formula=formula)

    def can_buy(product: Product) -> bool:
        return work.can_buy_in(product=product, today=today)

    yield column("today", "today", "piece/week", lambda _, p: values(p.today))
    yield column("planned", "planned", "piece/week", lambda _, p: values(p.planned))
    yield column(
        "needs_machine",
        "added work that needs the machine",
        "%",
        lambda _, p: work.machine_share(product=p, today=today, values=values),
    )
    yield column("price", "price", currency, lambda _, p: values(p.price))
    yield column("garment", "garment", currency, lambda _, p: values(p.garment))
    if any(product.buy_in is not None for product in facts.scenario.products):
        yield column(
            "buy_in",
            "transfers of a piece, bought in, 0 where bought by area",
            currency,
            lambda _, p: values(p.buy_in) if p.buy_in else 0.0,
        )
    yield column("coverage", "coverage", "%", lambda _, p: values(p.coverage))
    yield column("filled", "filled", "%", lambda _, p: values(p.filled))
    yield column("prints", "prints a piece", "print", lambda _, p: len(p.prints))
    yield column("area", "printed area", "m²", lambda at, _: machine.uses[at].area)
    yield column("film", "film fed a piece", "m", lambda at, _: machine.uses[at].film)
    yield column(
        "bought_area",
        "area to buy a piece, 0 where not bought by area",
        "m²",
        lambda at, _: facts.bought_areas[at],
    )
    yield column(
        "per_order", "pieces an order", "piece", lambda _, p: values.whole(p.pieces_per_order)
    )
    yield column("can_buy", "can be bought in", "1 or 0", lambda _, p: float(can_buy(p)))
    yield column("pressed", "pressed here", "1 or 0", lambda _, p: float(p.pressed))
    yield column(
        "supplied", "garment brought by customers", "1 or 0", lambda _, p: float(p.garment_supplied)
    )
    yield column(
        "each",
        "transfers and garments a piece sold",
        "-",
        lambda at, _: facts.transfers_each[at],
        "(1+spoilage_redone)/(1-spoilage_garments*{pressed})",
    )
    yield column(
        "garments",
        "garments to pay a piece sold",
        "-",
        lambda at, p: facts.transfers_each[at] - float(p.garment_supplied),
        "{each}-{supplied}",
    )
    yield column(
        "covered",
        "area covered with ink",
        "m²",
        lambda at, _: machine.uses[at].covered,
        "{area}*{filled}*{coverage}",
    )
    yield column(
        "orders",
        "orders a piece",
        "order",
        lambda _, p: 1 / values.whole(p.pieces_per_order),
        "1/{per_order}",
    )
    yield column(
        "ordering",
        "artwork and set-up a piece",
        "hour",
        lambda at, _: facts.hours_each[at].artwork + facts.hours_each[at].order_setup,
        "{orders}*(labour_new_designs*labour_artwork+(1+spoilage_redone)*labour_order_setup)",
    )
    yield column(
        "pressing",
        "pressing a piece",
        "hour",
        lambda at, _: facts.hours_each[at].pressing,
        "{each}*{prints}*{pressed}*(labour_pressing+labour_peel_wait)",
    )
