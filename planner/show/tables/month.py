"""Tables of a month in the shop: stations and pieces, warranties, what is used up."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd

from planner.decide.answer import Answered, AnswerPage
from planner.decide.months import months_of_work
from planner.decide.supplies import supplies_by_quarter
from planner.show.words.common import numbers_of
from planner.show.words.month import warranties_of


def stations_table(page: AnswerPage, answered: Answered) -> pd.DataFrame:
    """Hours asked of each station ÷ its hours, what is made, bought in and lost, by month."""
    work = months_of_work(page.case, answered.evaluation.plan)
    return pd.DataFrame(
        {
            "month": np.arange(1, page.case.months + 1),
            **{
                f"{name} [hours asked ÷ hours there are]": use
                for name, use in work.stations.items()
            },
            "fullest": work.fullest,
            "made of what is asked": work.made,
            "bought in [piece]": work.bought,
            "bought in a hurry [piece]": work.hurried,
            "lost [piece]": work.lost,
            "overtime [hour]": work.overtime,
        }
    )


def warranty_table(page: AnswerPage, answered: Answered) -> pd.DataFrame:
    """What failures and their cover cost by year, a row a part under each warranty [money]."""
    rows = []
    for one in warranties_of(page, answered):
        for part, years in (*one.years.items(), ("all together", one.total_by_year)):
            present = one.total if part == "all together" else one.present[part]
            by_year = {f"year {at}": amount for at, amount in enumerate(years, start=1)}
            rows.append({"warranty": one.warranty, "part": part, **by_year, "value today": present})
    return pd.DataFrame(rows)


def warranty_formats(page: AnswerPage, answered: Answered) -> dict[str, Callable[[float], str]]:
    """Formats of the table of warranties: money in whole units."""
    money = numbers_of(page.scenario).money
    columns = map(str, warranty_table(page, answered).columns)
    numeric = [name for name in columns if name not in ("warranty", "part")]
    return dict.fromkeys(numeric, money)


def consumables_table(page: AnswerPage, answered: Answered) -> pd.DataFrame:
    """What the first year uses up by quarter, with all that is lost, and its money."""
    currency = page.scenario.currency
    return pd.DataFrame(
        {
            "months": f"{one.first} to {one.last}",
            "white ink [L]": one.white,
            "colour ink [L]": one.colour,
            "powder [kg]": one.powder,
            "film [roll]": one.rolls,
            f"ink [{currency}]": one.ink_cost,
            f"powder [{currency}]": one.powder_cost,
            f"film [{currency}]": one.film_cost,
            f"garments [{currency}]": one.garments_cost,
            f"transfers bought in [{currency}]": one.transfers_cost,
        }
        for one in supplies_by_quarter(page.case, answered.evaluation.plan)
    )


def consumables_formats(page: AnswerPage) -> dict[str, Callable[[float], str]]:
    """Formats of the table of consumables."""
    money, currency = numbers_of(page.scenario).money, page.scenario.currency
    spent = ("ink", "powder", "film", "garments", "transfers bought in")
    used = ("white ink [L]", "colour ink [L]", "powder [kg]", "film [roll]")
    return {
        **dict.fromkeys([f"{name} [{currency}]" for name in spent], money),
        **dict.fromkeys(used, lambda amount: f"{amount:.1f}"),
    }
