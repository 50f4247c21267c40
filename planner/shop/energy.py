"""Electrical energy a month."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.scenario.derived import IDLE_SHARE
from planner.scenario.estimates import Number, Values
from planner.scenario.schema import Equipment
from planner.shop.calendar import HOURS_A_MONTH, Calendar


@dataclass(frozen=True, kw_only=True)
class Powers:
    """Electrical power of printer, dryer and idle circulation [kW]."""

    printer: Number
    dryer: Number
    idle: Number


def powers(*, equipment: Equipment, values: Values) -> Powers:
    """Powers of one machine of the set; one figure for all counts as the dryer's while it is on.

    A set that only presses has none.
    """
    if equipment.print_speed is None:
        return Powers(printer=0.0, dryer=0.0, idle=0.0)
    if equipment.power is not None:
        whole = values(equipment.power)
        printer, dryer = 0.0 * whole, whole
    else:
        assert equipment.printer_power is not None
        assert equipment.dryer_power is not None
        printer, dryer = values(equipment.printer_power), values(equipment.dryer_power)
    idle = IDLE_SHARE * (printer + dryer)
    if equipment.idle_power is not None:
        idle = values(equipment.idle_power)
    return Powers(printer=printer, dryer=dryer, idle=idle)


def machine_energy(
    *,
    equipment: Equipment,
    machines: int,
    printing: Number,
    drying: Number,
    days: Number,
    calendar: Calendar,
    values: Values,
) -> Number:
    """Energy of printer and dryer [kWh a month].

    A dryer is kept on for its usual hours on days with work, or as long as it runs, and warms
    up each such day; a printer circulates its ink whenever it does not print.

    Parameters
    ----------
    machines : int
        Equal machines [-].
    printing, drying : float or array
        Hours that printers and dryers run, all together [hour a month].
    days : float or array
        Days on which something is printed [day a month].
    """
    power = powers(equipment=equipment, values=values)
    kept_on = np.maximum(days * (values(equipment.dryer_on) * machines), drying)
    warm_up = days * (values(equipment.dryer_warm_up) * machines)
    idle = np.maximum(0.0, machines * HOURS_A_MONTH - printing) * (power.idle * calendar.running)
    energy: Number = power.printer * printing + power.dryer * (kept_on + warm_up) + idle
    return energy


def press_energy(*, equipment: Equipment, pressing: Number, values: Values) -> Number:
    """Energy of the heat press while it presses [kWh a month]; ``pressing`` in hours."""
    energy: Number = values(equipment.press_power) * values(equipment.press_duty) * pressing
    return energy
