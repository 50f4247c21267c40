"""The current that a set of equipment draws, to be put before an electrician."""

from __future__ import annotations

from dataclasses import dataclass

from planner.case import Case
from planner.plan import Plan
from planner.shop.energy import powers


@dataclass(frozen=True)
class Current:
    """Current at the scenario's voltage, on one phase [A]: one printer, one dryer, one press.

    ``together`` is all of them at once. A set given with one power for printer and dryer has it
    under the dryer.
    """

    voltage: float
    printer: float
    dryer: float
    press: float
    together: float


def current(case: Case, plan: Plan) -> Current | None:
    """Current of a set at full power; None where the scenario gives no voltage.

    Notes
    -----
    I = P / U; a power factor of 1 and one phase are taken, so that a three-phase dryer draws less
    on each.
    """
    voltage, values, equipment = case.scenario.shop.voltage, case.values, plan.choice.equipment
    if voltage is None:
        return None
    volts, power = values.scalar(voltage), powers(equipment=equipment, values=values)
    printer, dryer = float(power.printer), float(power.dryer)
    press = values.scalar(equipment.press_power)
    all_on = plan.machine.count * (printer + dryer) + values.whole(equipment.presses) * press
    return Current(
        volts, *(1000 * kilowatt / volts for kilowatt in (printer, dryer, press, all_on))
    )
