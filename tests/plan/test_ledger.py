"""Columns, sums, working capital, sources and uses."""

import numpy as np
import pytest
from helpers import SHIPPED, TEE, exactly, money, plan_of, row, shipped_answer

from planner.ledger import Group, Ledger, monthly, once
from planner.plan import without
from planner.shop.month import operations_without


@pytest.fixture(params=SHIPPED)
def shipped_choices(request):
    """Every choice of a shipped scenario, evaluated."""
    return [answered.evaluation for answered in shipped_answer(request.param).choices]


def test_columns_add_up_to_the_net(shipped_choices):
    for evaluation in shipped_choices:
        plan = evaluation.plan
        for ledger in (plan.ledger, plan.cash_ledger, evaluation.without.ledger):
            assert sum(ledger.columns.values()) == exactly(ledger.net)
            frame = ledger.frame()
            lines = frame.drop(columns=["net", "cumulative"])
            assert len(lines.columns) == len(ledger.columns)
            assert frame["net"].to_numpy() == exactly(lines.sum(axis=1).to_numpy())
            assert frame["cumulative"].to_numpy() == exactly(np.cumsum(row(ledger.net)))


def test_what_only_the_end_brings_is_the_difference(shipped_choices):
    for evaluation in shipped_choices:
        ledger = evaluation.plan.ledger
        end = ledger.net - ledger.before_end
        assert end == exactly(ledger.total(Group.END))
        assert not row(end)[:-1].any()


def test_working_capital_sums_to_the_opening_balance(shipped_choices):
    for evaluation in shipped_choices:
        opening = opening_balance(evaluation)
        for ledger in (evaluation.plan.ledger, evaluation.without.ledger):
            change = ledger.total(Group.WORKING_CAPITAL)
            returned = ledger.line("working capital returned")
            assert row(change + returned).sum() == money(opening)


def opening_balance(evaluation):
    """What customers owe less what suppliers are owed in a steady month of today's work."""
    today, shop = evaluation.case.today(), evaluation.case.scenario.shop
    work = operations_without(today.setting(evaluation.plan.machine, today.steady))
    amount = {name: float(row(flow)[0]) for name, flow in work.lines.items()}
    bought = amount["garments"] + amount["transfers bought in"] + amount["delivery of transfers"]
    received, paid = shop.customers_pay_after.likely, shop.suppliers_paid_after.likely
    return (amount["sales"] * received + bought * paid) * 12 / 365


def test_sources_equal_uses_at_signing(shipped_choices):
    # what is bought, fees, deposit and payments in advance = lender or lessor + own money
    for evaluation in shipped_choices:
        plan = evaluation.plan
        paid, debt = plan.outlays, plan.debt
        uses = float(np.ravel(paid.total)[0]) - float(
            (debt.fees + debt.deposit + debt.rent + debt.tax_on_payments)[0, 0]
        )
        if plan.payment.untaxed:
            uses -= float(np.ravel(paid.sales_tax)[0])
        sources = float(np.ravel(plan.payment.financed)[0]) - float(plan.ledger.net[0, 0])
        assert sources == money(uses)


def test_principal_repaid_is_what_was_financed(shipped_choices):
    for evaluation in shipped_choices:
        ledger, financed = evaluation.plan.ledger, evaluation.plan.payment.financed
        lent = float(np.ravel(financed)[0]) if evaluation.choice.financing.kind == "loan" else 0.0
        assert -row(ledger.line("principal") + ledger.line("debt settled")).sum() == money(lent)


def test_before_financing_a_machine_is_the_same_however_it_is_paid_for(shipped_choices):
    first = {}
    for evaluation in shipped_choices:
        net = evaluation.plan.cash_ledger.net
        assert net == exactly(first.setdefault(evaluation.choice.names[:2], net))


def test_a_leased_machine_is_the_same_machine_before_financing(bare):
    # payback before financing is that of the machine bought for cash, whoever owns it
    lease = {"kind": "lease", "payment": "50 USD/month", "term": "6 months", "at_end": "return"}
    scenario = bare({"financing": [lease]})
    leased, bought = plan_of(scenario, "lease"), plan_of(scenario)
    assert row(leased.cash_ledger.net) == exactly(row(bought.cash_ledger.net))


# Today 40 pieces a month at 10, bought in at 3 each; later 100 made. 73 days are 2.4 months.
OWING = {
    "today": {"buy_in_price": "12 USD/m^2"},
    f"{TEE}.today": "10 piece/week",
    f"{TEE}.garment": 2,
    "shop.customers_pay_after": "73 day",
    "shop.suppliers_paid_after": "36.5 day",
}


def test_working_capital_by_hand(bare):
    # opening 2.4 × 400 − 1.2 × 40 × (3 + 2) = 720; then 2.4 × 1000 − 1.2 × 200 = 2160
    ledger = plan_of(bare(OWING)).ledger
    change = row(ledger.line("change in working capital"))
    assert change == money([0, 720 - 2160] + [0] * 11)
    assert row(ledger.line("working capital returned"))[12] == money(2160)


def test_working_capital_without_the_machine_by_hand(bare):
    # 100 pieces bought in: 2.4 × 1000 − 1.2 × 500 = 1800
    plan = plan_of(bare(OWING))
    ledger = without(plan.case, plan.machine).ledger
    assert row(ledger.line("change in working capital"))[:3] == money([0, 720 - 1800, 0])
    assert row(ledger.line("working capital returned"))[12] == money(1800)


def test_a_closed_last_month_returns_nothing(bare):
    ledger = plan_of(bare(OWING | {"shop.closed": ["2027-12"]})).ledger
    assert row(ledger.line("change in working capital"))[12] == money(2160)
    assert row(ledger.line("working capital returned"))[12] == money(0)


def test_a_column_of_months_and_of_one_month():
    assert row(monthly(np.array([1.0, 2.0]), months=2)) == exactly([0, 1, 2])
    assert monthly(np.ones((3, 2)), months=2).shape == (3, 3)
    assert row(once(5.0, month=1, months=2)) == exactly([0, 5, 0])
    assert once(np.array([[5.0], [6.0]]), month=0, months=1).tolist() == [[5, 0], [6, 0]]


def test_lines_of_the_same_name_add_up():
    ledger = Ledger(
        {
            (Group.RUNNING, "rent"): np.array([[0.0, 1.0]]),
            (Group.END, "rent"): np.array([[0.0, 2.0]]),
        },
        1,
    )
    assert row(ledger.line("rent")) == exactly([0, 3])
    assert row(ledger.total(Group.END)) == exactly([0, 2])
    assert row(ledger.line("nothing")) == exactly([0, 0])
