"""Electricity of printer, dryer and press by hand."""

import pytest
from helpers import TEE, equipment, exactly, row, setting_of

from planner.shop.month import operations_with, operations_without

HOURS = 24 * 365 / 12  # of a month
PRICE = {"shop.electricity": "1 USD/kWh"}  # so that money is kilowatt-hours


def kilowatt_hours(scenario, *, made=True, **levers):
    ask = operations_with if made else operations_without
    return -float(row(ask(setting_of(scenario, steady=True, **levers)).lines["energy"])[0])


# 25 m² at 0.5 m² an hour: 50 hours of printing; at 1 m² an hour 25 of drying.
SPEEDS = {"print_speed": "0.5 m^2/hour", "dryer_speed": "1 m^2/hour"}


@pytest.fixture
def powers(bare):
    """Loads the shop with two powers in place of the one for the whole set."""

    def loads(printer, dryer, **keys):
        both = {"printer_power": f"{printer} kW", "dryer_power": f"{dryer} kW"}
        return bare(PRICE | {"equipment": [equipment(power=None, **SPEEDS, **both, **keys)]})

    return loads


def test_printer_runs_its_printing_hours(powers):
    used = kilowatt_hours(powers(0.8, 0, idle_power="0 kW"))
    assert used == exactly(0.8 * 50)


def test_idle_circulation_fills_the_rest_of_the_month(powers):
    used = kilowatt_hours(powers(0, 0, idle_power="0.1 kW"))
    assert used == exactly(0.1 * (HOURS - 50))


def test_idle_power_is_a_share_of_both_where_none_is_given(powers):
    used = kilowatt_hours(powers(1, 0))
    assert used == exactly(50 + 0.03 * (HOURS - 50))  # the default: 3 %


@pytest.mark.parametrize(
    ("hours", "on"),
    [(25, "1 hour/day"), (25, "1.25 hour/day"), (26, "1.3 hour/day"), (60, "3 hour/day")],
)
def test_the_dryer_is_on_at_least_while_it_runs(powers, hours, on):
    assert kilowatt_hours(powers(0, 4, dryer_on=on, idle_power="0 kW")) == exactly(4 * hours)


def test_the_dryer_warms_up_every_day_of_printing(powers):
    used = kilowatt_hours(powers(0, 4, dryer_warm_up="30 min/day", idle_power="0 kW"))
    assert used == exactly(4 * (25 + 20 * 0.5))


def test_nothing_printed_keeps_no_dryer_on(powers):
    idle = powers(1, 4, dryer_warm_up="30 min/day", dryer_on="3 hour/day", idle_power="0.1 kW")
    assert kilowatt_hours(idle, volume=0.0) == exactly(0.1 * HOURS)


def with_one_power(bare, **changes):
    return bare(
        PRICE
        | {"equipment": [equipment(**SPEEDS | {"power": "5 kW", "dryer_on": "3 hour/day"})]}
        | changes
    )


def test_one_figure_for_power_counts_in_dryer_hours(bare):
    assert kilowatt_hours(with_one_power(bare)) == exactly(5 * 60 + 0.03 * 5 * (HOURS - 50))


def test_the_press_heats_for_its_duty_with_and_without_the_machine(bare):
    # 100 prints of 3 minutes at 2 kW, half of the time: 5 kWh
    press = PRICE | {
        "labour.pressing": "3 min/print",
        "equipment.Set.press_power": "2 kW",
        "equipment.Set.press_duty": "50 %",
        f"{TEE}.today": "25 piece/week",
        "today": {"buy_in_price": "0 USD/m^2"},
    }
    assert kilowatt_hours(bare(press)) == exactly(5)
    assert kilowatt_hours(bare(press), made=False) == exactly(5)


def test_electricity_follows_the_price_of_other_costs(bare):
    scenario = with_one_power(bare, **{"growth.costs": "21 %/year", "horizon": "13 months"})
    energy = row(operations_with(setting_of(scenario)).lines["energy"])
    assert energy[[6, 12]] == exactly([1.1 * energy[0], 1.21 * energy[0]])


def test_a_machine_that_does_not_run_yet_uses_nothing(bare):
    scenario = with_one_power(bare, runs_from="2 months")
    energy = row(operations_with(setting_of(scenario)).lines["energy"])
    assert energy[:2] == exactly([0, 0])
    assert energy[2] < 0
