"""Everything that drawn cases say about a scenario's choices, in one frozen object."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.case import Case, Choice
from planner.decide.answer import Answered, AnswerPage
from planner.decide.conditions import Condition, payback_limit
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS
from planner.decide.risk.draws import Slice, draws_to_make, slices
from planner.decide.risk.explain import Explains, explained
from planner.decide.risk.outcomes import Outcomes, headlines, outcomes
from planner.decide.risk.spread import (
    Share,
    Spread,
    band_of,
    reached_by_month,
    share_of,
    spread_of,
)
from planner.decide.risk.uncertain import Uncertain, halved, uncertain_inputs
from planner.decide.sensitivity import CENT
from planner.scenario.estimates import Array, Estimate
from planner.scenario.faults import PlannerError
from planner.scenario.key_paths import split_key

USUAL_DRAWS: Final = 4096  # a chance is then known to about 1 in 100
FEWEST_INPUTS: Final = 3  # with a range; with fewer no chance is stated
LARGEST_SEED: Final = 2**32 - 1  # a larger one would share random numbers with smaller ones
CHANCE_OF_PAYBACK: Final = "chance of payback within"  # how that condition's name begins


class SeedError(PlannerError):
    """A seed that would not draw cases of its own."""


@dataclass(frozen=True, eq=False)
class ChoiceRisk:
    """What may become of one choice.

    Spreads by comparison; ``within`` the chance that the plan against buying in has paid back by
    the end of the warranty, of the financing and of the horizon, and within the shop's limit;
    ``worth`` that it is worth more than nothing, which a yes asks for too. ``cash_breaks`` by month
    and ``cover_breaks`` by year are chances that the bank balance or the cover of debts lies under
    the limit then, each None where no limit stands or nothing is paid; ``…_once`` that it does so
    at least once. ``asked`` is the chance of payback that the shop's own condition asks for, None
    where it asks for none. All chances are shares [-].
    """

    choice: Choice
    payback: Mapping[str, Spread]
    value: Mapping[str, Spread]
    lowest_cash: Spread
    lowest_cover: Spread | None
    within: Mapping[str, Share]
    worth: Share
    cash_once: Share | None
    cash_breaks: Array | None
    cover_once: Share | None
    cover_breaks: Array | None
    asked: Share | None
    conditions: tuple[Condition, ...]


@dataclass(frozen=True)
class Leading:
    """The input that explains most, its ``share`` [-], and the chances with half its range.

    ``chance`` is that of payback within the shop's limit, ``worth`` that of being worth more than
    nothing.
    """

    estimate: Estimate
    share: float
    chance: Share
    chance_halved: Share
    worth: Share
    worth_halved: Share


@dataclass(frozen=True, eq=False)
class Risk:
    """What many cases say; ``choices`` is empty where too few inputs have a range.

    ``fan`` holds the percentiles of the cumulative flow of the plan against buying in by month,
    before financing, of the choice spoken of [money]; ``paid_back`` the share of cases in which it
    has paid back by the end of months 0, 1, 2 … [-]. For that set, ``best_warranty`` says how often
    no other warranty is worth more, before financing, and ``cheapest_financing`` how often no other
    way to pay has a lower present cost [-]; equals count both.
    """

    draws: int
    seed: int
    uncertain: tuple[Estimate, ...]
    choices: tuple[ChoiceRisk, ...]
    best: ChoiceRisk | None
    fan: tuple[Array, Array, Array] | None
    paid_back: Array | None
    explains: tuple[Explains, ...]
    leading: Leading | None
    best_warranty: Mapping[str, Share]
    cheapest_financing: Mapping[str, Share]


def risk(
    page: AnswerPage, *, draws: int, seed: int, progress: Callable[[int], None] = lambda done: None
) -> Risk:
    """Draw cases of every choice; the same seed gives the same answer, to the last digit.

    Parameters
    ----------
    draws : int
        Cases wanted [-], at least 1.
    seed : int
        Which cases are drawn [-], from 0 to ``LARGEST_SEED``.

    Raises
    ------
    SeedError
        Where the seed is none of these.
    """
    if not 0 <= seed <= LARGEST_SEED:
        raise SeedError(f"seed: must be from 0 to {LARGEST_SEED} (got {seed})")
    case = page.case
    uncertain = uncertain_inputs(case.scenario)
    estimates = tuple(one.estimate for one in uncertain)
    if len(uncertain) < FEWEST_INPUTS:
        return Risk(0, seed, estimates, (), None, None, None, (), None, {}, {})
    drawn = tuple(_slices(case, uncertain, draws, seed))
    wanted = tuple(answered.choice for answered in page.choices)
    best = page.best.choice
    found = outcomes(case, wanted, iter(drawn), months_of=best, progress=progress)
    by_choice = {
        one.choice.label: _choice_risk(case, one, found[one.choice.label]) for one in page.choices
    }
    own = found[best.label]
    mattering = [one for one in uncertain if _concerns(one.key, best)]
    explains = explained(
        mattering, _drawn_values(mattering, drawn), own.value[AGAINST_BUYING_IN], own.replicate
    )
    return Risk(
        draws=draws_to_make(draws),
        seed=seed,
        uncertain=estimates,
        choices=tuple(by_choice.values()),
        best=by_choice[best.label],
        fan=band_of(own.total),
        paid_back=reached_by_month(own.payback[AGAINST_BUYING_IN], months=case.months),
        explains=explains,
        leading=_leading(case, page.best, uncertain, explains, own, draws=draws, seed=seed),
        best_warranty=_not_beaten(best, wanted, found, at=1),
        cheapest_financing=_not_beaten(best, wanted, found, at=2),
    )


def _slices(case: Case, uncertain: Sequence[Uncertain], draws: int, seed: int) -> Iterator[Slice]:
    return slices(
        case.scenario, uncertain, draws=draws, months=case.months, seed=seed, values=case.values
    )


def _drawn_values(uncertain: Sequence[Uncertain], drawn: Sequence[Slice]) -> list[Array]:
    return [
        np.concatenate([np.ravel(part.values.drawn[one.key]) for part in drawn])
        for one in uncertain
    ]


def _concerns(key: str, choice: Choice) -> bool:
    """Whether an input may touch a choice: those of other sets do not."""
    table, *parts = split_key(key)
    return table != "equipment" or parts[0] == choice.equipment.name


def _choice_risk(case: Case, answered: Answered, found: Outcomes) -> ChoiceRisk:
    replicate, months = found.replicate, found.payback[AGAINST_BUYING_IN]
    has_cover = bool(np.isfinite(found.lowest_cover).any())
    least = case.values.scalar(case.scenario.lender.debt_service_cover_at_least)
    under = found.under if found.under.shape[1] else None
    short = found.cover < least if has_cover else None
    wanted = case.scenario.conditions.chance_of_payback
    asked = (
        None if wanted is None else share_of(months <= case.values.scalar(wanted.within), replicate)
    )
    within = {
        name: share_of(months <= limit, replicate)
        for name, limit in _limits(case, answered).items()
    }
    return ChoiceRisk(
        choice=answered.choice,
        payback={name: spread_of(found.payback[name], replicate) for name in COMPARISONS},
        value={name: spread_of(found.value[name], replicate) for name in COMPARISONS},
        lowest_cash=spread_of(found.lowest_cash, replicate),
        lowest_cover=spread_of(found.lowest_cover, replicate) if has_cover else None,
        within=within,
        worth=share_of(found.value[AGAINST_BUYING_IN] > 0, replicate),
        cash_once=None if under is None else share_of(np.any(under, axis=1), replicate),
        cash_breaks=None if under is None else under.mean(axis=0),
        cover_once=None if short is None else share_of(np.any(short, axis=1), replicate),
        cover_breaks=None if short is None else short.mean(axis=0),
        asked=asked,
        conditions=(*answered.conditions, *_chance_asked(case, asked)),
    )


def _limits(case: Case, answered: Answered) -> dict[str, float]:
    """Months by which a payback is asked for; a financing without a term is left out."""
    values, choice = case.values, answered.choice
    runs_from = values.whole(case.scenario.runs_from)
    limits = {"warranty": runs_from + values.scalar(choice.warranty.term)}
    if choice.financing.term is not None:
        limits["financing"] = values.scalar(choice.financing.term)
    return limits | {"horizon": float(case.months), "limit": payback_limit(case)}


def _chance_asked(case: Case, chance: Share | None) -> Iterator[Condition]:
    """The shop's own condition on the chance of payback."""
    wanted = case.scenario.conditions.chance_of_payback
    if wanted is not None and chance is not None:
        least = case.values.scalar(wanted.at_least)
        name = f"{CHANCE_OF_PAYBACK} {case.values.scalar(wanted.within):g} months at least"
        yield Condition(name, chance.share >= least, chance.share, least, "share")


