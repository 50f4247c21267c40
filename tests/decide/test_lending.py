"""What a lender checks, by hand on the bare shop and on every shipped scenario."""

import functools
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from helpers import MACHINE, SHIPPED, TEE, exactly, money, shipped, shipped_answer

from planner.case import Case
from planner.decide.answer import answer
from planner.decide.cover import cover
from planner.decide.evaluation import evaluations
from planner.decide.lender_checks import lender_checks
from planner.decide.lending import (
    COLUMNS,
    NOW,
    about,
    for_lender,
    lending,
    loan_schedule,
    lowest_cover_at,
)
from planner.decide.projection import fiscal_years, projection
from planner.decide.rests_on import assumptions, bases, choices_made, followed, of_choice
from planner.decide.sensitivity import without_range
from planner.decide.stress import outcome_of, stress_lines
from planner.plan import plan
from planner.scenario.kinds import Month
from planner.scenario.notices import costs_left_out
from planner.scenario.tree import inputs

EVERY_CHOICE = [(name, at) for name in SHIPPED for at in range(len(shipped_answer(name).choices))]
BOTH = {
    "horizon": "24 months",
    "today": {"buy_in_price": "0 USD/m^2"},
    f"{TEE}.today": "10 piece/week",
}
LOAN = {"kind": "loan", "rate": "0 %/year", "term": "12 months", "down_payment": "0 %"}
LEASE = {"kind": "lease", "payment": "100 USD/month", "term": "12 months", "at_end": "return"}
SHOP = {
    "shop.cash_flow_before": "3000 USD/year",
    "shop.owner_draw": "1800 USD/year",
    "shop.debts": [{"name": "Van", "balance": 900, "payment": "50 USD/month", "ends": "2028-06"}],
}


def asked(scenario):
    """The page that a lender is shown of a scenario, and its figures."""
    page = for_lender(answer(scenario))
    return page, lending(page, page.best)


@functools.cache
def every(name, at):
    """A shipped scenario's page about one of its choices, and the lender's figures."""
    page = about(shipped_answer(name), shipped_answer(name).choices[at])
    return page, lending(page, page.best)


@functools.cache
def best(name):
    """What a lender is shown of a shipped scenario."""
    page = for_lender(shipped_answer(name))
    return page, lending(page, page.best)


def of_bare(bare, changes=None, offer=LOAN):
    return asked(bare(BOTH | {"financing": [offer]} | (changes or {})))


# ---------------------------------------------------------------- the request
def test_uses_and_sources_by_hand(bare):
    # 1,200 and 5 % of sales tax, 300 of stock, a fee of 40; the loan covers 80 % of 1,260
    changes = {"equipment.Set.sales_tax": "5 %", "stock": {"opening": 300}}
    offer = LOAN | {"down_payment": "20 %", "fee": 40}
    _, shown = of_bare(bare, changes, offer)
    assert shown.money.uses == (
        ("equipment", Decimal("1200.00")),
        ("sales tax on equipment", Decimal("60.00")),
        ("opening stock", Decimal("300.00")),
        ("fees", Decimal("40.00")),
    )
    assert shown.money.financed == (("loan paid out", Decimal("1008.00")),)
    assert shown.money.own_money == Decimal("592.00")
    assert shown.money.own_share == exactly(592 / 1600)


@pytest.mark.long
@pytest.mark.parametrize(("name", "at"), EVERY_CHOICE)
def test_sources_equal_uses_to_the_cent(name, at):
    page, shown = every(name, at)
    paid = shown.money
    assert sum(amount for _, amount in paid.uses) == paid.amount + paid.own_money
    assert all(amount == amount.quantize(Decimal("0.01")) and amount > 0 for _, amount in paid.uses)
    # what the shop pays is what leaves its account in the plan, but for the cents of each line
    ledger = page.best.evaluation.plan.ledger
    lines = len(paid.uses) + len(paid.financed)
    assert abs(float(paid.own_money) + float(ledger.net[0, 0])) <= 0.005 * (lines + 1)


