"""The price to ask for an order: what leaves the wanted margin, surcharge and minimum after it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.decide.answer import AnswerPage
from planner.plan import steady_operations, value_of
from planner.scenario.estimates import Values
from planner.scenario.schema import Order, Selling

SetBy = Literal["margin", "rush surcharge", "minimum order"]


@dataclass(frozen=True, kw_only=True)
class Asked:
    """The price to ask [money for the order].

    ``at_margin`` leaves the ``margin`` asked for [-] over full cost with equipment; None where no
    price does. ``rush`` is the surcharge on it [-], None where the order is in a hurry and no
    surcharge is stated. What is asked is at least ``minimum``.
    """

    margin: float
    at_margin: float | None
    rush: float | None
    minimum: float

    @property
    def surcharged(self) -> float | None:
        """The price at the margin with the surcharge [money]; None where there is none."""
        return None if self.at_margin is None else self.at_margin * (1 + (self.rush or 0.0))

    @property
    def price(self) -> float | None:
        """What to ask [money]; None where no price leaves the margin."""
        return None if self.surcharged is None else max(self.minimum, self.surcharged)

    @property
    def set_by(self) -> SetBy:
        """What the price hangs on in the end."""
        if self.surcharged is not None and self.surcharged < self.minimum:
            return "minimum order"
        return "rush surcharge" if self.rush else "margin"


def asked(*, order: Order, cost: float, selling: Selling, values: Values) -> Asked:
    """The price to ask for an order.

    Parameters
    ----------
    cost : float
        Full cost with equipment, the share of the price that a payment takes aside [money].
    """
    rush: float | None = 0.0
    if order.rush:
        rush = values.scalar(selling.rush.extra) if selling.rush else None
    margin, fee_share = values.scalar(selling.margin), values.scalar(selling.payment_fee)
    return Asked(
        margin=margin,
        at_margin=price_at_margin(cost=cost, fee_share=fee_share, margin=margin),
        rush=rush,
        minimum=values.scalar(selling.minimum_order),
    )


def price_at_margin(*, cost: float, fee_share: float, margin: float) -> float | None:
    """The price that leaves a margin, when a share of the price goes to the payment [money].

    None where fee and margin take the whole price or more.

    Parameters
    ----------
    cost : float
        All costs but the fee by share [money], ≥ 0.
    fee_share, margin : float
        Shares of the price [-], ≥ 0.

    Notes
    -----
    P = cost + fee·P + margin·P, so P = cost / (1 − fee − margin).
    """
    left = 1 - fee_share - margin
    return cost / left if left > 1e-9 else None


def rush_surcharges(page: AnswerPage) -> float | None:
    """What surcharges for orders in a hurry would bring in a steady month [money].

    They come on top of the plan. None where no share and surcharge are stated.
    """
    rush, values = page.scenario.selling.rush, page.case.values
    if rush is None:
        return None
    sales = value_of(steady_operations(page.case, page.best.evaluation.plan.machine).sales)
    return values.scalar(rush.share) * values.scalar(rush.extra) * sales
