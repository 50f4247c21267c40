"""What ``planner figures`` prints: a page that can be read aloud."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.decide.answer import Answered, AnswerPage
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS
from planner.decide.ranking import same_machine
from planner.decide.risk.answer import Risk
from planner.decide.sensitivity import Influence, without_range
from planner.decide.solve import Crossing, Outcome
from planner.scenario.key_paths import quoted_name
from planner.scenario.notices import costs_left_out, defaults_in_words, doubts
from planner.show.numbers import Numbers
from planner.show.words import (
    COMPARISON_LETTERS,
    cash_sentence,
    chance_sentences,
    choice_sentence,
    comparison_name,
    condition_words,
    every_hour_sentence,
    explains_sentences,
    hours_sentence,
    numbers_of,
    opening,
    other_way,
    payback_words,
    paying_sentence,
    price_sentences,
    range_sentences,
    risk_sentences,
    tax_words,
)
from planner.show.words.common import payback_clause, ratio_words
from planner.show.words.explains import quoted, range_words
from planner.show.words.named import input_words

MOST: Final = 6  # ways to pay, machines or products that are listed; --all lists every one
MATTERING: Final = 3  # inputs, and defaults beside them, that are named
LIKELY_CASE: Final = (
    "This is the likely case; ranges and chances come with planner run or --draws N."
)
NOTHING_SAYS: Final = "nothing says that "  # how that doubt begins
LABEL: Final = 50  # columns of a label of the break-even table


def figure_lines(
    page: AnswerPage, found: Risk | None = None, *, every_choice: bool, note: str = ""
) -> Iterator[str]:
    """The answer in words, the first sentence first; an empty line parts what belongs together.

    ``note`` is said right after the answer.
    """
    numbers = numbers_of(page.scenario)
    yield page.scenario.title
    yield ""
    yield from opening(page, found)
    if note:
        yield note
    if found is None:
        yield LIKELY_CASE
    yield ""
    yield from _comparison_lines(page, numbers)
    yield ""
    yield from _matter_lines(page, numbers)
    yield ""
    yield from _break_even_lines(page, numbers)
    yield cash_sentence(page, page.best)
    yield hours_sentence(page)
    yield ""
    yield from _piece_lines(page, numbers, every_choice)
    yield ""
    yield from _choice_lines(page, numbers, every_choice)
    if found is not None:
        yield ""
        yield from risk_sentences(page, found)
        yield from range_sentences(page, found)
        yield from chance_sentences(page, found)
        yield from explains_sentences(page, found)
    yield from _condition_lines(page, found, numbers)
    yield ""
    yield from _notice_lines(page)


def _comparison_lines(page: AnswerPage, numbers: Numbers) -> Iterator[str]:
    yield choice_sentence(page)
    horizon, figures = page.case.months, page.best.figures
    yield f"Over {horizon} months, before financing and {tax_words(page.scenario)}:"
    for name in COMPARISONS:
        time = figures.payback[name]
        clause = payback_clause(time, payback_words(time, horizon=horizon, numbers=numbers))
        worth = numbers.money(figures.net_present_value[name])
        label = f"{COMPARISON_LETTERS[name]}, {comparison_name(page, name)}"
        yield f"  {label}: it {clause}; worth {worth} today."
    if figures.every_hour_paid.net_present_value != figures.net_present_value:
        yield f"  {every_hour_sentence(page, page.best)}"


def _matter_lines(page: AnswerPage, numbers: Numbers) -> Iterator[str]:
    """Inputs by how far they move the value: by their range, or by a fifth where nobody gave one.

    Numbers that are measured, quoted or from the accounts and have no range are taken as known.
    """
    guessed = without_range(page.case, page.best.evaluation.plan)
    ranked = sorted((*page.influences, *guessed), key=lambda one: -one.swing)
    if not ranked:
        yield "What matters most cannot be said: no input has a range, or is a guess."
        return
    yield (
        "What matters most to what B is worth, each moved alone over its range; a default or an "
        "estimate without a range, a fifth down and up:"
    )
    named = ranked[:MATTERING]
    yield from (f"  {_matter_words(page, one, numbers)}" for one in named)
    defaults = [one for one in guessed if one.estimate.basis == "default" and one not in named]
    if defaults:
        said = "; ".join(
            f"{quoted(one.estimate)} by {numbers.money(one.swing)}" for one in defaults[:MATTERING]
        )
        yield f"Defaults that move it most: {said}."


def _matter_words(page: AnswerPage, one: Influence, numbers: Numbers) -> str:
    moved = range_words(page, one.estimate)
    ends = f"{numbers.money(one.at_low)} to {numbers.money(one.at_high)}"
    return f"{input_words(one.estimate.key)}, {moved} ({one.estimate.basis}): worth {ends}."


def _break_even_lines(page: AnswerPage, numbers: Numbers) -> Iterator[str]:
    """Every break-even in pieces a week, with what is planned and what fills the shop."""
    figures, pieces = page.best.figures, page.best.figures.weekly_pieces
    found, bought = figures.break_even, figures.make_or_buy
    worth, needed = _added(page, numbers), page.verdict.pieces_needed
    rows = [
        ("planned at full volume", _count(pieces, numbers)),
        (f"B, worth more than {other_way(page)} from", worth),
    ]
    if needed is not None and _count(needed, numbers) != worth:
        rows.append(("B, pays back in time from", _count(needed, numbers)))
    rows += [
        ("all this work against none of it, a month", _at(found.monthly, pieces, numbers)),
        (
            f"all this work against none of it, {page.case.months} months",
            _at(found.lifetime, pieces, numbers),
        ),
    ]
    if bought is not None:
        made = _at(bought.by_cost, pieces, numbers)
        rows.append(("a transfer costs less made than bought from", made))
    rows.append(
        ("the shop is full, in an average month, at", _count(pieces * found.capacity, numbers))
    )
    yield "Break-even, in pieces a week:"
    yield from (f"  {label:<{LABEL}} {number:>7}" for label, number in rows)
    yield from price_sentences(page, page.best)


def _at(crossing: Crossing, pieces: float, numbers: Numbers) -> str:
    if crossing.value is not None:
        return _count(crossing.value * pieces, numbers)
    return "any" if crossing.outcome is Outcome.ALWAYS else "none"


def _added(page: AnswerPage, numbers: Numbers) -> str:
    """Pieces at which the headline is worth nothing; today's work is fixed where some is added."""
    needed = page.best.figures.added_work
    if needed.pieces is None:
        return _at(needed.crossing, 0.0, numbers)
    return _count(needed.pieces, numbers)


