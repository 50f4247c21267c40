"""Print cost, inputs, what matters most and conditions read out."""

from __future__ import annotations

from planner.decide.answer import AnswerPage
from planner.decide.conditions import Condition
from planner.decide.rests_on import bases
from planner.show.numbers import Numbers
from planner.show.words.changed import figure_words
from planner.show.words.common import numbers_of


def print_cost_sentence(page: AnswerPage) -> str:
    """Full cost and price of every product."""
    numbers = numbers_of(page.scenario)
    said = [
        f"{one.product} costs {numbers.money(one.full, cents=True)} with labour, upkeep and "
        f"overheads, {numbers.money(one.with_equipment, cents=True)} with the equipment, and sells "
        f"for {numbers.money(one.price, cents=True)}"
        for one in page.prints
    ]
    return "; ".join(said) + "."


def upkeep_sentence(page: AnswerPage) -> str:
    """What the part of a piece's cost holds that belongs to no single print."""
    stated = (
        "the overheads stated" if page.scenario.overheads else "no overheads, for none are stated"
    )
    printing = (
        "daily care, ink lost to cleaning, ends of the film, standby power, "
        if page.best.evaluation.plan.machine.count
        else ""
    )
    return (
        f"Upkeep and overheads belong to no single print and are shared by area: {printing}"
        f"supplies, wear parts, repairs, insurance, and {stated}."
    )


def print_cost_heading(page: AnswerPage) -> str:
    """The finding of the print-cost chart: the largest part of the first product."""
    one = page.prints[0]
    part = max(one.groups, key=lambda name: one.groups[name])
    share = numbers_of(page.scenario).percent(one.groups[part] / one.full)
    return f"The largest part of {one.product} is {part}: {share} of its full cost"


def film_sentence(page: AnswerPage) -> str:
    """What layout adds to the materials of the first product; on a press alone, what it buys."""
    numbers, one = numbers_of(page.scenario), page.prints[0]
    plain, materials = (
        numbers.money(cost, cents=True) for cost in (one.area_only, one.groups["materials"])
    )
    if not page.best.evaluation.plan.machine.count:
        return (
            f"The transfer of {one.product} costs {plain}, with its delivery {materials}. The "
            f"picture takes {numbers.percent(one.film_use)} of what is paid for."
        )
    return (
        f"By area only, ink, film and powder of {one.product} would cost {plain}; laid out on the "
        f"roll, with rejects and redone work, they cost {materials}."
    )


def sources_sentence(page: AnswerPage) -> str:
    """How many inputs are measured, from accounts, quoted, estimated or defaults."""
    counted = bases(page.scenario, page.best.choice, is_seller=False)
    said = ", ".join(f"{count} {name}" for name, count in counted.counts.items())
    return f"Of {counted.total} inputs behind this choice: {said}."


def condition_words(condition: Condition, numbers: Numbers) -> str:
    """One condition: met or not, its figure, its limit and the distance."""
    state = "met" if condition.met else "not met"
    limit = figure_words(condition, condition.limit, numbers)
    if condition.figure is None:
        return f"{state}: {condition.condition} {limit}; it is not reached"
    figure = figure_words(condition, condition.figure, numbers)
    if figure == limit and condition.distance:
        side = "above" if condition.figure > condition.limit else "below"
        return f"{state}: {condition.condition} {limit}; it is just {side} that"
    distance = figure_words(condition, abs(condition.distance or 0.0), numbers)
    return f"{state}: {condition.condition} {limit}; it is {figure}, {distance} from the limit"
