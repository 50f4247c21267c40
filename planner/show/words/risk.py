"""What could go wrong read out: ranges, chances, and which choice stands by them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np

from planner.decide.answer import AnswerPage
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS
from planner.decide.risk.answer import FEWEST_INPUTS, ChoiceRisk, Risk
from planner.decide.risk.spread import T_95, Share, Spread
from planner.decide.sensitivity import Influence, without_range
from planner.scenario.estimates import Array, Estimate
from planner.scenario.tree import inputs
from planner.show.words.chances import (
    TOO_FEW,
    chance_with_error,
    chance_words,
    money_ends,
    money_range,
    payback_ends,
    payback_range,
    ratio_ends,
    share_in_percent,
)
from planner.show.words.changed import limit_words
from planner.show.words.common import (
    COMPARISON_LETTERS,
    comparison_name,
    joined,
    numbers_of,
    other_way,
    tax_words,
)
from planner.show.words.explains import (
    MEASURED,
    amount_words,
    explains_heading,
    has_failures,
    input_name,
    is_explained,
    moving_together,
    quoted,
)

SELDOM: Final = 0.005  # [-] of the cases; what happens less often has no worst month
WORTH: Final = 5  # inputs without a range that are named
MOST_VARIED: Final = 4  # inputs that are named as those that varied
APART: Final = 0.05  # of the payback at likely values, from which the middle case is apart
WORTH_APART: Final = 0.1  # of the values of 8 of 10 cases, from which the middle one is apart
_RATES: Final = {
    f"{MEASURED}white": "white ink",
    f"{MEASURED}colour": "colour ink",
    f"{MEASURED}powder": "powder",
}
_DEMAND_AND_PRICE: Final = (  # how a key begins and ends
    ("products.", ".planned"),
    ("products.", ".today"),
    ("products.", ".price"),
    ("products.", ".needs_machine"),
    ("products.", ".buy_in"),
    ("today.buy_in_price", ""),
    ("today.price_breaks", ""),
    ("ramp.", ""),
    ("growth.", ""),
)


# --- the ranges ---------------------------------------------------------------------------------


def risk_sentences(page: AnswerPage, risk: Risk) -> Iterator[str]:
    """How the cases were drawn; or, with too few ranges, why no chance is stated."""
    if not risk.choices:
        yield from _too_few(page, risk)
        return
    together = " Those that move together do so in step." if moving_together(page, risk) else ""
    luck = (
        "failures come by chance"
        if has_failures(risk)
        else "repairs cost their average, since no law of failures is given"
    )
    yield (
        f"{numbers_of(page.scenario).plain(risk.draws)} cases were drawn. In each, every one of "
        f"the {len(risk.uncertain)} inputs that have a range stands somewhere in it, and {luck}; "
        f"the plan is worked out anew.{together}"
    )
    yield (
        "A chance says how often something happens in these cases. It is as good as the ranges: "
        "what stands as one number is taken as certain."
    )
    yield from stood_still_sentences(page, risk)
    yield from off_middle_sentences(page, risk)


def stood_still(risk: Risk) -> bool:
    """Whether chances are stated although no input of demand or price has a range."""
    return bool(risk.choices) and not any(
        one.key.startswith(begins) and one.key.endswith(ends)
        for one in risk.uncertain
        for begins, ends in _DEMAND_AND_PRICE
    )


def stood_still_sentences(page: AnswerPage, risk: Risk) -> Iterator[str]:
    """What alone varied, where volume and prices did not, and what would move most beside it."""
    if not stood_still(risk):
        return
    names = [_varied(one) for one in risk.uncertain]
    shown = names if len(names) <= MOST_VARIED else [*names[:MOST_VARIED], "others like them"]
    said = f"Only {joined(shown)} have a range here; volume and prices stood still, so the real "
    found = without_range(page.case, page.best.evaluation.plan)
    if not found:
        yield f"{said}spread is wider."
        return
    low, high = (numbers_of(page.scenario).money(end) for end in _ends(found[0]))
    yield (
        f"{said}spread is wider: a fifth on “{input_name(found[0].estimate)}” alone takes the "
        f"value of B from {low} to {high}."
    )


def _varied(estimate: Estimate) -> str:
    """An input that varied: a measured rate by its material."""
    return _RATES.get(estimate.key, quoted(estimate))


def _ends(one: Influence) -> tuple[float, float]:
    """The lower and the higher value at the two ends of an input [money]."""
    return min(one.at_low, one.at_high), max(one.at_low, one.at_high)


def off_middle_sentences(page: AnswerPage, risk: Risk) -> Iterator[str]:
    """That the middle case lies clearly apart from the figures at likely values, where it does."""
    if risk.best is None:
        return
    numbers, horizon = numbers_of(page.scenario), page.case.months
    spread, worth = risk.best.payback[AGAINST_BUYING_IN], risk.best.value[AGAINST_BUYING_IN]
    likely = page.best.figures.payback[AGAINST_BUYING_IN].months
    value = page.best.figures.net_present_value[AGAINST_BUYING_IN] or 0.0
    at_likely = math.inf if likely is None else likely
    late = _is_apart(at_likely, spread.middle, spread.middle_error)
    if not late and not _is_worth_apart(value, worth):
        return
    middle = payback_ends(spread, horizon=horizon, numbers=numbers)[1]
    headline = (
        f"not within {numbers.months(horizon)}"
        if likely is None
        else numbers.months(likely, limit=horizon)
    )
    yield (
        f"At the likely values B pays back {_after(headline)} and is worth {numbers.money(value)}; "
        f"in the middle case drawn {_after(middle)}, worth {money_ends(worth, numbers)[1]}: what "
        "varies does not lie evenly about the likely values."
    )


def _is_worth_apart(likely: float, worth: Spread) -> bool:
    """Whether the middle value [money] differs from the likely by a tenth of 8 of 10 cases."""
    least = max(WORTH_APART * (worth.high - worth.low), T_95 * worth.middle_error)
    return abs(likely - worth.middle) > least


def _after(words: str) -> str:
    return words if words.startswith("not") else f"in {words}"


def _is_apart(likely: float, middle: float, error: float) -> bool:
    """Whether two paybacks [month] differ by more than a month, a twentieth and their error."""
    if math.isinf(likely) or math.isinf(middle):
        return likely != middle
    return abs(likely - middle) > max(1.0, APART * likely, T_95 * error)


def _too_few(page: AnswerPage, risk: Risk) -> Iterator[str]:
    count = len(risk.uncertain)
    have = ("no input has", "only 1 input has", "only 2 inputs have")[count]
    known = {one.key for one in risk.uncertain}
    aside = any(one.is_range and one.key not in known for one in inputs(page.scenario))
    yield (
        f"No chance is stated, for {have} a range"
        f"{' (that of a repair aside)' if aside else ''} and {FEWEST_INPUTS} are needed: a chance "
        "from fewer would only repeat a guess."
    )
    numbers = numbers_of(page.scenario)
    found = without_range(page.case, page.best.evaluation.plan)
    if found:
        said = [
            f"{quoted(one.estimate)} ({one.estimate.basis}): {numbers.money(one.at_low)} at "
            f"{amount_words(page, one.estimate, one.estimate.low)}, {numbers.money(one.at_high)} "
            f"at {amount_words(page, one.estimate, one.estimate.high)}"
            for one in found[:WORTH]
        ]
        yield (
            "These decide most of all that stands as one number and is an estimate or a default; "
            f"what the plan would be worth a fifth lower and a fifth higher: {'; '.join(said)}."
        )
    yield "A range is written { low = …, likely = …, high = … }."


def payback_range_heading(page: AnswerPage, risk: Risk) -> str:
    """The finding of the band of cumulative money."""
    if risk.best is None:
        return TOO_FEW
    numbers, horizon = numbers_of(page.scenario), page.case.months
    spread = risk.best.payback[AGAINST_BUYING_IN]
    said = f"Against {other_way(page)}, {payback_range(spread, horizon=horizon, numbers=numbers)}"
    return f"{said}{_held(risk)}"


def range_sentences(page: AnswerPage, risk: Risk) -> Iterator[str]:
    """Payback and value of the three comparisons in 8 of 10 cases."""
    if risk.best is None:
        return
    numbers, horizon = numbers_of(page.scenario), page.case.months
    for name in COMPARISONS:
        back = payback_range(risk.best.payback[name], horizon=horizon, numbers=numbers)
        value = money_range(risk.best.value[name], numbers, when=" today")
        yield (
            f"{COMPARISON_LETTERS[name]}, {comparison_name(page, name)}: {back}. It is worth "
            f"{value}, before financing and {tax_words(page.scenario)}."
        )


def lowest_sentences(page: AnswerPage, risk: Risk) -> Iterator[str]:
    """The lowest bank balance and the lowest cover of debts in 8 of 10 cases."""
    if risk.best is None:
        return
    best, numbers = risk.best, numbers_of(page.scenario)
    paid = best.choice.financing.name
    yield f"With “{paid}” the lowest bank balance is {money_range(best.lowest_cash, numbers)}."
    if best.lowest_cover is not None:
        low, middle, high = ratio_ends(best.lowest_cover)
        yield (
            f"The cover of debt payments in the lowest year is between {low} and {high} in 8 of 10 "
            f"cases, {middle} in the middle case."
        )


# --- the chances --------------------------------------------------------------------------------


def chance_heading(page: AnswerPage, risk: Risk) -> str:
    """The finding of the curves of chances: payback within what the shop wants."""
    if risk.best is None:
        return TOO_FEW
    chance, worth = chance_words(risk.best.within["limit"]), chance_words(risk.best.worth)
    return (
        f"The chance that it pays back within {limit_words(page)}: {chance}; that it is worth more "
        f"than {other_way(page)}: {worth}{_held(risk)}"
    )


def _held(risk: Risk) -> str:
    """What a heading adds where neither demand nor prices vary."""
    return " (volume and prices held still)" if stood_still(risk) else ""


def event_words(page: AnswerPage, best: ChoiceRisk) -> dict[str, str]:
    """What the chances of payback speak of, by their name, without what ends after the horizon."""
    values, horizon = page.case.values, page.case.months
    paid, term = best.choice.financing, values.scalar(best.choice.warranty.term)
    numbers, words = numbers_of(page.scenario), {"limit": f"within {limit_words(page)}"}
    if values.whole(page.scenario.runs_from) + term <= horizon:
        words["warranty"] = f"before the warranty of {numbers.months(term)} ends"
    if paid.term is not None and values.scalar(paid.term) <= horizon:
        words["financing"] = (
            f"before the {paid.kind} of {numbers.months(values.scalar(paid.term))} ends"
        )
    if page.scenario.conditions.pays_back_within is not None:
        words["horizon"] = f"within the {numbers.months(horizon)} looked at"
    return words


def chance_sentences(page: AnswerPage, risk: Risk) -> Iterator[str]:
    """The chances of payback, and that cash or cover lie under their limits."""
    if risk.best is None:
        return
    best, numbers = risk.best, numbers_of(page.scenario)
    said = [
        f"{words}: {chance_with_error(best.within[name], numbers)}"
        for name, words in event_words(page, best).items()
    ]
    yield f"The chance that it pays back against {other_way(page)}, {'; '.join(said)}."
    hurdle = numbers.percent(page.case.values.scalar(page.scenario.hurdle_rate))
    yield (
        f"The chance that it is worth more than {other_way(page)} at the hurdle rate of {hurdle}, "
        f"which a yes asks for too: {chance_with_error(best.worth, numbers)}."
    )
    yield _cash_breaks(page, best)
    yield _cover_breaks(page, best)


def _cash_breaks(page: AnswerPage, best: ChoiceRisk) -> str:
    floor, numbers = page.scenario.conditions.cash_never_below, numbers_of(page.scenario)
    if floor is None or best.cash_once is None or best.cash_breaks is None:
        return "The shop states no limit to its bank balance, so no chance of breaking it is given."
    limit = numbers.money(page.case.values.scalar(floor))
    once = chance_with_error(best.cash_once, numbers)
    said = f"The chance that the bank balance lies under {limit} in some month: {once}"
    if best.cash_once.share < SELDOM:
        return f"{said}."
    month = int(np.argmax(best.cash_breaks))
    when = "at signing" if month == 0 else f"at the end of month {month}"
    return f"{said}; {_worst(best.cash_breaks, when, page)}."


def _cover_breaks(page: AnswerPage, best: ChoiceRisk) -> str:
    if best.cover_once is None or best.cover_breaks is None:
        return f"With “{best.choice.financing.name}” no debt payments fall due."
    least = page.case.values.scalar(page.scenario.lender.debt_service_cover_at_least)
    once = chance_with_error(best.cover_once, numbers_of(page.scenario))
    said = f"The chance that the cover of debt payments lies under {least:.2f} in some year: {once}"
    if best.cover_once.share < SELDOM:
        return f"{said}."
    year = int(np.argmax(best.cover_breaks)) + 1
    return f"{said}; {_worst(best.cover_breaks, f'in year {year}', page)}."


def _worst(breaks: Array, when: str, page: AnswerPage) -> str:
    """When a limit is broken most often, the first time where it is so in every case."""
    if breaks.max() >= 1:
        return f"{when} already in every one"
    share = share_in_percent(float(breaks.max()), numbers_of(page.scenario))
    return f"most often {when}, in {share} of the cases"


# --- the choices --------------------------------------------------------------------------------


def cheapest_sentences(risk: Risk) -> Iterator[str]:
    """How often no other warranty is worth more, and no other way to pay costs less."""
    if risk.best is None:
        return
    yield _unbeaten(
        "warranty",
        "the warranties for this set, how often none is worth more, before financing",
        risk.best_warranty,
    )
    yield _unbeaten(
        "way to pay",
        "the ways to pay for this set, how often none costs less in present cost",
        risk.cheapest_financing,
    )


def _unbeaten(one: str, of: str, shares: Mapping[str, Share]) -> str:
    if len(shares) == 1:
        return f"Only one {one} is offered for this set: {next(iter(shares))}."
    ranked = sorted(shares.items(), key=lambda item: -item[1].share)
    said = [f"{name}, {chance_words(chance)}" for name, chance in ranked]
    return f"Of {of}: {'; '.join(said)}."


def best_by_conditions(risk: Risk) -> ChoiceRisk | None:
    """The choice that fails fewest conditions; of equals the one that the page speaks of.

    If that is none of them, the one worth most in the middle case. A choice without debt has no
    condition on its cover, and loses nothing by that.
    """
    own = "" if risk.best is None else risk.best.choice.label

    def standing(one: ChoiceRisk) -> tuple[int, bool, float]:
        failed = sum(not condition.met for condition in one.conditions)
        return -failed, one.choice.label == own, one.value[AGAINST_BUYING_IN].middle

    return max(risk.choices, key=standing, default=None)


def conditions_heading(page: AnswerPage, risk: Risk) -> str:
    """The finding of the table of conditions, of the choice spoken of."""
    own = page.best.conditions if risk.best is None else risk.best.conditions
    if not own:
        return "The shop states no conditions of its own"
    met = sum(one.met for one in own)
    if len(own) == 1:
        return f"The one condition of the plan is {'' if met else 'not '}met"
    if met == len(own):
        return f"All {met} conditions of the plan are met"
    return f"Of {len(own)} conditions of the plan, {met or 'none'} {'is' if met < 2 else 'are'} met"


def conditions_sentences(page: AnswerPage, risk: Risk) -> Iterator[str]:
    """Which choice fails fewest of the conditions, the chance of payback among them."""
    asked, found = page.scenario.conditions.chance_of_payback, best_by_conditions(risk)
    if found is None:
        if asked is not None:
            yield (
                "The chance of payback that the shop asks for is not judged: too few inputs have a "
                "range."
            )
        return
    if asked is None:
        yield "The shop states no chance of payback that it asks for."
    else:
        yield from _too_close(page, risk)
    met = sum(one.met for one in found.conditions)
    if not found.conditions:
        yield f"No condition applies to {found.choice.label}, so that none fails with it."
    elif not any(one.met for each in risk.choices for one in each.conditions):
        yield "No choice meets any condition."
        return
    else:
        count = len(found.conditions)
        yield f"Fewest conditions fail with {found.choice.label}: {met} of {count} met."
    if risk.best is not None and found.choice.label != risk.best.choice.label:
        own = risk.best.conditions
        yield (
            f"This page speaks of {risk.best.choice.label}, which meets "
            f"{sum(one.met for one in own)} of {len(own)}."
        )


def _too_close(page: AnswerPage, risk: Risk) -> Iterator[str]:
    """That the chance asked for lies within what sampling leaves open, where it does."""
    asked = page.scenario.conditions.chance_of_payback
    if risk.best is None or risk.best.asked is None or asked is None:
        return
    least, chance = page.case.values.scalar(asked.at_least), risk.best.asked
    if abs(chance.share - least) <= chance.reach:
        wanted = numbers_of(page.scenario).percent(least, digits=0)
        yield (
            f"The chance of payback is too near to the {wanted} asked for to tell from so many "
            "cases whether it is met; more of them would."
        )


def risk_findings(page: AnswerPage, risk: Risk) -> dict[str, str]:
    """Headings by the picture's name, of the pictures that the drawn cases give."""
    if risk.best is None:
        return {}
    found = {
        "payback-range": payback_range_heading(page, risk),
        "chance-by-month": chance_heading(page, risk),
    }
    if is_explained(risk):
        found["what-explains"] = explains_heading(page, risk)
    return found
