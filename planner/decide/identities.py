"""What must hold whatever the scenario says: checks that each page shows and demands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise
from typing import Final

import numpy as np

from planner.decide.answer import Answered, AnswerPage
from planner.decide.breakeven import headline_value
from planner.decide.evaluation import running_total
from planner.decide.job import jobs
from planner.decide.price_list import price_list
from planner.decide.prints import steady_cost_gap
from planner.decide.steady import steady_surplus, transfer_costs
from planner.finance.series import monthly_rate_from_effective, net_present_value
from planner.ledger import Group
from planner.plan import Plan, value_of

Check = tuple[str, bool, str]
CENT: Final = 0.005  # half a cent: what is printed agrees
TINY: Final = 1e-6
_SHARE_KEPT: Final = 1e-9


def payback_checks(page: AnswerPage, answered: Answered) -> list[Check]:
    """Ledger sums, cumulative flow at payback, rates of return put back, working capital."""
    return [
        *_ledger_checks(answered),
        *_payback_checks(answered),
        *_rate_checks(answered),
    ]


def _ledger_checks(answered: Answered) -> Iterator[Check]:
    ledger = answered.evaluation.plan.ledger
    lines = sum(float(flow[0].sum()) for flow in ledger.columns.values())
    groups = sum(float(ledger.total(group)[0].sum()) for group in Group)
    yield _equal("ledger lines add up to the net", lines, float(ledger.net[0].sum()))
    yield _equal("groups of lines add up to the net", groups, float(ledger.net[0].sum()))
    moved = ledger.total(Group.WORKING_CAPITAL) + ledger.line("working capital returned")
    today = answered.evaluation.today.ledger
    opened = today.total(Group.WORKING_CAPITAL) + today.line("working capital returned")
    yield _equal(
        "working capital returns what it opened with", float(moved.sum()), float(opened.sum())
    )


def _payback_checks(answered: Answered) -> Iterator[Check]:
    for name, comparison in answered.evaluation.comparisons.items():
        total = running_total(comparison.before_end)[0]
        months = answered.figures.payback[name].months
        if months is None:
            ok, detail = total[-1] < 0, f"ends at {total[-1]:,.2f}"
        else:
            at = float(np.interp(months, np.arange(len(total)), total))
            after = total[int(np.ceil(months)) :]
            ok = (months == 0 or abs(at) < CENT) and bool((after >= -CENT).all())
            detail = f"{at:,.4f} at payback"
        yield f"cumulative flow at payback is zero and stays above: {name}", ok, detail


def _rate_checks(answered: Answered) -> Iterator[Check]:
    for name, comparison in answered.evaluation.comparisons.items():
        flows = comparison.net[0]
        size = float(np.abs(flows).sum())
        for rate in answered.figures.internal_rates_of_return[name]:
            monthly = monthly_rate_from_effective(rate)
            left = float(net_present_value(flows=flows, rate=float(monthly)))
            scale = size * max(1.0, float((1 + monthly) ** -(len(flows) - 1)))
            yield (
                f"net present value is zero at the rate of return: {name}",
                abs(left) <= TINY * scale,
                f"{left:,.6f}",
            )


def print_checks(page: AnswerPage) -> list[Check]:
    """Parts add up to the full cost; all pieces together cost what the steady month costs."""
    checks = [
        _equal(f"parts add up to the full cost: {one.product}", sum(one.parts.values()), one.full)
        for one in page.prints
    ]
    pieces, month = steady_cost_gap(page.case, page.best.evaluation.plan, page.prints)
    checks.append(_equal("all pieces of a month cost what the month costs", pieces, month))
    return checks


def job_checks(page: AnswerPage) -> list[Check]:
    """A price put back leaves its margin; a smaller quantity never costs less a piece.

    None where the choice spoken of only presses.
    """
    return [*_margins(page), *_falling(page)]


def _margins(page: AnswerPage) -> Iterator[Check]:
    for job in jobs(page):
        price = job.asked.at_margin
        if price is not None and price > 0:
            left = job.margins(price).with_equipment or 0.0
            name = f"the price at the margin leaves it: {job.name}"
            yield name, abs(left - job.asked.margin) <= _SHARE_KEPT, f"{left:.6f} of {price:,.2f}"


def _falling(page: AnswerPage) -> Iterator[Check]:
    for (product, size), alike in groupby(
        price_list(page), key=lambda one: (one.product, one.size)
    ):
        prices = [one.price for one in alike if one.price is not None]
        what = product or (f"{size.width.written} x {size.length.written}" if size else "")
        falls = all(larger <= smaller + CENT for smaller, larger in pairwise(prices))
        said = ", ".join(f"{price:,.4f}" for price in prices)
        yield f"a smaller quantity never costs less a piece: {what}", falls, said or "no prices"


def break_even_checks(page: AnswerPage, answered: Answered) -> list[Check]:
    """Each break-even put back into the plan gives zero."""
    plan, case = answered.evaluation.plan, page.case
    checks: list[Check] = []
    monthly = answered.figures.break_even.monthly.value
    if monthly is not None:
        left = float(steady_surplus(case, plan, np.array([monthly]))[0])
        checks.append(_equal("surplus at the monthly break-even is zero", left, 0.0))
    needed = answered.figures.added_work
    if needed.crossing.value is not None:
        moved = case.moved(**{needed.lever: needed.crossing.value})
        left = float(headline_value(moved, answered.choice)[0])
        checks.append(_equal("value at the work needed is zero", left, 0.0))
    bought = answered.figures.make_or_buy
    if bought is not None and bought.by_cost.value is not None:
        costs = transfer_costs(case, plan, np.array([bought.by_cost.value]))
        checks.append(
            _equal("making costs as much as buying there", costs.made[0], costs.bought[0])
        )
    return checks


def financing_checks(page: AnswerPage, answered: Sequence[Answered]) -> list[Check]:
    """Principal repaid is what was borrowed; sources equal uses to the cent."""
    checks: list[Check] = []
    for one in answered:
        plan, name = one.evaluation.plan, one.choice.financing.name
        debt = plan.debt
        if one.choice.financing.is_loan:
            repaid = -float((debt.principal + debt.settlement)[0].sum())
            checks.append(_equal(f"principal repaid: {name}", repaid, float(debt.proceeds[0, 0])))
        checks.append(_equal(f"sources equal uses at signing: {name}", _sources(plan), _uses(plan)))
        checks.append(
            _equal(f"nothing is owed at the end: {name}", float(debt.balance[0, -1]), 0.0)
        )
    return checks


def _sources(plan: Plan) -> float:
    """Own money at signing, what the lender pays out and what a lessor pays for [money]."""
    own = -float(plan.ledger.net[0, 0])
    return own + float(plan.debt.proceeds[0, 0]) + value_of(plan.payment.paid_for_shop)


def _uses(plan: Plan) -> float:
    """What is bought and what has to be paid at signing beside it [money]."""
    debt, bought = plan.debt, value_of(plan.outlays.total)
    if plan.payment.untaxed:
        bought -= value_of(plan.outlays.sales_tax)
    return bought - float((debt.fees + debt.rent + debt.tax_on_payments + debt.deposit)[0, 0])


def _equal(name: str, left: float, right: float) -> Check:
    scale = max(1.0, abs(left), abs(right)) * 1e-9
    return name, bool(abs(left - right) <= max(CENT, scale)), f"{left:,.4f} and {right:,.4f}"
