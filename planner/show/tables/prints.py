"""Tables of the test prints: each print, the rates of all, and what each design costs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

import pandas as pd

from planner.decide.answer import AnswerPage
from planner.show.measured import designs_of, rate_shown, rate_unit
from planner.show.numbers import Numbers
from planner.show.words import numbers_of
from planner.usage.designs import Design, DesignCost, average_cost
from planner.usage.test_prints import (
    KINDS,
    further_prints,
    interval,
    measured_rates,
    outliers,
    own_rates,
    print_names,
)

_COSTS: Final = ("ink", "film", "powder", "laid out", "by area only")


def _rate_headings(numbers: Numbers) -> Mapping[str, str]:
    """Headings of the three rates with their units."""
    words = {**KINDS, "powder": "powder on the film"}
    return {kind: f"{words[kind]} [{rate_unit(kind, numbers)}]" for kind in KINDS}


def measured_table(page: AnswerPage) -> pd.DataFrame:
    """The rates of all prints with errors and 95 % intervals, by the area unit of the scenario."""
    numbers = numbers_of(page.scenario)
    headings = _rate_headings(numbers)
    rows = []
    for kind, rate in measured_rates(page.scenario.prints).by_kind.items():
        ends = interval(rate)
        low, high = (rate_shown(end, numbers) for end in ends) if ends else (None, None)
        rows.append(
            {
                "measured": headings[kind],
                "rate": rate_shown(rate.rate, numbers),
                "standard error": rate_shown(rate.standard_error, numbers) if ends else None,
                "95 % from": low,
                "95 % to": high,
                "test prints": rate.prints,
                "more prints for ±15 %": further_prints(rate),
            }
        )
    return pd.DataFrame(rows)


def prints_table(page: AnswerPage) -> pd.DataFrame:
    """A row a test print: its area, its own rates, and which of them lie apart."""
    numbers, prints = numbers_of(page.scenario), page.scenario.prints
    headings, apart = _rate_headings(numbers), outliers(prints)
    rows = []
    for at, (name, row) in enumerate(zip(print_names(prints), prints, strict=True)):
        own = own_rates(row)
        rows.append(
            {
                "test print": name,
                f"area of all copies [{numbers.area_unit}]": numbers.area_shown(row.area.likely),
                **{headings[kind]: rate_shown(own[kind], numbers) for kind in KINDS},
                "lies apart": ", ".join(KINDS[one.kind] for one in apart if one.at == at) or "no",
            }
        )
    return pd.DataFrame(rows)


def designs_table(page: AnswerPage) -> pd.DataFrame:
    """A row a design with the cost of its materials at the size wanted, and the average at the end.

    A print that is wider than the film says so and has no cost. No row has a cost where no print
    has a size.
    """
    numbers, currency = numbers_of(page.scenario), page.scenario.currency
    found = designs_of(page)
    rows = [
        {"design": one.name, "size": _size(one, numbers), **_costs(one.cost, currency)}
        for one in found
    ]
    average = average_cost(found)
    rows.append({"design": "Average", "size": "one of each", **_costs(average, currency)})
    return pd.DataFrame(rows)


def _size(one: Design, numbers: Numbers) -> str:
    said = f"{numbers.length(one.width)} x {numbers.length(one.length)}"
    if one.cost is None:
        return f"{said}: wider than the film"
    return f"{said}, {'wanted' if one.is_wanted else 'as measured'}"


def _costs(cost: DesignCost | None, currency: str) -> dict[str, float | None]:
    """Columns of the costs; none where the print does not fit."""
    headings = [f"{name} [{currency}]" for name in _COSTS]
    if cost is None:
        return dict.fromkeys(headings)
    parts = (cost.ink, cost.film, cost.powder, cost.laid_out, cost.area_only)
    return {heading: float(part) for heading, part in zip(headings, parts, strict=True)}


def design_formats(page: AnswerPage) -> dict[str, Callable[[float], str]]:
    """Formats of the table of designs: money down to the smallest coin."""
    numbers = numbers_of(page.scenario)
    headings = _costs(None, page.scenario.currency)
    return dict.fromkeys(headings, lambda value: numbers.money(value, cents=True))
