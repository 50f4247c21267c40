"""What must hold of drawn cases whatever the scenario says."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

import numpy as np

from planner.decide.answer import AnswerPage
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS
from planner.decide.identities import Check
from planner.decide.risk.answer import FEWEST_INPUTS, ChoiceRisk, Risk
from planner.decide.risk.draws import slices
from planner.decide.risk.explain import groups_of
from planner.decide.risk.outcomes import outcomes
from planner.decide.risk.spread import HIGH, LOW, MIDDLE, Share, Spread
from planner.decide.risk.uncertain import uncertain_inputs
from planner.scenario.estimates import Array

_TINY: Final = 1e-9


def risk_checks(page: AnswerPage, risk: Risk) -> list[Check]:
    """Shares, percentiles, chances by month, what explains the spread, and the draws repeated.

    With too few ranges, that nothing is stated.
    """
    stated = (
        "chances are stated exactly where enough inputs have a range",
        bool(risk.choices) == (len(risk.uncertain) >= FEWEST_INPUTS),
        f"{len(risk.uncertain)} have one, {FEWEST_INPUTS} are needed",
    )
    if risk.best is None or risk.paid_back is None:
        return [stated]
    return [
        stated,
        *_choice_checks(risk.choices),
        *_month_checks(page, risk.best, risk.paid_back),
        _unbeaten("warranty is worth most", risk.best_warranty),
        _unbeaten("way to pay costs least", risk.cheapest_financing),
        *_explained_checks(page, risk),
        _repeats(page, risk),
    ]


def _choice_checks(choices: Sequence[ChoiceRisk]) -> Iterator[Check]:
    """Every share lies between 0 and 1, every low, middle and high in their order."""
    shares = [share.share for one in choices for share in _shares(one)]
    yield (
        "chances of every choice lie between 0 and 1",
        all(0 <= share <= 1 for share in shares),
        f"{len(shares)} from {min(shares):.4f} to {max(shares):.4f}",
    )
    spreads = [spread for one in choices for spread in _spreads(one)]
    yield (
        "low, middle and high of every choice are in order",
        all(spread.low <= spread.middle <= spread.high for spread in spreads),
        f"{len(spreads)} figures",
    )


def _shares(one: ChoiceRisk) -> list[Share]:
    once = [share for share in (one.cash_once, one.cover_once) if share is not None]
    return [*one.within.values(), one.worth, *once]


def _spreads(one: ChoiceRisk) -> list[Spread]:
    cover = [] if one.lowest_cover is None else [one.lowest_cover]
    return [*one.payback.values(), *one.value.values(), one.lowest_cash, *cover]


def _month_checks(page: AnswerPage, best: ChoiceRisk, paid_back: Array) -> Iterator[Check]:
    """The chance by month never falls, ends at that of the horizon and passes the percentiles."""
    steps = np.diff(paid_back)
    yield (
        "the chance to have paid back never falls from month to month",
        bool((steps >= 0).all()),
        f"smallest step {steps.min():.4f}",
    )
    last, horizon = float(paid_back[-1]), best.within["horizon"].share
    yield (
        "by the last month it is that of the horizon",
        abs(last - horizon) <= _TINY,
        f"{last:.4f} and {horizon:.4f}",
    )
    yield (
        "it passes 1, 5 and 9 of 10 at the percentiles of payback",
        _passes(best.payback[AGAINST_BUYING_IN], paid_back),
        f"over {page.case.months} months",
    )


def _passes(spread: Spread, paid_back: Array) -> bool:
    """Whether each share is reached in the month of its percentile and in none before it."""
    ends = ((LOW, spread.low), (MIDDLE, spread.middle), (HIGH, spread.high))
    for share, months in ends:
        reached = np.flatnonzero(paid_back >= share - _TINY)
        first = reached[0] if reached.size else np.inf
        if first != np.ceil(months):
            return False
    return True


def _unbeaten(what: str, shares: Mapping[str, Share]) -> Check:
    """In every case at least one of the offers is beaten by no other."""
    total = sum(one.share for one in shares.values())
    return f"in each case one {what}, or several alike", total >= 1 - _TINY, f"{total:.6f}"


def _explained_checks(page: AnswerPage, risk: Risk) -> Iterator[Check]:
    """First-order shares of inputs that move apart from each other add up to at most 1."""
    total = sum(one.share for one in risk.explains)
    if not page.scenario.together:
        allowed = 1 + _noise(inputs=len(risk.explains), draws=risk.draws)
        yield (
            "shares that inputs explain alone add up to at most 1, within their error",
            total <= allowed,
            f"{total:.4f}, at most {allowed:.4f}",
        )


def _noise(*, inputs: int, draws: int) -> float:
    """Twice what scatter may add to the sum: √(2·groups) ÷ draws an input, 1 ÷ √draws in all."""
    return 2 * (inputs * math.sqrt(2 * groups_of(draws)) + math.sqrt(draws)) / draws


def _repeats(page: AnswerPage, risk: Risk) -> Check:
    """The first cases drawn anew give the same figures to the last digit."""
    once, again = _first_values(page, risk), _first_values(page, risk)
    same = all(np.array_equal(once[name], again[name]) for name in COMPARISONS)
    return "the same seed draws the same cases", same, f"{len(once[AGAINST_BUYING_IN])} cases"


def _first_values(page: AnswerPage, risk: Risk) -> dict[str, Array]:
    case, choice = page.case, page.best.choice
    drawn = slices(
        case.scenario,
        uncertain_inputs(case.scenario),
        draws=min(risk.draws, 512),
        months=case.months,
        seed=risk.seed,
        values=case.values,
    )
    return outcomes(case, (choice,), iter([next(drawn)]))[choice.label].value
