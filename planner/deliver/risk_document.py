"""What could go wrong as JSON: drawn cases, the stress table, payback by volume and price."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import astuple
from typing import Any, Final

from planner.case import Choice
from planner.decide.answer import Answered, AnswerPage
from planner.decide.conditions import Condition
from planner.decide.grid import Grid, payback_grid
from planner.decide.risk.answer import FEWEST_INPUTS, ChoiceRisk, Leading, Risk
from planner.decide.risk.chance_turning import chance_turnings
from planner.decide.risk.explain import Explains
from planner.decide.risk.spread import Share, Spread
from planner.decide.sensitivity import Influence, without_range
from planner.decide.stress import StressLine, stress_lines
from planner.decide.turning import Turning, turnings
from planner.scenario.estimates import Array, Estimate

Json = dict[str, Any]
MOST_UNTESTED: Final = 10
WITHIN: Final = ("warranty", "financing", "horizon", "limit")


def risk_document(page: AnswerPage, risk: Risk) -> Json:
    """All that is said of risk; what does not exist is null, with its reason in notes.

    Stress, grid and inputs without a range are those of the choice spoken of.
    """
    case, best = page.case, page.best
    untested = without_range(case, best.evaluation.plan)[:MOST_UNTESTED]
    return {
        "draws": risk.draws,
        "seed": risk.seed,
        "uncertain_inputs": [_uncertain(one) for one in risk.uncertain],
        "choices": [_choice(one) for one in risk.choices],
        "explains": [_explains(one) for one in risk.explains],
        "leading": None if risk.leading is None else _leading(risk.leading),
        "worth_most": {"warranty": _shares(risk.best_warranty)},
        "costs_least": {"financing": _shares(risk.cheapest_financing)},
        "stress": [_stress(line) for line in stress_lines(case, best.choice)],
        "grid": _grid(payback_grid(case, best.choice)),
        "turnings": [
            _names(one.choice) | {"turnings": list(map(_turning, _turnings(page, one, risk)))}
            for one in page.choices
        ],
        "untested_inputs": [influence_by_key(one) for one in untested],
        "notes": list(_notes(page, risk)),
    }


def condition_by_key(condition: Condition) -> Json:
    """A condition under its JSON keys."""
    return {
        "condition": condition.condition,
        "met": condition.met,
        "figure": condition.figure,
        "limit": condition.limit,
        "distance": condition.distance,
        "unit": condition.unit,
    }


def influence_by_key(one: Influence) -> Json:
    """An input moved to its ends under its JSON keys."""
    return {
        "input": one.estimate.key,
        "basis": one.estimate.basis,
        "low": one.estimate.low,
        "high": one.estimate.high,
        "unit": one.estimate.unit,
        "net_present_value_at_low": one.at_low,
        "net_present_value_at_high": one.at_high,
    }


# --- drawn cases --------------------------------------------------------------------------------


def _uncertain(estimate: Estimate) -> Json:
    return {
        "input": estimate.key,
        "basis": estimate.basis,
        "low": estimate.low,
        "likely": estimate.likely,
        "high": estimate.high,
        "unit": estimate.unit,
        "shape": estimate.shape,
    }


def _names(choice: Choice) -> Json:
    return dict(zip(("equipment", "warranty", "financing"), choice.names, strict=True))


def _choice(one: ChoiceRisk) -> Json:
    return {
        **_names(one.choice),
        "payback_months": {name: _spread(spread) for name, spread in one.payback.items()},
        "net_present_value": {name: _spread(spread) for name, spread in one.value.items()},
        "lowest_cash": _spread(one.lowest_cash),
        "lowest_debt_service_cover": _spread(one.lowest_cover),
        "chance_of_payback_within": {
            name: _share(one.within[name]) if name in one.within else None for name in WITHIN
        },
        "chance_worth_more": _share(one.worth),
        "chance_cash_below_limit": _breaks(one.cash_once, one.cash_breaks, "by_month"),
        "chance_cover_below_limit": _breaks(one.cover_once, one.cover_breaks, "by_year"),
        "conditions": [condition_by_key(condition) for condition in one.conditions],
    }


def _spread(spread: Spread | None) -> Json | None:
    if spread is None:
        return None
    return {
        "low": _finite(spread.low),
        "middle": _finite(spread.middle),
        "high": _finite(spread.high),
        "errors": {
            "low": _finite(spread.low_error),
            "middle": _finite(spread.middle_error),
            "high": _finite(spread.high_error),
        },
    }


def _share(share: Share) -> Json:
    return {"share": share.share, "error": share.error}


def _shares(shares: Mapping[str, Share]) -> Json:
    return {name: _share(share) for name, share in shares.items()}


def _breaks(once: Share | None, each: Array | None, by: str) -> Json | None:
    if once is None or each is None:
        return None
    return {"once": _share(once), by: each.tolist()}


def _explains(one: Explains) -> Json:
    return {"input": one.estimate.key, "share": one.share, "error": one.error}


def _leading(leading: Leading) -> Json:
    return {
        "input": leading.estimate.key,
        "share": leading.share,
        "chance": _share(leading.chance),
        "chance_with_half_the_range": _share(leading.chance_halved),
        "chance_worth_more": _share(leading.worth),
        "chance_worth_more_with_half_the_range": _share(leading.worth_halved),
    }


# --- one change at a time -----------------------------------------------------------------------


def _stress(line: StressLine) -> Json:
    came = line.outcome
    return {
        "name": line.name,
        "sets": list(line.sets),
        "how": line.how,
        "payback_months": None if came is None else came.payback.months,
        "net_present_value": None if came is None else came.value,
        "lowest_cash": None if came is None else came.lowest_cash,
        "lowest_cash_month": None if came is None else came.lowest_cash_month,
        "lowest_debt_service_cover": None if came is None else came.lowest_cover,
        "why_not": line.why_not,
    }


def _grid(grid: Grid) -> Json:
    return {
        "lever": grid.lever,
        "volume_factors": list(grid.volumes),
        "pieces_per_week": list(grid.pieces),
        "price_factors": list(grid.prices),
        "payback_months": [[_finite(cell) for cell in row] for row in grid.months.tolist()],
        "plan": list(grid.plan),
    }


def _turnings(page: AnswerPage, answered: Answered, risk: Risk) -> Iterator[Turning]:
    """What would meet each failed condition; the chance of payback only of the choice spoken of."""
    yield from turnings(page, answered)
    if answered is page.best:
        yield from chance_turnings(page, risk)


def _turning(turning: Turning) -> Json:
    return {
        "condition": turning.condition.condition,
        "lever": turning.lever,
        "factor": turning.factor,
        "error": None if turning.error is None else _finite(turning.error),
        "until": turning.until,
        "sets": list(turning.sets),
        "figure": turning.figure,
        "just_short": turning.just_short,
        "jumps": turning.jumps,
        "limit": turning.condition.limit,
        "unit": turning.condition.unit,
        "how": turning.how,
        "why_not": turning.why_not,
    }


# --- what does not exist ------------------------------------------------------------------------


def _finite(value: float) -> float | None:
    """The value; None where so many cases do not reach it."""
    return value if math.isfinite(value) else None


def _notes(page: AnswerPage, risk: Risk) -> Iterator[str]:
    late = f"null where it does not pay back within {page.case.months} months"
    if not risk.choices:
        yield (
            f"choices: no chance is stated, for {FEWEST_INPUTS} inputs with a range are needed and "
            f"there are {len(risk.uncertain)}"
        )
    for one in risk.choices:
        label = one.choice.label
        for name, spread in one.payback.items():
            if not all(math.isfinite(value) for value in astuple(spread)):
                yield f"{label}: payback_months.{name}: {late} in so many cases, or in part of them"
        if one.lowest_cover is None:
            yield f"{label}: lowest_debt_service_cover: no debt payments fall due"
        if "financing" not in one.within:
            yield f"{label}: chance_of_payback_within.financing: nothing is borrowed or leased"
        if one.cash_once is None:
            yield f"{label}: chance_cash_below_limit: the shop states no limit"
    yield f"stress: payback_months: {late}, or the line does not apply; why_not says so"
    yield f"grid: payback_months: {late}"
    yield "turnings: just_short is the figure a millionth of the change short of the factor"
    if page.scenario.conditions.chance_of_payback is not None:
        yield "turnings: the chance of payback is solved for the choice spoken of alone"
