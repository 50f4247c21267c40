"""The share of added work that only the machine can do, and where the answer turns on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from planner.case import Case
from planner.decide.breakeven import slack
from planner.decide.evaluation import headline_for_cash
from planner.decide.solve import Outcome, lasting_crossing
from planner.finance.series import net_present_value
from planner.plan import Plan
from planner.scenario.estimates import Array, Estimate, Values
from planner.scenario.key_paths import quoted_name
from planner.scenario.schema import Product
from planner.shop.work import can_buy_in


@dataclass(frozen=True)
class Hinge:
    """Where the answer turns on the share of added work that bought transfers cannot serve.

    ``least`` [-] is the share, one for all ``products`` that add work and could be bought in, from
    which the plan pays back in time and is worth more than buying in; ``planned`` [-] is theirs,
    by the pieces that each adds.
    """

    products: tuple[str, ...]
    least: float
    planned: float


def hinge(case: Case, own: Plan, *, within: float) -> Hinge | None:
    """The share from which the answer is yes; None where it is the same for none and for all.

    Payback is asked for ``within`` a time [month].
    """
    growing = [one for one in case.scenario.products if _could_be_either(case, one)]
    if not growing or not own.machine.count:
        return None
    stated = _all_stated(case)
    keys = [_share(one).key for one in growing]

    def room(shares: Array) -> Array:
        drawn = {**case.values.drawn, **dict.fromkeys(keys, shares[:, np.newaxis])}
        headline = headline_for_cash(replace(stated, values=Values(drawn)), own.choice)
        value = net_present_value(flows=headline.net, rate=np.ravel(case.hurdle))
        return np.minimum(value, slack(headline, within=within))

    found = lasting_crossing(room, low=0.0, high=1.0)
    if found.outcome is not Outcome.FOUND or found.value is None:
        return None
    added = [_added(case, one) for one in growing]
    shares = [case.values.scalar(_share(one)) for one in growing]
    return Hinge(
        products=tuple(one.name for one in growing),
        least=found.value,
        planned=float(np.average(shares, weights=added)),
    )


def _could_be_either(case: Case, product: Product) -> bool:
    """Whether a product adds work that could be bought in."""
    buyable = can_buy_in(product=product, today=case.scenario.today)
    return buyable and _added(case, product) > 0


def _added(case: Case, product: Product) -> float:
    """Pieces beyond today's [piece/week]."""
    return case.values.scalar(product.planned) - case.values.scalar(product.today)


def _share(product: Product) -> Estimate:
    """What the scenario says of a product's share: none of it where it says nothing."""
    key = f"products.{quoted_name(product.name)}.needs_machine"
    unstated = Estimate(likely=0.0, unit="share", key=key, basis="default")
    return product.needs_machine or unstated


def _all_stated(case: Case) -> Case:
    """The same case, in which each product says its share, so that it can be moved."""
    today = case.scenario.today
    products = tuple(
        one.model_copy(update={"needs_machine": _share(one)})
        if can_buy_in(product=one, today=today)
        else one
        for one in case.scenario.products
    )
    return replace(case, scenario=case.scenario.model_copy(update={"products": products}))
