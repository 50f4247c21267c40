"""Ways to pay and debt service cover read out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.decide.answer import Answered, AnswerPage, leading
from planner.decide.conditions import LEAST_COVER
from planner.decide.ranking import CLEAR, cheapest, easiest, same_machine
from planner.scenario.notices import is_default_cover
from planner.show.words.changed import figure_words
from planner.show.words.common import numbers_of, other_way, ratio_words

MOST_NAMED: Final = 4  # ways to pay whose conditions are counted in one sentence
ALIKE: Final = 0.5  # [currency] a smaller difference is not seen in whole money
RATE_NOTE: Final = (
    "The annual percentage rate is worked out by the method of Regulation Z (12 CFR 1026, "
    "Appendix J); it is not a disclosure. Business credit stands outside that regulation. Ask an "
    "accountant which tax rule applies, and a lawyer before signing."
)


def choice_sentence(page: AnswerPage) -> str:
    """The choice that the figures are for, and why it is this one.

    A machine and its warranty stand by what they are worth, a way to pay by the conditions it
    meets; a limit that nobody set is named.
    """
    own, first = page.best, leading(page.choices)
    said = f"The figures are for {own.choice.label}."
    if own is not first:
        return f"{said} By value and conditions {first.choice.label} would come first."
    ways = same_machine(page.choices, own)
    if len(ways) < len(page.choices):
        said += " No other machine or warranty offered is worth more."
    return " ".join([said, *_why_paid_so(page, ways)]) if len(ways) > 1 else said


def _why_paid_so(page: AnswerPage, ways: tuple[Answered, ...]) -> Iterator[str]:
    """How many conditions each way to pay meets, and whether a limit is the plan's own."""
    own, *others = sorted(ways, key=lambda one: one is not page.best)
    met = [sum(each.met for each in one.conditions) for one in ways]
    alike = " (of equals the first is taken)" if met.count(max(met)) > 1 else ""
    named = [_met_words(page, one) for one in (own, *others)[:MOST_NAMED]]
    more = [f"and {len(ways) - MOST_NAMED} more"] if len(ways) > MOST_NAMED else []
    yield f"No other way to pay meets more conditions{alike}: {'; '.join([*named, *more])}."
    if not is_default_cover(page.scenario):
        return
    instead = leading(ways, without=LEAST_COVER)
    is_failed = any(
        each.condition == LEAST_COVER and not each.met for one in ways for each in one.conditions
    )
    if instead is own and not is_failed:
        return
    least = page.case.values.scalar(page.scenario.lender.debt_service_cover_at_least)
    decides = "" if instead is own else f"; without it, {instead.choice.financing.name} stood here"
    unasked = f"The cover of {least:.2f} is a default that no bank asked for ([lender] sets it)"
    yield f"{unasked}{decides}."


def _met_words(page: AnswerPage, one: Answered) -> str:
    """How many conditions a way to pay meets, and what it fails."""
    count, failed = len(one.conditions), [each for each in one.conditions if not each.met]
    said = f"{one.choice.financing.name}, {count - len(failed)} of {count}"
    numbers = numbers_of(page.scenario)
    fails = [f"{each.condition} {figure_words(each, each.limit, numbers)}" for each in failed]
    return f"{said} (not: {', '.join(fails)})" if failed else said


def paying_sentence(page: AnswerPage, answered: tuple[Answered, ...]) -> str:
    """Which way to pay costs least and which is easiest on cash, by how much."""
    numbers = numbers_of(page.scenario)
    least, gap, is_clear = cheapest(answered)
    name = least.choice.financing.name
    if len(answered) == 1:
        return f"One way to pay is offered: {name}."
    light, room = easiest(answered)
    said = f"{name} costs least, by {numbers.money(gap)} of present cost"
    if _is_alike(gap):
        said = f"No way to pay costs less than {name}, but the next costs as much"
    elif not is_clear:
        said += ", no clear difference"
    if least.figures.cash.lowest < 0:
        said += f", but it takes the bank balance to {numbers.money(least.figures.cash.lowest)}"
    return (
        f"{said}; {light.choice.financing.name} is easiest on cash, its lowest balance "
        f"{numbers.money(room)} above the next."
    )


