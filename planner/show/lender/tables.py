"""The appendix of the lender's file, table by table; numbers whole, units in the headings."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import Final

import numpy as np
import pandas as pd
from pandas.api.types import is_numeric_dtype

from planner.case import Choice
from planner.decide.answer import AnswerPage
from planner.decide.cover import Years
from planner.decide.evaluation import COMPARISONS
from planner.decide.lending import COLUMNS, Lending, loan_schedule
from planner.decide.projection import Period, Projection, fiscal_years, projection
from planner.decide.rests_on import assumptions, choices_made
from planner.decide.stress import StressLine
from planner.scenario.estimates import Estimate
from planner.scenario.schema import Item, StartUp, WearPart
from planner.shop.upkeep import items_of
from planner.show.lender.page_one import column_words
from planner.show.lender.words import (
    NONE,
    NOT_STATED,
    basis_words,
    calendar_month,
    month_words,
)
from planner.show.numbers import Numbers, rounded
from planner.show.words import numbers_of, payback_words, ratio_words
from planner.show.words.named import path_words, shown_number, shown_unit, value_words

Formats = dict[str, Callable[[float], str]]
IN_MONTH: Final = "in month"
NET: Final = "net of the plan"
CHANGE: Final = "change in the bank balance"
BALANCE: Final = "bank balance at the end"


# --- what is bought -----------------------------------------------------------------------------


def equipment_table(page: AnswerPage) -> pd.DataFrame:
    """What is bought with its price, number, life, resale value, warranty and start-up."""
    rows = list(_bought(page, page.best.choice))
    heads = ["what", "number", "price of one", "life", "resale value", "basis", "source"]
    return pd.DataFrame(rows, columns=heads)


def _bought(page: AnswerPage, choice: Choice) -> Iterator[list[str]]:
    for item in items_of(choice.equipment):
        yield _item(page, item)
    warranty = choice.warranty
    yield [
        f"Warranty: {warranty.name}",
        "1",
        _value(page, warranty.price),
        _value(page, warranty.term),
        f"{_value(page, warranty.deductible)} of a repair is the shop's",
        *_origin(warranty.price),
    ]
    for step in choice.equipment.start_up or ():
        yield _step(page, step)
    for part in choice.equipment.wear_parts or ():
        yield _part(page, part)


def _item(page: AnswerPage, item: Item) -> list[str]:
    worth = item.worth
    return [
        item.name,
        _value(page, item.quantity),
        _value(page, item.price),
        _value(page, item.life),
        f"{_value(page, worth.share)} after {_value(page, worth.after)}",
        *_origin(item.price),
    ]


def _step(page: AnswerPage, step: StartUp) -> list[str]:
    given = [one for one in (step.cost, step.hours, step.practice) if one is not None]
    takes = " and ".join(_value(page, one) for one in given)
    return [f"Start-up: {step.name}", "1", takes, NONE, NONE, *_origin(given[0])]


def _part(page: AnswerPage, part: WearPart) -> list[str]:
    lives = [_value(page, one) for one in (part.life, part.life_at_most) if one is not None]
    return [
        f"Wears out: {part.name}",
        _value(page, part.count),
        _value(page, part.price),
        " or ".join(lives) or NOT_STATED,
        NONE,
        *_origin(part.price),
    ]


def _value(page: AnswerPage, estimate: Estimate) -> str:
    likely, spread = value_words(estimate, numbers_of(page.scenario))
    return f"{likely} ({spread})" if estimate.is_range else likely


def _origin(estimate: Estimate) -> list[str]:
    return [basis_words(estimate), ", ".join(filter(None, (estimate.source, estimate.date)))]


def price_list_table(page: AnswerPage) -> pd.DataFrame:
    """Selling price, garment and weekly pieces of every product, as written."""
    return pd.DataFrame(
        {
            "product": product.name,
            "price": _value(page, product.price),
            "basis of the price": basis_words(product.price),
            "garment": _value(page, product.garment),
            "pieces today": _value(page, product.today),
            "planned": _value(page, product.planned),
            "basis of the plan": basis_words(product.planned),
        }
        for product in page.scenario.products
    )


# --- whether it can be paid ---------------------------------------------------------------------


def cover_by_year_table(page: AnswerPage, shown: Lending) -> pd.DataFrame:
    """Debt service cover by year, in every column of page one and both measures."""
    rows: dict[str, Years] = {}
    if shown.cover is not None:
        for name in COLUMNS:
            words = column_words(page, name)
            rows[f"{words}: shop, before tax and draw"] = shown.cover[name].before_tax
            rows[f"{words}: shop, after tax and draw"] = shown.cover[name].after_tax_and_draw
    for name in COMPARISONS:
        words = column_words(page, name)
        rows[f"{words}: project alone"] = shown.answered.figures.cover.project[name]
    frame = pd.DataFrame(rows.values(), columns=[f"year {year}" for year in _years(rows)])
    frame.insert(0, "cover of debt payments", list(rows))
    return frame


def _years(rows: dict[str, Years]) -> range:
    return range(1, 1 + max(len(years) for years in rows.values()))


def cash_by_month_table(page: AnswerPage) -> pd.DataFrame:
    """The projected cash flow of the first year, line by line and month by month."""
    last = min(12, page.case.months)
    months = {_in(page, at): slice(at, at + 1) for at in range(last + 1)}
    return _cash_frame(projection(page.best), months | {"all": slice(0, last + 1)})


def cash_by_year_table(page: AnswerPage) -> pd.DataFrame:
    """The projected cash flow to the horizon by fiscal year, line by line."""
    periods = {
        _period_words(page, period): slice(period.first, period.last + 1)
        for period in fiscal_years(page.case)
    }
    return _cash_frame(projection(page.best), periods)


def _period_words(page: AnswerPage, period: Period) -> str:
    ends = _in(page, period.last)
    months = period.last - max(period.first, 1) + 1
    if months == 12:
        return f"year to {ends}"
    return f"{months} {'month' if months == 1 else 'months'} to {ends}"


def _cash_frame(flows: Projection, columns: dict[str, slice]) -> pd.DataFrame:
    """A row a line that moves in the columns, then the change and the balance at the end."""
    lines = [
        line for line in flows.lines if any(line.flows[months].any() for months in columns.values())
    ]
    frame = pd.DataFrame({"line": [*(line.name for line in lines), CHANGE, BALANCE]})
    for words, months in columns.items():
        moved = [float(line.flows[months].sum()) for line in lines]
        frame[words] = [*moved, float(flows.change[months].sum()), float(flows.balance[months][-1])]
    return frame


# --- what is owed -------------------------------------------------------------------------------


def debts_table(page: AnswerPage, shown: Lending) -> pd.DataFrame:
    """The shop's debts and the new one: balance, payment, end and what secures it."""
    scenario, values, currency = page.scenario, page.case.values, page.scenario.currency
    rows: list[list[object]] = [
        [
            debt.name,
            values.scalar(debt.balance),
            values.scalar(debt.payment),
            month_words(debt.ends),
            debt.secured_by or NOT_STATED,
            basis_words(debt.balance),
        ]
        for debt in scenario.shop.debts
    ]
    if shown.terms is not None:
        paid = page.best.choice.financing
        ends = month_words(calendar_month(scenario, shown.terms.term))
        owed = float(shown.money.amount)
        what = "the equipment" if paid.is_loan else "the lessor's own equipment"
        rows.append([f"New: {paid.name}", owed, shown.terms.payment, ends, what, "this request"])
    heads = ["debt", f"owed [{currency}]", f"payment a month [{currency}]"]
    return pd.DataFrame(rows, columns=[*heads, "ends", "secured by", "basis"])


