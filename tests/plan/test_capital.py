"""What is bought, replaced and sold at the end."""

import numpy as np
import pytest
from helpers import MACHINE, equipment, exactly, money, plan_of, row

from planner.finance.depreciation import depreciation_by_month, depreciation_rule


def lines_at_signing(plan):
    return {
        line: -float(flow[0, 0]) for (_, line), flow in plan.ledger.columns.items() if flow[0, 0]
    }


def test_what_is_paid_at_signing_by_hand(bare):
    scenario = bare(
        {
            "equipment": [
                equipment(
                    items=[
                        {"name": "Printer", "price": 1000, "quantity": 2},
                        {"name": "Dryer", "price": 500},
                    ],
                    discount="10 %",
                    sales_tax="8 %",
                    start_up=[
                        {"name": "Circuit", "cost": 300},
                        {"name": "Training", "hours": "10 hour", "practice": "4 m^2"},
                    ],
                    warranty=[{"name": "Long", "term": "36 months", "price": 90}],
                )
            ],
            "shop.on_costs": "15 %",
            "ink.price": "100 USD/L",
            "ink.first_fill": "2 L",
            "powder.price": "20 USD/kg",
            "film.roll_price": 50,
            "stock": {"opening": 70},
        }
    )
    plain = 0.030 * 100 + 0.010 * 20 + 50 / 100  # ink, powder and film of a square metre
    assert lines_at_signing(plan_of(scenario)) == exactly(
        {
            "equipment": 2500 * 0.9,
            "sales tax on equipment": 2500 * 0.9 * 0.08,
            "start-up": 300 + 10 * 20 * 1.15 + 4 * plain,
            "warranty": 90,
            "first fill": 2 * 100,
            "opening stock": 70,
        }
    )


def test_start_up_without_a_list_is_a_share_and_training(bare):
    # defaults: 15 % of the price, 24 hours at the full wage, 60 square feet
    scenario = bare({"equipment": [equipment(start_up=None)], "film.roll_price": 50})
    expected = 0.15 * 1200 + 24 * 20 + 60 * 0.3048**2 * 0.5
    assert lines_at_signing(plan_of(scenario))["start-up"] == exactly(expected)


@pytest.mark.parametrize(
    ("expected", "months"),
    [(1200 * 0.4 ** (12 / 36), 12), (1200 * 0.4, 36), (1200 * 0.4**2, 72)],
)
def test_resale_is_price_times_share_to_the_age(bare, expected, months):
    worth = {f"{MACHINE}.worth": {"after": "36 months", "share": "40 %"}}
    plan = plan_of(bare(worth | {"horizon": f"{months} months"}))
    assert row(plan.ledger.line("resale"))[months] == exactly(expected)
    assert row(plan.resale)[0] == exactly(1200)


def test_resale_counts_the_discounted_price_without_sales_tax(bare):
    worth = {f"{MACHINE}.worth": {"after": "12 months", "share": "40 %"}}
    costs = {"equipment.Set.discount": "10 %", "equipment.Set.sales_tax": "8 %"}
    assert row(plan_of(bare(worth | costs)).ledger.line("resale"))[12] == exactly(1080 * 0.4)


def test_every_item_keeps_its_own_worth(bare):
    items = [
        {"name": "A", "price": 1000, "worth": {"after": "12 months", "share": "50 %"}},
        {"name": "B", "price": 400, "worth": {"after": "24 months", "share": "25 %"}},
    ]
    plan = plan_of(bare({"equipment": [equipment(items=items)]}))
    assert row(plan.ledger.line("resale"))[12] == exactly(500 + 200)


@pytest.mark.parametrize(
    ("months", "life"),
    [
        ([], "60 months"),  # a life that ends with the horizon is not begun anew
        ([59], "59 months"),
        ([24, 48], "24 months"),
        ([25, 49], "24.5 months"),  # bought in the month in which the life ends
        ([30], "30 months"),
    ],
)
def test_months_of_replacement(bare, months, life):
    plan = plan_of(bare({"horizon": "60 months", f"{MACHINE}.life": life}))
    assert list(np.flatnonzero(row(plan.ledger.line("replacements")))) == months


def test_a_replacement_costs_more_and_is_sold_at_its_own_age(bare):
    # bought again in month 24 at 1,200 × 1.1^(23/12), with 8 % tax; sold at an age of 12 months
    scenario = bare(
        {
            "horizon": "36 months",
            f"{MACHINE}.life": "24 months",
            f"{MACHINE}.worth": {"after": "12 months", "share": "30 %"},
            "equipment.Set.sales_tax": "8 %",
            "growth.costs": "10 %/year",
        }
    )
    plan, price = plan_of(scenario), 1200 * 1.1 ** (23 / 12)
    assert row(plan.ledger.line("replacements"))[24] == exactly(-price * 1.08)
    assert row(plan.ledger.line("resale"))[36] == exactly(price * 0.3)
    assert row(plan.resale)[[23, 24]] == exactly([1200 * 0.3 ** (23 / 12), price])


def straight_line(*, cost, life, first, months):
    """Equal deductions from a month on, and what of the cost is left."""
    deducted = depreciation_by_month(
        rule=depreciation_rule("straight line", life_months=life),
        base=cost,
        months=months,
        start_month=1,
        tax_year_end_month=12,
        first_month=first,
    )
    return deducted, cost - row(deducted).sum()


@pytest.mark.parametrize(
    ("book", "months", "life", "first"),
    [
        (600, 12, 24, 1),  # half of the life has passed
        (0, 24, 24, 1),
        (0, 36, 24, 1),  # nothing is left to deduct after the life
        (0, 12, 7.5, 1),
        (1200 * 0.75, 12, 24, 7),  # six months of 24
    ],
)
def test_depreciation_and_book_value_add_up_to_the_base(book, months, life, first):
    deducted, left = straight_line(cost=1200.0, life=life, first=first, months=months)
    assert row(deducted).sum() + left == money(1200)
    assert left == money(book)
    assert not row(deducted)[:first].any()
    assert row(deducted).max() == exactly(1200 / life)


def test_the_last_part_of_a_life_is_a_part_of_a_month():
    deducted, _ = straight_line(cost=75.0, life=7.5, first=1, months=12)
    assert row(deducted) == exactly([0] + [10] * 7 + [5] + [0] * 4)


def test_a_printing_press_in_a_textbook():
    # OpenStax, Principles of Accounting vol. 1, 11.3: 58,000 less 10,000 over 5 years: 9,600
    deducted, _ = straight_line(cost=48_000.0, life=60, first=1, months=60)
    assert row(deducted)[1:13].sum() == money(9_600)


def test_stock_is_sold_off_at_the_end(bare):
    ledger = plan_of(bare({"stock": {"opening": 70}})).ledger
    assert row(ledger.line("opening stock"))[0] == -70
    assert row(ledger.line("stock sold off"))[12] == 70
