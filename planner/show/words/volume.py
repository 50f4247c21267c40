"""Break-even and make or buy read out."""

from __future__ import annotations

from collections.abc import Iterator

from planner.decide.answer import Answered, AnswerPage
from planner.decide.figures import Figures
from planner.decide.sensitivity import price_worth_nothing
from planner.decide.solve import Crossing, Outcome
from planner.show.numbers import Numbers
from planner.show.words.common import numbers_of, other_way


def break_even_sentences(page: AnswerPage, answered: Answered) -> Iterator[str]:
    """Break-evens read out, each with what it asks of."""
    figures, numbers = answered.figures, numbers_of(page.scenario)
    found, pieces = figures.break_even, figures.weekly_pieces
    burden = (
        "the equipment's monthly cost"
        if answered.choice.financing.kind == "cash"
        else "the payments"
    )
    capacity = numbers.pieces_per_week(pieces * found.capacity)
    yield (
        f"All this work, machine included, covers its costs and {burden} from "
        f"{_pieces(found.monthly, pieces, numbers)}; {capacity} fill the shop."
    )
    yield (
        f"Over {page.case.months} months it earns its money back from "
        f"{_pieces(found.lifetime, pieces, numbers)}."
    )
    yield from price_sentences(page, answered)
    yield _added_sentence(figures, other_way(page), numbers)


def _pieces(crossing: Crossing, pieces: float, numbers: Numbers) -> str:
    if crossing.value is not None:
        return numbers.pieces_per_week(crossing.value * pieces)
    if crossing.outcome is Outcome.ALWAYS:
        return "any volume"
    return "no volume within capacity"


def price_sentences(page: AnswerPage, answered: Answered) -> Iterator[str]:
    """How far all selling prices together could fall: of all this work, and of B."""
    numbers = numbers_of(page.scenario)
    price = answered.figures.break_even.price.value
    if price is None:
        return
    share = numbers.percent(price)
    if price > 1:
        yield (
            f"At the planned volume, all selling prices together would have to rise to {share} "
            "before all this work, machine included, is worth anything."
        )
        return
    said = (
        f"All selling prices together could fall to {share} before all this work is worth nothing"
    )
    found = price_worth_nothing(page.case, answered.evaluation.plan).value
    is_less = found is not None and found <= 1
    yield f"{said}, to {numbers.percent(found)} before B is." if is_less else f"{said}."


def _added_sentence(figures: Figures, other: str, numbers: Numbers) -> str:
    requirement = figures.added_work
    what = "added work" if requirement.lever == "added" else "planned work"
    match requirement.crossing.outcome:
        case Outcome.ALWAYS:
            return f"Against {other} it is worth more even with none of the {what}."
        case Outcome.NEVER:
            return f"Against {other}, no amount of {what} within capacity makes it worth more."
        case _:
            share = requirement.crossing.value or 0.0
            needs = f"Against {other} it needs {numbers.percent(share)} of the {what}"
            margin = numbers.percent(abs(1 - share))
            if share > 1:
                return f"{needs}: {margin} more than planned."
            return f"{needs}: a margin of safety of {margin}."


def break_even_heading(page: AnswerPage, answered: Answered) -> str:
    """The finding of the break-even chart."""
    numbers, figures = numbers_of(page.scenario), answered.figures
    pieces = _pieces(figures.break_even.monthly, figures.weekly_pieces, numbers)
    return f"All this work, machine included, breaks even at {pieces}"


def make_or_buy_sentence(page: AnswerPage, answered: Answered) -> str:
    """From which weekly area making transfers is cheaper than buying them."""
    found, numbers = answered.figures.make_or_buy, numbers_of(page.scenario)
    if found is None:
        return f"Make or buy cannot be judged: {answered.figures.nothing_to_make_or_buy}."
    planned = numbers.area_per_week(found.buyable_area)
    if found.by_cost.value is not None:
        area = numbers.area_per_week(found.by_cost.value * found.buyable_area)
        return (
            f"Making a transfer, every hour costed, stays cheaper than buying it from {area}; "
            f"{planned} are planned."
        )
    if found.by_cost.outcome is Outcome.ALWAYS:
        return f"Making a transfer is cheaper than buying it at any volume; {planned} are planned."
    return (
        f"Making a transfer costs more than buying it at any volume within capacity; {planned} "
        f"are planned."
    )


def make_or_buy_note(page: AnswerPage, answered: Answered) -> str:
    """What the two make-or-buy figures count."""
    found, numbers = answered.figures.make_or_buy, numbers_of(page.scenario)
    if found is None or found.by_value.value is None:
        return "Every hour is costed here, whether it is paid or not, and pressing is left out."
    area = numbers.area_per_week(found.by_value.value * found.weekly_area)
    return (
        "Every hour is costed here, whether it is paid or not, and pressing is left out; bought "
        "transfers hold their delivery, cutting and those spoiled at the press. By net present "
        "value, which also counts work that bought transfers cannot serve, unpaid hours and tax, "
        f"making is worth more from {area}."
    )
