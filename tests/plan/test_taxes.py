"""Income tax worked out by hand on a tiny scenario, and what is taxed over a whole plan."""

import numpy as np
import pytest
from helpers import MACHINE, SHIPPED, TEE, equipment, money, plan_of, row, shipped, shipped_answer

from planner.ledger import Group
from planner.plan import without

# July 2027 to December 2028, tax years to December: months 1–6 and 7–18. 1,000 of sales a month;
# 1,200 over 24 months is 50 a month; first fill 100 at once; warranty 60 over 12 months, 5 a month;
# resale 480 at a book value of 300.
TAXED = {
    "start": "2027-07",
    "horizon": "18 months",
    f"{MACHINE}.life": "24 months",
    f"{MACHINE}.worth": {"after": "18 months", "share": "40 %"},
    f"{TEE}.coverage": "0 %",
    "ink.price": "100 USD/L",
    "ink.first_fill": "1 L",
    "equipment.Set.warranty.Included.price": 60,
    "tax": {"rate": "20 %"},
}


def taxes(plan):
    """Tax as paid by month, where any is, and tax on the resale."""
    paid = row(plan.ledger.line("income tax"))
    return (
        {int(month): float(paid[month]) for month in np.flatnonzero(np.abs(paid) > 1e-9)},
        float(row(plan.ledger.line("tax on resale"))[-1]),
    )


def test_tax_of_a_machine_bought_for_cash(bare):
    first = 6 * 1000 - 6 * 50 - 100 - 6 * 5
    second = 12 * 1000 - 12 * 50 - 6 * 5
    paid, on_resale = taxes(plan_of(bare(TAXED)))
    assert paid == money({6: -0.2 * first, 18: -0.2 * second})
    assert on_resale == money(-0.2 * (480 - 300))


@pytest.mark.parametrize(
    ("months", "year_ends"),
    [([9, 18], "March"), ([6, 18], "December"), ([12, 18], "June"), ([1, 13, 18], "July")],
)
def test_tax_is_paid_in_the_last_month_of_the_tax_year_and_the_rest_at_the_end(
    bare, months, year_ends
):
    paid, _ = taxes(plan_of(bare(TAXED | {"tax": {"rate": "20 %", "year_ends": year_ends}})))
    assert list(paid) == months
    assert sum(paid.values()) == money(-0.2 * (18 * 1000 - 18 * 50 - 100 - 60))


def test_without_a_table_there_is_no_tax(bare):
    plan = plan_of(bare({key: value for key, value in TAXED.items() if key != "tax"}))
    assert taxes(plan) == ({}, 0.0)
    assert not plan.cash_ledger.total(Group.TAX).any()


def loan_interest(*, amount, rate, term):
    """Interest by month of a level loan, month by month as on paper."""
    payment = amount * rate / (1 - (1 + rate) ** -term)
    interest, owed = [], amount
    for _ in range(term):
        interest.append(owed * rate)
        owed += interest[-1] - payment
    return np.array(interest)


def test_interest_and_fee_of_a_loan_are_deducted(bare):
    loan = {
        "kind": "loan",
        "rate": "12 %/year",
        "term": "24 months",
        "down_payment": "0 %",
        "fee": 40,
    }
    interest = loan_interest(amount=1200, rate=0.01, term=24)
    paid, on_resale = taxes(plan_of(bare(TAXED | {"financing": [loan]}), "loan"))
    assert paid == money(
        {6: -0.2 * (5570 - 40 - interest[:6].sum()), 18: -0.2 * (11370 - interest[6:18].sum())}
    )
    assert on_resale == money(-36)


@pytest.mark.parametrize(
    ("losses", "expected"),
    [("other income", {6: 2, 18: -42}), ("carried forward", {18: -40})],
)
def test_what_a_loss_is_worth(bare, losses, expected):
    # 70 a month: −10 in the first year, 210 in the second; the gain on resale stays taxed
    scenario = bare(TAXED | {f"{TEE}.price": 0.70, "tax": {"rate": "20 %", "losses": losses}})
    paid, on_resale = taxes(plan_of(scenario))
    assert paid == money(expected)
    assert on_resale == money(-36)


