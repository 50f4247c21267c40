"""Open textbooks' break-evens, margin of safety and make-or-buy, asked of whole tiny scenarios.

The machine costs 1,200 over twelve months at no interest: 100 a month of the fixed costs.
"""

import numpy as np
import pytest
from helpers import MACHINE, exactly, plan_of, product

from planner.decide.breakeven import added_work_needed, break_even, make_or_buy
from planner.decide.figures import needed_share
from planner.decide.solve import Outcome
from planner.decide.steady import equivalent_monthly_cost, transfer_costs, weekly_pieces

WEEKS = 4  # of every month of the bare shop


def simple(bare, *, price, variable, fixed, planned):
    """A shop with one product; ``variable`` as the garment, ``planned`` pieces a month."""
    one = product("Unit", prints=["10 cm x 10 cm"], price=price, garment=variable,
                  planned=f"{planned / WEEKS} piece/week")  # fmt: skip
    overheads = [{"name": "Fixed costs", "cost": f"{fixed - 100} USD/month"}]
    return bare({"products": [one], "overheads": overheads})


@pytest.mark.parametrize(
    ("units", "fixed"),  # OpenStax, Principles of Accounting vol. 2, 3.2: P 100, V 20, F 18,000
    [
        (225, 18_000),
        (425, 18_000 + 16_000),  # target income 16,000
        (725, 18_000 + 24_000 / (1 - 0.40)),  # 24,000 after tax at 40 %
    ],
)
def test_break_even_and_target_incomes(bare, units, fixed):
    plan = plan_of(simple(bare, price=100, variable=20, fixed=fixed, planned=500))
    found = break_even(plan.case, plan).monthly.value
    assert found * weekly_pieces(plan.case) * WEEKS == exactly(units)
    assert found * 500 * 100 == exactly(units * 100)  # 22,500 of sales for 225 units


def test_with_a_level_year_lifetime_and_monthly_break_even_agree(bare):
    plan = plan_of(simple(bare, price=100, variable=20, fixed=18_000, planned=500))
    found = break_even(plan.case, plan)
    assert found.lifetime.value == exactly(found.monthly.value)


def test_break_even_price_by_hand(bare):
    # 500 units must bring 500 × 20 + 18,000: 56 each, 0.56 of 100
    plan = plan_of(simple(bare, price=100, variable=20, fixed=18_000, planned=500))
    assert break_even(plan.case, plan).price.value == exactly(0.56)


def test_break_even_of_a_product_mix(bare):
    # the same book, 3.4: mix 5:3:2, F 145,000: 4,715.45 composites; 23,577, 14,146 and 9,431 units
    mix = [
        product(f"Number {share}", prints=["10 cm x 10 cm"], price=price, garment=variable,
                planned=f"{share * 5000 / WEEKS} piece/week")
        for share, price, variable in ((5, 6.25, 3.25), (3, 7.75, 4.50), (2, 9.25, 6.25))
    ]  # fmt: skip
    overheads = [{"name": "Fixed costs", "cost": "144900 USD/month"}]
    plan = plan_of(bare({"products": mix, "overheads": overheads}))
    composites = break_even(plan.case, plan).monthly.value * 5000
    assert composites == pytest.approx(4715.45, abs=0.005)
    assert [round(composites * share) for share in (5, 3, 2)] == [23_577, 14_146, 9_431]


def test_margin_of_safety(bare):
    # the same book, 3.5: P 90, V 40, F 85,000, 2,500 units: break-even 1,700, margin 72,000 or 32 %
    plan = plan_of(simple(bare, price=90, variable=40, fixed=85_000, planned=2500))
    share = needed_share(added_work_needed(plan.case, plan))
    assert share * 2500 == exactly(1700)
    assert (1 - share) * 2500 * 90 == exactly(72_000)
    assert 1 - share == exactly(0.32)


def making(bare, *, fixed_a_month=0):
    """120,000 a year, bought at 1.75, made for 1.68 of film; the machine keeps its worth."""
    one = product("Part", prints=["50 cm x 50 cm"], buy_in=1.75, planned="2500 piece/week")
    return plan_of(
        bare(
            {
                "products": [one],
                "today": {"orders": "1 order/week"},
                "film.roll_price": 336,  # 3.36 a metre, half a metre a piece
                "equipment.Set.print_speed": "100 m^2/hour",
                f"{MACHINE}.worth": {"share": "100 %"},
                "overheads": [{"name": "Avoidable", "cost": f"{fixed_a_month} USD/month"}],
            }
        )
    )


@pytest.mark.parametrize(
    ("saved", "fixed_a_month"),  # the same book, 10.3
    [(8_400, 0), (-6_000, 0.12 * 120_000 / 12)],  # an avoidable cost of 0.12 turns it round
)
def test_make_or_buy_by_the_year(bare, saved, fixed_a_month):
    plan = making(bare, fixed_a_month=fixed_a_month)
    costs = transfer_costs(plan.case, plan, np.ones(1))
    assert 12 * (costs.bought[0] - costs.made[0]) == exactly(saved)


def test_the_volume_from_which_making_is_cheaper(bare):
    # 1,200 ÷ (1.75 − 1.68) = 17,142.86 pieces a month, of 0.25 m², against 10,000 planned
    plan = making(bare, fixed_a_month=1200)
    found = make_or_buy(plan.case, plan)
    assert found.by_cost.value == exactly(1200 / 0.07 / 10_000)
    assert found.by_cost.value * found.buyable_area == exactly(1200 / 0.07 * 0.25 / 4)


def test_making_is_cheaper_at_any_volume_without_fixed_costs(bare):
    plan = making(bare)
    assert make_or_buy(plan.case, plan).by_cost.outcome is Outcome.ALWAYS


def test_the_equivalent_monthly_cost_by_hand(bare):
    # 1,200 now less 300 in a year at 1 % a month, as twelve equal sums
    scenario = bare(
        {
            f"{MACHINE}.worth": {"after": "12 months", "share": "25 %"},
            "hurdle_rate": f"{(1.01**12 - 1) * 100!r} %/year",
            "stock": {"opening": 500},  # comes back and is no cost of the equipment
        }
    )
    expected = (1200 - 300 / 1.01**12) * 0.01 / (1 - 1.01**-12)
    assert equivalent_monthly_cost(plan_of(scenario)) == exactly(expected)
