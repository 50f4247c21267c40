"""What must hold of single orders and the price list: checks that a page shows and demands."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby, pairwise
from typing import Final

from planner.decide.answer import AnswerPage
from planner.decide.identities import Check
from planner.decide.job import jobs
from planner.decide.price_list import price_list

_CENT: Final = 0.005  # half a cent: what is printed agrees
_SHARE: Final = 1e-9


def job_checks(page: AnswerPage) -> list[Check]:
    """A price put back leaves its margin; a smaller quantity never costs less a piece.

    None where the choice spoken of only presses.
    """
    return [*_margins(page), *_falling(page)]


def _margins(page: AnswerPage) -> Iterator[Check]:
    for job in jobs(page):
        price = job.asked.at_margin
        if price is not None and price > 0:
            left = job.margins(price).with_equipment or 0.0
            name = f"the price at the margin leaves it: {job.name}"
            yield name, abs(left - job.asked.margin) <= _SHARE, f"{left:.6f} of {price:,.2f}"


def _falling(page: AnswerPage) -> Iterator[Check]:
    for (product, size), alike in groupby(
        price_list(page), key=lambda one: (one.product, one.size)
    ):
        prices = [one.price for one in alike if one.price is not None]
        what = product or (f"{size.width.written} x {size.length.written}" if size else "")
        falls = all(larger <= smaller + _CENT for smaller, larger in pairwise(prices))
        said = ", ".join(f"{price:,.4f}" for price in prices)
        yield f"a smaller quantity never costs less a piece: {what}", falls, said or "no prices"
