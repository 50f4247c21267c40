"""Ways to pay and debt service cover read out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.decide.answer import Answered, AnswerPage
from planner.decide.ranking import cheapest, easiest
from planner.scenario.notices import is_default_cover
from planner.show.words.common import numbers_of, other_way

RATE_NOTE: Final = (
    "The annual percentage rate is worked out by the method of Regulation Z (12 CFR 1026, "
    "Appendix J); it is not a disclosure. Business credit stands outside that regulation. Ask an "
    "accountant which tax rule applies, and a lawyer before signing."
)


def paying_sentence(page: AnswerPage, answered: tuple[Answered, ...]) -> str:
    """Which way to pay costs least and which is easiest on cash, by how much."""
    numbers = numbers_of(page.scenario)
    least, gap, is_clear = cheapest(answered)
    light, room = easiest(answered)
    cost = (
        f"{least.choice.financing.name} costs least, by {numbers.money(gap)} of present cost"
        if is_clear
        else "There is no clear difference in present cost between the two cheapest ways to pay"
    )
    if is_clear and least.figures.cash.lowest < 0:
        cost += f", but takes the bank balance to {numbers.money(least.figures.cash.lowest)}"
    return (
        f"{cost}; {light.choice.financing.name} is easiest on cash, with a lowest balance "
        f"{numbers.money(room)} above the next."
    )


def paying_heading(page: AnswerPage, answered: tuple[Answered, ...]) -> str:
    """The finding of the financing chart."""
    least, _, is_clear = cheapest(answered)
    light, _ = easiest(answered)
    cost = "No clear difference in cost"
    if is_clear:
        cost = f"{least.choice.financing.name} is cheapest"
        cost += ", but more than the bank holds" if least.figures.cash.lowest < 0 else ""
    return f"{cost}; {light.choice.financing.name} is easiest on cash"


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
        f"{other_way(page)} is {cover.lowest:.2f} ({what}); it {state} the {least:.2f} {whose}."
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
