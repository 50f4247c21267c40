"""The test prints read out: rates and their ranges, prints that lie apart, cost by design."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from planner.decide.answer import AnswerPage
from planner.scenario.estimates import Number
from planner.show.measured import designs_of, rate_words
from planner.show.numbers import Numbers
from planner.show.words.common import numbers_of
from planner.usage.designs import Design, average_cost
from planner.usage.test_prints import (
    CONFIDENCE,
    FEWEST_JUDGED,
    KINDS,
    WITHIN,
    Outlier,
    Ratio,
    further_prints,
    interval,
    measured_rates,
    outliers,
    precision,
)

DESIGNS_NOTE: Final = (
    "Each design takes the ink and powder by area that were measured on it, at the size wanted or "
    "else as measured, on film in rows filled with it and nothing else. Rejects, spoiled garments "
    "and redone work are in it, as in the materials of a piece above; film at the ends of a run "
    "and of a roll, labour and overheads are not."
)
_NAMED_BY_CHANCE: Final = (
    "Each print is held against the others; by chance alone, a print without any slip is named on "
    "one sheet in eight to one in four."
)


def rates_heading(page: AnswerPage) -> str:
    """The finding of the chart of the test prints: what lies apart, or how well rates are known."""
    prints, numbers = page.scenario.prints, numbers_of(page.scenario)
    if len(prints) == 1:
        return "One print gives a rate and no range"
    if apart := outliers(prints):
        names = list(dict.fromkeys(one.name for one in apart))
        verb = "lies" if len(names) == 1 else "lie"
        return f"{_listed(names)} {verb} apart from the other prints"
    known = [
        f"{KINDS[kind]} to ±{numbers.percent(precision(rate))}"
        for kind, rate in measured_rates(prints).by_kind.items()
    ]
    return f"{len(prints)} test prints tell {_listed(known)}"


def rate_sentences(page: AnswerPage) -> Iterator[str]:
    """Each rate with its interval, and how many more prints it takes to know it to ±15 %."""
    numbers = numbers_of(page.scenario)
    rates = measured_rates(page.scenario.prints).by_kind
    if len(page.scenario.prints) == 1:
        said = [
            f"{KINDS[kind]} {rate_words(rate.rate, kind, numbers)}" for kind, rate in rates.items()
        ]
        yield (
            f"One print gives a rate and no range: {_listed(said)}. How far they may be off cannot "
            "be said before a second print is weighed."
        )
        return
    for kind, rate in rates.items():
        yield _rate_sentence(kind, rate, numbers)


def _rate_sentence(kind: str, rate: Ratio, numbers: Numbers) -> str:
    ends = interval(rate)
    assert ends is not None
    low, high = (rate_words(end, kind, numbers) for end in ends)
    name = KINDS[kind].capitalize()
    said = (
        f"{name}: {rate_words(rate.rate, kind, numbers)} over {rate.prints} prints, with "
        f"{numbers.percent(CONFIDENCE)} confidence between {low} and {high} "
        f"(±{numbers.percent(precision(rate))})."
    )
    more, within = further_prints(rate), numbers.percent(WITHIN)
    if not more:
        return f"{said} That is within ±{within}."
    prints = "print" if more == 1 else "prints"
    return f"{said} About {more} more {prints} like these would bring it to ±{within}."


def outlier_sentences(page: AnswerPage) -> Iterator[str]:
    """The prints that lie apart, each with the rate without it; or that none does."""
    prints, numbers = page.scenario.prints, numbers_of(page.scenario)
    if len(prints) < FEWEST_JUDGED:
        yield f"Fewer than {FEWEST_JUDGED} prints: none can be held against the others."
        return
    apart = outliers(prints)
    for one in apart:
        yield _outlier_sentence(one, numbers)
    none = "" if apart else "No print lies outside what the others lead one to expect. "
    yield f"{none}{_NAMED_BY_CHANCE}"


def _outlier_sentence(one: Outlier, numbers: Numbers) -> str:
    own, low, high, pooled, without = (
        rate_words(rate, one.kind, numbers)
        for rate in (one.own, one.low, one.high, one.pooled, one.without)
    )
    return (
        f"{one.name} lies apart: {KINDS[one.kind]} {own}, where the other prints lead one to "
        f"expect {low} to {high}. Without it the rate is {without} instead of {pooled}. Look at "
        "the weighing or for a slip of units; it is not dropped."
    )


def designs_sentence(page: AnswerPage) -> str:
    """What the measured designs cost in ink, film and powder: the mix, the ends, what has none."""
    numbers, found = numbers_of(page.scenario), designs_of(page)
    if not found:
        return "No design has a cost: the sheet gives areas, and no size at which one is wanted."
    average = average_cost(found)
    too_wide = [one.name for one in found if one.cost is None]
    if average is None:
        return f"No design has a cost: {_listed(too_wide)} {_wider(too_wide)}."
    said = (
        f"Ink, film and powder of one of each design cost {_money(average.laid_out, numbers)} a "
        f"print on average, {_money(average.area_only, numbers)} by area only"
    )
    return f"{said}{_ends(found, numbers)}.{_left_out(too_wide)}"


def _ends(found: Sequence[Design], numbers: Numbers) -> str:
    """The dearest and the cheapest design, where there are two."""
    priced = sorted((float(one.cost.laid_out), one.name) for one in found if one.cost is not None)
    if len(priced) < 2:
        return ""
    (low, cheapest), (high, dearest) = priced[0], priced[-1]
    return f"; from {_money(low, numbers)} for {cheapest} to {_money(high, numbers)} for {dearest}"


def _left_out(too_wide: Sequence[str]) -> str:
    if not too_wide:
        return ""
    verb = "is" if len(too_wide) == 1 else "are"
    return f" {_listed(too_wide)} {_wider(too_wide)}, and {verb} not in the average."


def _wider(names: Sequence[str]) -> str:
    return "is wider than the film" if len(names) == 1 else "are wider than the film"


def _money(value: Number, numbers: Numbers) -> str:
    return numbers.money(float(value), cents=True)


def _listed(words: Sequence[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]
