"""Break-even and make or buy read out."""

from __future__ import annotations

from collections.abc import Iterator

from planner.decide.answer import Answered, AnswerPage
from planner.decide.sensitivity import price_worth_nothing
from planner.decide.solve import Crossing, Outcome
from planner.show.numbers import Numbers
from planner.show.words.common import numbers_of, other_way


def break_even_sentences(page: AnswerPage, answered: Answered) -> Iterator[str]:
    """Break-evens read out, that of the purchase first, each with what it asks of."""
    figures, numbers = answered.figures, numbers_of(page.scenario)
    found, pieces = figures.break_even, figures.weekly_pieces
    yield worth_more_sentence(page, answered)
    yield (
        f"The monthly break-even is another measure: a month of all this work, today's in it, pays "
        f"its own costs and {burden_words(answered)} from "
        f"{_pieces(found.monthly, pieces, numbers)}. Over {page.case.months} months that work, "
        f"machine included, earns its money back from {_pieces(found.lifetime, pieces, numbers)}. "
        f"Neither sets it against {other_way(page)}. "
        f"{numbers.pieces_per_week(pieces * found.capacity)} fill the shop."
    )
    yield from price_sentences(page, answered)


def worth_more_sentence(page: AnswerPage, answered: Answered) -> str:
    """From how many pieces a week the purchase is worth it, beside what is planned."""
    needed, numbers = answered.figures.added_work, numbers_of(page.scenario)
    planned = f"{numbers.pieces_per_week(answered.figures.weekly_pieces)} are planned"
    added = needed.lever == "added"
    if needed.pieces is None or needed.crossing.value is None:
        is_always = needed.crossing.outcome is Outcome.ALWAYS
        least = "even with none of the added work" if added else "at any volume"
        volume = least if is_always else "at no volume within capacity"
        return f"The purchase is worth more than {other_way(page)} (B) {volume}; {planned}."
    margin = numbers.percent(abs(1 - needed.crossing.value))
    what = "added work" if added else "work"
    room = (
        f"it takes {margin} more {what} than that"
        if needed.crossing.value > 1
        else f"{margin} of the {what} may stay away, the margin of safety"
    )
    return (
        f"The purchase is worth more than {other_way(page)} (B) from "
        f"{numbers.pieces_per_week(needed.pieces)}, {numbers.area(needed.area)} of prints; "
        f"{planned}: {room}."
    )


def burden_words(answered: Answered) -> str:
    """What a month has to pay beside its own costs."""
    is_cash = answered.choice.financing.kind == "cash"
    return "the equipment's monthly cost" if is_cash else "the payments"


def _pieces(crossing: Crossing, pieces: float, numbers: Numbers) -> str:
    if crossing.value is not None:
        return numbers.pieces_per_week(crossing.value * pieces)
    if crossing.outcome is Outcome.ALWAYS:
        return "any volume"
    return "no volume within capacity"


def price_sentences(page: AnswerPage, answered: Answered) -> Iterator[str]:
    """How far off all selling prices B, and all this work, are worth nothing.

    What is worth nothing at the hurdle rate may still pay back within the horizon.
    """
    numbers, figures = numbers_of(page.scenario), answered.figures
    factors = {
        "B": price_worth_nothing(page.case, answered.evaluation.plan).value,
        "all this work": figures.break_even.price.value,
    }
    found = [(what, factor) for what, factor in factors.items() if factor is not None]
    if not found:
        return
    hurdle = numbers.percent(page.case.values.scalar(page.scenario.hurdle_rate))
    (first, at), *others = found
    also = "".join(f"; {what}, with {_off(factor, numbers)}" for what, factor in others)
    yield (
        f"At the hurdle rate of {hurdle} a year, what money could earn elsewhere, {first} is worth "
        f"nothing with all selling prices {_off(at, numbers)}{also}."
    )


def _off(factor: float, numbers: Numbers) -> str:
    """A factor on prices as what they are higher or lower."""
    return f"{numbers.percent(abs(1 - factor))} {'higher' if factor > 1 else 'lower'}"


def break_even_heading(page: AnswerPage, answered: Answered) -> str:
    """The finding of the break-even chart: the purchase first, then the month that is drawn."""
    numbers, figures = numbers_of(page.scenario), answered.figures
    needed = figures.added_work
    volume = f"from {numbers.pieces_per_week(needed.pieces)}"
    if needed.pieces is None:
        is_always = needed.crossing.outcome is Outcome.ALWAYS
        volume = "at any volume" if is_always else "at no volume within capacity"
    monthly = _pieces(figures.break_even.monthly, figures.weekly_pieces, numbers)
    return (
        f"Worth more than {other_way(page)} {volume}; a month pays its costs and "
        f"{burden_words(answered)} from {monthly}"
    )


def make_or_buy_sentence(page: AnswerPage, answered: Answered) -> str:
    """Up to which weekly area buying transfers is cheaper than making them."""
    found, numbers = answered.figures.make_or_buy, numbers_of(page.scenario)
    if found is None:
        return f"Make or buy cannot be judged: {answered.figures.nothing_to_make_or_buy}."
    planned = numbers.area_per_week(found.buyable_area)
    if found.by_cost.value is not None:
        area = numbers.area_per_week(found.by_cost.value * found.buyable_area)
        side = "under" if found.by_cost.value > 1 else "above"
        return (
            f"Buying a transfer is cheaper than making it, every hour costed, up to {area}; the "
            f"{planned} planned lie {side} that."
        )
    if found.by_cost.outcome is Outcome.ALWAYS:
        return f"Making a transfer is cheaper than buying it at any volume; {planned} are planned."
    return (
        f"Making a transfer costs more than buying it at any volume within capacity; {planned} "
        f"are planned."
    )


def make_or_buy_heading(page: AnswerPage, answered: Answered) -> str:
    """The same as a heading."""
    return make_or_buy_sentence(page, answered).removesuffix(".")


def make_or_buy_note(page: AnswerPage, answered: Answered) -> str:
    """What the make-or-buy figure counts, and what the purchase is judged by instead."""
    counted = "Every hour is costed here, whether it is paid or not, and pressing is left out"
    needed, numbers = answered.figures.added_work, numbers_of(page.scenario)
    if answered.figures.make_or_buy is None or needed.area is None:
        return f"{counted}."
    return (
        f"{counted}; bought transfers hold their delivery, cutting and those spoiled at the press. "
        "What the purchase is worth (B) also counts work that bought transfers cannot serve, "
        f"unpaid hours and tax: it is above nothing from {numbers.area_per_week(needed.area)}."
    )
