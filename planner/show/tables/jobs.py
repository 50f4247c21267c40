"""Tables of single orders and of the price list, numbers whole and units in the headings."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import groupby
from typing import Final

import pandas as pd

from planner.decide.answer import AnswerPage
from planner.decide.job import Job, jobs
from planner.decide.price_list import ListPrice, price_list, quantities
from planner.show.words.common import numbers_of
from planner.show.words.jobs import price_words, size_words

Formats = Mapping[str, Callable[[float], str]]
MATERIAL: Final = "material with garment"
FULL: Final = "full cost"
WITH_EQUIPMENT: Final = "full cost with equipment"
_MONEY: Final = (MATERIAL, FULL, WITH_EQUIPMENT, "offered")
_PRICES: Final = ("price at the margin", "price to ask")
_SHARES: Final = ("margin", "margin at the offer")


def orders_table(page: AnswerPage) -> pd.DataFrame:
    """One row an order: its costs, its price, and what an offer leaves."""
    currency = page.scenario.currency
    rows = [_order_row(job) for job in jobs(page)]
    columns = ["order", "pieces", *_MONEY[:3], _PRICES[0], _PRICES[1], "set by", "margin"]
    frame = pd.DataFrame(rows, columns=[*columns, "offered", "margin at the offer"])
    return frame.rename(columns={name: f"{name} [{currency}]" for name in (*_MONEY, *_PRICES)})


def _order_row(job: Job) -> dict[str, object]:
    asked, offered = job.asked, job.offered
    return {
        "order": job.name,
        "pieces": job.pieces,
        MATERIAL: job.material,
        FULL: job.full,
        WITH_EQUIPMENT: job.with_equipment,
        "price at the margin": asked.at_margin,
        "price to ask": asked.price,
        "set by": asked.set_by,
        "margin": None if asked.price is None else job.margins(asked.price).with_equipment,
        "offered": offered,
        "margin at the offer": None if offered is None else job.margins(offered).with_equipment,
    }


def order_formats(page: AnswerPage) -> Formats:
    """Formats of the table of orders: costs in the smallest coin, prices rounded up to it."""
    numbers, currency = numbers_of(page.scenario), page.scenario.currency
    return {
        **{f"{name} [{currency}]": lambda cost: numbers.money(cost, cents=True) for name in _MONEY},
        **{f"{name} [{currency}]": lambda price: price_words(price, numbers) for name in _PRICES},
        **dict.fromkeys(_SHARES, numbers.percent),
    }


def parts_table(page: AnswerPage) -> pd.DataFrame:
    """Cost by part, a row a part and a column an order [money for the whole order]."""
    found = jobs(page)
    parts = [*found[0].parts] if found else []
    frame = pd.DataFrame(
        {f"{job.name} [{page.scenario.currency}]": [*job.parts.values()] for job in found}
    )
    frame.insert(0, "part", pd.Series(parts, dtype=object))
    return frame


def parts_formats(page: AnswerPage) -> Formats:
    """Formats of the table of parts."""
    numbers = numbers_of(page.scenario)
    columns = [f"{order.name} [{page.scenario.currency}]" for order in page.scenario.orders]
    return dict.fromkeys(columns, lambda cost: numbers.money(cost, cents=True))


def price_list_table(page: AnswerPage) -> pd.DataFrame:
    """Price of a piece, a row a size or product and a column a quantity [money]."""
    rows = []
    for _, alike in groupby(price_list(page), key=lambda one: (one.product, one.size)):
        prices = [*alike]
        found = {_quantity(page, one.quantity): one.price for one in prices}
        rows.append({"a piece of": listed_words(page, prices[0]), **found})
    return pd.DataFrame(rows)


def price_list_formats(page: AnswerPage) -> Formats:
    """Formats of the price list: rounded up to the smallest coin."""
    numbers = numbers_of(page.scenario)
    listed = quantities(page.scenario, page.case.values)
    columns = [_quantity(page, quantity) for quantity in listed]
    return dict.fromkeys(columns, lambda price: price_words(price, numbers))


def listed_words(page: AnswerPage, price: ListPrice) -> str:
    """What a row of the price list is: a size, or a product with its garment."""
    if price.size is None:
        return price.product or ""
    return size_words(price.size, numbers_of(page.scenario), page.case.values)


def _quantity(page: AnswerPage, quantity: int) -> str:
    return f"{quantity} [{page.scenario.currency}]"