def test_cents_that_do_not_add_up_fall_to_own_money(bare):
    # thirds of a cent round apart: 100.004 + 100.004 is 200.01 in the plan, 200.00 in lines
    changes = {f"{MACHINE}.price": 100.004, "stock": {"opening": 100.004}}
    _, shown = of_bare(bare, changes, LOAN)
    assert shown.money.total == Decimal("200.00")
    assert shown.money.amount + shown.money.own_money == Decimal("200.00")
    assert shown.money.own_money_in_plan == money(100.004)


def test_terms_of_a_loan(bare):
    # Principles of Finance 2e (OpenStax), 8.3: 32,000 at 6 % over 36 months, payment 973.50
    changes = {f"{MACHINE}.price": 32_000, "horizon": "36 months"}
    offer = LOAN | {"rate": "6 %/year", "term": "36 months"}
    _, shown = of_bare(bare, changes, offer)
    assert shown.terms.payment == money(973.50)
    assert shown.terms.rate == exactly(0.06)
    assert shown.terms.annual_percentage_rate == pytest.approx(0.06, abs=1e-9)
    assert (shown.terms.term, shown.terms.first_payment) == (36, 1)


@pytest.mark.parametrize(
    ("offer", "month"),
    [
        (LOAN | {"first_payment_after": "4 months"}, 4),
        (LEASE, 1),
        (LEASE | {"due": "start"}, 0),
        (LEASE | {"due": "start", "advance_payments": 2}, 0),
    ],
)
def test_the_month_of_the_first_payment(bare, offer, month):
    _, shown = of_bare(bare, offer=offer)
    assert shown.terms.first_payment == month


def test_cash_has_no_terms(bare):
    page, shown = asked(bare())
    assert page.best.choice.financing.kind == "cash"
    assert shown.terms is None
    assert shown.money.amount == 0
    assert shown.money.own_share == 1


@pytest.mark.parametrize("name", SHIPPED)
def test_the_schedule_repays_the_loan_to_the_cent(name):
    page, shown = best(name)
    rows = loan_schedule(page.best.evaluation.plan)
    assert sum(row.principal for row in rows) == shown.money.amount
    assert rows[-1].balance == 0
    assert float(rows[1].payment) == money(shown.terms.payment)


# ---------------------------------------------------------------- can the shop pay
def test_cover_as_the_shop_is_now_with_the_new_debt(bare):
    # 3,000 a year, 1,800 of draw; 1,200 of loan in the first year, 600 of van, then 300 of van
    _, shown = of_bare(bare, SHOP)
    assert shown.cover[NOW].before_tax == exactly((3000 / 1800, 3000 / 300))
    assert shown.cover[NOW].after_tax_and_draw == exactly((1200 / 1800, 1200 / 300))


def test_the_other_columns_are_the_figures(bare):
    page, shown = of_bare(bare, SHOP)
    assert tuple(shown.cover) == COLUMNS
    for name, years in page.best.figures.cover.shop.items():
        assert shown.cover[name] == years


def test_taking_the_draw_away_changes_the_lower_figure(bare):
    _, with_draw = of_bare(bare, SHOP)
    _, without = of_bare(bare, {key: value for key, value in SHOP.items() if "draw" not in key})
    for name in COLUMNS:
        lower, higher = with_draw.cover[name].after_tax_and_draw, with_draw.cover[name].before_tax
        assert min(lower) < min(higher)
        assert min(without.cover[name].after_tax_and_draw) == exactly(min(lower) + 1800 / 1800)
        assert without.cover[name].before_tax == higher


# The plan brings 1,000 a month and today's 40 pieces 400; the loan takes 100 a month in year one.
@pytest.mark.parametrize(
    ("least", "factor"),
    [
        (2, 0.6),  # (1,000 k − 400) / 100 = 2
        (6, 1.0),
        (7, 1.1),
        (0, 0.4),
    ],
)
def test_how_far_sales_may_fall_by_hand(bare, least, factor):
    lender = {"lender": {"debt_service_cover_at_least": least}}
    _, shown = of_bare(bare, lender)
    assert shown.room.factor == pytest.approx(factor, abs=1e-9)


def test_the_whole_shop_carries_more(bare):
    # with 250 − 150 a month of the shop and 50 of van: (1,000 k − 400 + 100) / 150 = 2
    lender = {"lender": {"debt_service_cover_at_least": 2}}
    _, shown = of_bare(bare, SHOP | lender)
    assert shown.room.factor == pytest.approx(0.6, abs=1e-9)