def schedule_table(page: AnswerPage) -> pd.DataFrame:
    """The loan's schedule in cents to its last payment, or a lease's payments to the horizon."""
    if page.best.choice.financing.is_loan:
        return _loan_table(page)
    return _lease_table(page)


def _loan_table(page: AnswerPage) -> pd.DataFrame:
    rows = loan_schedule(page.best.evaluation.plan)
    names = ("payment", "interest", "principal", "balance")
    money = [[float(getattr(row, name)) for name in names] for row in rows]
    sums = [float(sum(getattr(row, name) for row in rows)) for name in names[:3]]
    heads = [f"{name} [{page.scenario.currency}]" for name in ("payment", "interest", "principal")]
    frame = pd.DataFrame(
        [*money, [*sums, money[-1][3]]], columns=[*heads, f"owed [{page.scenario.currency}]"]
    )
    return _dated(page, frame, [row.month for row in rows])


def _lease_table(page: AnswerPage) -> pd.DataFrame:
    debt = page.best.evaluation.plan.debt
    columns = {
        "payment": debt.rent,
        "tax on it": debt.tax_on_payments,
        "fees and deposit": debt.fees + debt.deposit,
        "purchase or settlement": debt.purchase + debt.settlement,
    }
    flows = np.column_stack([0.0 - flow[0] for flow in columns.values()])
    paid = np.flatnonzero(flows.any(axis=1))
    heads = [f"{name} [{page.scenario.currency}]" for name in columns]
    frame = pd.DataFrame(np.vstack([flows[paid], flows.sum(axis=0)]), columns=heads)
    return _dated(page, frame, paid.tolist())


def _dated(page: AnswerPage, frame: pd.DataFrame, months: list[int]) -> pd.DataFrame:
    """The frame with its months in front, the last row being that of all."""
    frame.insert(0, "month", [*map(str, months), "all"])
    frame.insert(1, "in", [*(_in(page, at) for at in months), ""])
    return frame


def _in(page: AnswerPage, at: int) -> str:
    return "signing" if at == 0 else month_words(calendar_month(page.scenario, at), short=True)


