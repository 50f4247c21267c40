"""Page one of the lender's file, table by table; each cell is as a reader sees it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Final

import pandas as pd

from planner.decide.answer import AnswerPage
from planner.decide.collateral import Collateral
from planner.decide.cover import ShopCover
from planner.decide.evaluation import COMPARISONS
from planner.decide.figures import PaybackTime
from planner.decide.lending import COLUMNS, NOW, Lending, Terms
from planner.scenario.schema import Debt
from planner.show.lender.words import (
    NONE,
    basis_words,
    cover_words,
    day_words,
    listed,
    measure_words,
    month_words,
    when,
)
from planner.show.numbers import Numbers
from planner.show.words import (
    COMPARISON_LETTERS,
    comparison_name,
    numbers_of,
    payback_words,
    ratio_words,
    tax_words,
)
from planner.show.words.named import input_words, value_words

Rows = Iterator[tuple[str, str]]
RATE_LABEL: Final = "by the method of Regulation Z, not a disclosure"

TO_ASK: Final = "Not stated"  # the row of what a lender must ask
_USES = {
    "equipment": "Equipment",
    "sales tax on equipment": "Sales tax on equipment",
    "start-up": "Start-up: delivery, trades, training",
    "warranty": "Warranty",
    "first fill": "Inventory: first fill of ink",
    "opening stock": "Inventory: materials in stock",
    "fees": "Fees of the financing",
    "lease payments": "Lease payments in advance",
    "sales tax on lease payments": "Sales tax on lease payments in advance",
    "deposit": "Deposit, which is returned",
}


def request_table(page: AnswerPage, shown: Lending) -> pd.DataFrame:
    """Who asks, for how much and on what terms, with how much own money, prepared by whom.

    What the scenario does not state has no row here: it is named by ``enclosed_table``.
    """
    return pd.DataFrame(_request(page, shown), columns=["asked", "answer"])


def _request(page: AnswerPage, shown: Lending) -> Rows:
    numbers, money, asked = numbers_of(page.scenario), shown.money, shown.terms
    if shown.prepared_for:
        yield "Who asks", shown.prepared_for
    yield "Amount", numbers.money(float(money.amount), cents=True)
    if asked is None:
        yield from ((name, "nothing is borrowed") for name in ("Term", "Rate", "Payment"))
    else:
        yield "Term", numbers.months(asked.term)
        rates = (asked.rate, asked.annual_percentage_rate)
        nominal, counted = (numbers.percent(rate, digits=2, missing=NONE) for rate in rates)
        yield "Rate", f"{nominal} a year; annual percentage rate {counted}, {RATE_LABEL}"
        paid = numbers.money(asked.payment, cents=True)
        yield "Payment", f"{paid} a month, the first {_first_payment(page, asked)}"
    own, all_uses = (
        numbers.money(float(amount), cents=True) for amount in (money.own_money, money.total)
    )
    yield "Own money", f"{own}, {numbers.percent(money.own_share)} of {all_uses}"
    prepared = [shown.prepared_by, _seller(shown.prepared_by_seller)]
    if any(prepared):
        yield "Prepared by", "; ".join(filter(None, prepared))


def _first_payment(page: AnswerPage, asked: Terms) -> str:
    """The day of the first payment where it is agreed, else its month."""
    day = page.best.choice.financing.first_payment
    return f"on {day_words(day)}" if day else when(page.scenario, asked.first_payment)


def _seller(is_seller: bool | None) -> str | None:
    match is_seller:
        case None:
            return None
        case True:
            return "that is the seller"
        case False:
            return "that is not the seller"


# --- can the shop pay ---------------------------------------------------------------------------


def cover_lowest_table(page: AnswerPage, shown: Lending) -> pd.DataFrame:
    """Debt service cover in its lowest year: as the shop is now, and in the three comparisons.

    Of two measures the lower stands first. Where the shop's cash flow is not stated, the project's
    own cover stands alone.
    """
    names = COMPARISONS if shown.cover is None else COLUMNS
    rows = _project_rows(page, shown) if shown.cover is None else _shop_rows(page, shown)
    heads = [column_words(page, name) for name in names]
    return pd.DataFrame(rows, columns=["debt service cover, lowest year", *heads])


def column_words(page: AnswerPage, name: str) -> str:
    """A column of the cover tables: the shop as it is now, or a comparison with its letter."""
    if name == NOW:
        return "as the shop is now, with the new debt"
    return f"{COMPARISON_LETTERS[name]}: {comparison_name(page, name)}"


def _project_rows(page: AnswerPage, shown: Lending) -> list[list[str]]:
    project = shown.answered.figures.cover.project
    alone = [cover_words(project[name]) for name in COMPARISONS]
    return [[f"the project alone, {tax_words(page.scenario)}", *alone]]


def _shop_rows(page: AnswerPage, shown: Lending) -> list[list[str]]:
    assert shown.cover is not None
    covers = [shown.cover[name] for name in COLUMNS]
    rows = [
        [f"whole shop, {measure_words(page, after=after)}", *_lowest(covers, after=after)]
        for after in (True, False)
    ]
    lower_first = _least(covers, after=True) <= _least(covers, after=False)
    return rows if lower_first else rows[::-1]


def _lowest(covers: list[ShopCover], *, after: bool) -> list[str]:
    return [cover_words(one.after_tax_and_draw if after else one.before_tax) for one in covers]


def _least(covers: list[ShopCover], *, after: bool) -> float:
    years = [one.after_tax_and_draw if after else one.before_tax for one in covers]
    return min((year for one in years for year in one if year is not None), default=0.0)


# --- when it comes back, and if it fails --------------------------------------------------------


def payback_table(page: AnswerPage, shown: Lending) -> pd.DataFrame:
    """When the money is back in each of the three comparisons."""
    numbers, horizon = numbers_of(page.scenario), page.case.months
    times = shown.answered.figures.payback
    return pd.DataFrame(
        {
            "compared": column_words(page, name),
            f"pays back ({tax_words(page.scenario)}, before financing, without resale)": (
                payback_words(times[name], horizon=horizon, numbers=numbers)
            ),
        }
        for name in COMPARISONS
    )


def failing_table(page: AnswerPage, shown: Lending) -> pd.DataFrame:
    """Lending value against balance at its worst; guarantees and prior claims where stated."""
    return pd.DataFrame(_failing(page, shown), columns=["if it fails", "answer"])


def _failing(page: AnswerPage, shown: Lending) -> Rows:
    held = shown.collateral
    yield "Lending value", _not_lent(page) if held is None else _worst(page, held)
    if shown.guarantors is not None:
        yield "Guarantees", listed(shown.guarantors)
    if shown.prior_claims is not None:
        yield "Prior claims", listed([_claim(page, debt) for debt in shown.prior_claims])


def _not_lent(page: AnswerPage) -> str:
    """Why nothing can be sold for the lender."""
    if page.best.choice.financing.kind == "lease":
        return "none: the lessor owns the equipment"
    return "none: nothing is owed on the equipment"


def _worst(page: AnswerPage, held: Collateral) -> str:
    numbers, at = numbers_of(page.scenario), held.worst
    lent, resale, owed = (
        numbers.money(values[at]) for values in (held.counted, held.resale, held.balance)
    )
    share = numbers.percent(page.case.values.scalar(page.scenario.lender.counts))
    worst = f"{held.cover_lowest:.2f} of the balance at its worst, {when(page.scenario, at)}"
    return f"{worst}: {lent}, which is {share} of a resale value of {resale}, against {owed} owed"


def _claim(page: AnswerPage, debt: Debt) -> str:
    owed = numbers_of(page.scenario).money(page.case.values.scalar(debt.balance))
    return f"{debt.name}: {owed} owed, ends {month_words(debt.ends)}, secured by {debt.secured_by}"


# --- where the money goes, and what it rests on -------------------------------------------------


def uses_table(page: AnswerPage, shown: Lending) -> pd.DataFrame:
    """What is paid at signing, to the cent."""
    return _amounts(page, "uses", [*shown.money.uses, ("All uses", shown.money.total)])


def sources_table(page: AnswerPage, shown: Lending) -> pd.DataFrame:
    """Who pays it, to the cent."""
    money = shown.money
    paid = page.best.choice.financing.name or ""
    financed = [(paid, amount) for _, amount in money.financed]
    rows = [*financed, ("Own money", money.own_money), ("All sources", money.total)]
    return _amounts(page, "sources", rows)


def _amounts(page: AnswerPage, name: str, rows: list[tuple[str, Decimal]]) -> pd.DataFrame:
    numbers = numbers_of(page.scenario)
    return pd.DataFrame(
        {name: _USES.get(line, line), "amount": numbers.money(float(amount), cents=True)}
        for line, amount in rows
    )


def influential_table(page: AnswerPage, shown: Lending) -> pd.DataFrame:
    """The three inputs that matter most, with range and basis, and what their ends make of it."""
    numbers, horizon = numbers_of(page.scenario), page.case.months
    rows = []
    for one in shown.influential:
        likely, spread = value_words(one.estimate, numbers)
        times = (one.payback_at_low, one.payback_at_high)
        covers = (one.cover_at_low, one.cover_at_high)
        rows.append(
            [
                input_words(one.estimate.key),
                likely,
                spread if one.has_range else f"{spread} (a fifth)",
                basis_words(one.estimate),
                _ends(times[0], times[1], horizon, numbers),
                " to ".join(NONE if cover is None else ratio_words(cover) for cover in covers),
            ]
        )
    heads = ["input", "planned", "range", "basis"]
    heads += ["B pays back, low to high end", "lowest cover of B, low to high end"]
    return pd.DataFrame(rows, columns=heads)


def _ends(low: PaybackTime, high: PaybackTime, horizon: int, numbers: Numbers) -> str:
    """Two paybacks, such as "40 to 23 months" or "not within 60 months; 41 months"."""
    ends = [_months(time, horizon, numbers) for time in (low, high)]
    if ends[0] == ends[1]:
        return ends[0]
    if low.months is None or high.months is None:
        return "; ".join(ends)
    return f"{ends[0].rpartition(' ')[0]} to {ends[1]}"


def _months(time: PaybackTime, horizon: int, numbers: Numbers) -> str:
    if time.months is None:
        return f"not within {horizon} months"
    return numbers.months(time.months, limit=horizon)


def enclosed_table(shown: Lending) -> pd.DataFrame:
    """What is enclosed and what is not; last, in one row, what nobody stated on all of page one."""
    return pd.DataFrame(_papers(shown), columns=["papers", "answer"])


def _papers(shown: Lending) -> Rows:
    for label, papers in (("Enclosed", shown.attached), ("Not enclosed", shown.missing)):
        if papers is not None:
            yield label, listed(papers)
    if unknown := list(_not_stated(shown)):
        yield TO_ASK, "; ".join(unknown)


def _not_stated(shown: Lending) -> Iterator[str]:
    """What a lender must ask, since the scenario is silent on it."""
    asked = {
        "who asks": shown.prepared_for,
        "who prepared this file": shown.prepared_by,
        "whether the seller prepared this file": shown.prepared_by_seller,
        "the shop's own cash flow, and so its cover": shown.cover,
        "guarantees": shown.guarantors,
        "prior claims": shown.prior_claims,
        "which papers are enclosed": shown.attached,
        "which papers are not enclosed": shown.missing,
    }
    return (words for words, answer in asked.items() if answer in (None, ""))
