"""Parts that wear out: area and age since they were last changed, and when they are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.deliver.workbook.facts import Facts, Side, by_month
from planner.deliver.workbook.grid import Heading, Line, total_of
from planner.deliver.workbook.months import Months
from planner.deliver.workbook.pieces import Blocks
from planner.scenario.derived import WEAR_MONTHS
from planner.scenario.estimates import Array


@dataclass(frozen=True, kw_only=True)
class Part:
    """A part's lives by area [m²] and by age [month], None where it has none."""

    name: str
    life: float | None
    life_at_most: float | None
    may_be_covered: bool


def wear_parts(facts: Facts) -> tuple[Part, ...]:
    """The parts of the set; without data one that stands for all of them.

    Where nothing is printed none wears out by area.
    """
    parts, values, prints = facts.machine.equipment.wear_parts, facts.values, facts.prints
    if parts is None:
        everything = Part(
            name="wear parts", life=None, life_at_most=WEAR_MONTHS, may_be_covered=False
        )
        return (everything,)
    return tuple(
        Part(
            name=part.name,
            life=values.scalar(part.life) if part.life and prints else None,
            life_at_most=values.scalar(part.life_at_most) if part.life_at_most else None,
            may_be_covered=True,
        )
        for part in parts
    )


def wear_lines(facts: Facts, side: Side) -> Blocks:
    """What is worn at each month's end, the changes that are due, and those that are made.

    Area beyond a life counts for the next part; none is changed in the last month.
    """
    for at, part in enumerate(wear_parts(facts), start=1):
        yield Heading(f"Since it was last changed: {part.name}")
        yield from _part(facts, side, at, part)


def _part(facts: Facts, side: Side, at: int, part: Part) -> Iterator[Line]:
    line, worn = Months(facts.months).line, _worn(facts, side, part)
    due = total_of(
        [
            *([f"{{due_area_{at}.prev}}"] if part.life else []),
            *([f"{{due_age_{at}.prev}}"] if part.life_at_most else []),
        ]
    )
    if part.life:
        kept = f"{{worn_area_{at}.prev}}-{{due_area_{at}.prev}}*wear_part_{at}_life"
        if part.life_at_most:
            kept = f"IF({{due_age_{at}.prev}}>0,0,{kept})"
        own = "{area}/equipment_machines"
        yield line(f"worn_area_{at}", "area printed, each", "m²", worn.area, f"{kept}+{own}")
        yield line(
            f"due_area_{at}",
            "changes due by area",
            "count",
            worn.by_area,
            f"INT({{worn_area_{at}}}/wear_part_{at}_life+0.000000000001)",
        )
    if part.life_at_most:
        spared = f",{{due_area_{at}}}=0" if part.life else ""
        yield line(
            f"worn_age_{at}",
            "months run",
            "count",
            worn.age,
            f"IF({due}>0,0,{{worn_age_{at}.prev}})+{{calendar.running}}",
        )
        yield line(
            f"due_age_{at}",
            "changes due by age",
            "count",
            worn.by_age,
            f"IF(AND({{worn_age_{at}}}>=wear_part_{at}_life_at_most{spared}),1,0)",
        )
    yield line(
        f"changed_{at}",
        "changed",
        "count",
        (worn.by_area + worn.by_age) * (np.arange(1, facts.months + 1) < facts.months),
        f"IF({{month}}<horizon,{due.replace('.prev', '')},0)",
        adds_up=True,
    )


@dataclass(frozen=True, eq=False)
class _Worn:
    """At each month's end, before a change: area [m²], age [month], changes due (months,)."""

    area: Array
    age: Array
    by_area: Array
    by_age: Array


def _worn(facts: Facts, side: Side, part: Part) -> _Worn:
    printed = by_month(side.operations.area, months=facts.months) / max(1, facts.machine.count)
    worn = _Worn(*(np.zeros(facts.months) for _ in range(4)))
    life, at_most = part.life or np.inf, part.life_at_most or np.inf
    area, age = 0.0, 0.0
    for month in range(facts.months):
        area, age = area + printed[month], age + float(facts.calendar.running[month])
        by_area = np.floor(area / life + 1e-12)
        by_age = float(age >= at_most and by_area == 0)
        worn.area[month], worn.age[month] = area, age
        worn.by_area[month], worn.by_age[month] = by_area, by_age
        area = 0.0 if by_age else area - (by_area * life if by_area else 0.0)
        age = 0.0 if by_area or by_age else age
    return worn


def wear_cost_formula(facts: Facts) -> str:
    """Cost of the parts changed in a month, in month-1 prices."""
    return total_of(
        [
            f"{{changed_{at}}}*wear_part_{at}_set"
            + (
                f"*IF({{calendar.age}}<=warranty_term,1-wear_part_{at}_covered,1)"
                if part.may_be_covered
                else ""
            )
            for at, part in enumerate(wear_parts(facts), start=1)
        ]
    )
