"""Hours of work by step, and which of them are paid."""

import pytest
from helpers import TEE, exactly, money, product, row, setting_of

from planner.shop.month import operations_with, operations_without

# One order of four jackets with two prints each a week, 4 weeks a month: 16 pieces, 4 orders.
JACKET = product(
    "Jacket",
    prints=["50 cm x 50 cm", "50 cm x 50 cm"],
    today="4 piece/week",
    planned="4 piece/week",
    pieces_per_order=4,
)
STEPS = {
    "today": {"buy_in_price": "0 USD/m^2"},
    "products": [JACKET],
    "labour.artwork": "30 min/design",
    "labour.new_designs": "50 %",
    "labour.order_setup": "15 min/order",
    "labour.tending": "6 min/m^2",
    "labour.cutting": "1.5 min/print",
    "labour.pressing": "2 min/print",
    "labour.peel_wait": "60 s/print",
    "labour.daily": "12 min/day",
    "labour.weekly": "30 min/week",
}


def hours(scenario, *, made=True):
    ask = operations_with if made else operations_without
    found = ask(setting_of(scenario, steady=True)).hours
    return {step: float(row(value)[0]) for step, value in vars(found).items()}


def test_hours_by_step_by_hand(bare):
    expected = {
        "artwork": 4 * 0.5 * 0.5,
        "order_setup": 4 * 0.25,
        "tending": 16 * 0.5 * 0.1,  # 8 m²
        "cutting": 32 * 1.5 / 60,
        "pressing": 32 * 3 / 60,  # with the wait for a cold peel
        "care": 20 * 0.2 + 4 * 0.5,
    }
    assert hours(bare(STEPS)) == exactly(expected)


def test_bought_transfers_need_no_tending_and_no_care(bare):
    made, bought = hours(bare(STEPS)), hours(bare(STEPS), made=False)
    for step in ("artwork", "order_setup", "cutting", "pressing"):
        assert bought[step] == exactly(made[step])
    assert (bought["tending"], bought["care"]) == (0, 0)


def test_redone_work_repeats_every_step_but_the_artwork(bare):
    usual, redone = hours(bare(STEPS)), hours(bare(STEPS | {"spoilage.redone": "25 %"}))
    for step in ("order_setup", "tending", "cutting", "pressing"):
        assert redone[step] == exactly(1.25 * usual[step])
    for step in ("artwork", "care"):
        assert redone[step] == exactly(usual[step])


def test_rejected_transfers_are_printed_and_cut_but_not_pressed(bare):
    usual, more = hours(bare(STEPS)), hours(bare(STEPS | {"spoilage.transfers": "20 %"}))
    for step in ("tending", "cutting"):
        assert more[step] == exactly(usual[step] / 0.8)
    assert more["pressing"] == exactly(usual["pressing"])


def test_what_is_not_pressed_is_not_spoiled_at_the_press(bare):
    loose = STEPS | {"products": [JACKET | {"pressed": False}], "spoilage.garments": "50 %"}
    assert hours(bare(loose))["pressing"] == 0
    assert hours(bare(loose))["tending"] == exactly(hours(bare(STEPS))["tending"])


# 100 pieces pressed for 12 minutes: 20 hours a month, 5 a week.
WORK = {
    "labour.pressing": "12 min/print",
    f"{TEE}.today": "25 piece/week",
    "today": {"buy_in_price": "0 USD/m^2"},
    "shop.on_costs": "15 %",
}


@pytest.mark.parametrize(
    ("paid_hours", "allowance"),
    [
        (20, {}),
        (0.4, {"shop.unpaid_hours": "4.9 hour/week"}),  # hours beyond the allowance are paid
        (0, {"shop.unpaid_hours": "5 hour/week"}),
        (0, {"shop.unpaid_hours": "5.1 hour/week"}),  # hours not used up bring no money
        (8, {"shop.unpaid_hours": "1 hour/week", "shop.hours_already_paid": "2 hour/week"}),
    ],
)
def test_paid_hours_on_both_sides_of_the_allowance(bare, paid_hours, allowance):
    setting = setting_of(bare(WORK | allowance), steady=True)
    for ask in (operations_with, operations_without):  # with the machine and without it alike
        assert row(ask(setting).lines["labour"])[0] == money(-paid_hours * 20 * 1.15)


def test_efficiency_is_not_paid(bare):
    slow = bare(WORK | {"shop.efficiency": "50 %"})
    assert row(operations_with(setting_of(slow, steady=True)).lines["labour"])[0] == money(-460)


def test_wages_grow_and_the_ramp_changes_hours(bare):
    lines = operations_with(
        setting_of(bare(WORK | {"growth.wages": "21 %/year", "horizon": "13 months"}))
    ).lines
    assert row(lines["labour"])[[0, 6, 12]] == exactly([-460, -506, -556.6])


def test_a_long_stop_takes_time_as_care(bare):
    # 4 closed weeks of the year are 4 pauses of a week, a third of one a month
    stop = {"after": "5 day", "ink": "0 mL", "time": "90 min"}
    assert hours(bare({"ink.long_stop": stop}))["care"] == exactly(1.5 * 4 / 12)
    never = {"after": "8 day", "ink": "0 mL", "time": "90 min"}
    assert hours(bare({"ink.long_stop": never}))["care"] == 0
