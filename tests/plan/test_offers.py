"""What offers may say beyond the plain loan and lease, and rules that deduct a price."""

from typing import get_args

import numpy as np
import pytest
from helpers import money, plan_of, row

from planner.finance.depreciation import RULES, depreciation_rule
from planner.ledger import Group
from planner.scenario.faults import ScenarioError
from planner.scenario.schema import RuleName

TWO_YEARS = {"horizon": "24 months"}
LOAN = {"kind": "loan", "rate": "12 %/year", "term": "12 months", "down_payment": "0 %"}
LEASE = {"kind": "lease", "payment": "100 USD/month", "term": "12 months", "at_end": "return"}


def paid(bare, offer, kind="loan", changes=None):
    """What goes to the lender or lessor by month, positive."""
    scenario = bare(TWO_YEARS | {"financing": [offer]} | (changes or {}))
    return -row(plan_of(scenario, kind).ledger.total(Group.FINANCING))


def test_instalments_of_the_seller_without_interest(bare):
    offer = {"kind": "instalments", "rate": 0, "term": "12 months", "down_payment": "25 %"}
    flows = paid(bare, offer, "instalments")
    assert flows[0] == money(-900)  # three quarters of 1,200 are the seller's
    assert flows[1:13] == money(75)
    assert not flows[13:].any()


def test_a_payment_gives_the_rate(bare):
    offer = {key: LOAN[key] for key in LOAN if key != "rate"} | {"payment": "100 USD/month"}
    plan = plan_of(bare(TWO_YEARS | {"financing": [offer]}), "loan")
    assert float(plan.debt.rate[0]) == pytest.approx(0.0, abs=1e-9)  # 12 × 100 repay 1,200


def test_a_balloon_falls_with_the_last_payment(bare):
    flows = paid(bare, LOAN | {"balloon": 600})
    assert flows[12] - flows[11] == money(600)
    assert not flows[13:].any()


def test_interest_only_months_pay_only_interest(bare):
    assert paid(bare, LOAN | {"interest_only": "3 months"})[1:4] == money(12)  # 1 % of 1,200


def test_nothing_is_paid_before_the_first_payment(bare):
    flows = paid(bare, LOAN | {"first_payment_after": "4 months"})
    assert not flows[1:4].any()
    assert flows[4] > 0


def test_payments_step_by_their_share(bare):
    flows = paid(bare, LOAN | {"step": {"every": "6 months", "change": "10 %"}})
    assert flows[7] == money(1.1 * flows[6])


def test_a_financed_fee_is_not_paid_at_signing(bare):
    flows = paid(bare, LOAN | {"fee": 60, "fee_financed": True})
    assert flows[0] == money(-1200)
    assert flows[1:13].sum() > paid(bare, LOAN | {"fee": 60})[1:13].sum()


def test_early_repayment_is_charged_when_the_horizon_ends_first(bare):
    charged = LOAN | {"term": "48 months", "early_repayment_charge": "2 %"}
    owed = -row(
        plan_of(bare(TWO_YEARS | {"financing": [charged]}), "loan").ledger.line("debt settled")
    )[24]
    gap = paid(bare, charged) - paid(bare, LOAN | {"term": "48 months"})
    assert gap[24] == money(0.02 * owed)
    assert not gap[:24].any()


def test_a_renewed_lease_is_paid_to_the_horizon(bare):
    flows = paid(bare, LEASE | {"at_end": {"renew": "40 USD/month"}}, "lease")
    assert flows[12] == money(100)
    assert flows[13:] == money(40)


def test_a_lease_by_its_rate_solves_the_payment(bare):
    offer = {key: LEASE[key] for key in LEASE if key != "payment"}
    plan = plan_of(
        bare(TWO_YEARS | {"financing": [offer | {"rate": 0, "at_end": {"buy": 0}}]}), "lease"
    )
    assert float(plan.debt.payment_per_month[0]) == money(100)


