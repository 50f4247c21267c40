"""Yes, not yet and no, each with its reason, on both sides of the limits."""

import pytest
from helpers import TEE, exactly, money

from planner.decide.answer import answer
from planner.decide.verdict import Answer, Reason

# 40 pieces a month need the machine; at 10 each they pay 1,200 back in three months.
FORTY = {f"{TEE}.planned": "10 piece/week"}


def within(months):
    return {"conditions": {"pays_back_within": f"{months} months"}}


@pytest.mark.parametrize(
    ("expected", "limit"), [(Answer.YES, 3.001), (Answer.YES, 3.5), (Answer.NOT_YET, 2.999)]
)
def test_payback_on_both_sides_of_the_limit(bare, expected, limit):
    found = answer(bare(FORTY | within(limit))).verdict
    assert found.answer is expected
    assert (found.months, found.limit) == exactly((3.0, limit))


def test_yes(bare):
    found = answer(bare(FORTY)).verdict
    assert (found.answer, found.reason) == (Answer.YES, Reason.PAYS_BACK)
    assert found.pieces_needed is None
    assert found.limit == 12  # the horizon, where the shop sets none
    assert (found.value, found.monthly_gain) == money((12 * 400 - 1200, 400))


def test_not_yet_because_there_is_too_little_work(bare):
    # 600 a month would pay back in two: 60 pieces a month, 15 a week
    found = answer(bare(FORTY | within(2))).verdict
    assert (found.answer, found.reason) == (Answer.NOT_YET, Reason.FEW)
    assert found.pieces_needed == exactly(15)
    assert found.pieces_planned == 10


def test_not_yet_because_the_work_comes_late(bare):
    # all at once it pays back in 3 months; on a ramp of 24 months 0, 1/24, 2/24 and half of 3/24 of
    # 400 a month come in three and a half: 75, so that 16 times the work is needed, 160 a week
    ramp = {"ramp.start_share": "0 %", "ramp.months": "24 months"}
    found = answer(bare(FORTY | ramp | within(3.5))).verdict
    assert (found.answer, found.reason) == (Answer.NOT_YET, Reason.LATE)
    assert found.months_if_at_once == exactly(3)
    assert found.pieces_needed == exactly(160)


def test_too_little_work_is_the_reason_where_less_of_it_is_lacking_than_of_time(bare):
    # nothing in the first month, then 400: back in 4. All at once would do it in 3; so would a
    # fifth more work: 2.5 months of 480 are 1,200, while half the delay would have to go
    ramp = {"ramp.start_share": "0 %", "ramp.months": "1 months"}
    found = answer(bare(FORTY | ramp | within(3.5))).verdict
    assert (found.months, found.months_if_at_once) == exactly((4, 3))
    assert (found.answer, found.reason) == (Answer.NOT_YET, Reason.FEW)
    assert found.pieces_needed == exactly(12)


def test_no_because_making_is_dearer(bare):
    # a transfer is bought for 0.25; its film alone costs 0.50
    today = {"today": {"buy_in_price": "1 USD/m^2"}, f"{TEE}.today": "25 piece/week"}
    found = answer(bare(today | {"film.roll_price": 100})).verdict
    assert (found.answer, found.reason) == (Answer.NO, Reason.DEARER)
    assert found.pieces_needed is None


def test_no_because_no_volume_within_capacity_is_quick_enough(bare):
    # the printer does 50 pieces a month: 500, and 1,200 are wanted back in two
    slow = {"equipment.Set.print_speed": f"{12.5 / 160} m^2/hour"}
    found = answer(bare(FORTY | slow | within(2))).verdict
    assert (found.answer, found.reason) == (Answer.NO, Reason.SLOW)


def test_a_payback_in_time_is_no_yes_when_it_is_worth_less_than_nothing(bare):
    # paid back in three months, but an eleventh-month replacement costs more than the rest brings
    dear = {
        "equipment.Set.wear_parts": [{"name": "Head", "price": 9000, "life_at_most": "11 months"}]
    }
    found = answer(bare(FORTY | dear)).verdict
    assert found.value < 0
    assert found.answer is not Answer.YES


def test_without_a_price_for_bought_transfers_that_is_said(bare):
    assert not answer(bare(FORTY)).verdict.has_buy_in_price
    with_price = answer(bare(FORTY | {"today": {"buy_in_price": "40 USD/m^2"}}))
    assert with_price.verdict.has_buy_in_price


def test_what_is_short_at_the_horizon(bare):
    # 4 pieces a month: 480 of 1,200 by the end
    found = answer(bare({f"{TEE}.planned": "1 piece/week"})).verdict
    assert (found.months, found.short) == (None, money(720))


@pytest.mark.parametrize(
    "changes",
    [
        {"shop.closed": [f"2027-{month:02}" for month in range(1, 12)]},  # open in December alone
        {  # care takes all hours and leaves none to press
            "shop.staff_hours": "1 hour/week",
            "labour.daily": "60 min/day",
            "labour.pressing": "1 min/print",
        },
        {"horizon": "1 month"},
        {"horizon": "3 months", "runs_from": "2 months"},
    ],
)
def test_a_shop_at_its_limits_is_answered_and_never_with_yes(bare, changes):
    assert answer(bare(changes)).verdict.answer is not Answer.YES
