"""The first sentence: yes, not yet or no, with the one reason."""

from __future__ import annotations

from planner.decide.answer import AnswerPage
from planner.decide.verdict import Answer, Reason, Verdict
from planner.show.numbers import Numbers
from planner.show.words.common import NOTHING_TO_COMPARE, numbers_of


def first_sentence(page: AnswerPage) -> str:
    """Yes, not yet or no, with the one reason."""
    verdict, numbers = page.verdict, numbers_of(page.scenario)
    name = page.best.choice.equipment.name
    match verdict.answer:
        case Answer.YES:
            return _yes(verdict, name, page.case.months, numbers)
        case Answer.NOT_YET:
            return _not_yet(verdict, name, page.case.months, numbers)
        case Answer.NO:
            return f"No: {name} {_why_not(verdict, page.case.months, numbers)}."


def _yes(verdict: Verdict, name: str, horizon: int, numbers: Numbers) -> str:
    months = numbers.months(verdict.months, limit=verdict.limit)
    gain, value = numbers.money(verdict.monthly_gain), numbers.money(verdict.value)
    if not verdict.has_buy_in_price:
        return (
            f"Yes, but only against not taking the work: {name} pays back in {months}, because a "
            f"month at full volume leaves {gain}; over {horizon} months it is worth {value} today."
        )
    return (
        f"Yes: {name} pays back in {months} against buying the same transfers in, because a month "
        f"at full volume leaves {gain} more; over {horizon} months it is worth {value} more today."
    )


def _not_yet(verdict: Verdict, name: str, horizon: int, numbers: Numbers) -> str:
    needed = numbers.pieces_per_week(verdict.pieces_needed)
    return f"Not yet, from {needed}: {name} {_why_not(verdict, horizon, numbers)}."


def _why_not(verdict: Verdict, horizon: int, numbers: Numbers) -> str:
    """What goes against it: how far it is from paying back, and the one reason."""
    planned = numbers.pieces_per_week(verdict.pieces_planned)
    match verdict.reason:
        case Reason.LATE:
            at_once = numbers.months(verdict.months_if_at_once)
            why = (
                f"because the volume comes late: all of it from the first month would pay it back "
                f"in {at_once}"
            )
        case Reason.FEW:
            why = f"because the planned {planned} are too few"
        case Reason.DEARER:
            why = (
                "because a transfer made here costs more than one bought in at any volume it can "
                "print"
            )
        case Reason.PRINTS_NOTHING:
            why = "because it prints nothing: the transfers are bought in either way"
        case _:
            why = "because no volume that it can print pays it back in time"
    return f"{_how_far(verdict, horizon, numbers)}, {why}"


def _how_far(verdict: Verdict, horizon: int, numbers: Numbers) -> str:
    if verdict.months is None:
        return f"does not pay back within {horizon} months, short by {numbers.money(verdict.short)}"
    months = numbers.months(verdict.months, limit=verdict.limit)
    if verdict.months > verdict.limit:
        limit = numbers.months(verdict.limit)
        return f"pays back in {months}, later than the {limit} asked for"
    return f"pays back in {months} but is worth {numbers.money(verdict.value)} today"


def opening(page: AnswerPage) -> tuple[str, ...]:
    """What the answer page opens with: the comparison made, then the first sentence."""
    sentence = first_sentence(page)
    return (sentence,) if page.verdict.has_buy_in_price else (NOTHING_TO_COMPARE, sentence)