def test_the_purchase_price_of_a_lease_is_a_share_of_the_price_before_tax(bare):
    offer = LEASE | {"at_end": {"buy": "10 %"}, "covers": ["equipment", "start-up"]}
    start_up = {"equipment.Set.start_up": [{"name": "Circuit", "cost": 300}]}
    flows = paid(bare, offer, "lease", start_up | {"equipment.Set.sales_tax": "20 %"})
    assert flows[12] - flows[11] == money(120)


@pytest.mark.parametrize("counts_as", ["rent", "purchase"])
def test_the_scenario_may_say_how_a_lease_counts(bare, counts_as):
    tax = {"tax": {"rate": "20 %"}}
    offer = LEASE | {"at_end": {"buy": 300}, "counts_as": counts_as}
    plan = plan_of(bare(TWO_YEARS | tax | {"financing": [offer]}), "lease")
    assert plan.payment.rented == (counts_as == "rent")


@pytest.mark.parametrize("name", [n for n in get_args(RuleName) if n != "units of production"])
def test_every_named_rule_is_known_and_deducts_the_price_at_most_once(bare, name):
    rule = depreciation_rule(name, life_months=60)
    assert rule.name == name
    scenario = bare({"horizon": "120 months", "tax": {"rate": "20 %", "depreciation": name}})
    without = bare({"horizon": "120 months", "tax": {"rate": "20 %"}})
    saved = row(plan_of(scenario).ledger.total(Group.TAX, Group.END)).sum()
    plain = row(plan_of(without).ledger.total(Group.TAX, Group.END)).sum()
    assert saved == money(plain)  # whatever the rule, the whole price is deducted in the end


def test_no_rule_from_memory_is_a_default_or_in_a_shipped_scenario():
    from helpers import SHIPPED, shipped

    for name in SHIPPED:
        tax = shipped(name).tax
        chosen = tax.depreciation.rule if tax else None
        assert chosen not in {known for known, rule in RULES.items() if rule.from_memory}


def test_shares_given_by_year(bare):
    tax = {"rate": "50 %", "depreciation": {"shares": ["75 %", "25 %"]}}
    scenario = bare(TWO_YEARS | {"tax": tax, "financing": []})
    taxes = row(plan_of(scenario).ledger.line("income tax"))
    assert taxes[12] == money(-0.5 * (12_000 - 0.75 * 1200))
    assert taxes[24] == money(-0.5 * (12_000 - 0.25 * 1200))


def test_units_of_production_follow_the_area_printed(bare):
    # 25 m² a month of a life of 600 m²: half in each of two years
    tax = {"rate": "50 %", "depreciation": {"life": "600 m^2"}}
    taxes = row(plan_of(bare(TWO_YEARS | {"tax": tax})).ledger.line("income tax"))
    assert taxes[[12, 24]] == money(-0.5 * (12_000 - 600))


def test_a_warranty_longer_than_the_horizon_is_deducted_by_its_end(bare):
    tax = {"tax": {"rate": "50 %"}, "equipment.Set.warranty.Included.price": 240}
    long = bare(tax | {"equipment.Set.warranty.Included.term": "48 months"})
    ended = bare(tax | {"equipment.Set.warranty.Included.term": "0 months"})
    totals = [row(plan_of(s).ledger.total(Group.TAX, Group.END)).sum() for s in (long, ended)]
    assert np.diff(totals) == money(0)


@pytest.mark.parametrize(
    ("offer", "said"),
    [
        (LOAN | {"due": "start"}, "must not stand in a way to pay of kind loan"),
        (LOAN | {"payment": "9 USD/month"}, "must hold exactly one of rate and payment (got both)"),
        (LOAN | {"signed": "2027-01-15"}, "must hold both signed and first_payment"),
        (LOAN | {"signed": "soon", "first_payment": "2027-02-15"}, "must be a date such as"),
    ],
)
def test_offers_that_cannot_be(bare, offer, said):
    with pytest.raises(ScenarioError) as caught:
        bare(TWO_YEARS | {"financing": [offer]})
    assert said in str(caught.value)
