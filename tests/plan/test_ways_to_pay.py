"""Loans and leases in the ledger: what is covered, when it is paid, what happens at the end."""

import numpy as np
import pytest
from helpers import MACHINE, TEE, exactly, money, plan_of, row

PARTS = {  # equipment 1,200 + 120 tax, start-up 300, warranty 60, first fill 50, stock 70
    "equipment.Set.sales_tax": "10 %",
    "equipment.Set.start_up": [{"name": "Circuit", "cost": 300}],
    "equipment.Set.warranty.Included.price": 60,
    f"{TEE}.coverage": "0 %",
    "ink.price": "100 USD/L",
    "ink.first_fill": "0.5 L",
    "stock": {"opening": 70},
}
LOAN = {"kind": "loan", "rate": "12 %/year", "term": "24 months", "fee": 40}


def flows(plan, *lines):
    return sum(row(plan.ledger.line(line)) for line in lines)


@pytest.mark.parametrize(
    ("financed", "own", "keys"),
    [
        (0.8 * 1320, 0.2 * 1320 + 480 + 40, {}),  # a fifth down where nothing is said
        (1320, 480 + 40, {"down_payment": "0 %"}),
        (0.9 * 1620, 0.1 * 1620 + 180 + 40,
         {"down_payment": "10 %", "covers": ["equipment", "start-up"]}),
        (1800, 40, {"down_payment": "0 %",
                    "covers": ["equipment", "start-up", "warranty", "first fill", "stock"]}),
    ],
)  # fmt: skip
def test_what_a_loan_covers(bare, financed, own, keys):
    plan = plan_of(bare(PARTS | {"financing": [LOAN | keys]}), "loan")
    assert flows(plan, "loan paid out")[0] == money(financed)
    assert row(plan.ledger.net)[0] == money(-own)
    assert financed + own == money(1800 + 40)


@pytest.mark.parametrize("kind", ["loan", "instalments"])
@pytest.mark.parametrize(
    ("price", "lent"),
    [(1200, 1000), (2400, 1000), (600, 660)],  # with 10 % tax 1,320, 2,640, 660: no more than it
)
def test_an_amount_is_lent_whatever_the_price(bare, kind, price, lent):
    offer = LOAN | {"kind": kind, "amount": "1000 USD"}
    plan = plan_of(bare(PARTS | {f"{MACHINE}.price": price, "financing": [offer]}), kind)
    assert flows(plan, "loan paid out")[0] == money(lent)
    assert row(plan.ledger.net)[0] == money(lent - 1.1 * price - 480 - 40)


def test_an_amount_pays_for_all_that_the_loan_covers(bare):
    offer = LOAN | {"amount": 1500, "covers": ["equipment", "start-up"]}  # 1,320 + 300
    plan = plan_of(bare(PARTS | {"financing": [offer]}), "loan")
    assert flows(plan, "loan paid out")[0] == money(1500)


def test_a_loan_within_the_horizon_by_hand(bare):
    # 1,200 at 1 % over 12 months: 106.62 a month by the annuity formula, 12.00 of interest at first
    loan = LOAN | {"term": "12 months", "down_payment": "0 %"}
    plan = plan_of(bare({"financing": [loan]}), "loan")
    payment = 1200 * 0.01 / (1 - 1.01**-12)
    assert flows(plan, "principal", "interest")[1:] == money([-payment] * 12)
    assert flows(plan, "interest")[1] == money(-12)
    assert flows(plan, "principal").sum() == money(-1200)
    assert flows(plan, "debt settled").sum() == 0


def test_a_loan_that_outlives_the_horizon_is_settled(bare):
    loan = LOAN | {"down_payment": "0 %"}
    plan = plan_of(bare({"financing": [loan]}), "loan")
    payment = 1200 * 0.01 / (1 - 1.01**-24)
    owed = payment * (1 - 1.01**-12) / 0.01  # present value of the twelve payments to come
    assert flows(plan, "debt settled")[12] == money(-owed)
    assert flows(plan, "principal", "debt settled").sum() == money(-1200)
    assert row(plan.ledger.before_end)[12] == money(1000 - payment)


