"""Tables of the answers: comparisons, choices, pieces, inputs, ledger, cover, ways to pay."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pandas as pd

from planner.decide.answer import Answered, AnswerPage
from planner.decide.cover import Years
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS
from planner.decide.rests_on import idle_keys
from planner.finance.loan import loan_schedule_in_cents
from planner.ledger import Group
from planner.paying import loan_terms
from planner.scenario.estimates import Estimate
from planner.scenario.tree import inputs
from planner.scenario.units import readable
from planner.show.words import (
    COMPARISON_LETTERS,
    comparison_name,
    numbers_of,
    payback_words,
    ratio_words,
)


def comparison_table(page: AnswerPage, answered: Answered) -> pd.DataFrame:
    """The three comparisons side by side, in words."""
    numbers, horizon = numbers_of(page.scenario), page.case.months
    figures = answered.figures
    return pd.DataFrame(
        {
            "compared": f"{COMPARISON_LETTERS[name]} {comparison_name(page, name)}"
            + (" (the headline)" if name == AGAINST_BUYING_IN else ""),
            "pays back": payback_words(figures.payback[name], horizon=horizon, numbers=numbers),
            "worth today": numbers.money(figures.net_present_value[name]),
            "worth today, financed": numbers.money(figures.net_present_value_financed[name]),
        }
        for name in COMPARISONS
    )


def choices_table(page: AnswerPage, answered: Sequence[Answered]) -> pd.DataFrame:
    """One row a choice: what it costs to pay for, what it is worth, what it asks of the bank."""
    currency = page.scenario.currency
    return pd.DataFrame(
        {
            "equipment": one.choice.equipment.name,
            "warranty": one.choice.warranty.name,
            "paid by": one.choice.financing.name,
            f"payment a month [{currency}]": one.figures.paying.payment_per_month,
            "annual percentage rate": one.figures.paying.annual_percentage_rate,
            f"present cost [{currency}]": one.figures.paying.present_cost,
            "pays back against buying in [month]": one.figures.payback["against_buying_in"].months,
            f"worth today, financed [{currency}]": one.figures.net_present_value_financed[
                "against_buying_in"
            ],
            f"lowest balance [{currency}]": one.figures.cash.lowest,
            "in month": one.figures.cash.lowest_month,
            "lowest debt service cover": one.figures.cover.lowest,
            "conditions met": f"{sum(c.met for c in one.conditions)} of {len(one.conditions)}",
        }
        for one in answered
    )


def print_table(page: AnswerPage) -> pd.DataFrame:
    """Cost of a piece by part, a row a part and a column a product."""
    currency = page.scenario.currency
    parts = list(page.prints[0].parts)
    columns = {
        f"{one.product} [{currency}]": [
            *(one.parts[part] for part in parts),
            one.full,
            one.with_equipment,
            one.price,
        ]
        for one in page.prints
    }
    frame = pd.DataFrame(columns)
    frame.insert(
        0,
        "part",
        [*parts, "full cost", "full cost with equipment", "selling price"],
    )
    return frame


def film_table(page: AnswerPage) -> pd.DataFrame:
    """What the materials of a piece cost as it is made, and by area only."""
    currency = page.scenario.currency
    return pd.DataFrame(
        {
            "product": one.product,
            f"materials as made [{currency}]": one.groups["materials"],
            f"by area only [{currency}]": one.area_only,
        }
        for one in page.prints
    )


def inputs_table(page: AnswerPage, *, prefix: tuple[str, ...] = ()) -> pd.DataFrame:
    """Inputs as written, with their basis, source and date.

    What the kind of a way to pay does not take, such as a deposit of cash, is left out.
    """
    idle = tuple(key for offer in page.scenario.financing for key in idle_keys(offer))
    wanted = [
        one
        for one in inputs(page.scenario)
        if one.key.startswith(prefix or "") and not one.key.startswith(idle)
    ]
    return pd.DataFrame(
        {
            "input": one.key,
            "as written": written(one, page.scenario.currency),
            "basis": one.basis,
            "source": one.source,
            "date": one.date,
        }
        for one in wanted
    )


def written(estimate: Estimate, currency: str) -> str:
    """An input as the user wrote it; a default in its canonical unit."""
    if estimate.written:
        return estimate.written
    unit = readable(estimate.unit, currency)
    scale = 100 if estimate.unit.startswith("share") else 1
    return f"{estimate.likely * scale:g} {unit}".strip()


def all_inputs_table(page: AnswerPage) -> pd.DataFrame:
    """Every input with value and range in canonical units, source, date and basis."""
    currency = page.scenario.currency
    return pd.DataFrame([_input_row(estimate, currency) for estimate in inputs(page.scenario)])


def _input_row(estimate: Estimate, currency: str) -> dict[str, object]:
    return {
        "input": estimate.key,
        "as written": written(estimate, currency),
        "value": estimate.likely,
        "low": estimate.low if estimate.is_range else None,
        "high": estimate.high if estimate.is_range else None,
        "unit": readable(estimate.unit, currency),
        "basis": estimate.basis,
        "source": estimate.source,
        "date": estimate.date,
    }


def ledger_table(answered: Answered) -> pd.DataFrame:
    """The choice's ledger, a row a month and a column a line."""
    return answered.evaluation.plan.ledger.frame().reset_index()


