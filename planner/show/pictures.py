"""The charts of a scenario, drawn from its answers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from planner.decide.answer import Answered, AnswerPage
from planner.decide.conditions import payback_limit
from planner.decide.curves import (
    break_even_curves,
    cumulative,
    cumulative_outlay,
    make_or_buy_curves,
    own_cash_flow,
)
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS, TODAY_ONLY, WHOLE_PLAN
from planner.decide.film import Roll, by_planned_area, rolls
from planner.decide.grid import Grid
from planner.decide.risk.answer import Risk
from planner.decide.sensitivity import Influence
from planner.show import charts
from planner.show.charts import Picture
from planner.show.measured import rate_shown, rate_unit
from planner.show.words import COMPARISON_LETTERS, comparison_name, numbers_of
from planner.show.words.changed import (
    GRID_COLUMN_TITLE,
    grid_columns,
    grid_row_title,
    grid_rows,
)
from planner.show.words.explains import amount_words, explained_parts, input_name, is_explained
from planner.show.words.month import warranties_of
from planner.usage.test_prints import (
    KINDS,
    interval,
    measured_rates,
    outliers,
    own_rates,
    print_names,
)

# The look of each comparison, the same in every picture; the headline has the first one.
COMPARISON_PLACES: Final = {AGAINST_BUYING_IN: 0, TODAY_ONLY: 1, WHOLE_PLAN: 2}
MOST_INPUTS: Final = 10  # bars of one input at a time
MOST_EXPLAINING: Final = 6
MOST_LAYOUTS: Final = 3


def payback_picture(page: AnswerPage, answered: Answered) -> Picture:
    """Cumulative money of the three comparisons with their paybacks."""
    series = cumulative(answered.evaluation)
    lines = [
        charts.PaybackLine(
            label=f"{COMPARISON_LETTERS[name]} {comparison_name(page, name)}",
            values=_plain(series[name]),
            payback=answered.figures.payback[name].months,
            short=COMPARISON_LETTERS[name],
            place=COMPARISON_PLACES[name],
        )
        for name in COMPARISONS
    ]
    if np.array_equal(series[AGAINST_BUYING_IN], series[WHOLE_PLAN]):
        lines = [lines[0], _joined(lines[1], "B and C, against not taking the work")]
    return charts.cumulative_cash(lines, numbers=numbers_of(page.scenario))


def _joined(line: charts.PaybackLine, label: str) -> charts.PaybackLine:
    return replace(line, label=label, short="B and C")


def cash_flow_picture(page: AnswerPage, answered: Answered) -> Picture:
    """Bank balance and own cash flow by month."""
    limit = page.scenario.conditions.cash_never_below
    return charts.cash_flow(
        net=_plain(own_cash_flow(answered.evaluation)),
        balance=_plain(answered.figures.cash.balance),
        limit=None if limit is None else page.case.values.scalar(limit),
        numbers=numbers_of(page.scenario),
    )


def break_even_picture(page: AnswerPage, answered: Answered) -> Picture:
    """Income and total cost of a steady month by weekly volume."""
    curves = break_even_curves(page.case, answered.evaluation.plan, answered.figures)
    return charts.break_even(
        volumes=_plain(curves.volumes),
        income=_plain(curves.income),
        total_cost=_plain(curves.total_cost),
        crossing=charts.Mark(*curves.crossing) if curves.crossing else None,
        planned=curves.planned,
        capacity=curves.capacity,
        worth=answered.figures.added_work.pieces,
        numbers=numbers_of(page.scenario),
    )


def make_or_buy_picture(page: AnswerPage, answered: Answered) -> Picture | None:
    """Cost by area of transfers made and bought; None where none can be bought in."""
    found = answered.figures.make_or_buy
    if found is None:
        return None
    curves = make_or_buy_curves(page.case, answered.evaluation.plan, found)
    return charts.make_or_buy(
        areas=_plain(curves.areas),
        made=_plain(curves.made),
        bought=charts.Band(
            _plain(curves.bought_low), _plain(curves.bought), _plain(curves.bought_high)
        ),
        crossing=curves.crossing,
        crossing_low=curves.crossing_low,
        crossing_high=curves.crossing_high,
        planned=curves.planned,
        numbers=numbers_of(page.scenario),
    )


def financing_picture(page: AnswerPage, answered: Sequence[Answered]) -> Picture:
    """What each way to pay for a machine has taken by each month."""
    lines = [
        charts.Line(
            label=one.choice.financing.name or "",
            values=_plain(cumulative_outlay(one.evaluation.plan)),
        )
        for one in answered
    ]
    return charts.financing_outlay(lines, numbers=numbers_of(page.scenario))


def print_cost_picture(page: AnswerPage) -> Picture:
    """What a piece of each product costs, by groups of parts."""
    parts = list(page.prints[0].groups)
    bars = [
        charts.CostBar(
            label=one.product, values=[one.groups[part] for part in parts], total=one.full
        )
        for one in page.prints
    ]
    return charts.print_cost(bars, parts=parts, numbers=numbers_of(page.scenario))


def layout_pictures(page: AnswerPage) -> list[Picture]:
    """At most three layouts: the product with most planned area on every roll, then the others.

    The roll of the set that the page speaks of comes first; none where no set prints.
    """
    own = page.best.choice.equipment.name
    found = sorted(rolls(page.case), key=lambda roll: own not in roll.equipment)
    most, *others = by_planned_area(page.case)
    wanted = [(roll, most) for roll in found] + [(roll, at) for roll in found[:1] for at in others]
    return [
        layout_picture(page, roll=roll, product=at, name=f"film-layout-{number}")
        for number, (roll, at) in enumerate(wanted[:MOST_LAYOUTS], start=1)
    ]


def layout_picture(page: AnswerPage, *, roll: Roll, product: int, name: str) -> Picture:
    """An average order of one product, by its place in the scenario, laid out on a roll."""
    return charts.sheet_layout(
        roll, roll.products[product], name=name, numbers=numbers_of(page.scenario)
    )


def print_rates_picture(page: AnswerPage) -> Picture:
    """What each test print used by area, beside the rate of all with its 95 % interval."""
    numbers, prints = numbers_of(page.scenario), page.scenario.prints
    apart = outliers(prints)
    panels = []
    for kind, rate in measured_rates(prints).by_kind.items():
        ends = interval(rate)
        panels.append(
            charts.RatePanel(
                label=KINDS[kind],
                unit=rate_unit(kind, numbers),
                rates=[rate_shown(own_rates(row)[kind], numbers) for row in prints],
                pooled=rate_shown(rate.rate, numbers),
                interval=(rate_shown(ends[0], numbers), rate_shown(ends[1], numbers))
                if ends
                else None,
                apart=[one.at for one in apart if one.kind == kind],
            )
        )
    return charts.print_rates(print_names(prints), panels, numbers=numbers)


def station_picture(page: AnswerPage, answered: Answered) -> Picture:
    """Share of its hours that each station is asked to work, by month."""
    months = page.case.months
    lines = [
        charts.Line(label=name, values=_plain(np.broadcast_to(use, (1, months))[0]))
        for name, use in station_shares(answered).items()
    ]
    return charts.station_use(lines, numbers=numbers_of(page.scenario))


def station_shares(answered: Answered) -> dict[str, np.ndarray]:
    """Hours asked of each station ÷ its hours, by month."""
    return {
        name: np.asarray(station.use)
        for name, station in answered.evaluation.plan.operations.stations.items()
    }


def warranty_picture(page: AnswerPage, answered: Answered) -> Picture:
    """What failures and their cover cost by year, under each warranty offered for the set."""
    costs = warranties_of(page, answered)
    return charts.warranty_years(
        [charts.Line(label=one.warranty, values=one.total_by_year) for one in costs],
        totals=[one.total for one in costs],
        numbers=numbers_of(page.scenario),
    )


def _plain(values: np.ndarray) -> list[float]:
    return [float(value) for value in values]


# --- what could go wrong ------------------------------------------------------------------------


def payback_range_picture(page: AnswerPage, risk: Risk) -> Picture | None:
    """Cumulative money in 8 of 10 cases; None where too few inputs have a range."""
    if risk.best is None or risk.fan is None:
        return None
    low, middle, high = risk.fan
    spread = risk.best.payback[AGAINST_BUYING_IN]
    return charts.payback_range(
        low=_plain(low),
        middle=_plain(middle),
        high=_plain(high),
        paybacks=(spread.low, spread.middle, spread.high),
        reached=risk.best.within["horizon"].share,
        numbers=numbers_of(page.scenario),
    )


def chance_picture(page: AnswerPage, risk: Risk) -> Picture | None:
    """Chance by month of payback, and of a balance under the limit; None with too few ranges."""
    if risk.best is None or risk.paid_back is None:
        return None
    under, floor = risk.best.cash_breaks, page.scenario.conditions.cash_never_below
    return charts.chance_by_month(
        paid_back=_plain(risk.paid_back),
        wanted=payback_limit(page.case),
        under=None if under is None else _plain(under),
        floor=None if floor is None else page.case.values.scalar(floor),
        numbers=numbers_of(page.scenario),
    )


def influences_picture(page: AnswerPage) -> Picture | None:
    """What the plan is worth with one input at a time at its ends; None where none has a range."""
    if not page.influences:
        return None
    value = page.best.figures.net_present_value[AGAINST_BUYING_IN]
    assert value is not None
    return charts.one_at_a_time(
        [_ends(page, one) for one in page.influences[:MOST_INPUTS]],
        plan=value,
        numbers=numbers_of(page.scenario),
    )


def _ends(page: AnswerPage, one: Influence) -> charts.Ends:
    return charts.Ends(
        label=input_name(one.estimate),
        basis=one.estimate.basis or "",
        low=amount_words(page, one.estimate, one.estimate.low),
        high=amount_words(page, one.estimate, one.estimate.high),
        at_low=one.at_low,
        at_high=one.at_high,
    )


def explains_picture(page: AnswerPage, risk: Risk) -> Picture | None:
    """What explains the spread of the value; None where nothing does."""
    if not is_explained(risk):
        return None
    parts = explained_parts(risk, most=MOST_EXPLAINING)
    return charts.explained_shares(parts, numbers=numbers_of(page.scenario))


def grid_picture(page: AnswerPage, grid: Grid) -> Picture:
    """Payback over volume and selling price."""
    return charts.payback_grid(
        rows=grid_rows(page, grid),
        columns=grid_columns(page, grid),
        months=[_plain(row) for row in grid.months],
        plan=grid.plan,
        wanted=payback_limit(page.case),
        horizon=page.case.months,
        row_title=grid_row_title(grid),
        column_title=GRID_COLUMN_TITLE,
        numbers=numbers_of(page.scenario),
    )