def test_a_loan_with_its_payment_given_has_the_rate_solved(bare):
    payment = 1200 * 0.01 / (1 - 1.01**-12)
    loan = {"kind": "loan", "payment": f"{payment} USD/month", "term": "12 months",
            "down_payment": "0 %"}  # fmt: skip
    plan = plan_of(bare({"financing": [loan]}), "loan")
    assert flows(plan, "interest")[1] == money(-12)
    assert float(plan.debt.rate[0]) == pytest.approx(0.01, abs=1e-10)


LEVEL = LOAN | {"term": "12 months", "down_payment": "0 %", "fee": 0}


def loan(bare, **keys):
    return plan_of(bare({"financing": [LEVEL | keys]}), (LEVEL | keys)["kind"])


def test_the_sellers_instalments_are_paid_like_a_loan(bare):
    one, other = loan(bare), loan(bare, kind="instalments")
    assert row(other.ledger.net) == exactly(row(one.ledger.net))


def test_a_balloon_is_paid_with_the_last_payment(bare):
    # without interest 1,200 less 600 is 50 a month, then 600
    paid = -flows(loan(bare, rate="0 %/year", balloon=600), "principal", "interest")
    assert paid[1:] == money([50] * 11 + [650])


def test_months_of_interest_alone(bare):
    # three months at 1 % of 1,200, then nine payments that repay it
    paid = -flows(loan(bare, interest_only="3 months"), "principal", "interest")
    assert paid[1:4] == money([12] * 3)
    assert paid[4:] == money([1200 * 0.01 / (1 - 1.01**-9)] * 9)


def test_a_first_payment_that_falls_later(bare):
    # nothing for two months while interest is added; ten payments from month 3
    plan = loan(bare, first_payment_after="3 months")
    paid = -flows(plan, "principal", "interest")
    assert paid[1:3] == money([0, 0])
    assert paid[3:] == money([1200 * 1.01**2 * 0.01 / (1 - 1.01**-10)] * 10)
    assert flows(plan, "principal").sum() == money(-1200)


def test_payments_that_step_up(bare):
    # no interest: six of x and six of 1.5 x make 1,200: 80 and 120
    step = {"every": "6 months", "change": "50 %"}
    paid = -flows(loan(bare, rate="0 %/year", step=step), "principal")
    assert paid[1:] == money([80] * 6 + [120] * 6)


def test_a_fee_that_is_financed_is_not_paid_at_signing(bare):
    plan = loan(bare, rate="0 %/year", fee=60, fee_financed=True)
    assert row(plan.ledger.net)[0] == money(0)
    assert -flows(plan, "principal")[1:] == money([1260 / 12] * 12)


def test_settling_early_is_charged_on_what_is_owed(bare):
    # 600 of 1,200 are left after twelve of 24 months without interest
    keys = {"rate": "0 %/year", "term": "24 months", "early_repayment_charge": "3 %"}
    plan = loan(bare, **keys)
    assert flows(plan, "debt settled")[12] == money(-600)
    assert flows(plan, "fees")[12] == money(-18)


LEASE = {"kind": "lease", "payment": "100 USD/month", "term": "10 months", "deposit": 150,
         "document_fee": 30}  # fmt: skip


def lease(bare, changes=None, **keys):
    return plan_of(bare({"financing": [LEASE | keys]} | (changes or {})), "lease")


def test_a_lease_taxed_on_its_payments(bare):
    # no sales tax at signing; 8 % on every payment
    plan = lease(bare, PARTS, at_end="return", sales_tax="8 %")
    assert not flows(plan, "sales tax on equipment").any()
    assert flows(plan, "paid by the lessor")[0] == money(1200)
    assert flows(plan, "sales tax on lease payments")[1:11] == money([-8] * 10)
    assert row(plan.ledger.net)[0] == money(-(300 + 60 + 50 + 70 + 30 + 150))


def test_a_lease_taxed_at_signing(bare):
    # the lessor pays the price with its sales tax; payments bear none
    plan = lease(bare, PARTS, at_end="return")
    assert flows(plan, "sales tax on equipment")[0] == money(-120)
    assert flows(plan, "paid by the lessor")[0] == money(1320)
    assert not flows(plan, "sales tax on lease payments").any()
    assert row(plan.ledger.net)[0] == money(-(300 + 60 + 50 + 70 + 30 + 150))


