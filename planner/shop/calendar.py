"""The months of a plan: what is open, how far the ramp is, how prices have grown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.scenario.estimates import Array, Estimate, Number, Values
from planner.scenario.schema import Product, Scenario, Season

DAYS_A_MONTH: Final = 365 / 12
DAYS_A_WEEK: Final = 7.0
WEEKS_A_YEAR: Final = 52.0
HOURS_A_MONTH: Final = 24 * DAYS_A_MONTH


@dataclass(frozen=True, kw_only=True)
class Levers:
    """Factors [-] that a question moves while everything else stands: floats or (draws, 1).

    ``volume`` multiplies all pieces, ``added`` the work beyond today's, ``price`` selling prices,
    ``down`` the days on which a machine stands still.
    """

    volume: Number = 1.0
    added: Number = 1.0
    price: Number = 1.0
    down: Number = 1.0


@dataclass(frozen=True, kw_only=True)
class Calendar:
    """Months 1…H as arrays that broadcast to (draws, months).

    ``ramp`` is the progress from 0 to 1 [-], ``share`` the share of the added work that has come
    [-]; ``season`` the shop's factor [-], ``of_year`` the month of the year, January 0;
    ``usual_weeks`` are the open weeks of a month that is not closed [week]; ``weeks`` [week],
    ``open_days`` and ``closed_days`` [day] counts in the month; ``long_stops`` pauses that call for
    a flush [-]; ``volume`` and ``prices`` … ``costs`` growth factors [-]; ``held`` 1 where the
    machine is in the shop, ``running`` 1 where it prints [-]; ``age`` the time since it first ran,
    at the month's end [month]. ``is_steady`` marks the one month without ramp, season and growth in
    which wear and repairs stand at their mean.
    """

    months: int
    ramp: Number
    share: Number
    volume: Number
    season: Array
    of_year: NDArray[np.int64]
    usual_weeks: float
    weeks: Array
    open_days: Array
    closed_days: Array
    long_stops: Array
    prices: Number
    wages: Number
    buy_in: Number
    costs: Number
    held: Array
    running: Array
    age: Array
    is_steady: bool = False


def plan_calendar(*, scenario: Scenario, values: Values) -> Calendar:
    """The calendar from signing to the horizon, one column a month."""
    months = values.whole(scenario.horizon)
    number = np.arange(1.0, months + 1)
    dates = [scenario.start.plus(at) for at in range(months)]
    is_open = np.array([date not in scenario.shop.closed for date in dates], dtype=float)
    usual_weeks = values.scalar(scenario.shop.open_weeks) / 12
    weeks = usual_weeks * is_open
    open_days = values.scalar(scenario.shop.open_days) * weeks
    runs_from = values.whole(scenario.runs_from)
    ramp_months = values.scalar(scenario.ramp.months)
    ramp = np.minimum(1.0, (number - 1) / ramp_months) if ramp_months > 0 else np.ones(months)
    start = values(scenario.ramp.start_share)
    growth = scenario.growth
    running = (number > runs_from).astype(float)
    of_year = np.array([date.month - 1 for date in dates])
    return Calendar(
        months=months,
        ramp=ramp,
        share=start + (1 - start) * ramp,
        volume=_grown(growth.volume, number, values),
        season=season_factors(scenario.shop.season, values)[of_year],
        of_year=of_year,
        usual_weeks=usual_weeks,
        weeks=weeks,
        open_days=open_days,
        closed_days=DAYS_A_MONTH - open_days,
        long_stops=_long_stops(is_open, scenario, values),
        prices=_grown(growth.prices, number, values),
        wages=_grown(growth.wages, number, values),
        buy_in=_grown(growth.buy_in, number, values),
        costs=_grown(growth.costs, number, values),
        held=np.ones(months),
        running=running,
        age=np.maximum(0.0, number - runs_from),
    )


def steady_calendar(*, scenario: Scenario, values: Values) -> Calendar:
    """One month at full volume: ramp, season and growth 1, month-1 prices, machine running."""
    one = np.ones(1)
    weeks = values.scalar(scenario.shop.open_weeks) / 12 * one
    open_days = values.scalar(scenario.shop.open_days) * weeks
    return Calendar(
        months=1,
        ramp=one,
        share=one,
        volume=one,
        season=one,
        of_year=np.zeros(1, dtype=int),
        usual_weeks=float(weeks[0]),
        weeks=weeks,
        open_days=open_days,
        closed_days=DAYS_A_MONTH - open_days,
        long_stops=_long_stops(one, scenario, values),
        prices=one,
        wages=one,
        buy_in=one,
        costs=one,
        held=one,
        running=one,
        age=one,
        is_steady=True,
    )


def season_factors(season: Season, values: Values) -> Array:
    """Twelve factors, January first, with mean 1 [-]; all 1 without a season."""
    if season is None:
        return np.ones(12)
    months = np.array([values.scalar(month) for month in season])
    return np.asarray(months / months.mean())


def season_of(product: Product, calendar: Calendar, values: Values) -> Array:
    """Factor on a product's pieces by month: its own season, or the shop's [-]."""
    if product.season is None or calendar.is_steady:
        return calendar.season
    return season_factors(product.season, values)[calendar.of_year]


def _grown(rate: Estimate, number: Array, values: Values) -> Number:
    """(1 + g)^((t − 1)/12)."""
    grown: Number = (1.0 + values(rate)) ** ((number - 1) / 12)
    return grown


def _long_stops(is_open: Array, scenario: Scenario, values: Values) -> Array:
    """Pauses a month that call for a flush.

    Each week of the year that is not worked is a pause of its own, spread over the open months;
    a stretch of closed months is one pause, in its first month.
    """
    after = values.scalar(scenario.ink.long_stop.after)
    idle_weeks = max(0.0, WEEKS_A_YEAR - values.scalar(scenario.shop.open_weeks))
    usual = idle_weeks / 12 if after <= DAYS_A_WEEK else 0.0
    begun = (1 - is_open) * np.concatenate([[1.0], is_open[:-1]])
    return np.asarray(is_open * usual + begun * (after < DAYS_A_MONTH))
