"""All figures of one choice, each None with a reason where it does not exist."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from planner.case import Case
from planner.decide.breakeven import BreakEven, MakeOrBuy, Requirement, break_even
from planner.decide.cash import Cash, cash
from planner.decide.collateral import Collateral, collateral
from planner.decide.contract import LeaseTests, lease_tests
from planner.decide.cover import Cover, cover
from planner.decide.evaluation import AGAINST_BUYING_IN, Comparison, Evaluation, evaluations
from planner.decide.paying import CostOfPaying, cost_of_paying
from planner.decide.solve import Crossing, Outcome
from planner.decide.steady import equivalent_monthly_cost, weekly_area, weekly_pieces
from planner.finance.series import (
    annual_effective,
    discounted_payback,
    internal_rates,
    modified_internal_rate,
    net_present_value,
    payback,
    profitability_index,
)
from planner.scenario.estimates import Array

Trio = dict[str, float | None]


@dataclass(frozen=True)
class PaybackTime:
    """Months to payback, or None and what is short at the horizon [money]."""

    months: float | None
    short: float


@dataclass(frozen=True)
class Busiest:
    """The fullest station in its busiest month: hours asked for ÷ hours there are [-]."""

    station: str
    month: int
    share: float


@dataclass(frozen=True)
class EveryHourPaid:
    """The headline figures with every hour of work paid for on both sides."""

    payback_months: Trio
    net_present_value: Trio


@dataclass(frozen=True)
class Figures:
    """Figures of one choice; dictionaries hold the three comparisons.

    Paybacks [month] leave out what only the end brings; values [money] and rates [1/year]
    include it. Areas [m²/week], pieces [piece/week]. ``reasons`` says why a figure is None.
    """

    payback: dict[str, PaybackTime]
    discounted_payback: dict[str, PaybackTime]
    payback_own_cash: dict[str, PaybackTime]
    net_present_value: Trio
    net_present_value_financed: Trio
    internal_rates_of_return: dict[str, tuple[float, ...]]
    modified_rate_of_return: float | None
    profitability_index: float | None
    equivalent_monthly_cost: float
    break_even: BreakEven
    weekly_pieces: float
    weekly_area: float
    make_or_buy: MakeOrBuy | None
    nothing_to_make_or_buy: str
    added_work: Requirement
    busiest: Busiest
    cash: Cash
    cover: Cover
    collateral: Collateral | None
    paying: CostOfPaying
    lease: LeaseTests | None
    every_hour_paid: EveryHourPaid
    reasons: dict[str, str]


@dataclass(frozen=True)
class Shared:
    """What does not depend on the way to pay, worked out once a machine."""

    make_or_buy: MakeOrBuy | None
    added_work: Requirement
    every_hour_paid: EveryHourPaid


def every_hour_paid(evaluation: Evaluation) -> EveryHourPaid:
    """Payback and value of the three comparisons if no hour were free."""
    paid = evaluation.case.with_value("shop.unpaid_hours", 0.0).with_value(
        "shop.hours_already_paid", 0.0
    )
    (other,) = evaluations(paid, (evaluation.choice.for_cash(),))
    times = _times(other, lambda c: payback(flows=c.before_end))
    return EveryHourPaid(
        payback_months={name: time.months for name, time in times.items()},
        net_present_value=_values(other, lambda c: c.net),
    )


def figures(evaluation: Evaluation, shared: Shared) -> Figures:
    """Work out every figure of a choice."""
    case, plan = evaluation.case, evaluation.plan
    hurdle = np.ravel(case.hurdle)
    headline = evaluation.headline.net
    rates = {name: _rates(c.net[0]) for name, c in evaluation.comparisons.items()}
    modified = modified_internal_rate(flows=headline, finance_rate=hurdle, reinvest_rate=hurdle)
    index = profitability_index(flows=headline, rate=hurdle)
    broken_even = break_even(case, plan)
    paid = cost_of_paying(plan)
    covered = cover(evaluation)
    result = Figures(
        payback=paybacks(evaluation),
        discounted_payback=_times(
            evaluation, lambda c: discounted_payback(flows=c.before_end, rate=hurdle)
        ),
        payback_own_cash=_times(evaluation, lambda c: payback(flows=c.before_end_financed)),
        net_present_value=values_today(evaluation),
        net_present_value_financed=_values(evaluation, lambda c: c.net_financed),
        internal_rates_of_return=rates,
        modified_rate_of_return=_finite(annual_effective(modified.value)),
        profitability_index=float(index.value[0]) if index.exists[0] else None,
        equivalent_monthly_cost=equivalent_monthly_cost(plan),
        break_even=broken_even,
        weekly_pieces=weekly_pieces(case),
        weekly_area=weekly_area(case, plan.machine),
        make_or_buy=shared.make_or_buy,
        nothing_to_make_or_buy="no price for bought-in transfers is given"
        if plan.machine.count
        else "the set prints nothing",
        added_work=shared.added_work,
        busiest=_busiest(evaluation),
        cash=cash(evaluation),
        cover=covered,
        collateral=collateral(plan),
        paying=paid,
        lease=lease_tests(plan),
        every_hour_paid=shared.every_hour_paid,
        reasons={},
    )
    result.reasons.update(_reasons(result, case))
    return result


def paybacks(evaluation: Evaluation) -> dict[str, PaybackTime]:
    """Payback before financing of the three comparisons."""
    return _times(evaluation, lambda c: payback(flows=c.before_end))


def values_today(evaluation: Evaluation) -> Trio:
    """Net present value before financing of the three comparisons [money]."""
    return _values(evaluation, lambda c: c.net)


def _busiest(evaluation: Evaluation) -> Busiest:
    plan = evaluation.plan
    peaks = [
        (float(use[month]), name, month + 1)
        for name, station in plan.operations.stations.items()
        for use in [np.ravel(station.use)]
        for month in [int(np.argmax(use))]
    ]
    share, name, month = max(peaks)
    return Busiest(name, month, share)


def _times(evaluation: Evaluation, of: Callable[[Comparison], object]) -> dict[str, PaybackTime]:
    times = {}
    for name, comparison in evaluation.comparisons.items():
        found = of(comparison)
        months = _finite(found.months)  # type: ignore[attr-defined]
        times[name] = PaybackTime(months, float(found.shortfall[0]))  # type: ignore[attr-defined]
    return times


def _values(evaluation: Evaluation, flows: Callable[[Comparison], Array]) -> Trio:
    hurdle = np.ravel(evaluation.case.hurdle)
    return {
        name: float(net_present_value(flows=flows(comparison), rate=hurdle)[0])
        for name, comparison in evaluation.comparisons.items()
    }


def _rates(flows: Array) -> tuple[float, ...]:
    return tuple(float(annual_effective(rate)) for rate in internal_rates(flows=flows))


def _finite(values: Array) -> float | None:
    value = float(np.ravel(values)[0])
    return value if np.isfinite(value) else None


def _reasons(result: Figures, case: Case) -> dict[str, str]:
    """Why each missing figure is missing, in words, by the figure's key."""
    return dict(
        [
            *_missing_paybacks(result, case),
            *_missing_rates(result),
            *_missing_break_evens(result),
            *_missing_debt(result),
        ]
    )