def test_before_tax_and_draw_if_the_lender_measures_so(bare):
    # (1,000 k − 400 + 250) / 150 = 2
    lender = {"lender": {"debt_service_cover_at_least": 2, "measures": "before tax"}}
    _, shown = of_bare(bare, SHOP | lender)
    assert shown.room.factor == pytest.approx(0.45, abs=1e-9)


def test_no_sales_are_needed(bare):
    rich = {"shop.cash_flow_before": "90000 USD/year"}
    _, shown = of_bare(bare, rich)
    assert shown.room.factor == 0


def test_no_volume_within_capacity(bare):
    poor = {"shop.cash_flow_before": "-900000 USD/year", "shop.staff_hours": "1 hour/week"}
    _, shown = of_bare(bare, poor)
    assert shown.room.factor is None


def test_no_payments_nothing_to_cover(bare):
    assert asked(bare())[1].room is None


@pytest.mark.long
@pytest.mark.parametrize(("name", "at"), EVERY_CHOICE)
def test_the_fall_in_sales_put_back_gives_the_minimum(name, at):
    page, shown = every(name, at)
    evaluation = page.best.evaluation
    if shown.room is None or not shown.room.factor:
        return
    # the figures' own way: the plan alone at that volume, compared with the same today
    factor = shown.room.factor
    moved = plan(page.case.moved(volume=factor), page.best.choice)
    found = cover(replace(evaluation, plan=moved))
    years = found.project["whole_plan"]
    if found.shop is not None:
        years = found.shop["whole_plan"].after_tax_and_draw
    lowest = min(year for year in years if year is not None)
    least = page.case.values.scalar(page.scenario.lender.debt_service_cover_at_least)
    assert lowest == pytest.approx(least, abs=1e-6)
    assert float(lowest_cover_at(evaluation, np.array([factor * 0.99]))[0]) < least


# ---------------------------------------------------------------- if it fails
def test_lending_value_by_hand(bare):
    # worth falls by half every 6 months and counts for 40 %, the debt falls by 100 a month
    worth = {
        f"{MACHINE}.worth": {"after": "6 months", "share": "50 %"},
        "lender": {"counts": "40 %"},
    }
    _, shown = of_bare(bare, worth)
    held = shown.collateral
    months = np.arange(25)
    owed = np.maximum(0, 1200 - 100.0 * months)
    assert held.resale == exactly(tuple(1200 * 0.5 ** (months / 6)))
    assert held.counted == exactly(tuple(0.4 * 1200 * 0.5 ** (months / 6)))
    assert held.balance == money(tuple(owed))
    ratio = 0.4 * 1200 * 0.5 ** (months[:12] / 6) / owed[:12]
    assert held.worst == int(np.argmin(ratio))
    assert held.cover_lowest == exactly(ratio.min())


@pytest.mark.parametrize(("name", "at"), EVERY_CHOICE)
def test_the_worst_cover_is_the_figure(name, at):
    chosen = shipped_answer(name).choices[at]
    held = chosen.figures.collateral
    assert (held is None) == (not chosen.choice.financing.is_loan)
    if held is not None:
        owed = [at for at, balance in enumerate(held.balance) if balance > 0.005]
        assert held.cover_lowest == exactly(min(held.counted[at] / held.balance[at] for at in owed))


# ---------------------------------------------------------------- what is not stated
def test_a_silent_scenario_states_nothing():
    _, shown = best("shortest")
    silent = (
        shown.cover,
        shown.prior_claims,
        shown.guarantors,
        shown.attached,
        shown.missing,
        shown.prepared_for,
        shown.prepared_by,
        shown.prepared_by_seller,
        shown.bases.by_seller,
    )
    assert silent == (None,) * len(silent)


def test_a_scenario_may_say_that_there_is_none(bare):
    said = {"shop.debts": [], "lender": {"guarantors": [], "attached": [], "missing": []}}
    _, shown = of_bare(bare, said)
    assert (shown.prior_claims, shown.guarantors, shown.attached, shown.missing) == ((),) * 4


