"""What is used up in the first year, quarter by quarter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.case import Case
from planner.plan import Plan
from planner.scenario.estimates import Array, Number

QUARTER: Final = 3  # month
FIRST_YEAR: Final = 12  # month


@dataclass(frozen=True, kw_only=True)
class QuarterOfSupplies:
    """A quarter's ink [L], powder bought [kg] and film [roll], with all that is lost, and money.

    ``first`` and ``last`` are its months; garments and transfers bought in are money alone.
    """

    first: int
    last: int
    white: float
    colour: float
    powder: float
    rolls: float
    ink_cost: float
    powder_cost: float
    film_cost: float
    garments_cost: float
    transfers_cost: float


def supplies_by_quarter(case: Case, plan: Plan) -> tuple[QuarterOfSupplies, ...]:
    """Consumables of the first year from signing; shorter where the horizon is."""
    used = plan.operations.consumed
    rates, film, values = plan.machine.rates, plan.machine.film, case.values
    in_white = rates.white / (rates.white + rates.colour)
    white = used["white ink"] + used["ink lost"] * in_white + used["white thrown away"]
    colour = used["colour ink"] + used["ink lost"] * (1 - in_white) + used["colour thrown away"]
    usable = values.scalar(film.roll.length) - values(film.roll_ends)
    rolls = (used["film"] + used["film ends"]) / usable
    months = min(case.months, FIRST_YEAR)
    amounts = {"white": white, "colour": colour, "powder": used["powder"], "rolls": rolls}
    monthly = {name: _monthly(amount, case.months) for name, amount in amounts.items()}
    cost = {
        "ink_cost": _paid(plan, "ink", "ink lost", "ink thrown away"),
        "powder_cost": _paid(plan, "powder"),
        "film_cost": _paid(plan, "film", "film ends"),
        "garments_cost": _paid(plan, "garments"),
        "transfers_cost": _paid(
            plan, "transfers bought in", "transfers bought in a hurry", "delivery of transfers"
        ),
    }
    return tuple(
        QuarterOfSupplies(
            first=begin + 1,
            last=min(begin + QUARTER, months),
            **{
                name: float(flow[begin : min(begin + QUARTER, months)].sum())
                for name, flow in (monthly | cost).items()
            },
        )
        for begin in range(0, months, QUARTER)
    )


def _monthly(amount: Number, months: int) -> Array:
    return np.asarray(np.broadcast_to(amount, (1, months))[0])


def _paid(plan: Plan, *lines: str) -> Array:
    """What ledger lines cost by month, from month 1 [money]."""
    return np.asarray(-sum(plan.ledger.line(name)[0, 1:] for name in lines))
