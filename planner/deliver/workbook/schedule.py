"""Columns of a schedule with one row a month."""

from __future__ import annotations

from dataclasses import dataclass

from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.grid import Line, Value
from planner.deliver.workbook.looks import serial
from planner.deliver.workbook.paying_inputs import covers_name
from planner.scenario.estimates import Array

_AMOUNTS = {
    "start-up": "start_up_total",
    "warranty": "warranty_price",
    "first fill": "first_fill_cost",
    "stock": "stock_opening",
}


def covered(equipment: str) -> str:
    """What an offer covers of the outlays, when its equipment counts with this amount."""
    amounts = {"equipment": equipment} | _AMOUNTS
    return "+".join(f"{covers_name(part)}*({amount})" for part, amount in amounts.items())


def schedule_months(facts: Facts) -> int:
    """The last month of the schedule: the horizon, or the end of the term where it comes later."""
    term = facts.plan.choice.financing.term
    assert term is not None
    return max(facts.months, facts.values.whole(term))


def dates(facts: Facts) -> Line:
    """The month that each row stands for."""
    start, last = facts.scenario.start, schedule_months(facts)
    return Line(
        key="date",
        label="date",
        unit="date",
        values=(None, *(serial(start.plus(at)) for at in range(last))),
        formula="DATE(start_year,start_month+{month}-1,1)",
    )


@dataclass(frozen=True)
class Column:
    """Makes columns over months 0 to ``last`` from flows that may end before."""

    unit: str
    last: int

    def at_signing(self, key: str, label: str, flows: Array, formula: str) -> Line:
        """A column with one flow, at signing."""
        values = (float(flows[0, 0]), *([None] * self.last))
        return Line(key=key, label=label, unit=self.unit, values=values, first=formula)

    def later(self, key: str, label: str, flows: Array, formula: str) -> Line:
        """A column from month 1 on."""
        values = (None, *self._values(flows)[1:])
        return Line(key=key, label=label, unit=self.unit, values=values, formula=formula)

    def always(self, key: str, label: str, flows: Array, formula: str, *, first: str) -> Line:
        """A column from signing on."""
        values = self._values(flows)
        return Line(
            key=key, label=label, unit=self.unit, values=values, formula=formula, first=first
        )

    def _values(self, flows: Array) -> tuple[Value, ...]:
        found = [float(flow) for flow in flows[0]]
        return (*found, *([None] * (self.last + 1 - len(found))))
