"""The table of make or buy at other prices of bought-in transfers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import pandas as pd

from planner.decide.answer import Answered, AnswerPage
from planner.decide.buy_in_prices import buy_in_prices
from planner.show.words.common import numbers_of

_SHARE: Final = "of the likely price"
_WHY_NONE: Final = "why none"


def buy_in_prices_table(page: AnswerPage, answered: Answered) -> pd.DataFrame | None:
    """A row a price: the area from which making stays cheaper; None where nothing is compared.

    The price by area is left out where transfers have prices a piece only, the reasons where all
    areas are found.
    """
    numbers = numbers_of(page.scenario)
    asked = buy_in_prices(page.case, answered.evaluation.plan, answered.figures.make_or_buy)
    if asked is None:
        return None
    price = f"price [{page.scenario.currency}/{numbers.area_unit}]"
    frame = pd.DataFrame(
        {
            "bought-in transfers at": row.name,
            price: None if row.price is None else numbers.per_area_shown(row.price),
            _SHARE: row.factor,
            f"making stays cheaper from [{numbers.area_unit}/week]": None
            if row.area is None
            else numbers.area_shown(row.area),
            _WHY_NONE: row.reason,
        }
        for row in asked.rows
    )
    said = {price: asked.rows[0].price is not None, _WHY_NONE: any(r.reason for r in asked.rows)}
    return frame.drop(columns=[column for column, is_said in said.items() if not is_said])


def buy_in_formats(page: AnswerPage) -> dict[str, Callable[[float], str]]:
    """Formats of that table: prices to the smallest coin, shares in percent."""
    numbers = numbers_of(page.scenario)
    return {
        f"price [{page.scenario.currency}/{numbers.area_unit}]": lambda value: numbers.money(
            value, cents=True
        ),
        _SHARE: numbers.percent,
    }