def yearly_table(answered: Answered) -> pd.DataFrame:
    """The ledger by year from signing: running, working capital, financing, tax, net."""
    ledger = answered.evaluation.plan.ledger
    year = np.ceil(np.arange(ledger.months + 1) / 12).astype(int)
    columns: dict[str, np.ndarray] = {
        group.value: np.bincount(year, weights=ledger.total(group)[0]) for group in Group
    }
    columns["net"] = np.bincount(year, weights=ledger.net[0])
    frame = pd.DataFrame(columns)
    frame.insert(0, "year", ["signing", *(str(y) for y in range(1, len(frame)))])
    return frame


def cover_table(answered: Answered) -> pd.DataFrame:
    """Debt service cover, a row a measure and a column a year."""
    cover = answered.figures.cover
    rows: dict[str, Years] = {}
    for name in COMPARISONS:
        letter = COMPARISON_LETTERS[name]
        rows[f"{letter}, project"] = cover.project[name]
        if cover.shop is not None:
            rows[f"{letter}, shop before tax"] = cover.shop[name].before_tax
            rows[f"{letter}, shop after tax and draw"] = cover.shop[name].after_tax_and_draw
    years = [f"year {year}" for year in range(1, len(cover.project[COMPARISONS[0]]) + 1)]
    frame = pd.DataFrame(rows.values(), columns=years)
    frame.insert(0, "cover", list(rows))
    return frame


def cover_formats(answered: Answered) -> dict[str, Callable[[float], str]]:
    """Formats of the cover table: two decimals."""
    years = range(1, len(answered.figures.cover.project[COMPARISONS[0]]) + 1)
    return dict.fromkeys([f"year {year}" for year in years], ratio_words)


def ways_table(page: AnswerPage, answered: Sequence[Answered]) -> pd.DataFrame:
    """One row a way to pay for the same machine, on one footing."""
    currency = page.scenario.currency
    cash = next(one for one in answered if one.choice.financing.kind == "cash")
    least = cash.figures.paying.present_cost
    return pd.DataFrame(
        {
            "paid by": one.choice.financing.name,
            f"payment a month [{currency}]": one.figures.paying.payment_per_month,
            "annual percentage rate": one.figures.paying.annual_percentage_rate,
            f"paid in all [{currency}]": one.figures.paying.total_paid,
            f"present cost [{currency}]": one.figures.paying.present_cost,
            f"against cash [{currency}]": one.figures.paying.present_cost - least,
            f"lowest balance [{currency}]": one.figures.cash.lowest,
            "in month": one.figures.cash.lowest_month,
        }
        for one in answered
    )


def whole_money(page: AnswerPage) -> dict[str, Callable[[float], str]]:
    """Formats of the yearly table: money in whole units."""
    money = numbers_of(page.scenario).money
    return dict.fromkeys([*(group.value for group in Group), "net"], money)


def cents_by_product(page: AnswerPage) -> dict[str, Callable[[float], str]]:
    """Formats of the print table: money down to the smallest coin."""
    numbers = numbers_of(page.scenario)
    columns = [f"{one.product} [{page.scenario.currency}]" for one in page.prints]
    return dict.fromkeys(columns, lambda value: numbers.money(value, cents=True))


def choice_formats(page: AnswerPage) -> dict[str, Callable[[float], str]]:
    """Formats of the table of choices."""
    numbers, currency = numbers_of(page.scenario), page.scenario.currency
    money = ("paid in all", "present cost", "against cash", "lowest balance")
    return {
        **dict.fromkeys([f"{name} [{currency}]" for name in money], numbers.money),
        f"payment a month [{currency}]": lambda value: numbers.money(value, cents=True),
        "annual percentage rate": lambda value: numbers.percent(value, digits=2),
        "lowest debt service cover": ratio_words,
    }


def schedule_table(answered: Answered) -> pd.DataFrame | None:
    """The printed schedule of a loan, in cents; None for every other way to pay."""
    plan, offer = answered.evaluation.plan, answered.choice.financing
    if not offer.is_loan:
        return None
    borrowed = float(plan.debt.proceeds[0, 0])
    terms = loan_terms(offer, plan.case.values)
    rows = loan_schedule_in_cents(terms=terms, amount=round(borrowed, 2))
    return pd.DataFrame(
        {
            "month": row.month,
            "payment": float(row.payment),
            "interest": float(row.interest),
            "principal": float(row.principal),
            "balance": float(row.balance),
        }
        for row in rows
    )
