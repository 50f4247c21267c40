"""How much work, or what price, it takes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.case import Case, Choice
from planner.decide.evaluation import Comparison, headline_for_cash, running_total
from planner.decide.solve import Crossing, lasting_crossing
from planner.decide.steady import (
    added_capacity_factor,
    buyable_area,
    capacity_factor,
    steady_surplus,
    transfer_costs,
)
from planner.finance.series import net_present_value
from planner.plan import Plan, plan
from planner.scenario.estimates import Array

HIGHEST_PRICE_FACTOR: Final = 10.0
MOST_ADDED: Final = 100.0


@dataclass(frozen=True)
class BreakEven:
    """Break-evens of one choice; volumes as factors on the planned mix [-].

    ``monthly`` and ``lifetime`` ask of all the work, machine included; ``price`` is a factor on
    selling prices; ``capacity`` the factor at which the fullest station is full.
    """

    monthly: Crossing
    lifetime: Crossing
    price: Crossing
    capacity: float


def break_even(case: Case, own: Plan) -> BreakEven:
    """Break-even volumes up to the capacity of a steady month, and the break-even price."""
    capacity = capacity_factor(case, own.machine)
    top = min(capacity, _MOST_VOLUME)
    return BreakEven(
        monthly=monthly_break_even(case, own, capacity=capacity),
        lifetime=lasting_crossing(
            lambda factors: own_value(case.moved(volume=_column(factors)), own),
            low=0.0,
            high=top,
        ),
        price=lasting_crossing(
            lambda factors: own_value(case.moved(price=_column(factors)), own),
            low=0.0,
            high=HIGHEST_PRICE_FACTOR,
        ),
        capacity=capacity,
    )


_MOST_VOLUME: Final = 1000.0


def monthly_break_even(case: Case, own: Plan, *, capacity: float) -> Crossing:
    """The volume factor from which a steady month covers its costs, up to ``capacity`` [-]."""
    top = min(capacity, _MOST_VOLUME)
    return lasting_crossing(lambda factors: steady_surplus(case, own, factors), low=0.0, high=top)


def own_value(moved: Case, own: Plan) -> Array:
    """Net present value of a choice's own ledger when levers move, financed (draws,) [money]."""
    flows = plan(moved, own.choice, payment=own.payment).ledger.net
    return net_present_value(flows=flows, rate=np.ravel(moved.hurdle))


def headline_value(case: Case, choice: Choice) -> Array:
    """Net present value of the plan against buying in, before financing (draws,) [money]."""
    flows = headline_for_cash(case, choice).net
    return net_present_value(flows=flows, rate=np.ravel(case.hurdle))


@dataclass(frozen=True)
class Requirement:
    """How much of a lever the headline comparison needs, and the lever's name.

    ``added``: share of the work beyond today's, today's held fixed; ``volume``: factor on all
    planned work, where nothing is added to today's; ``top`` is the most that is tried [-].
    ``pieces`` [piece/week] and their ``area`` [m²/week] are all the work at the crossing, None
    where there is none.
    """

    lever: str
    crossing: Crossing
    top: float
    pieces: float | None
    area: float | None


def volume_lever(case: Case) -> str:
    """The lever that stands for more work: the added work, or all of it where none is added."""
    adds = any(
        case.values.scalar(product.planned) != case.values.scalar(product.today)
        for product in case.scenario.products
    )
    return "added" if adds else "volume"


def pieces_at(case: Case, *, lever: str, factor: float) -> list[float]:
    """Pieces a week of each product when a lever stands at a ``factor`` [-] [piece/week]."""
    values = case.values
    planned = [values.scalar(product.planned) for product in case.scenario.products]
    if lever == "volume":
        return [factor * pieces for pieces in planned]
    kept = [values.scalar(product.today) for product in case.scenario.products]
    return [today + factor * (pieces - today) for pieces, today in zip(planned, kept, strict=True)]


def added_work_needed(case: Case, own: Plan) -> Requirement:
    """How much work makes the plan worth as much as buying in, before financing."""
    return _requirement(case, own, lambda moved: headline_value(moved, own.choice))


def work_to_pay_back(case: Case, own: Plan, *, within: float) -> Requirement:
    """How much work makes the plan pay back within a time [month] and be worth having."""

    def worst(moved: Case) -> Array:
        headline = headline_for_cash(moved, own.choice)
        value = net_present_value(flows=headline.net, rate=np.ravel(case.hurdle))
        return np.minimum(value, slack(headline, within=within))

    return _requirement(case, own, worst)


def slack(headline: Comparison, *, within: float) -> Array:
    """Lowest cumulative flow of the headline from a month on (draws,) [money].

    At or above zero exactly where the payback is within that time.
    """
    total = running_total(headline.before_end)
    month = min(int(within), total.shape[-1] - 1)
    after = min(month + 1, total.shape[-1] - 1)
    at = total[:, month] + (within - month) * (total[:, after] - total[:, month])
    return np.asarray(np.minimum(at, total[:, after:].min(axis=-1)))


def _requirement(case: Case, own: Plan, figure: Callable[[Case], Array]) -> Requirement:
    lever = volume_lever(case)
    top = min(_top(case, own, lever), MOST_ADDED)
    crossing = lasting_crossing(
        lambda factors: figure(case.moved(**{lever: _column(factors)})), low=0.0, high=top
    )
    if crossing.value is None:
        return Requirement(lever, crossing, top, pieces=None, area=None)
    each = pieces_at(case, lever=lever, factor=crossing.value)
    area = sum(pieces * use.area for pieces, use in zip(each, own.machine.uses, strict=True))
    return Requirement(lever, crossing, top, pieces=sum(each), area=area)


def _top(case: Case, own: Plan, lever: str) -> float:
    """Factor of the lever at which the fullest station is full in a steady month."""
    if lever == "volume":
        return capacity_factor(case, own.machine)
    return added_capacity_factor(case, own.machine)


@dataclass(frozen=True)
class MakeOrBuy:
    """The factor on the planned volume from which making stays cheaper than buying.

    ``by_cost`` is a factor on ``buyable_area``, that of products with a buy-in price [m²/week].
    """

    by_cost: Crossing
    buyable_area: float
    capacity: float


def make_or_buy(case: Case, own: Plan) -> MakeOrBuy | None:
    """The area from which making is cheaper; None where nothing is made or none can be bought."""
    if not own.machine.count or not any(area > 0 for area in own.machine.bought):
        return None
    capacity = min(capacity_factor(case, own.machine), _MOST_VOLUME)

    def saved(factors: Array) -> Array:
        costs = transfer_costs(case, own, factors)
        return costs.bought - costs.made

    return MakeOrBuy(
        by_cost=lasting_crossing(saved, low=0.0, high=capacity),
        buyable_area=buyable_area(case, own.machine),
        capacity=capacity,
    )


def _column(factors: Array) -> Array:
    return factors[:, np.newaxis]
