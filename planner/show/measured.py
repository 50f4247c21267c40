"""What was measured on the test prints, in the units in which it is shown."""

from __future__ import annotations

from typing import Final

from planner.decide.answer import AnswerPage
from planner.show.numbers import Numbers
from planner.usage.designs import Design, designs

IN_SMALL: Final = 1000  # mL in a litre, g in a kilogram


def rate_unit(kind: str, numbers: Numbers) -> str:
    """The unit in which a rate is shown, such as "mL/ft²"."""
    return f"{'g' if kind == 'powder' else 'mL'}/{numbers.area_unit}"


def rate_shown(value: float, numbers: Numbers) -> float:
    """A rate of ink [L/m²] or powder [kg/m²] as a number of the unit shown."""
    return numbers.per_area_shown(IN_SMALL * value)


def rate_words(value: float, kind: str, numbers: Numbers) -> str:
    """A rate of ink [L/m²] or powder [kg/m²] with its unit."""
    return f"{numbers.plain(rate_shown(value, numbers))} {rate_unit(kind, numbers)}"


def designs_of(page: AnswerPage) -> tuple[Design, ...]:
    """Each measured design on the film and at the prices of the machine that the page speaks of."""
    scenario, machine = page.scenario, page.best.evaluation.plan.machine
    return designs(
        scenario.prints,
        rates=machine.rates,
        film=machine.film,
        powder=scenario.powder,
        spoilage=scenario.spoilage,
        values=page.case.values,
    )
