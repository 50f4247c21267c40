"""A price list: what one piece costs a customer by size and quantity."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Literal

from planner.decide.answer import AnswerPage
from planner.decide.job import Bench, Job, bench, costed, prints
from planner.scenario.derived import PRICE_LIST_QUANTITIES
from planner.scenario.estimates import Estimate, Values
from planner.scenario.schema import Order, OrderLine, Rectangle, Scenario

SetBy = Literal["margin", "minimum order", "larger quantity"]


@dataclass(frozen=True, kw_only=True)
class ListPrice:
    """The price of one piece in an order of ``quantity`` [money a piece].

    ``product`` is None where one print of ``size`` is put on a garment that is not included;
    ``size`` is None for a product with its garment. ``cost`` is full with equipment, at this
    price. ``price`` is None where no price leaves the margin.
    """

    product: str | None
    size: Rectangle | None
    quantity: int
    price: float | None
    cost: float
    margin: float | None
    set_by: SetBy


def price_list(page: AnswerPage) -> tuple[ListPrice, ...]:
    """Prices by size, garment not included, then by product, garment included.

    Each is for an order of one new design at the wanted margin, at least the minimum order. Rows
    of film fill unevenly, so that a few pieces more can cost more apiece; a smaller quantity is
    then priced like the larger one, never lower. Empty where the choice that the page speaks of
    only presses.
    """
    if not prints(page):
        return ()
    own = bench(page.case, page.best.evaluation.plan)
    listed = quantities(page.scenario, page.case.values)
    columns = (
        _column(own, line, listed, product=line.product, size=size)
        for line, size in _decorated(page.scenario, page.case.values)
    )
    return tuple(price for column in columns for price in column)


def _decorated(scenario: Scenario, values: Values) -> Iterator[tuple[OrderLine, Rectangle | None]]:
    """One piece of each kind that the list holds."""
    one = Estimate(likely=1.0, unit="")
    for size in sizes(scenario, values):
        free = Estimate(likely=0.0, unit="money")
        yield OrderLine(pieces=one, prints=(size,), garment=free), size
    for product in scenario.products:
        yield OrderLine(pieces=one, product=product.name), None


def sizes(scenario: Scenario, values: Values) -> tuple[Rectangle, ...]:
    """The sizes of the list: those stated, else every one that the products hold, once."""
    stated = scenario.price_list.sizes
    listed = stated or (size for product in scenario.products for size in product.prints)
    return tuple(
        {(values.scalar(one.width), values.scalar(one.length)): one for one in listed}.values()
    )


def quantities(scenario: Scenario, values: Values) -> tuple[int, ...]:
    """The quantities of the list, rising, each once [piece]."""
    stated = scenario.price_list.quantities
    counts = map(values.whole, stated) if stated else PRICE_LIST_QUANTITIES
    return tuple(sorted(set(counts)))


def _column(
    bench: Bench,
    line: OrderLine,
    quantities: Sequence[int],
    *,
    product: str | None,
    size: Rectangle | None,
) -> list[ListPrice]:
    """The prices of one kind of piece, quantities rising, each at least that of a larger one."""
    orders = [_order(bench, line, quantity) for quantity in quantities]
    alone = [one.asked.price or 0.0 for one in orders]  # no margin, no price: none of them has one
    single = [price / one.pieces for price, one in zip(alone, orders, strict=True)]
    never_lower = [*accumulate(reversed(single), max)][::-1]
    return [
        _priced(one, price, is_raised=price > own, product=product, size=size)
        for one, price, own in zip(orders, never_lower, single, strict=True)
    ]


def _order(bench: Bench, line: OrderLine, quantity: int) -> Job:
    pieces = Estimate(likely=float(quantity), unit="")
    lines = (line.model_copy(update={"pieces": pieces}),)
    return costed(bench, Order(name="price list", lines=lines))


def _priced(
    job: Job, price: float, *, is_raised: bool, product: str | None, size: Rectangle | None
) -> ListPrice:
    """A line of the list; without a price where no price leaves the margin."""
    by_order: SetBy = "minimum order" if job.asked.set_by == "minimum order" else "margin"
    has_price = job.asked.price is not None
    spent = sum(job.costs.values()) + job.equipment + job.fee_share * price * job.pieces
    return ListPrice(
        product=product,
        size=size,
        quantity=job.pieces,
        price=price if has_price else None,
        cost=spent / job.pieces,
        margin=job.margins(price * job.pieces).with_equipment if has_price else None,
        set_by="larger quantity" if is_raised else by_order,
    )