def test_a_loss_carried_forward_meets_the_gain_on_resale(bare):
    # 10 a month: −370 and −510 of losses swallow the gain of 180
    tax = {"rate": "20 %", "losses": "carried forward"}
    paid, on_resale = taxes(plan_of(bare(TAXED | {f"{TEE}.price": 0.10, "tax": tax})))
    assert (paid, on_resale) == ({}, 0.0)


def test_sales_tax_that_is_not_recovered_is_part_of_the_base(bare):
    # 1,320 over 24 months; the book value of 330 lowers the gain
    paid, on_resale = taxes(plan_of(bare(TAXED | {"equipment.Set.sales_tax": "10 %"})))
    assert paid == money({6: -0.2 * (5570 - 6 * 5), 18: -0.2 * (11370 - 12 * 5)})
    assert on_resale == money(-0.2 * (480 - 330))


def test_start_up_is_shared_by_price_and_written_off_with_each_item(bare):
    # A 990 over 36 months, B 330 over 12: 27.50 + 27.50 a month, then A alone
    items = [
        {"name": "A", "price": 900, "life": "36 months", "worth": {"share": "0 %"}},
        {"name": "B", "price": 300, "life": "12 months", "worth": {"share": "0 %"}},
    ]
    own = equipment(items=items, start_up=[{"name": "Circuit", "cost": 120}])
    plan = plan_of(
        bare(
            {
                "start": "2027-07",
                "horizon": "12 months",
                "tax": {"rate": "20 %"},
                "equipment": [own],
            }
        )
    )
    paid, on_resale = taxes(plan)
    assert paid == money({6: -0.2 * (6000 - 330), 12: -0.2 * (6000 - 330)})
    assert on_resale == money(0.2 * (990 - 330))  # what is not yet written off is lost


def test_a_replacement_is_written_off_from_the_month_after(bare):
    # the first thing over months 1–6, the second bought in month 6 over months 7–12
    scenario = bare({"start": "2027-07", "tax": {"rate": "20 %"}, f"{MACHINE}.life": "6 months"})
    paid, on_resale = taxes(plan_of(scenario))
    assert paid == money({6: -0.2 * (6000 - 1200), 12: -0.2 * (6000 - 1200)})
    assert on_resale == money(0)


@pytest.mark.parametrize(
    ("deducted", "rule"),  # of 1,200 in 2027 and in 2028, then 2029; a life of 36 months
    [
        ((200, 400, 400), "straight line"),  # six months of 2027
        ((1200, 0, 0), "whole price in year one"),
        ((600, 360, 240), {"shares": ["50 %", "30 %", "20 %"]}),
        # 25 m² a month of 600: 6, 12 and then the 6 that are left
        ((300, 600, 300), {"life": "600 m^2"}),
        ((300, 500, 300), "sum of years"),  # half of 3/6; half of 3/6 and of 2/6; …
    ],
)
def test_named_rules_of_depreciation_by_tax_year(bare, deducted, rule):
    tax = {"rate": "20 %", "losses": "other income", "depreciation": rule}
    scenario = bare({"start": "2027-07", "horizon": "30 months", f"{MACHINE}.life": "36 months",
                     "tax": tax})  # fmt: skip
    paid, on_resale = taxes(plan_of(scenario))
    earned = (6000, 12000, 12000)
    expected = [-0.2 * (e - d) for e, d in zip(earned, deducted, strict=True)]
    assert [paid.get(month, 0.0) for month in (6, 18, 30)] == money(expected)
    assert on_resale == money(0.2 * (1200 - sum(deducted)))


LEASE = {"kind": "lease", "payment": "80 USD/month", "term": "12 months", "document_fee": 30}


def test_a_lease_with_return_deducts_its_payments(bare):
    # six payments and the fee in the first year; the machine goes back after month 12
    lease = LEASE | {"at_end": "return", "sales_tax": "10 %"}
    paid, on_resale = taxes(plan_of(bare(TAXED | {"financing": [lease]}), "lease"))
    assert paid == money(
        {6: -0.2 * (6000 - 6 * 88 - 30 - 100 - 30), 18: -0.2 * (6000 - 6 * 88 - 30)}
    )
    assert on_resale == money(0)


