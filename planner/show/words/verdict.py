"""The first sentence: yes, not yet or no, with the one reason."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.decide.answer import AnswerPage
from planner.decide.risk.answer import Risk
from planner.decide.verdict import Answer, Reason, Verdict
from planner.show.numbers import Numbers
from planner.show.words.common import NOTHING_TO_COMPARE, numbers_of
from planner.show.words.risk import chance_heading

GAIN_IS_ADDED: Final = (
    "A transfer costs more made than bought at this volume; the gain is the work that bought "
    "transfers cannot serve."
)


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
            why = f"because {_little(verdict, numbers)}the planned {planned} are too few"
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


def _little(verdict: Verdict, numbers: Numbers) -> str:
    """What a month leaves, where the money comes back in time but is worth too little."""
    if verdict.months is None or verdict.months > verdict.limit:
        return ""
    more = " more" if verdict.has_buy_in_price else ""
    return f"a month at full volume leaves only {numbers.money(verdict.monthly_gain)}{more}: "


def _how_far(verdict: Verdict, horizon: int, numbers: Numbers) -> str:
    if verdict.months is None:
        return f"does not pay back within {horizon} months, short by {numbers.money(verdict.short)}"
    months = numbers.months(verdict.months, limit=verdict.limit)
    if verdict.months > verdict.limit:
        limit = numbers.months(verdict.limit)
        return f"pays back in {months}, later than the {limit} asked for"
    return f"pays back in {months} but is worth {numbers.money(verdict.value)} today"


def opening(page: AnswerPage, found: Risk | None = None) -> tuple[str, ...]:
    """What the answer page opens with: the comparison made, the first sentence, what it hangs on.

    Where the gain comes only from work that bought transfers cannot serve, that is said too; and
    the chances, where cases were drawn.
    """
    compared = () if page.verdict.has_buy_in_price else (NOTHING_TO_COMPARE,)
    gain = (GAIN_IS_ADDED,) if page.verdict.lives_on_added else ()
    drawn = [found] if found is not None and found.best is not None else []
    chances = (f"{chance_heading(page, one)}." for one in drawn)
    return (*compared, first_sentence(page), *gain, *hinge_sentences(page), *chances)


def hinge_sentences(page: AnswerPage) -> Iterator[str]:
    """The share of added work that only the machine can do, and the volume, where both decide."""
    hinge, numbers = page.verdict.hinge, numbers_of(page.scenario)
    if hinge is None:
        return
    least, planned = (numbers.percent(share) for share in (hinge.least, hinge.planned))
    each, mean = (" for each product", " on average") if len(hinge.products) > 1 else ("", "")
    volume, needed = "", page.verdict.pieces_needed
    if page.verdict.answer is Answer.YES and needed is not None:
        enough = numbers.pieces_per_week(needed).partition(" ")[0]
        asked = numbers.pieces_per_week(page.verdict.pieces_planned)
        volume = f" And on the volume: yes from about {enough} of the {asked} planned."
    yield (
        f"It hangs on the share of added work that only the machine can do: yes from about {least}"
        f"{each}; planned is {planned}{mean}.{volume}"
    )