def _leading(
    case: Case,
    best: Answered,
    uncertain: Sequence[Uncertain],
    explains: Sequence[Explains],
    own: Outcomes,
    *,
    draws: int,
    seed: int,
) -> Leading:
    """The chances of payback in time and of being worth having, with half the leading range too."""
    first, limit = explains[0], payback_limit(case)
    narrower = [
        halved(one, case.scenario) if one.key == first.estimate.key else one for one in uncertain
    ]
    again, worth = headlines(case, best.choice, _slices(case, narrower, draws, seed))
    return Leading(
        estimate=first.estimate,
        share=first.share,
        chance=share_of(own.payback[AGAINST_BUYING_IN] <= limit, own.replicate),
        chance_halved=share_of(again <= limit, own.replicate),
        worth=share_of(own.value[AGAINST_BUYING_IN] > 0, own.replicate),
        worth_halved=share_of(worth > 0, own.replicate),
    )


def _not_beaten(
    best: Choice, wanted: Sequence[Choice], found: Mapping[str, Outcomes], *, at: int
) -> dict[str, Share]:
    """How often no other of the choices that differ from the best in one name only is better.

    A warranty, ``at`` 1, is better by what the plan is worth, a way to pay by its present cost.
    """
    alike = [
        choice
        for choice in wanted
        if all(
            mine == yours or place == at
            for place, (mine, yours) in enumerate(zip(choice.names, best.names, strict=True))
        )
    ]
    figures = [found[choice.label] for choice in alike]
    values = np.stack(
        [one.value[AGAINST_BUYING_IN] if at == 1 else one.at_cost_of_debt for one in figures]
    )
    unbeaten, replicate = values >= values.max(axis=0) - CENT, found[best.label].replicate
    return {
        choice.names[at]: share_of(each, replicate)
        for choice, each in zip(alike, unbeaten, strict=True)
    }