def resale_table(page: AnswerPage, shown: Lending) -> pd.DataFrame:
    """Resale value and the lender's share of it against the balance, month by month while owed."""
    currency, held = page.scenario.currency, shown.collateral
    if held is None:
        return pd.DataFrame(columns=["month", "in"])
    owed = [at for at, balance in enumerate(held.balance) if balance > 0]
    return pd.DataFrame(
        {
            "month": str(at),
            "in": _in(page, at),
            f"resale value [{currency}]": held.resale[at],
            f"lending value [{currency}]": held.counted[at],
            f"balance [{currency}]": held.balance[at],
            f"lending value less balance [{currency}]": held.counted[at] - held.balance[at],
            "lending value ÷ balance": held.counted[at] / held.balance[at],
        }
        for at in owed
    )


# --- what could go wrong, and what it all rests on ----------------------------------------------


def stress_table(page: AnswerPage, lines: tuple[StressLine, ...]) -> pd.DataFrame:
    """The plan as it is and under each change: payback, value, lowest balance and cover."""
    numbers, horizon, currency = numbers_of(page.scenario), page.case.months, page.scenario.currency
    rows: list[list[object]] = []
    for line in lines:
        found = line.outcome
        if found is None:
            rows.append([line.name, f"not worked out: {line.why_not}", None, None, None, None])
            continue
        back = payback_words(found.payback, horizon=horizon, numbers=numbers)
        rows.append(
            [
                line.name,
                back,
                found.value,
                found.lowest_cash,
                found.lowest_cash_month,
                found.lowest_cover,
            ]
        )
    value = f"worth today, B [{currency}]"
    heads = ["what changes", "B pays back", value, f"lowest balance [{currency}]", IN_MONTH]
    return pd.DataFrame(rows, columns=[*heads, "lowest cover, B"])


def changes_table(lines: tuple[StressLine, ...]) -> pd.DataFrame:
    """How each change is made, in words, where its name does not say it already."""
    told = [(line.name, line.how) for line in lines if line.how and line.outcome is not None]
    return pd.DataFrame(told, columns=["what changes", "how it is made"])


def assumptions_table(page: AnswerPage) -> pd.DataFrame:
    """Every number that the plan rests on: value, range, unit, basis, source and date."""
    numbers = numbers_of(page.scenario)
    frame = pd.DataFrame(
        _assumption(estimate, numbers) for estimate in assumptions(page.scenario, page.best.choice)
    )
    prints = len(page.scenario.prints)
    told = f"{prints} test {'print' if prints == 1 else 'prints'}; 95% interval"
    measured = frame["input"].str.startswith("test_prints.")
    return frame.assign(**{"source and date": frame["source and date"].where(~measured, told)})


def _assumption(estimate: Estimate, numbers: Numbers) -> dict[str, str]:
    unit, scale = shown_unit(estimate, numbers)
    likely, low, high = (
        shown_number(value, estimate, scale=scale, numbers=numbers)
        for value in (estimate.likely, estimate.low, estimate.high)
    )
    return {
        "input": estimate.key,
        "value": likely,
        "low": low if estimate.is_range else "",
        "high": high if estimate.is_range else "",
        "unit": unit,
        "basis": basis_words(estimate),
        "source and date": ", ".join(filter(None, (estimate.source, estimate.date))),
    }


def choices_table(page: AnswerPage) -> pd.DataFrame:
    """Every word that the plan rests on: a method, a date, what a loan covers."""
    made = choices_made(page.scenario, page.best.choice)
    return pd.DataFrame(
        {
            "input": " › ".join(_path(leaf.key)),
            "value": _leaf_words(leaf.value),
            "basis": "default" if leaf.is_default else "stated",
        }
        for leaf in made
    )


def _leaf_words(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)


def grouped_assumptions(frame: pd.DataFrame) -> dict[str, list[list[str]]]:
    """The assumptions by the table that holds them: its path, and rows by the input's own name."""
    groups: dict[str, list[list[str]]] = {}
    for key, *rest in frame.itertuples(index=False, name=None):
        holder, name = _path(key)
        groups.setdefault(holder, []).append([name, *rest])
    return groups


def _path(key: str) -> tuple[str, str]:
    """Holder and own name of an input."""
    *holders, name = path_words(key)
    return " › ".join(holders) or "scenario", name


# --- formats ------------------------------------------------------------------------------------


def formats(page: AnswerPage, frame: pd.DataFrame, *, cents: bool = False) -> Formats:
    """How the numbers of a table are shown: money where the heading names it, else a ratio."""
    numbers = numbers_of(page.scenario)
    shown: Formats = dict.fromkeys(_numeric(frame), ratio_words)
    for column in shown:
        if f"[{page.scenario.currency}]" in column:
            shown[column] = partial(numbers.money, cents=cents)
        elif column == IN_MONTH:
            shown[column] = "{:.0f}".format
    return shown


def cash_formats(page: AnswerPage, frame: pd.DataFrame) -> Formats:
    """Whole money without its sign, for tables in which every number is money; a dash is none."""
    numbers = numbers_of(page.scenario)
    return dict.fromkeys(
        _numeric(frame),
        lambda value: numbers.plain(float(rounded(value, places=0))) if value else "–",
    )


def _numeric(frame: pd.DataFrame) -> list[str]:
    return [str(column) for column in frame.columns if is_numeric_dtype(frame[column])]
