"""Which warranty to take: its price against the repairs and the idle days that it avoids."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from planner.case import Case
from planner.decide.evaluation import AGAINST_BUYING_IN, Evaluation
from planner.decide.figures import Figures
from planner.finance.series import net_present_value
from planner.ledger import Group
from planner.plan import Plan
from planner.scenario.estimates import Array
from planner.shop.costs import REPAIR_LINES
from planner.shop.month import operations_with

PRICE: Final = "price of the warranty"
MARGIN: Final = "margin lost on days down"
UPSETS: Final = (PRICE, *REPAIR_LINES, MARGIN)


@dataclass(frozen=True, eq=False)
class WarrantyCost:
    """What failures and their cover cost under one warranty, before tax.

    ``years`` gives each part by year from signing, the first with its month 0 [money];
    ``present`` the same at the hurdle rate [money]; ``value`` the net present value of the plan
    against buying in, before financing [money].
    """

    equipment: str
    warranty: str
    years: Mapping[str, tuple[float, ...]]
    present: Mapping[str, float]
    value: float

    @property
    def total_by_year(self) -> tuple[float, ...]:
        """All parts together by year [money]."""
        return tuple(float(sum(year)) for year in zip(*self.years.values(), strict=True))

    @property
    def total(self) -> float:
        """All parts together at the hurdle rate [money]."""
        return sum(self.present.values())


def warranty_costs(
    case: Case, choices: Sequence[tuple[Evaluation, Figures]]
) -> tuple[WarrantyCost, ...]:
    """Each warranty of each set of equipment once, in the order of the scenario."""
    found: dict[tuple[str, str], WarrantyCost] = {}
    for evaluation, figures in choices:
        key = evaluation.choice.names[:2]
        if key not in found:
            value = figures.net_present_value[AGAINST_BUYING_IN] or 0.0
            found[key] = _cost(case, evaluation.plan, value)
    return tuple(found.values())


def best_of(costs: Sequence[WarrantyCost], equipment: str) -> WarrantyCost:
    """The warranty of a set under which the plan is worth most; of equals, the first."""
    return max((one for one in costs if one.equipment == equipment), key=lambda one: one.value)


def _cost(case: Case, plan: Plan, value: float) -> WarrantyCost:
    flows = {
        PRICE: -plan.cash_ledger.line("warranty")[0],
        **{line: -plan.cash_ledger.line(line)[0] for line in REPAIR_LINES},
        MARGIN: _margin_lost(case, plan),
    }
    hurdle = np.ravel(case.hurdle)
    return WarrantyCost(
        equipment=plan.choice.equipment.name,
        warranty=plan.choice.warranty.name,
        years={name: _by_year(flow) for name, flow in flows.items()},
        present={
            name: float(net_present_value(flows=flow[np.newaxis], rate=hurdle)[0])
            for name, flow in flows.items()
        },
        value=value,
    )


def _margin_lost(case: Case, plan: Plan) -> Array:
    """What the running months would leave more if no machine ever stood still (months + 1,)."""
    never = replace(case, levers=replace(case.levers, down=0.0))
    lines = operations_with(never.setting(plan.machine, never.calendar)).lines
    at_best = sum((flow for name, flow in lines.items() if name not in REPAIR_LINES), 0.0)
    running = plan.cash_ledger.total(Group.RUNNING)[0]
    repairs = sum(plan.cash_ledger.line(name)[0] for name in REPAIR_LINES)
    lost = np.zeros(case.months + 1)
    lost[1:] = np.broadcast_to(at_best, (1, case.months))[0] - (running - repairs)[1:]
    return lost


def _by_year(flow: Array) -> tuple[float, ...]:
    year = np.maximum(1, np.ceil(np.arange(len(flow)) / 12).astype(int))
    return tuple(float(amount) for amount in np.bincount(year, weights=flow)[1:])
