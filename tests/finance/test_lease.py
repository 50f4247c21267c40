"""Leases against hand-made flows and the identities between their parts."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.finance import (
    BuyAtMarket,
    BuyForShare,
    BuyForSum,
    LeaseTerms,
    Renew,
    ReturnGoods,
    lease_flows,
    net_present_value,
)
from planner.finance.lease import payments_by_month


def flows_of(months=12, price=1_000.0, market=0.0, **terms):
    known = {"term": 12, "payment": 90.0} | terms
    return lease_flows(
        terms=LeaseTerms(**known), price=price, months=months, market_value_at_end=market
    )


@pytest.mark.parametrize(
    ("due", "advance", "at_signing", "last_month"),
    [
        ("end", 0, 0, 12),
        ("end", 1, 1, 11),
        ("end", 3, 3, 9),
        ("start", 0, 1, 11),
        ("start", 1, 1, 11),
        ("start", 3, 3, 9),
        ("start", 12, 12, 0),
        ("end", 12, 12, 0),
    ],
)
def test_when_payments_fall(due, advance, at_signing, last_month):
    terms = LeaseTerms(term=12, payment=1.0, due=due, advance_payments=advance)
    counts = payments_by_month(terms)
    assert counts.sum() == 12
    assert counts[0] == at_signing
    assert counts[1 : last_month + 1].tolist() == [1.0] * last_month
    assert counts[last_month + 1 :].tolist() == [0.0] * (12 - last_month)


def test_a_whole_lease_by_hand():
    flows = lease_flows(
        terms=LeaseTerms(
            term=3,
            payment=100.0,
            due="start",
            advance_payments=1,
            deposit=50.0,
            document_fee=20.0,
            tax_on_payments=0.10,
            at_end=BuyForShare(0.25),
        ),
        price=400.0,
        months=5,
    )
    assert flows.rent[0].tolist() == [-100, -100, -100, 0, 0, 0]
    assert flows.purchase[0].tolist() == [0, 0, 0, -100, 0, 0]  # a quarter of 400
    assert flows.tax_on_payments[0] == pytest.approx([-10, -10, -10, -10, 0, 0])
    assert flows.deposit[0].tolist() == [-50, 0, 0, 50, 0, 0]
    assert flows.fees[0].tolist() == [-20, 0, 0, 0, 0, 0]
    assert flows.total[0] == pytest.approx([-180, -110, -110, -60, 0, 0])
    assert flows.total_paid == pytest.approx([460])  # 3 x 110 + 110 + 20; the deposit comes back
    assert flows.payment_per_month == pytest.approx([110])
    assert flows.rate.tolist() == [0.0]  # 400 in payments and price for 400
    assert flows.balance[0] == pytest.approx([300, 200, 100, 0, 0, 0])
    assert flows.service[0] == pytest.approx([0, 110, 110, 110, 0, 0])  # months paid for
    assert flows.lump_sums[0] == pytest.approx([0, 0, 0, 110, 0, 0])


def test_the_implicit_rate_is_on_what_the_lessor_pays_for():
    flows = flows_of(at_end=BuyForSum(100.0), tax_on_payments=0.07, deposit=90.0)
    lessor = np.array([-1_000.0] + 11 * [90.0] + [190.0])
    assert net_present_value(flows=lessor, rate=flows.rate) == pytest.approx(0, abs=1e-9)
    assert flows.annual_percentage_rate == pytest.approx(12 * flows.rate)  # no document fee


@pytest.mark.parametrize("end", [ReturnGoods(), BuyAtMarket(), Renew()])
def test_goods_that_go_back_count_at_their_market_value(end):
    flows = flows_of(at_end=end, market=150.0)
    lessor = np.array([-1_000.0] + 11 * [90.0] + [240.0])
    assert net_present_value(flows=lessor, rate=flows.rate) == pytest.approx(0, abs=1e-9)


def test_a_document_fee_is_a_finance_charge():
    flows = flows_of(document_fee=30.0)
    lessor = np.array([-970.0] + 12 * [90.0])
    yearly = flows.annual_percentage_rate
    assert net_present_value(flows=lessor, rate=yearly / 12) == pytest.approx(0, abs=1e-9)
    assert yearly > 12 * flows.rate


ENDS = {
    "return": ReturnGoods(),
    "market": BuyAtMarket(),
    "share": BuyForShare(0.1),
    "sum": BuyForSum(1.0),
    "renew": Renew(),
}


@pytest.mark.parametrize("end", ENDS.values(), ids=ENDS)
@pytest.mark.parametrize("due", ["start", "end"])
@pytest.mark.parametrize("advance", [0, 2])
def test_rate_and_payment_give_the_same_lease(end, due, advance):
    known = {"due": due, "advance_payments": advance, "at_end": end, "market": 200.0}
    by_payment = flows_of(**known, months=20)
    by_rate = flows_of(**known, months=20, payment=None, rate=float(by_payment.rate[0]))
    assert by_rate.total == pytest.approx(by_payment.total, abs=1e-6)


@pytest.mark.parametrize("end", [BuyForShare(0.1), BuyForSum(1.0)])
@pytest.mark.parametrize("due", ["start", "end"])
@pytest.mark.parametrize("advance", [0, 1, 4])
@pytest.mark.parametrize("months", [1, 7, 11, 12, 30])
def test_payments_less_price_are_the_finance_charge(end, due, advance, months):
    flows = flows_of(at_end=end, due=due, advance_payments=advance, months=months)
    bought_for = 100.0 if isinstance(end, BuyForShare) else 1.0
    assert flows.finance_charge.sum() == pytest.approx(12 * 90.0 + bought_for - 1_000.0)
    early = slice(1, min(months, 12))
    accrued = flows.rate[0] * flows.balance[0, : min(months, 12) - 1]
    assert flows.finance_charge[0, early] == pytest.approx(accrued, abs=1e-9)
    at_signing = max(advance, 1 if due == "start" else 0) * 90.0
    assert flows.balance[0, 0] == pytest.approx(1_000.0 - at_signing)


@pytest.mark.parametrize("months", [11, 12, 13])
def test_a_lease_longer_than_the_months_is_settled_undiscounted(months):
    flows = flows_of(months=months, deposit=40.0, tax_on_payments=0.1)
    assert flows.settlement[0, -1] == pytest.approx(-90.0 if months == 11 else 0.0)
    assert (flows.rent + flows.settlement).sum() == pytest.approx(-12 * 90.0)
    assert flows.tax_on_payments.sum() == pytest.approx(-0.1 * 12 * 90.0)
    assert flows.deposit[0, min(months, 12)] == 40.0
    assert flows.balance[0, -1] == 0.0


@pytest.mark.parametrize(
    ("end", "owned"),  # months 11, 12 and 13 of a lease over 12
    [
        (ReturnGoods(), [None, None, None]),
        (Renew(), [None, None, None]),
        (BuyAtMarket(), [None, 12, 12]),
        (BuyForShare(0.1), [11, 12, 12]),
        (BuyForSum(1.0), [11, 12, 12]),
    ],
)
def test_when_the_goods_are_owned_and_paid_for(end, owned):
    for months, month in zip((11, 12, 13), owned, strict=True):
        terms = LeaseTerms(term=12, payment=90.0, at_end=end)
        assert terms.owned_from(months=months) == month
        flows = lease_flows(terms=terms, price=1_000.0, months=months, market_value_at_end=70.0)
        paid = np.flatnonzero(flows.purchase[0])
        assert paid.tolist() == ([] if month is None else [month])


def test_a_purchase_at_market_value_is_no_debt():
    assert flows_of(at_end=BuyAtMarket(), market=70.0).balance[0, 11] == pytest.approx(
        90.0 / (1 + flows_of(market=70.0).rate[0])
    )


@pytest.mark.parametrize(("due", "paid"), [("start", [12, 13, 14]), ("end", [13, 14, 15])])
@pytest.mark.parametrize(("payment", "later"), [(None, 90.0), (30.0, 30.0)])
def test_a_renewed_lease_goes_on_to_the_last_month(due, paid, payment, later):
    flows = flows_of(months=15, due=due, at_end=Renew(payment), deposit=40.0)
    extra = flows.rent[0].copy()
    extra[: 12 + (due == "end")] += 90.0
    extra[0] -= 90.0 if due == "end" else 0.0
    assert np.flatnonzero(extra).tolist() == paid
    assert flows.rent.sum() == pytest.approx(-12 * 90.0 - 3 * later)
    assert flows.service[0, 13:].tolist() == [later] * 3
    assert flows.deposit[0, 15] == 40.0
    assert flows.balance[0, 12:].tolist() == [0.0] * 4


def test_a_lease_without_a_rate_still_has_flows():
    flows = flows_of(advance_payments=12)  # 1,080 at once for 1,000: no rate makes them equal
    assert np.isnan(flows.rate).all()
    assert np.isnan(flows.annual_percentage_rate).all()
    assert flows.total[0, 0] == -1_080.0
    assert flows.balance.sum() == 0.0


def test_draws_are_leases_of_their_own():
    payments, markets = np.array([85.0, 90.0, 100.0]), np.array([0.0, 50.0, 100.0])
    together = flows_of(payment=payments, market=markets, months=9, at_end=BuyAtMarket())
    for i in range(3):
        alone = flows_of(
            payment=float(payments[i]), market=float(markets[i]), months=9, at_end=BuyAtMarket()
        )
        assert together.total[i] == pytest.approx(alone.total[0])
        assert together.balance[i] == pytest.approx(alone.balance[0])
        assert together.annual_percentage_rate[i] == pytest.approx(alone.annual_percentage_rate[0])


def test_every_array_has_the_same_shape_whichever_input_has_draws():
    for name in ("price", "market", "payment", "deposit", "document_fee", "tax_on_payments"):
        flows = flows_of(**{name: np.array([90.0, 91.0, 92.0])})
        arrays = {field: one for field, one in vars(flows).items() if isinstance(one, np.ndarray)}
        arrays["annual_percentage_rate"] = flows.annual_percentage_rate
        for field, value in arrays.items():
            assert value.shape[0] == 3, (name, field)
    three = np.array([0.1, 0.2, 0.3])
    for end in (BuyForShare(three), BuyForSum(three), Renew(three)):
        assert flows_of(at_end=end).total.shape == (3, 13)


@pytest.mark.long
@given(st.floats(50, 200), st.floats(0.01, 1000), st.sampled_from(["start", "end"]))
def test_money_times_k_is_every_flow_times_k(payment, k, due):
    once = flows_of(payment=payment, due=due, deposit=10.0, at_end=BuyForShare(0.1))
    scaled = flows_of(
        price=1_000.0 * k, payment=payment * k, due=due, deposit=10.0 * k, at_end=BuyForShare(0.1)
    )
    assert scaled.total == pytest.approx(k * once.total)
    assert scaled.rate == pytest.approx(once.rate, abs=1e-9, nan_ok=True)


def test_published_net_advantage_to_leasing():
    flows = lease_flows(terms=LeaseTerms(term=5, payment=2_500.0), price=10_000.0, months=5)
    after_tax_rent = (1 - 0.34) * flows.rent[0]
    lost_deduction = np.array([0.0] + 5 * [-0.34 * 10_000 / 5])
    cost = net_present_value(flows=after_tax_rent + lost_deduction, rate=0.05)
    assert 10_000 + cost == pytest.approx(-87.68, abs=0.005)  # textbook example, inputs (M)


@pytest.mark.parametrize(
    ("faults", "message"),
    [
        ({"payment": None}, "exactly one of payment and rate"),
        ({"rate": 0.01}, "exactly one of payment and rate"),
        ({"term": 0}, "term must be at least 1"),
        ({"advance_payments": -1}, "advance_payments must be between 0 and 12"),
        ({"advance_payments": 13}, "advance_payments must be between 0 and 12"),
    ],
)
def test_terms_that_make_no_lease_are_refused(faults, message):
    with pytest.raises(ValueError, match=message):
        LeaseTerms(**({"term": 12, "payment": 90.0} | faults))
