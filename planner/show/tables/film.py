"""Tables of the film: every product on every roll, and the rolls against each other."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import pandas as pd

from planner.decide.answer import AnswerPage
from planner.decide.film import rolls, sheet_use
from planner.show.numbers import FOOT, INCH, Numbers
from planner.show.words.common import numbers_of

_SHARES: Final = ("picture ÷ film", "picture ÷ supplier's sheet")


def layout_table(page: AnswerPage) -> pd.DataFrame:
    """A row a roll and product: how it lies, the film it takes, and what that costs.

    The supplier's sheet stands beside where transfers are bought by the sheet.
    """
    currency, numbers = page.scenario.currency, numbers_of(page.scenario)
    unit, size = _short_unit(numbers)
    sheets = {product.name: sheet_use(page.case, product) for product in page.scenario.products}
    frame = pd.DataFrame(
        {
            "product": one.product,
            "roll": numbers.length(roll.width),
            "side by side": " and ".join(map(str, one.across)),
            f"film a piece [{unit}]": one.film / size,
            "picture ÷ film": one.film_use,
            f"film a piece [{currency}]": one.cost,
            f"film by area only [{currency}]": one.area_only,
            "picture ÷ supplier's sheet": sheets[one.product],
        }
        for roll in rolls(page.case)
        for one in roll.products
    )
    return frame if any(sheets.values()) else frame.drop(columns=_SHARES[1], errors="ignore")


def rolls_table(page: AnswerPage) -> pd.DataFrame:
    """A row a roll and set: what a steady week of the planned work takes of it, ends included."""
    currency, numbers = page.scenario.currency, numbers_of(page.scenario)
    unit, size = ("ft", FOOT) if numbers.units == "inch" else ("m", 1.0)
    return pd.DataFrame(
        {
            "roll": numbers.length(roll.width),
            "taken by": week.equipment,
            f"film a week [{unit}]": week.fed / size,
            f"film a week [{currency}]": week.cost,
            f"of it ends of runs and rolls [{currency}]": week.ends,
        }
        for roll in rolls(page.case)
        for week in roll.weeks
    )


def film_formats(page: AnswerPage) -> dict[str, Callable[[float], str]]:
    """Formats of both tables: money to the smallest coin, shares in percent."""
    numbers, currency = numbers_of(page.scenario), page.scenario.currency
    money = ("film a piece", "film by area only", "film a week", "of it ends of runs and rolls")
    return {
        **dict.fromkeys(
            [f"{name} [{currency}]" for name in money],
            lambda value: numbers.money(value, cents=True),
        ),
        **dict.fromkeys(_SHARES, numbers.percent),
    }


def _short_unit(numbers: Numbers) -> tuple[str, float]:
    return ("in", INCH) if numbers.units == "inch" else ("cm", 0.01)
