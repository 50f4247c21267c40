"""What each station is asked for, by hand."""

import numpy as np
from helpers import equipment, exactly, row, setting_of

from planner.shop.stations import Floor

# 100 pieces a month, one print of a quarter of a square metre each
TIMES = {
    "labour.tending": "96 min/m^2",
    "labour.cutting": "3 min/print",
    "labour.pressing": "6 min/print",
}


def floor(scenario):
    return Floor(setting_of(scenario, steady=True))


def test_rejects_are_printed_and_cut_but_not_pressed(bare):
    hours = floor(bare(TIMES | {"spoilage.transfers": "20 %"})).for_all
    assert row(hours["people"].work)[0] == exactly((25 * 1.6 + 100 * 0.05) / 0.8 + 100 * 0.1)
    assert row(hours["press"].work)[0] == exactly(100 * 0.1)
    assert row(hours["printer"].work)[0] == exactly(25 / 10 / 0.8)


def test_a_press_alone_is_asked_for_what_can_be_bought(bare):
    # today's 40 and three fifths of the other 60, which do not need the machine
    set_of_press = equipment(
        name="Press", **dict.fromkeys(("print_speed", "power", "dryer_on", "dryer_warm_up"))
    )
    work = {
        "equipment": [set_of_press],
        "today": {"buy_in_price": "12 USD/m^2"},
        "products.Tee.today": "10 piece/week",
        "products.Tee.needs_machine": "40 %",
    }
    press_only = floor(bare(TIMES | work))
    assert row(press_only.for_all["press"].work)[0] == exactly(76 * 0.1)
    fewer = press_only.for_asked([np.array([[50.0]])])
    assert row(fewer["press"].work)[0] == exactly(50 * 0.1)


def test_bought_transfers_are_cut_and_pressed(bare):
    work = {"today": {"buy_in_price": "12 USD/m^2"}, "products.Tee.today": "10 piece/week"}
    hours = floor(bare(TIMES | work)).for_without
    assert row(hours["people"].work)[0] == exactly(100 * (0.05 + 0.1))
    assert row(hours["press"].work)[0] == exactly(100 * 0.1)
    assert row(hours["people"].fixed)[0] == 0.0
