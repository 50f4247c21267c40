"""A month in the shop read out: warranty, what is used up, hours, current."""

from __future__ import annotations

from typing import Final

from planner.decide.answer import Answered, AnswerPage
from planner.decide.electrical import current
from planner.decide.months import months_of_work
from planner.decide.supplies import supplies_by_quarter
from planner.decide.warranties import MARGIN, PRICE, WarrantyCost, best_of, warranty_costs
from planner.shop.costs import REPAIR_LINES
from planner.show.numbers import Numbers
from planner.show.words.common import numbers_of

NO_CLEAR_DIFFERENCE: Final = 0.01  # of the price of the equipment


def all_warranties(page: AnswerPage) -> tuple[WarrantyCost, ...]:
    """Every warranty of every set of equipment, in the order of the scenario."""
    return warranty_costs(page.case, [(one.evaluation, one.figures) for one in page.choices])


def warranties_of(page: AnswerPage, answered: Answered) -> tuple[WarrantyCost, ...]:
    """The warranties that are offered for a choice's set of equipment."""
    name = answered.choice.equipment.name
    return tuple(one for one in all_warranties(page) if one.equipment == name)


def warranty_heading(page: AnswerPage, answered: Answered) -> str:
    """The finding of the chart of warranties."""
    costs, numbers = warranties_of(page, answered), numbers_of(page.scenario)
    best = best_of(costs, answered.choice.equipment.name)
    if len(costs) == 1:
        return f"Failures and wear cost {numbers.money(best.total)} in values today"
    gain = min(best.value - one.value for one in costs if one is not best)
    if gain < NO_CLEAR_DIFFERENCE * float(answered.evaluation.plan.machine.price):
        return "No clear difference between the warranties"
    return f"Take \u201c{best.warranty}\u201d: it is worth {numbers.money(gain)} more"


def warranty_sentences(page: AnswerPage, answered: Answered) -> list[str]:
    """Each warranty's price against what it saves of repairs, wear parts and margin lost."""
    costs, numbers = warranties_of(page, answered), numbers_of(page.scenario)
    first = costs[0]
    said = [_alone(first, page.case.months, numbers)]
    after = "after tax " if page.scenario.tax else ""
    said += [_against(other, first, numbers, after=after) for other in costs[1:]]
    if len(costs) == 1:
        said.append("No other warranty is offered for this set.")
    else:
        before = "; what is paid and saved is before tax" if page.scenario.tax else ""
        said.append(f"In values today at the hurdle rate{before}.")
    return said


def _alone(one: WarrantyCost, months: int, numbers: Numbers) -> str:
    repairs, margin = _repairs(one), one.present[MARGIN]
    price = one.present[PRICE]
    paid = f"its price of {numbers.money(price)}, " if price else ""
    return (
        f"Under \u201c{one.warranty}\u201d, {months} months cost {paid}"
        f"{numbers.money(repairs)} for repairs and wear parts and {numbers.money(margin)} of "
        "margin lost on days down."
    )


def _against(other: WarrantyCost, first: WarrantyCost, numbers: Numbers, *, after: str) -> str:
    price = other.present[PRICE] - first.present[PRICE]
    repairs = _repairs(first) - _repairs(other)
    margin = first.present[MARGIN] - other.present[MARGIN]
    gain = other.value - first.value
    worth = f"{numbers.money(abs(gain))} {'more' if gain >= 0 else 'less'}"
    return (
        f"\u201c{other.warranty}\u201d costs {numbers.money(price)} more and saves "
        f"{numbers.money(repairs)} of repairs and wear parts and {numbers.money(margin)} of "
        f"margin: {after}the plan is worth {worth} with it."
    )


def _repairs(one: WarrantyCost) -> float:
    return sum(one.present[line] for line in REPAIR_LINES)


def served_sentence(page: AnswerPage, answered: Answered) -> str:
    """The bottleneck, and the pieces bought in a hurry and lost over the horizon."""
    work, numbers = months_of_work(page.case, answered.evaluation.plan), numbers_of(page.scenario)
    busiest = answered.figures.busiest
    full = sum(1 for month in zip(*work.stations.values(), strict=True) if max(month) > 1)
    state = (
        f"the bottleneck is: {busiest.station}, asked for more hours than there are in {full} of "
        f"{page.case.months} months"
        if full
        else f"there are hours enough for all; nearest to full: {busiest.station}"
    )
    hurried, lost = float(work.hurried.sum()), float(work.lost.sum())
    extra = f"; overtime adds up to {work.overtime.sum():,.0f} hours" if work.overtime.any() else ""
    return (
        f"Over the plan {state}; {numbers.plain(round(hurried))} pieces are bought in a hurry and "
        f"{numbers.plain(round(lost))} are lost{extra}."
    )


def supplies_sentence(page: AnswerPage, answered: Answered) -> str:
    """What the first year uses up."""
    quarters = supplies_by_quarter(page.case, answered.evaluation.plan)
    numbers = numbers_of(page.scenario)
    bought = sum(one.transfers_cost for one in quarters)
    if not answered.evaluation.plan.machine.count:
        return (
            f"In the first {quarters[-1].last} months transfers for {numbers.money(bought)} are "
            "bought in."
        )
    ink = sum(one.white + one.colour for one in quarters)
    money = sum(one.ink_cost + one.powder_cost + one.film_cost for one in quarters)
    return (
        f"In the first {quarters[-1].last} months it uses up {ink:.1f} L of ink, "
        f"{sum(one.powder for one in quarters):.1f} kg of powder and "
        f"{sum(one.rolls for one in quarters):.1f} rolls of film for {numbers.money(money)}, "
        "with all that is lost."
    )


def current_sentence(page: AnswerPage, answered: Answered) -> str:
    """The current of the set at the scenario's voltage, for the electrician."""
    drawn = current(page.case, answered.evaluation.plan)
    decides = "A licensed electrician decides on circuits and wiring, by the local code."
    if drawn is None:
        return f"The current that the set draws follows from `voltage` in [shop]. {decides}"
    parts = {"the printer": drawn.printer, "the dryer": drawn.dryer, "a press": drawn.press}
    named = ", ".join(f"{name} {amps:.1f} A" for name, amps in parts.items() if amps)
    return (
        f"At {drawn.voltage:g} V on one phase and full power: {named}; all at once "
        f"{drawn.together:.0f} A. {decides}"
    )
