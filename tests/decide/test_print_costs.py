"""What a finished piece costs: parts by hand, and no cost of the month forgotten or twice."""

import numpy as np
import pytest
from helpers import ROOT, SHIPPED, TEE, exactly, money, plan_of, row, shipped, shipped_answer

from planner.case import Case, choices
from planner.decide.prints import print_costs
from planner.decide.steady import equivalent_monthly_cost
from planner.plan import plan, steady_operations
from planner.scenario.load import load

# One order of two pieces a week: 8 pieces, 2 m², 4 orders a month.
BY_HAND = {
    f"{TEE}.planned": "2 piece/week",
    f"{TEE}.pieces_per_order": 2,
    f"{TEE}.garment": 2,
    "ink.price": "100 USD/L",
    "ink.daily_loss": "5 mL/day",
    "film.roll_price": 100,
    "film.run_ends": "1 m/run",
    "powder.price": "20 USD/kg",
    "labour.artwork": "15 min/design",
    "labour.order_setup": "9 min/order",
    "labour.tending": "6 min/m^2",
    "labour.cutting": "1.5 min/print",
    "labour.pressing": "3 min/print",
    "labour.daily": "3 min/day",
    "shop.electricity": "0.5 USD/kWh",
    "equipment.Set.power": "2 kW",
    "equipment.Set.idle_power": "0.1 kW",
    "equipment.Set.dryer_on": "1 hour/day",
    "equipment.Set.supplies": "7 USD/month",
    "equipment.Set.insurance": "3 %/year",
    "selling": {
        "payment_fee": "3 %",
        "payment_fee_each": "0.30 USD/order",
        "packing": "1 USD/order",
    },
    "overheads": [
        {"name": "Room", "cost": "50 USD/month"},
        {"name": "Rent", "cost": "30 USD/month", "already_paid": True},
    ],
}


def test_parts_by_hand(bare):
    own = plan_of(bare(BY_HAND))
    (cost,) = print_costs(own.case, own)
    idle = 0.1 * (24 * 365 / 12 - 0.2) * 0.5  # 2 m² print for a fifth of an hour
    waiting = 2 * (20 - 0.2) * 0.5  # the dryer is kept on beyond what it dries
    shared = 20 * 0.005 * 100 + 20 * 1 + 20 * 0.05 * 20 + 7 + 3 + 50 + 30 + idle + waiting
    assert cost.parts == money(
        {
            "garment": 2,
            "ink": 0.25 * 0.030 * 100,
            "film": 0.25,  # two across: half a metre for two
            "powder": 0.25 * 0.010 * 20,
            "artwork and set-up": (0.25 + 0.15) * 20 / 2,
            "printing": 0.25 * 0.1 * 20,
            "cutting": 0.025 * 20,
            "pressing": 0.05 * 20,
            "energy": 0.25 / 10 * 2 * 0.5,
            "payment fee": 0.03 * 10 + 0.30 / 2,
            "packing": 0.5,
            "upkeep and overheads": shared / 8,
        }
    )
    assert cost.material == money(2 + 0.75 + 0.25 + 0.05)
    assert cost.with_equipment - cost.full == money(100 / 8)
    assert cost.area_only == money(0.25 * (3 + 0.2 + 1))
    assert cost.film_use == exactly(1.0)  # two halves fill the width
    assert cost.price == 10


@pytest.mark.parametrize("name", SHIPPED)
def test_parts_add_up(name):
    for cost in shipped_answer(name).prints:
        assert sum(cost.parts.values()) == money(cost.full)
        parts = ("garment", "ink", "film", "powder")
        assert cost.material == money(sum(cost.parts[part] for part in parts))


def never_down(name):
    """The scenario with every hour paid and no day lost, so that the steady month sells it all."""
    changes = {"shop.unpaid_hours": "0 hour/week", "shop.hours_already_paid": "0 hour/week"}
    for one in shipped(name).equipment:
        repairs = f'equipment."{one.name}".repairs'
        if one.repairs is None:
            changes[repairs] = {"in_first_year": 0.7, "cost": 300, "down_days_covered": "0 day",
                                "down_days_uncovered": "0 day"}  # fmt: skip
        else:
            changes[f"{repairs}.down_days_covered"] = "0 day"
            changes[f"{repairs}.down_days_uncovered"] = "0 day"
    return load(ROOT / "scenarios" / f"{name}.toml", changes=changes)


@pytest.mark.parametrize("name", SHIPPED)
def test_no_cost_of_a_month_is_forgotten_or_counted_twice(name):
    case = Case(never_down(name))
    printing = [one for one in case.scenario.equipment if one.print_speed is not None]
    for equipment in printing:  # a set that only presses loses the work that needs a machine
        choice = next(choice for choice in choices(case.scenario) if choice.equipment == equipment)
        own = plan(case, choice.for_cash())
        month = steady_operations(case, own.machine)
        assert row(month.served)[0] == 1
        lines = {line: float(row(flow)[0]) for line, flow in month.lines.items()}
        spent = -sum(flow for line, flow in lines.items() if line not in ("sales", "sales lost"))
        pieces = [float(np.ravel(work.sold)[0]) for work in month.works]
        costs = print_costs(case, own)
        full = sum(n * cost.full for n, cost in zip(pieces, costs, strict=True))
        owned = sum(n * cost.with_equipment for n, cost in zip(pieces, costs, strict=True))
        assert full == money(spent)
        assert owned == money(spent + equivalent_monthly_cost(own))


def test_unpaid_hours_do_not_make_a_print_cheaper(bare):
    own, free = (
        plan_of(bare(BY_HAND | {"shop.unpaid_hours": f"{hours} hour/week"})) for hours in (0, 40)
    )
    assert print_costs(own.case, own)[0].full == exactly(print_costs(free.case, free)[0].full)


def test_film_that_costs_nothing_is_no_part_of_the_cost(bare):
    own = plan_of(bare({"film.roll_price": 0}))
    assert print_costs(own.case, own)[0].parts["film"] == 0


def test_a_customers_own_garment_costs_only_when_it_is_spoiled(bare):
    # no price of its own stands for it: the shop pays for the one in ten that it spoils
    spoiled = {f"{TEE}.garment": 9, "spoilage.garments": "10 %", "spoilage.redone": "0 %"}
    own = plan_of(bare(spoiled))
    assert print_costs(own.case, own)[0].parts["garment"] == exactly(9 / 0.9)