def _missing_paybacks(result: Figures, case: Case) -> list[tuple[str, str]]:
    kinds = {
        "payback_months": result.payback,
        "discounted_payback_months": result.discounted_payback,
        "payback_own_cash_months": result.payback_own_cash,
    }
    return [
        (f"{key}.{name}", f"not within {case.months} months, short by {time.short:,.0f}")
        for key, times in kinds.items()
        for name, time in times.items()
        if time.months is None
    ]


def _missing_rates(result: Figures) -> list[tuple[str, str]]:
    said = []
    for name, rates in result.internal_rates_of_return.items():
        key = f"internal_rates_of_return.{name}"
        if not rates:
            said.append((key, "no rate above -99 % a year makes these flows worth nothing"))
        elif len(rates) > 1:
            said.append((key, "more than one rate solves these flows; use net present value"))
        elif rates[0] > _LITTLE_MONEY_IN:
            said.append((key, "so high because little own money is in"))
    if result.modified_rate_of_return is None:
        said.append(("modified_rate_of_return", "the flows have no money both in and out"))
    if result.profitability_index is None:
        said.append(("profitability_index", "nothing is paid at signing"))
    return said


_LITTLE_MONEY_IN = 10.0


def _missing_break_evens(result: Figures) -> list[tuple[str, str]]:
    none = "none within the capacity of a steady month"
    always = "any volume does"
    found = {
        "break_even_pieces_per_week": result.break_even.monthly,
        "break_even_area_per_week": result.break_even.monthly,
        "lifetime_break_even_pieces_per_week": result.break_even.lifetime,
        "break_even_price_factor": result.break_even.price,
        "worth_more_from_pieces_per_week": result.added_work.crossing,
        "worth_more_from_area_per_week": result.added_work.crossing,
        "added_work_needed": result.added_work.crossing,
    }
    said = [
        (key, always if crossing.outcome is Outcome.ALWAYS else none)
        for key, crossing in found.items()
        if crossing.value is None
    ]
    if result.make_or_buy is None:
        said.append(("make_or_buy_area_per_week", result.nothing_to_make_or_buy))
    elif result.make_or_buy.by_cost.value is None:
        is_always = result.make_or_buy.by_cost.outcome is Outcome.ALWAYS
        said.append(("make_or_buy_area_per_week", always if is_always else none))
    return said


_PAYMENT = "payment_per_month"


def _missing_debt(result: Figures) -> list[tuple[str, str]]:
    said = []
    if result.paying.annual_percentage_rate is None:
        said += [(key, "nothing is borrowed") for key in ("annual_percentage_rate", _PAYMENT)]
    if result.cover.shop is None:
        said.append(("debt_service_cover_shop_by_year", "the shop's cash flow is not stated"))
    if result.cover.lowest is None:
        said.append(("lowest_debt_service_cover", "no debt payments fall due"))
    if result.collateral is None:
        said.append(("collateral_cover_lowest", "no loan is secured on the equipment"))
    return said


def needed_share(requirement: Requirement) -> float | None:
    """The share of the lever that is needed [-]; 0 where none of it is."""
    crossing: Crossing = requirement.crossing
    return 0.0 if crossing.outcome is Outcome.ALWAYS else crossing.value


def headline_payback(result: Figures) -> PaybackTime:
    """Payback of the plan against buying in, before financing."""
    return result.payback[AGAINST_BUYING_IN]
