"""What must hold of the lender's file whatever the scenario says."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import numpy as np

from planner.decide.answer import AnswerPage
from planner.decide.collateral import NOTHING_OWED
from planner.decide.evaluation import AGAINST_BUYING_IN
from planner.decide.identities import CENT, TINY, Check
from planner.decide.lending import Lending, loan_schedule, lowest_cover_at
from planner.decide.projection import fiscal_years, projection
from planner.decide.rests_on import BASES, assumptions
from planner.decide.stress import StressLine


def lender_checks(page: AnswerPage, shown: Lending, lines: tuple[StressLine, ...]) -> list[Check]:
    """Sources and uses, schedule, balance, sales put back, collateral, bases, stress as planned."""
    return [
        *_money(shown),
        *_schedule(page),
        *_balance(page),
        *_room(page, shown),
        *_collateral(shown),
        *_origins(page),
        _as_planned(page, lines),
    ]


def _money(shown: Lending) -> Iterator[Check]:
    money = shown.money
    most = CENT * (1 + len(money.uses) + len(money.financed))
    gap = abs(float(money.own_money) - money.own_money_in_plan)
    yield "own money is the plan's, but for cents of rounding", gap <= most, f"{gap:,.4f} apart"


def _schedule(page: AnswerPage) -> Iterator[Check]:
    rows = loan_schedule(page.best.evaluation.plan)
    if rows:
        repaid = sum((row.principal for row in rows), Decimal(0))
        detail = f"{repaid} and {rows[0].balance}"
        yield "principal adds up to the loan to the cent", repaid == rows[0].balance, detail


def _balance(page: AnswerPage) -> Iterator[Check]:
    flows = projection(page.best)
    gap = float(np.abs(flows.opening + np.cumsum(flows.change) - flows.balance).max())
    yield "lines of the cash flow add up to the bank balance", gap <= CENT, f"{gap:,.6f} apart"
    years = sum(period.total(flows.change) for period in fiscal_years(page.case))
    months = float(flows.change.sum())
    yield (
        "fiscal years hold every month once",
        abs(years - months) <= CENT,
        f"{years:,.2f} and {months:,.2f}",
    )


def _room(page: AnswerPage, shown: Lending) -> Iterator[Check]:
    if shown.room is not None and shown.room.factor:
        factors = np.array([shown.room.factor])
        least = page.case.values.scalar(shown.minimum)
        found = float(lowest_cover_at(page.best.evaluation, factors)[0])
        yield (
            "cover at the sales found is the lender's minimum",
            abs(found - least) <= TINY,
            f"{found:.6f} and {least:.6f}",
        )


def _collateral(shown: Lending) -> Iterator[Check]:
    held = shown.collateral
    if held is not None:
        owed = [at for at, balance in enumerate(held.balance) if balance > NOTHING_OWED]
        least = min(held.counted[at] / held.balance[at] for at in owed)
        gap = abs(held.cover_lowest - least)
        detail = f"{held.cover_lowest:.6f} and {least:.6f}"
        yield "no month's lending value covers less than the worst", gap <= TINY, detail


def _origins(page: AnswerPage) -> Iterator[Check]:
    without = [
        one.key for one in assumptions(page.scenario, page.best.choice) if one.basis not in BASES
    ]
    yield "every number has a basis", not without, ", ".join(without) or "all"


def _as_planned(page: AnswerPage, lines: tuple[StressLine, ...]) -> Check:
    found, figures = lines[0].outcome, page.best.figures
    same = found is not None and (
        found.payback == figures.payback[AGAINST_BUYING_IN]
        and found.value == figures.net_present_value[AGAINST_BUYING_IN]
        and found.lowest_cash == figures.cash.lowest
        and found.lowest_cover == figures.cover.lowest
    )
    detail = "not worked out" if found is None else f"worth {found.value:,.2f}"
    return "without a change the stress table has the page's figures", same, detail
