"""Which inputs explain the spread read out: by how much, with what range, and who knows more."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from planner.decide.answer import AnswerPage
from planner.decide.risk.answer import Risk
from planner.decide.risk.explain import Explains
from planner.decide.risk.spread import T_95
from planner.scenario.estimates import Estimate
from planner.scenario.key_paths import split_key
from planner.show.numbers import Numbers
from planner.show.words.chances import TOO_FEW, chance_with_error, share_in_percent, to_error
from planner.show.words.changed import limit_words
from planner.show.words.common import joined, numbers_of, other_way
from planner.show.words.named import input_words, value_words
from planner.usage.test_prints import WITHIN, further_prints, measured_rates

MEASURED: Final = "test_prints."  # how the key of a measured rate begins
REST: Final = "acting together, and failures"
REST_WITHOUT_FAILURES: Final = "acting together"
_WHO: Final = (  # how a key begins and ends, and who could say more
    ("products.", ".planned", "customers and the order book"),
    ("products.", ".needs_machine", "customers and the order book"),
    ("today.", "", "the supplier's invoices"),
    ("labour.", "", "a stopwatch"),
    ("equipment.", "", "the dealer, and owners of the same equipment"),
    ("shop.", "", "the accountant"),
)


def input_name(estimate: Estimate) -> str:
    """An input as a reader names it."""
    return input_words(estimate.key)


def quoted(estimate: Estimate) -> str:
    """The name of an input within a sentence."""
    return f"“{input_name(estimate)}”"


def matters_heading(page: AnswerPage) -> str:
    """The finding of the bars of one input at a time."""
    if not page.influences:
        return "What its value depends on most cannot be said: no input has a range"
    first, numbers = page.influences[0], numbers_of(page.scenario)
    low, high = sorted((first.at_low, first.at_high))
    return (
        f"Of the inputs with a range, {quoted(first.estimate)} moves the value most, from "
        f"{numbers.money(low)} to {numbers.money(high)}"
    )


def explains_heading(page: AnswerPage, risk: Risk) -> str:
    """The finding of the bars of what explains the spread."""
    if not is_explained(risk):
        return TOO_FEW if risk.best is None else "No input with a range moves the value"
    first = risk.explains[0]
    share = explained_words(first, numbers_of(page.scenario))
    if first.estimate.key in {one.key for one in moving_together(page, risk)}:
        return f"{quoted(first.estimate)}, with what moves with it, explains {share} of the spread"
    return f"{quoted(first.estimate)} alone explains {share} of the spread of the value"


def explains_sentences(page: AnswerPage, risk: Risk) -> Iterator[str]:
    """The leading input, who could say more of it, and what a range half as wide would do."""
    leading, numbers = risk.leading, numbers_of(page.scenario)
    if leading is None:
        return
    if not is_explained(risk):
        luck = "its spread is the luck of failures" if has_failures(risk) else "it has no spread"
        yield f"No input with a range moves the value: {luck}."
        return
    first = risk.explains[0]
    estimate, reach = first.estimate, max(0.01, math.ceil(100 * T_95 * first.error) / 100)
    give = numbers.percent(reach, digits=0)
    share = f"{explained_words(first, numbers)} (give or take {give})"
    tied = moving_together(page, risk)
    alone = "with what moves with it" if estimate.key in {one.key for one in tied} else "alone"
    yield (
        f"Of the spread of the value of B (its variance), {quoted(estimate)} explains {share} "
        f"{alone}. Its range is {range_words(page, estimate)}{_beyond(estimate)}, "
        f"{_basis(estimate)}. More would be known from {who_knows(page, estimate)}."
    )
    if tied:
        yield (
            f"{joined([quoted(one) for one in tied])} move together as the scenario says: what "
            "they share counts for each of them, so that the shares may add up to more than all "
            "of the spread."
        )
    before, after, worth, worth_after = (
        chance_with_error(chance, numbers)
        for chance in (leading.chance, leading.chance_halved, leading.worth, leading.worth_halved)
    )
    yield (
        f"With half that range on either side of the likely value, the chance of payback within "
        f"{limit_words(page)} would be: {after}; as the ranges stand it is: {before}. The chance "
        f"that it is worth more than {other_way(page)} would be: {worth_after}; as they stand: "
        f"{worth}."
    )
    yield (
        "A narrower range makes the answer surer, whichever way it falls; it does not make the "
        "plan better."
    )


def explained_parts(risk: Risk, *, most: int) -> list[tuple[str, float]]:
    """The spread by input, the largest first: those over half a percent, the others, the rest.

    ``most`` is how many inputs are named [-]. The rest is what the shares leave to one; of inputs
    that move together they may leave nothing.
    """
    named = [one for one in risk.explains[:most] if one.share >= 0.005]
    others = risk.explains[len(named) :]
    alone = sum(one.share for one in others)
    parts = [(input_name(one.estimate), one.share) for one in named]
    if alone >= 0.005:
        count = f"{len(others)} other {'input' if len(others) == 1 else 'inputs'}"
        parts.append((f"{count}, each alone" if len(others) > 1 else count, alone))
    rest = REST if has_failures(risk) else REST_WITHOUT_FAILURES
    return [*parts, (rest, max(0.0, 1.0 - sum(share for _, share in parts)))]


def explained_words(one: Explains, numbers: Numbers) -> str:
    """A share of the spread in percent, to no more digits than its error allows."""
    return share_in_percent(to_error(one.share, error=one.error, finest=0.01), numbers)


def moving_together(page: AnswerPage, risk: Risk) -> tuple[Estimate, ...]:
    """The inputs with a range that move with others as the scenario says."""
    by_parts = {tuple(split_key(one.key)): one for one in risk.uncertain}
    found: dict[str, Estimate] = {}
    for group in page.scenario.together:
        tied = [
            by_parts[key] for key in map(tuple, map(split_key, group.inputs)) if key in by_parts
        ]
        if len(tied) > 1 and group.rank_correlation.likely != 0:
            found |= {one.key: one for one in tied}
    return tuple(found.values())


def has_failures(risk: Risk) -> bool:
    """Whether failures of the set spoken of are drawn; without a law of them they cost a mean."""
    return risk.best is not None and risk.best.choice.equipment.repairs is not None


def is_explained(risk: Risk) -> bool:
    """Whether the inputs with a range explain anything of the spread."""
    return bool(risk.explains) and risk.explains[0].share > 0


def range_words(page: AnswerPage, estimate: Estimate) -> str:
    """The range of an input in the unit in which it was written."""
    low, high = (amount_words(page, estimate, end) for end in (estimate.low, estimate.high))
    return f"{low.partition(' ')[0]} to {high}"


def amount_words(page: AnswerPage, estimate: Estimate, value: float) -> str:
    """A value of an input, given in its canonical unit, in the unit in which it was written."""
    single = replace(estimate, likely=value, low=value, high=value)
    return value_words(single, numbers_of(page.scenario))[0]


def _beyond(estimate: Estimate) -> str:
    """What lies beyond the ends of a range, where they are not its last values."""
    if estimate.key.startswith(MEASURED):
        return " (in 95 of 100 cases)"
    ends = estimate.shape in ("normal", "lognormal")
    return " (beyond each end lies 1 case in 10)" if ends else ""


def _basis(estimate: Estimate) -> str:
    source = f": {estimate.source}" if estimate.source else ""
    return f"{estimate.basis or 'estimated'}{source}"


def who_knows(page: AnswerPage, estimate: Estimate) -> str:
    """Who could tell the value of an input more closely."""
    table, _, kind = estimate.key.partition(".")
    if table == "test_prints":
        return _more_prints(page, kind)
    for begins, ends, who in _WHO:
        if estimate.key.startswith(begins) and estimate.key.endswith(ends):
            return who
    return "whoever gave the number"


def _more_prints(page: AnswerPage, kind: str) -> str:
    more = further_prints(measured_rates(page.scenario.prints).by_kind[kind])
    within = numbers_of(page.scenario).percent(WITHIN)
    if not more:
        return f"more test prints (±{within} is reached already)"
    return f"about {more} more test {'print' if more == 1 else 'prints'}"
