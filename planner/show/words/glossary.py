"""Words that an owner may not know, each in a plain line."""

from __future__ import annotations

from collections.abc import Iterator

from planner.decide.answer import AnswerPage
from planner.show.words.common import numbers_of, other_way


def glossary(page: AnswerPage) -> Iterator[tuple[str, str]]:
    """Words of the pages and what they mean, with this scenario's own figures."""
    numbers, scenario = numbers_of(page.scenario), page.scenario
    hurdle = numbers.percent(page.case.values.scalar(scenario.hurdle_rate))
    horizon = numbers.months(page.case.months)
    yield (
        "A, B, C",
        (
            "three comparisons: today's work alone (A) and all that is planned (B), each made "
            f"here against {other_way(page)}; all that is planned against the shop of today (C)"
        ),
    )
    yield "horizon", f"how far ahead the plan looks: {horizon} from signing"
    yield (
        "pays back in",
        ("the time until the money put in is back for good, before financing, without resale"),
    )
    yield (
        "hurdle rate",
        (
            f"what money could earn elsewhere at the same risk: {hurdle} a year; later money "
            "counts less by it"
        ),
    )
    yield (
        "worth today",
        (
            "all money that comes and goes to the horizon, each sum turned into today's money at "
            f"the hurdle rate; above {numbers.money(0)} it earns more than that rate"
        ),
    )
    yield (
        "financed",
        (
            "with the loan or lease counted, instead of paying cash; at the hurdle rate, so that "
            "debt cheaper than that rate raises it, whatever it costs"
        ),
    )
    yield (
        "present cost",
        ("what a way to pay costs in all, in today's money at what debt costs: less is better"),
    )
    yield (
        "cover",
        (
            "the year's cash flow divided by its payments on debt: below 1 the flow does not pay "
            "them"
        ),
    )
    yield (
        "likely value, range",
        ("what an input is expected to be, and from how low to how high it may turn out"),
    )
    yield (
        "8 of 10 cases",
        ("of all cases drawn from the ranges, the lowest tenth and the highest tenth are left out"),
    )
    yield (
        "middle case",
        (
            "half of the cases drawn lie below it and half above; the plan itself is the likely "
            "case, with every input at its likely value"
        ),
    )
    yield "added work", "pieces planned beyond today's"