def test_a_debt_without_security_is_no_prior_claim(bare):
    debts = [
        {"name": "Van", "balance": 900, "payment": "50 USD/month", "ends": "2028-06"},
        {
            "name": "Press",
            "balance": 90,
            "payment": "5 USD/month",
            "ends": "2028-06",
            "secured_by": "it",
        },
    ]
    _, shown = of_bare(bare, {"shop.debts": debts})
    assert [debt.name for debt in shown.prior_claims] == ["Press"]


# ---------------------------------------------------------------- what it rests on
def test_inputs_are_counted_by_basis(bare):
    changes = {
        f"{MACHINE}.basis": "quoted",
        f"{MACHINE}.source": "a second dealer",
        f"{TEE}.price": {"likely": 10, "basis": "accounts"},
        "shop.wage": {"likely": "20 USD/hour", "basis": "quoted"},
        "financing": [LOAN],
    }
    scenario = bare(changes)
    page = for_lender(answer(scenario))
    counted = bases(scenario, page.best.choice, is_seller=True)
    # price, life and both of worth of the machine, and the wage
    assert counted.counts["quoted"] == 5
    assert counted.by_seller == 1
    assert counted.counts["accounts"] == 1
    assert counted.counts["measured"] == 3  # the rates of the test prints, not each of their cells
    listed = assumptions(scenario, page.best.choice)
    assert counted.total == len(listed) + len(followed(scenario, page.best.choice))


def test_what_belongs_to_another_choice_is_left_out():
    page = shipped_answer("two-widths")
    chosen = page.named(
        "60 cm printer and shaker dryer · Included, 24 months · Bank loan, 48 months"
    )
    keys = [one.key for one in assumptions(page.scenario, chosen.choice)]
    keys += [leaf.key for leaf in choices_made(page.scenario, chosen.choice)]
    assert not [key for key in keys if "30 cm" in key or "Lease" in key or "deposit" in key]
    assert 'financing."Bank loan, 48 months".rate' in keys
    assert "tax.year_ends" in keys
    assert len(keys) == len(set(keys))
    lines = of_choice(costs_left_out(page.scenario), page.scenario, chosen.choice)
    assert [line for line in lines if "60 cm" in line]
    assert not [line for line in lines if "30 cm" in line or "lease" in line]


def test_lines_on_another_machine_are_left_out():
    page = shipped_answer("two-widths")
    other, own = page.choices[0].choice, page.best.choice
    assert other.equipment.name != own.equipment.name
    lines = [f'equipment."{one.equipment.name}"{after}' for one in (other, own)
             for after in (": no extraction", ".age: none")]  # fmt: skip
    assert of_choice(lines, page.scenario, own) == tuple(lines[2:])


def test_what_only_prices_single_orders_is_left_out():
    page = shipped_answer("larkspur-lane")
    choice = page.best.choice
    listed = {one.key for one in assumptions(page.scenario, choice)}
    made = {leaf.key for leaf in choices_made(page.scenario, choice)}
    begins = ("orders.", "price_list.", "selling.margin", "selling.minimum_order", "selling.rush.")
    left_out = [one for one in inputs(page.scenario) if one.key.startswith(begins)]
    assert {one.key.split(".")[0] for one in left_out} == {"orders", "price_list", "selling"}
    assert not listed & {one.key for one in left_out}
    assert not [key for key in made if key.startswith(begins)]
    assert "selling.payment_fee" in listed
    values = page.case.values
    for one in left_out:  # and the plan does not rest on it
        values = values.with_value(one.key, one.likely / 2)
    assert outcome_of(Case(page.scenario, values), choice) == outcome_of(page.case, choice)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_most_influential_inputs_move_the_plan_as_said(name):
    page, shown = best(name)
    guessed = without_range(page.case, page.best.evaluation.plan)
    ranked = sorted((*page.influences, *guessed), key=lambda one: -one.swing)[:3]
    assert [one.estimate for one in shown.influential] == [one.estimate for one in ranked]
    assert [one.has_range for one in shown.influential] == [
        one in page.influences for one in ranked
    ]
    first = shown.influential[0]
    values = page.case.values.with_value(first.estimate.key, first.estimate.low)
    (moved,) = evaluations(Case(page.scenario, values), (page.best.choice,))
    assert first.cover_at_low == exactly(cover(moved).lowest)