def test_the_deposit_comes_back_with_the_last_flow(bare):
    deposit = flows(lease(bare, at_end="return"), "deposit")
    assert {int(m): float(deposit[m]) for m in np.flatnonzero(deposit)} == {0: -150, 10: 150}


@pytest.mark.parametrize(
    ("months", "keys"),
    [
        (range(1, 11), {}),
        (range(10), {"due": "start"}),
        (range(10), {"due": "start", "advance_payments": 1}),  # it is the first payment
        ([0, 0, *range(1, 9)], {"due": "start", "advance_payments": 2}),
        ([0, 0, *range(1, 9)], {"advance_payments": 2}),  # advances are part of the ten
    ],
)
def test_months_in_which_a_lease_is_paid(bare, months, keys):
    expected = np.zeros(13)
    np.add.at(expected, list(months), -100.0)
    assert flows(lease(bare, at_end="return", **keys), "lease payments") == money(expected)


WORTH = {f"{MACHINE}.worth": {"after": "10 months", "share": "40 %"}}


@pytest.mark.parametrize(
    ("price", "at_end"),
    [(84, {"buy": "7 %"}), (1, {"buy": 1}), (480, "market")],  # 7 % of 1,200; 1,200 × 0.4
)
def test_the_purchase_at_the_end_of_a_lease(bare, price, at_end):
    plan = lease(bare, WORTH, at_end=at_end, sales_tax="8 %")
    bought = flows(plan, "purchase at lease end")
    assert {int(m): float(bought[m]) for m in np.flatnonzero(bought)} == money({10: -price})
    assert flows(plan, "sales tax on lease payments")[10] == money(-8 - 0.08 * price)
    assert flows(plan, "resale")[12] == money(1200 * 0.4 ** (12 / 10))
    assert flows(plan, "sales")[12] == money(1000)


BOUGHT = {"today": {"buy_in_price": "12 USD/m^2"}, f"{TEE}.today": "10 piece/week"}


def test_after_a_return_the_shop_is_back_at_buying_in(bare):
    # 40 pieces today and 60 added, 30 of which cannot be bought in: 70 bought at 3 a piece
    plan = lease(bare, BOUGHT | WORTH | {f"{TEE}.needs_machine": "50 %"}, at_end="return")
    assert flows(plan, "sales")[[10, 11, 12]] == money([1000, 700, 700])
    assert flows(plan, "transfers bought in")[[10, 11, 12]] == money([0, -210, -210])
    assert not flows(plan, "resale").any()
    assert not plan.resale.any()


def test_a_machine_that_went_back_is_no_longer_insured_or_supplied(bare):
    keeping = {"equipment.Set.insurance": "12 %/year", "equipment.Set.supplies": "7 USD/month"}
    plan = lease(bare, keeping, at_end="return")
    for line, amount in (("supplies", -7), ("insurance", -12)):
        assert flows(plan, line) == money([0] + [amount] * 10 + [0] * 2)


def test_nothing_is_replaced_once_the_machine_went_back(bare):
    plan = lease(bare, {f"{MACHINE}.life": "11 months"}, at_end="return")
    assert not flows(plan, "replacements").any()


@pytest.mark.parametrize(("later", "at_end"), [(-100, "renew"), (-70, {"renew": "70 USD/month"})])
def test_a_renewed_lease_keeps_the_machine(bare, later, at_end):
    plan = lease(bare, WORTH, at_end=at_end)
    assert flows(plan, "lease payments") == money([0] + [-100] * 10 + [later] * 2)
    assert flows(plan, "sales")[12] == money(1000)
    assert flows(plan, "deposit")[12] == money(150)
    assert not flows(plan, "resale").any()


@pytest.mark.parametrize(("owned", "at_end"), [(True, {"buy": 1}), (False, "market")])
def test_a_lease_that_outlives_the_horizon_is_settled(bare, owned, at_end):
    # six payments are still due; a purchase at a sum is brought forward, one at market is not
    plan = lease(bare, WORTH, at_end=at_end, term="18 months", sales_tax="8 %")
    assert flows(plan, "debt settled")[12] == money(-600)
    assert bool(flows(plan, "purchase at lease end").any()) is owned
    assert bool(flows(plan, "resale")[12] > 0) is owned
