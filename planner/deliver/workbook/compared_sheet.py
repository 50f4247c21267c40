"""The three comparisons month by month, the debt payments and the bank balance."""

from __future__ import annotations

from typing import Final

import numpy as np

from planner.decide.cash import cash
from planner.decide.cover import other_debts
from planner.decide.evaluation import (
    AGAINST_BUYING_IN,
    COMPARISONS,
    TODAY_ONLY,
    WHOLE_PLAN,
    Comparison,
)
from planner.deliver.workbook.book import Sheet
from planner.deliver.workbook.facts import CASH, Facts
from planner.deliver.workbook.grid import Heading, total_of
from planner.deliver.workbook.months import Months, month_sheet
from planner.deliver.workbook.pieces import Blocks
from planner.ledger import Group
from planner.scenario.estimates import Array
from planner.show.words import COMPARISON_LETTERS, comparison_name

COMPARED: Final = "Compared"
_SIDES: Final = {
    AGAINST_BUYING_IN: ("months", "without"),
    TODAY_ONLY: ("months_today", "today"),
    WHOLE_PLAN: ("months", "today"),
}


def compared_sheet(facts: Facts) -> Sheet:
    """Each comparison is a shop with the machine less one that buys its transfers in."""
    return month_sheet(
        facts,
        title=COMPARED,
        alias="compared",
        about="What the choice brings more than the shop that it is compared with.",
        blocks=_lines(facts),
    )


def _lines(facts: Facts) -> Blocks:
    for name in COMPARISONS:
        letter = COMPARISON_LETTERS[name]
        yield Heading(f"{letter}: {comparison_name(facts.page, name)}")
        comparison = facts.evaluation.comparisons[name]
        yield from _before_financing(facts, letter, comparison, *_SIDES[name])
        yield from _own_cash(facts, letter, comparison, *_SIDES[name])
        yield from _for_debts(facts, letter, comparison, *_SIDES[name])
    yield from _debts(facts)
    yield from _balance(facts)


def _before_financing(
    facts: Facts, letter: str, comparison: Comparison, own: str, other: str
) -> Blocks:
    line = Months(facts.months).line
    yield line(
        f"net_{letter}",
        "before financing",
        facts.currency,
        comparison.net,
        f"{{{facts.alias(own, CASH)}.net_cash}}-{{{other}.net_cash}}",
        adds_up=True,
    )
    yield line(
        f"early_{letter}",
        "before financing, without what only the end brings",
        facts.currency,
        comparison.before_end,
        f"{{{facts.alias(own, CASH)}.before_end_cash}}-{{{other}.before_end_cash}}",
        adds_up=True,
    )
    yield from _running_total(facts, letter, "early", "total", comparison.before_end)


def _own_cash(facts: Facts, letter: str, comparison: Comparison, own: str, other: str) -> Blocks:
    line, way = Months(facts.months).line, facts.way
    yield line(
        f"financed_{letter}",
        "own cash, financing included",
        facts.currency,
        comparison.net_financed,
        f"{{{own}.net_{way}}}-{{{other}.net_cash}}",
        adds_up=True,
    )
    yield line(
        f"own_{letter}",
        "own cash, without what only the end brings",
        facts.currency,
        comparison.before_end_financed,
        f"{{{own}.before_end_{way}}}-{{{other}.before_end_cash}}",
        adds_up=True,
    )
    yield from _running_total(facts, letter, "own", "own_total", comparison.before_end_financed)


def _running_total(facts: Facts, letter: str, flow: str, key: str, flows: Array) -> Blocks:
    """Cumulative flows, and the last month so far in which they are below zero, -1 before any."""
    line, total = Months(facts.months).line, np.cumsum(flows, axis=-1)
    months = np.where(total[0] < 0, np.arange(facts.months + 1), -1)
    yield line(
        f"{key}_{letter}",
        "cumulative",
        facts.currency,
        total,
        f"{{{key}_{letter}.prev}}+{{{flow}_{letter}}}",
        first=f"{{{flow}_{letter}}}",
        is_sum=True,
    )
    yield line(
        f"below_{key}_{letter}",
        "last month below zero so far",
        "count",
        np.maximum.accumulate(months),
        f"IF({{{key}_{letter}}}<0,{{month}},{{below_{key}_{letter}.prev}})",
        first=f"IF({{{key}_{letter}}}<0,0,-1)",
    )


def _for_debts(facts: Facts, letter: str, comparison: Comparison, own: str, other: str) -> Blocks:
    """Cash flow from which debts are paid, after and before tax; signing stays out."""
    line, way = Months(facts.months).line, facts.way
    before = comparison.total(Group.CAPITAL, Group.RUNNING, Group.WORKING_CAPITAL)[:, 1:]
    yield line(
        f"pretax_{letter}",
        "cash flow for debts, before tax",
        facts.currency,
        before,
        f"{{{own}.capital_{way}}}+{{{own}.running}}+{{{own}.working_capital}}"
        f"-{{{other}.running}}-{{{other}.working_capital}}",
        adds_up=True,
    )
    if facts.scenario.tax is not None:
        yield line(
            f"aftertax_{letter}",
            "cash flow for debts, after tax",
            facts.currency,
            before + comparison.total(Group.TAX)[:, 1:],
            f"{{pretax_{letter}}}+{{{own}.tax_{way}}}-{{{other}.tax_{CASH}}}",
            adds_up=True,
        )


def _debts(facts: Facts) -> Blocks:
    line, debts = Months(facts.months).line, facts.scenario.shop.debts
    yield Heading("Debt payments")
    yield line(
        "service",
        "of the choice, in the month they pay for",
        facts.currency,
        facts.plan.debt.service[:, 1:],
        "0" if facts.is_cash else "{paying.service}",
        adds_up=True,
    )
    yield line(
        "other_debts",
        "of the shop's other debts",
        facts.currency,
        other_debts(facts.case)[:, 1:],
        total_of(
            [
                f"IF({{month}}<=debt_{at}_last,debt_{at}_payment,0)"
                for at in range(1, len(debts) + 1)
            ]
        ),
        adds_up=True,
    )


def _balance(facts: Facts) -> Blocks:
    """The bank balance, without what only the end of the horizon brings."""
    line, shop = Months(facts.months).line, facts.scenario.shop
    rest = ""
    if shop.cash_flow_before is not None:
        draw = "-shop_owner_draw" if shop.owner_draw is not None else ""
        rest = f"+(shop_cash_flow_before{draw})/12-{{other_debts}}"
    words = "cash at start and C, own cash"
    words += ", the rest of the shop less draw and debts" if rest else ""
    yield Heading(f"Bank balance, without what only the end of the horizon brings: {words}")
    yield line(
        "balance",
        "bank balance",
        facts.currency,
        np.atleast_2d(cash(facts.evaluation).balance),
        f"{{balance.prev}}+{{own_C}}{rest}",
        first="shop_cash_at_start+{own_C}",
        is_sum=True,
    )


def payback_formula(letter: str, key: str) -> str:
    """Months to payback from a cumulative line, interpolated; words where it is not reached."""
    total, last = f"compared.{key}_{letter}", f"{{compared.below_{key}_{letter}.last}}"
    at, after = (f"INDEX({{{total}.all}},{last}+{step})" for step in (1, 2))
    return (
        f'IF({{{total}.last}}<0,"not within "&horizon&" months",'
        f"IF({last}<0,0,{last}-{at}/({after}-{at})))"
    )