@pytest.mark.parametrize("is_seller", [True, False])
def test_whether_the_seller_prepared_it(is_seller):
    scenario = shipped("larkspur-lane")
    said = scenario.model_copy(update={"prepared_by_seller": is_seller})
    _, shown = asked(said)
    assert shown.prepared_by_seller is is_seller
    # eight quotes name no other source
    assert shown.bases.by_seller == (8 if is_seller else None)


def test_quotes_that_name_the_seller_are_the_sellers():
    scenario = shipped("larkspur-lane")
    said = {"prepared_by_seller": True, "prepared_by": "dealer"}
    _, shown = asked(scenario.model_copy(update=said))
    others = 3 + 1 + 1 + 2  # the price list, the rent, the insurer's letter, the bank's offer
    assert shown.bases.by_seller == shown.bases.counts["quoted"] - others


# ---------------------------------------------------------------- which choice
def test_a_lender_is_shown_a_way_to_pay_that_borrows():
    page = shipped_answer("larkspur-lane")
    for_cash = about(page, page.choices[3])
    assert for_lender(for_cash).best.choice.names[1:] == (
        "Extended, 36 months",
        "Bank loan, 48 months",
    )
    lease = about(page, page.choices[2])
    assert for_lender(lease) is lease


def test_a_page_about_another_machine_has_its_prints():
    page = shipped_answer("two-widths")
    other = about(page, page.choices[0])
    assert other.best is page.choices[0]
    assert other.prints != page.prints
    assert about(page, page.best) is page


# ---------------------------------------------------------------- the projected cash flow
@pytest.mark.parametrize(("name", "at"), EVERY_CHOICE)
def test_the_lines_explain_the_balance(name, at):
    page = shipped_answer(name)
    flows = projection(page.choices[at])
    assert flows.opening + np.cumsum(flows.change) == money(flows.balance)
    years = fiscal_years(page.case)
    for line in flows.lines:
        assert sum(year.total(line.flows) for year in years) == money(line.flows.sum())


def test_fiscal_years_end_when_the_tax_year_ends(bare):
    said = {
        "horizon": "30 months",
        "tax": {"rate": "20 %", "year_ends": "June"},
        "start": "2027-04",
    }
    page = answer(bare(said))
    # April to June, two whole years, July to September
    found = [(year.first, year.last) for year in fiscal_years(page.case)]
    assert found == [(0, 3), (4, 15), (16, 27), (28, 30)]
    assert page.scenario.start.plus(3 - 1) == Month(2027, 6)


def test_fiscal_years_end_in_december_if_no_tax_is_stated(bare):
    page = answer(bare({"horizon": "14 months"}))
    assert [(year.first, year.last) for year in fiscal_years(page.case)] == [(0, 12), (13, 14)]


def test_the_rest_of_the_shop_is_in_the_lines(bare):
    page, _ = of_bare(bare, SHOP)
    flows = {line.name: line.flows for line in projection(page.best).lines}
    assert flows["cash flow of the whole shop, as last year"][[0, 1, 24]] == money([0, 250, 250])
    assert flows["owner's draw"][[0, 1, 24]] == money([0, -150, -150])
    assert flows["payments on present debts"][[0, 18, 19]] == money([0, -50, 0])
    assert flows["less today's work as it is now"][[0, 1]] == money([0, -400])


# ---------------------------------------------------------------- checks
@pytest.mark.long
@pytest.mark.parametrize(("name", "at"), EVERY_CHOICE)
def test_checks_hold(name, at):
    page, shown = every(name, at)
    lines = stress_lines(page.case, page.best.choice)
    failed = [check for check in lender_checks(page, shown, lines) if not check[1]]
    assert not failed


def test_checks_can_fail():
    page, shown = best("larkspur-lane")
    lines = stress_lines(page.case, page.best.choice)
    wrong = replace(
        shown,
        money=replace(shown.money, own_money_in_plan=shown.money.own_money_in_plan + 1),
        room=replace(shown.room, factor=shown.room.factor + 0.001),
        collateral=replace(shown.collateral, worst=0),
    )
    failed = [name for name, ok, _ in lender_checks(page, wrong, lines[1:]) if not ok]
    assert failed == [
        "own money is the plan's, but for cents of rounding",
        "cover at the sales found is the lender's minimum",
        "no month's lending value covers less than the worst",
        "without a change the stress table has the page's figures",
    ]
