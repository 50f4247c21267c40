"""Hours that work asks of press and people, by hand."""

import pytest
from helpers import TEE, exactly, row, setting_of

from planner.shop.stations import Floor, added

# 100 pieces a month with two prints each, in orders of 4; a tenth is made a second time.
BOUGHT = {
    "today.buy_in_price": "16 USD/m^2",
    f"{TEE}.today": "25 piece/week",
    f"{TEE}.prints": ["50 cm x 50 cm", "20 cm x 20 cm"],
    f"{TEE}.pieces_per_order": 4,
    "spoilage.redone": "10 %",
    "labour.order_setup": "12 min/order",
    "labour.cutting": "3 min/print",
    "labour.pressing": "6 min/print",
}


@pytest.mark.parametrize(
    ("pressed", "press", "people"),
    [
        (True, 22, 5.5 + 11 + 22),  # 27.5 set-ups, 220 cuts, 220 pressings
        (False, 0, 5.5 + 11),
    ],
)
def test_hours_of_bought_in_work(bare, pressed, press, people):
    setting = setting_of(bare(BOUGHT | {f"{TEE}.pressed": pressed}), steady=True)
    hours = Floor(setting).for_without
    assert row(hours["press"].work)[0] == exactly(press)
    assert row(hours["people"].work)[0] == exactly(people)


def test_work_of_others_comes_on_top(bare):
    hours = Floor(setting_of(bare(BOUGHT), steady=True)).for_without
    both = added(hours, {"press": hours["press"]})
    assert row(both["press"].work)[0] == exactly(44)
    assert row(both["people"].work)[0] == exactly(38.5)