def test_a_lease_bought_at_its_end_writes_off_the_purchase(bare):
    # bought in month 12 at the market value 1,200 × 0.4^(12/18), over the other 12 months of life
    market = 1200 * 0.4 ** (12 / 18)
    lease = LEASE | {"at_end": "market"}
    paid, on_resale = taxes(plan_of(bare(TAXED | {"financing": [lease]}), "lease"))
    second = 12000 - 6 * 80 - 30 - market / 2
    assert paid == money({6: -0.2 * (6000 - 6 * 80 - 30 - 100 - 30), 18: -0.2 * second})
    assert on_resale == money(-0.2 * (480 - market / 2))


def test_sales_tax_on_the_purchase_is_part_of_what_is_written_off(bare):
    # as it is for a machine bought for cash: 10 % on the market value, over the rest of the life
    bought = 1.1 * 1200 * 0.4 ** (12 / 18)
    lease = LEASE | {"at_end": "market", "sales_tax": "10 %"}
    paid, on_resale = taxes(plan_of(bare(TAXED | {"financing": [lease]}), "lease"))
    assert paid[18] == money(-0.2 * (12000 - 6 * 88 - 30 - bought / 2))
    assert on_resale == money(-0.2 * (480 - bought / 2))


@pytest.mark.parametrize("is_sale", [True, False])
def test_a_purchase_price_of_at_most_half_the_worth_makes_it_a_conditional_sale(bare, is_sale):
    # worth 1,200 × 0.4^(12/18) = 651.44 in month 12; 325 is less than half of it, 326 more
    lease = LEASE | {"at_end": {"buy": 325 if is_sale else 326}, "document_fee": 0}
    plan = plan_of(bare(TAXED | {"financing": [lease]}), "lease")
    assert plan.payment.rented is not is_sale


@pytest.mark.parametrize(("rented", "counts_as"), [(True, "rent"), (False, "purchase")])
def test_the_scenario_may_say_what_a_lease_counts_as(bare, rented, counts_as):
    for price in (325, 326):
        lease = LEASE | {"at_end": {"buy": price}, "counts_as": counts_as}
        plan = plan_of(bare(TAXED | {"financing": [lease]}), "lease")
        assert plan.payment.rented is rented


def test_a_conditional_sale_without_interest_is_taxed_like_cash(bare):
    # twelve payments of 90 and 120 at the end make the price of 1,200: there is no interest
    lease = {
        "kind": "lease",
        "payment": "90 USD/month",
        "term": "12 months",
        "at_end": {"buy": 120},
    }
    scenario = bare(TAXED | {"financing": [lease]})
    assert taxes(plan_of(scenario, "lease"))[0] == money(taxes(plan_of(scenario))[0])


def test_a_shop_that_buys_in_is_taxed_on_what_it_earns(bare):
    today = {"today": {"buy_in_price": "20 USD/m^2"}, f"{TEE}.today": "25 piece/week"}
    plan = plan_of(bare(TAXED | today))
    ledger = without(plan.case, plan.machine).ledger
    assert row(ledger.line("income tax"))[[6, 18]] == money([-0.2 * 3000, -0.2 * 6000])


@pytest.mark.parametrize("name", [name for name in SHIPPED if shipped(name).tax])
def test_over_the_whole_plan_all_that_is_earned_is_taxed_once(name):
    # Timing washes out: depreciation sums to the base, interest to what is paid beyond the debt,
    # so that tax is the rate × all money but what is only lent, stored or owed by customers.
    for answered in shipped_answer(name).choices:
        plan = answered.evaluation.plan
        tax = plan.case.scenario.tax
        for ledger in (plan.ledger, plan.cash_ledger):
            paid = ledger.line("income tax") + ledger.line("tax on resale")
            lines = ("change in working capital", "working capital returned")
            earned = ledger.net - paid - sum(ledger.line(line) for line in lines)
            assert row(paid).sum() == money(-tax.rate.likely * row(earned).sum())