def paying_heading(page: AnswerPage, answered: tuple[Answered, ...]) -> str:
    """The finding of the financing chart."""
    least, gap, is_clear = cheapest(answered)
    name = least.choice.financing.name
    if len(answered) == 1:
        return f"One way to pay is offered: {name}"
    light, _ = easiest(answered)
    cost = f"{name} is cheapest"
    if _is_alike(gap):
        cost = f"No way to pay is cheaper than {name}"
    elif not is_clear:
        cost += f" by less than {numbers_of(page.scenario).percent(CLEAR, digits=0)}"
    cost += ", but takes more than the bank holds" if least.figures.cash.lowest < 0 else ""
    return f"{cost}; {light.choice.financing.name} is easiest on cash"


def _is_alike(gap: float) -> bool:
    """Whether two present costs read the same in whole money."""
    return gap < ALIKE


def cover_sentence(page: AnswerPage, answered: Answered) -> str:
    """The lowest debt service cover and what it is measured on."""
    cover, scenario = answered.figures.cover, page.scenario
    if cover.lowest is None:
        return "No debt payments fall due, so there is nothing to cover."
    least = page.case.values.scalar(scenario.lender.debt_service_cover_at_least)
    what = (
        f"of the whole shop, {scenario.lender.measures}"
        if cover.shop is not None
        else "of the project alone; the shop's cash flow is not stated"
    )
    whose = "taken by default" if is_default_cover(scenario) else "asked for"
    state = "reaches" if cover.lowest >= least else "stays under"
    return (
        f"With {answered.choice.financing.name} the lowest yearly cover in the plan against "
        f"{other_way(page)} is {ratio_words(cover.lowest)} ({what}); it {state} the {least:.2f} "
        f"{whose}."
    )


def lease_sentences(page: AnswerPage, answered: tuple[Answered, ...]) -> Iterator[str]:
    """The published tests of each lease in one line, and its treatment for tax with the reason."""
    numbers = numbers_of(page.scenario)
    for one in answered:
        tests = one.figures.lease
        if tests is None:
            continue
        option = "no stated price"
        if tests.option is not None:
            option = (
                f"{numbers.money(tests.option)} against an expected worth of "
                f"{numbers.money(tests.expected_worth)}"
            )
        kind = "a finance lease" if tests.is_finance_lease else "an operating lease"
        term = numbers.percent(tests.term_share)
        paid = numbers.percent(tests.present_value_share)
        yield (
            f"{one.choice.financing.name}: term {term} of the life (75% or more), payments {paid} "
            f"of the price (90% or more), purchase for {option}: {kind} by ASC 842-10-25-2."
        )
        yield _tax_sentence(page, one)


def _tax_sentence(page: AnswerPage, answered: Answered) -> str:
    tests = answered.figures.lease
    assert tests is not None
    if answered.choice.financing.counts_as is not None:
        reason = "as the scenario says"
    elif tests.option_is_nominal:
        reason = "because the purchase price is at most half of the expected worth"
    else:
        reason = "because no purchase at a nominal price is agreed"
    treated = (
        "the payments are deducted as rent"
        if tests.is_rent
        else "it counts as a purchase on instalments: price and interest are deducted"
    )
    return f"For tax {treated}, {reason}. Ask your accountant which rule applies."


def terms_sentences(page: AnswerPage, answered: tuple[Answered, ...]) -> Iterator[str]:
    """What must not be forgotten in a contract: notice before a lease ends."""
    for one in answered:
        offer = one.choice.financing
        if offer.term is not None and offer.notice is not None:
            notice = page.case.values.whole(offer.notice)
            last = page.scenario.start.plus(page.case.values.whole(offer.term) - notice - 1)
            yield f"{offer.name}: give notice by {last}, {notice} months before it ends."
