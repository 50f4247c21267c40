"""Series behind the charts: money over months, money over volume."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.case import Case
from planner.decide.breakeven import MakeOrBuy
from planner.decide.buy_in_prices import at_buy_in_price, crossing_at, price_range
from planner.decide.evaluation import Evaluation, running_total
from planner.decide.figures import Figures
from planner.decide.paying import outlay_by_month
from planner.decide.steady import monthly_burden, transfer_costs
from planner.plan import Plan, steady_operations
from planner.scenario.estimates import Array

POINTS = 61
BEYOND = 1.05  # of the volume that matters
MOST = 20.0  # times the planned volume: a capacity beyond is not drawn


def cumulative(evaluation: Evaluation) -> dict[str, Array]:
    """Cumulative flows before financing and before the end, by comparison (months + 1,) [money]."""
    return {
        name: running_total(comparison.before_end)[0]
        for name, comparison in evaluation.comparisons.items()
    }


def own_cash_flow(evaluation: Evaluation) -> Array:
    """Own cash flow of the whole plan against today by month, financed (months + 1,) [money]."""
    return np.asarray(evaluation.whole.before_end_financed[0])


def cumulative_outlay(plan: Plan) -> Array:
    """What has been paid for the equipment by each month, positive (months + 1,) [money]."""
    return -np.cumsum(outlay_by_month(plan))


@dataclass(frozen=True)
class BreakEvenCurves:
    """A steady month by volume: pieces a week, income and total cost [money a month].

    ``crossing`` is pieces and money where income first covers the cost for good, None if never.
    """

    volumes: Array
    income: Array
    total_cost: Array
    crossing: tuple[float, float] | None
    planned: float
    capacity: float


def break_even_curves(case: Case, plan: Plan, figures: Figures) -> BreakEvenCurves:
    """Income and cost of a steady month over weekly volume, up to a little beyond capacity."""
    found = figures.break_even
    at = found.monthly.value
    top = max(1.0, min(found.capacity, MOST)) * BEYOND
    factors = np.linspace(0.0, top, POINTS)
    volumes = figures.weekly_pieces * factors
    income, cost = _steady(case, plan, factors)
    crossing = None
    if at is not None:
        money, _ = _steady(case, plan, np.array([at]))
        crossing = figures.weekly_pieces * at, float(money[0])
    return BreakEvenCurves(
        volumes=volumes,
        income=income,
        total_cost=cost,
        crossing=crossing,
        planned=figures.weekly_pieces,
        capacity=figures.weekly_pieces * found.capacity,
    )


def _steady(case: Case, plan: Plan, factors: Array) -> tuple[Array, Array]:
    operations = steady_operations(case.moved(volume=factors[:, np.newaxis]), plan.machine)
    shape = (len(factors), 1)
    income = np.broadcast_to(operations.sales, shape)[:, 0]
    net = np.broadcast_to(sum(operations.lines.values(), 0.0), shape)[:, 0]
    return np.array(income), income - net + monthly_burden(plan)


@dataclass(frozen=True)
class MakeOrBuyCurves:
    """Cost of transfers by weekly printed area [m²/week], made and bought [money/m²].

    ``bought_low`` and ``bought_high`` are at the ends of the buy-in price's range, all buy-in
    prices moved alike; ``crossing_low`` and ``crossing_high`` the areas from which making stays
    cheaper there, None without a range or where it never does.
    """

    areas: Array
    made: Array
    bought: Array
    bought_low: Array
    bought_high: Array
    crossing: float | None
    crossing_low: float | None
    crossing_high: float | None
    planned: float


def make_or_buy_curves(case: Case, plan: Plan, found: MakeOrBuy) -> MakeOrBuyCurves:
    """Cost by area from a fifth of the planned volume up to a little beyond what matters.

    A crossing at the low price matters up to twice what the likely price makes matter.
    """
    cases = (case, *(at_buy_in_price(case, factor) for factor in price_range(case) or (1.0, 1.0)))
    at = found.by_cost.value
    low, high = (
        crossing_at(moved, plan, capacity=found.capacity).value if price_range(case) else None
        for moved in cases[1:]
    )
    top = max(1.0, at or 0.0)
    top = max(top, low) if low is not None and low <= 2 * top else top
    factors = np.linspace(0.2, min(top * BEYOND, max(found.capacity, 1.0)), POINTS)
    areas = found.buyable_area * factors
    monthly = areas * case.steady.usual_weeks
    costs = [transfer_costs(moved, plan, factors) for moved in cases]
    bought, bought_low, bought_high = (cost.bought / monthly for cost in costs)
    crossing, crossing_low, crossing_high = (
        None if factor is None else factor * found.buyable_area for factor in (at, low, high)
    )
    return MakeOrBuyCurves(
        areas=areas,
        made=costs[0].made / monthly,
        bought=bought,
        bought_low=bought_low,
        bought_high=bought_high,
        crossing=crossing,
        crossing_low=crossing_low,
        crossing_high=crossing_high,
        planned=found.buyable_area,
    )