def _count(pieces: float | None, numbers: Numbers) -> str:
    return numbers.pieces_per_week(pieces).partition(" ")[0]


def _piece_lines(page: AnswerPage, numbers: Numbers, is_every: bool) -> Iterator[str]:
    yield "A piece costs in material; with labour, upkeep and overheads; with equipment:"
    for one in page.prints if is_every else page.prints[:MOST]:
        material, full, with_equipment, price = (
            numbers.money(value, cents=True)
            for value in (one.material, one.full, one.with_equipment, one.price)
        )
        yield f"  {one.product}: {material}; {full}; {with_equipment}. It sells for {price}."
    yield from _more(len(page.prints), is_every)


def _choice_lines(page: AnswerPage, numbers: Numbers, is_every: bool) -> Iterator[str]:
    """The ways to pay for the machine spoken of, then what the other machines are worth."""
    before = tax_words(page.scenario)
    yield f"Ways to pay, {before} (annual percentage rate by the method of Regulation Z):"
    same = same_machine(page.choices, page.best)
    if is_every:
        for answered in page.choices:
            yield f"  {answered.choice.label}: {_paying_words(answered, numbers)}."
        yield paying_sentence(page, same)
        return
    for answered in same[:MOST]:
        yield f"  {answered.choice.financing.name}: {_paying_words(answered, numbers)}."
    yield from _more(len(same), is_every)
    yield paying_sentence(page, same)
    others = {
        answered.choice.names[:2]: answered for answered in page.choices if answered not in same
    }
    if others:
        yield f"Other machines and warranties, worth today against {other_way(page)}:"
        for (machine, warranty), answered in list(others.items())[:MOST]:
            worth = numbers.money(answered.figures.net_present_value[AGAINST_BUYING_IN])
            yield f"  {machine}, {warranty}: {worth}."
        yield from _more(len(others), is_every)


def _more(count: int, is_every: bool) -> Iterator[str]:
    if count > MOST and not is_every:
        yield f"  and {count - MOST} more: --all shows them"


def _paying_words(answered: Answered, numbers: Numbers) -> str:
    figures, paying = answered.figures, answered.figures.paying
    said = []
    if paying.annual_percentage_rate is not None:
        said.append(f"a month {numbers.money(paying.payment_per_month, cents=True)}")
        said.append(f"rate {numbers.percent(paying.annual_percentage_rate, digits=2)}")
    said.append(f"present cost {numbers.money(paying.present_cost)}")
    said.append(f"lowest balance {numbers.money(figures.cash.lowest)}")
    if figures.cover.lowest is not None:
        said.append(f"lowest cover {ratio_words(figures.cover.lowest)}")
    return ", ".join(said)


def _condition_lines(page: AnswerPage, found: Risk | None, numbers: Numbers) -> Iterator[str]:
    """The conditions of the choice spoken of, with the chance of payback where it was drawn."""
    drawn = found.best.conditions if found is not None and found.best is not None else None
    judged = page.best.conditions if drawn is None else drawn
    is_undrawn = drawn is None and page.scenario.conditions.chance_of_payback is not None
    if judged or is_undrawn:
        yield ""
        yield "Conditions:"
        yield from (f"  {condition_words(condition, numbers)}" for condition in judged)
    if is_undrawn:
        yield "  not judged: the chance of payback; --draws 4096 works it out"


def _notice_lines(page: AnswerPage) -> Iterator[str]:
    scenario = page.scenario
    yield from unready_lines(page)
    defaults = _counted(len(defaults_in_words(scenario)), "default")
    left_out = _counted(len(costs_left_out(scenario)), "cost")
    yield f"{defaults} in use, {left_out} left out: planner check. Next: planner run."
    yield "This is a calculation from the figures given, not advice."


def unready_lines(page: AnswerPage) -> Iterator[str]:
    """What the set spoken of needs to run and nothing says is bought or there."""
    own = f"equipment.{quoted_name(page.best.choice.equipment.name)}: "
    for line in doubts(page.scenario):
        if line.startswith(f"{own}{NOTHING_SAYS}"):
            yield f"{page.best.choice.equipment.name}: {line.removeprefix(own)}."


def _counted(count: int, what: str) -> str:
    return f"{count or 'No'} {what}{'' if count == 1 else 's'}"
