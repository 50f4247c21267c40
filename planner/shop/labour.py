"""Hours of work a month by step, and which of them are paid."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.scenario.estimates import Number, Values
from planner.scenario.schema import Labour, Shop
from planner.shop.calendar import Calendar


@dataclass(frozen=True, kw_only=True)
class Hours:
    """Timed work a month by step [hour]."""

    artwork: Number
    order_setup: Number
    tending: Number
    cutting: Number
    pressing: Number
    care: Number

    @property
    def total(self) -> Number:
        """All hours of the month [hour]."""
        return (
            self.artwork
            + self.order_setup
            + self.tending
            + self.cutting
            + self.pressing
            + self.care
        )


def hours_of_work(
    *,
    labour: Labour,
    orders: Number,
    set_up: Number,
    printed: Number,
    cut: Number,
    pressed: Number,
    care: Number,
    values: Values,
) -> Hours:
    """Hours by step from counts of the month.

    Parameters
    ----------
    orders, set_up, cut, pressed : float or array
        Orders, orders set up with redone ones, prints cut out, prints pressed [a month].
    printed : float or array
        Area printed, rejects included [m² a month].
    care : float or array
        Daily, weekly and long-stop care of the machine [hour a month].
    """
    return Hours(
        artwork=orders * values(labour.new_designs) * values(labour.artwork),
        order_setup=set_up * values(labour.order_setup),
        tending=printed * values(labour.tending),
        cutting=cut * values(labour.cutting),
        pressing=pressed * (values(labour.pressing) + values(labour.peel_wait)),
        care=care,
    )


def care_hours(
    *, labour: Labour, long_stop: Number, machines: int, calendar: Calendar, values: Values
) -> Number:
    """Care of all machines in months in which they run, with each ``long_stop``'s [hour]."""
    return (machines * calendar.running) * (
        values(labour.daily) * calendar.open_days
        + values(labour.weekly) * calendar.weeks
        + long_stop * calendar.long_stops
    )


def overtime_pay(*, worked: Number, shop: Shop, calendar: Calendar, values: Values) -> Number:
    """What overtime ``worked`` [hour] costs beyond its ordinary pay [money]; 0 without overtime."""
    if shop.overtime is None:
        return 0.0 * worked
    extra = values(shop.overtime.extra)
    return worked * full_wage(shop=shop, values=values) * extra * calendar.wages


def full_wage(*, shop: Shop, values: Values) -> Number:
    """What an hour of work costs with on-costs [money/hour, month-1 prices]."""
    return values(shop.wage) * (1 + values(shop.on_costs))


def paid_labour(*, hours: Number, shop: Shop, calendar: Calendar, values: Values) -> Number:
    """Cash for labour a month: ``hours`` beyond the unpaid and already paid ones [hour, money]."""
    a_week = values(shop.unpaid_hours) + values(shop.hours_already_paid)
    free = a_week * calendar.usual_weeks
    paid: Number = (
        np.maximum(0.0, hours - free) * full_wage(shop=shop, values=values) * calendar.wages
    )
    return paid
