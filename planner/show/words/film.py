"""What layout makes of the film, roll against roll, and the supplier's sheet, read out."""

from __future__ import annotations

from collections.abc import Iterator

from planner.decide.answer import AnswerPage
from planner.decide.film import Roll, by_planned_area, rolls, sheet_use
from planner.show.words.common import numbers_of


def film_heading(page: AnswerPage) -> str:
    """The finding of the layout: how much of the film is picture, of the work planned most."""
    roll = own_roll(page)
    if roll is None:
        return "No film is used: nothing is printed here"
    one, numbers = roll.products[by_planned_area(page.case)[0]], numbers_of(page.scenario)
    return f"{numbers.percent(one.film_use)} of the film for {one.product} is picture"


def film_sentences(page: AnswerPage) -> Iterator[str]:
    """What layout costs, which roll is cheaper, how well the supplier's sheet is filled."""
    roll = own_roll(page)
    if roll is not None:
        yield _layout_sentence(page, roll)
        yield _week_sentence(page, roll)
    found = rolls(page.case)
    if len(found) > 1:
        yield _against_sentence(page, found)
    yield from _sheet_sentences(page)


def own_roll(page: AnswerPage) -> Roll | None:
    """The roll of the set that the page speaks of; None where that prints nothing."""
    own = page.best.choice.equipment.name
    return next((roll for roll in rolls(page.case) if own in roll.equipment), None)


def _layout_sentence(page: AnswerPage, roll: Roll) -> str:
    numbers, one = numbers_of(page.scenario), roll.products[by_planned_area(page.case)[0]]
    return (
        f"Of the film fed for {one.product}, {numbers.percent(one.film_use)} is picture: laid out, "
        f"with rejects and redone work, film costs {numbers.money(one.cost, cents=True)} a piece; "
        f"by area only it would be {numbers.money(one.area_only, cents=True)}."
    )


def _week_sentence(page: AnswerPage, roll: Roll) -> str:
    numbers, own = numbers_of(page.scenario), page.best.choice.equipment.name
    (week,) = (week for week in roll.weeks if week.equipment == own)
    return (
        f"A week of the planned work takes {numbers.length(week.fed)} of the "
        f"{numbers.length(roll.width)} roll for {numbers.money(week.cost, cents=True)}, of which "
        f"{numbers.money(week.ends, cents=True)} are the blank ends of runs and rolls."
    )


def _against_sentence(page: AnswerPage, found: tuple[Roll, ...]) -> str:
    """Rolls by what a week of the planned work takes of them, whatever else the sets cost.

    A roll that several sets take counts on the one that loses least at the ends of runs.
    """
    numbers = numbers_of(page.scenario)
    costs = [(min(week.cost for week in roll.weeks), _named(roll, found, page)) for roll in found]
    (least, cheapest), *others = sorted(costs, key=lambda item: item[0])
    dearer = " and ".join(f"{numbers.money(cost, cents=True)} on {name}" for cost, name in others)
    return (
        f"Of film alone, the planned work takes least on {cheapest}: "
        f"{numbers.money(least, cents=True)} a week against {dearer}."
    )


def _named(roll: Roll, found: tuple[Roll, ...], page: AnswerPage) -> str:
    """A roll by its width, or by its sets where several are as wide."""
    width = numbers_of(page.scenario).length(roll.width)
    alone = sum(other.width == roll.width for other in found) == 1
    return f"the {width} roll" if alone else f"the {width} roll of {', '.join(roll.equipment)}"


def _sheet_sentences(page: AnswerPage) -> Iterator[str]:
    today, numbers = page.scenario.today, numbers_of(page.scenario)
    product = page.scenario.products[by_planned_area(page.case)[0]]
    use = sheet_use(page.case, product)
    if today is None or today.buy_in_price is None or use is None:
        return
    price = page.case.values.scalar(today.buy_in_price)
    width = numbers.length(page.case.values.scalar(today.sheet_width))
    yield (
        f"Of the supplier's sheet, {width} wide, {product.name} fills {numbers.percent(use)}: "
        f"{numbers.money_per_area(price)} of sheet are {numbers.money_per_area(price / use)} of "
        f"picture."
    )
