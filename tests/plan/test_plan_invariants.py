"""What holds for every plan, asked of shipped scenarios with their inputs moved about."""

from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
from helpers import (
    MACHINE,
    ROOT,
    SHIPPED,
    TEE,
    exactly,
    money,
    numbers,
    row,
    shipped,
    shipped_answer,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel

from planner.case import Case, choices
from planner.decide.answer import answer
from planner.decide.breakeven import own_value
from planner.decide.evaluation import evaluations
from planner.decide.steady import capacity_factor, steady_surplus
from planner.finance.series import internal_rates, net_present_value, payback
from planner.ledger import Group
from planner.plan import plan, without
from planner.scenario.estimates import Estimate, Values
from planner.scenario.load import load
from planner.scenario.reading import Reads
from planner.scenario.tree import inputs

# Inputs that the tests below move, each by a factor of its own.
MOVED = ("planned", "price", "garment", "wage", "buy_in_price", "roll_price", "white_price",
         "electricity", "cost", "payment_fee", "customers_pay_after", "rate", "orders")  # fmt: skip


moves = st.tuples(
    st.sampled_from(SHIPPED),
    st.fixed_dictionaries({name: st.integers(50, 150).map(lambda n: n / 100) for name in MOVED}),
)


def moved_case(move):
    """A shipped scenario with its volumes, prices, wages, rates … each times 0.5 to 1.5."""
    name, factors = move
    scenario = shipped(name)
    drawn = {
        leaf.key: leaf.likely * factors[last]
        for leaf in inputs(scenario)
        if (last := leaf.key.rpartition(".")[2]) in factors
    }
    return Case(scenario, Values(drawn))


def some_choice(case):
    """The last choice of the list: a loan or a lease where there is one."""
    return next(c for c in reversed(choices(case.scenario)) if c.financing.kind != "cash")


# ---------------------------------------------------------------- sums
@settings(max_examples=25)
@given(moves)
def test_every_identity_of_the_ledger(move):
    case = moved_case(move)
    (evaluation,) = evaluations(case, (some_choice(case),))
    own, other = evaluation.plan, evaluation.without.ledger
    ledger = own.ledger
    assert ledger.net == exactly(sum(ledger.columns.values()))
    assert row(working_capital(ledger)).sum() == money(row(working_capital(other)).sum())
    if own.choice.financing.kind == "loan":
        repaid = ledger.line("principal") + ledger.line("debt settled")
        assert row(ledger.line("loan paid out"))[0] == money(-row(repaid).sum())


def working_capital(ledger):
    """Its change and its return: in all the balance at which both sides open."""
    return ledger.line("change in working capital") + ledger.line("working capital returned")


@settings(max_examples=25)
@given(moves)
def test_at_every_rate_of_return_the_value_is_nothing(move):
    case = moved_case(move)
    (evaluation,) = evaluations(case, (some_choice(case),))
    for comparison in evaluation.comparisons.values():
        flows = row(comparison.net)
        for rate in internal_rates(flows=flows):
            terms = np.abs(flows) / (1 + rate) ** np.arange(flows.size)
            assert abs(net_present_value(flows=flows, rate=rate)) <= 1e-9 * terms.sum()


@settings(max_examples=25)
@given(moves)
def test_tax_is_the_rate_times_what_is_earned_over_the_plan(move):
    case = moved_case(move)
    tax = case.scenario.tax
    if tax is None or tax.losses != "other income":
        return
    for choice in choices(case.scenario):
        ledger = plan(case, choice).ledger
        paid = ledger.line("income tax") + ledger.line("tax on resale")
        earned = ledger.net - paid - working_capital(ledger)
        assert row(paid).sum() == money(-case.values(tax.rate) * row(earned).sum())


# ---------------------------------------------------------------- money and units
# Figures in money; all others are months, pieces, areas, rates and ratios, or their limits.
MONEY = ("net_present_value", "short", "equivalent_monthly_cost", "cash.balance", "cash.lowest",
         "most_money_in", "total_paid", "present_cost", "payment_per_month", "prints[0].parts",
         ".full", "with_equipment")  # fmt: skip


@pytest.mark.long
@pytest.mark.parametrize("name", SHIPPED)
@pytest.mark.parametrize("k", [0.01, 7.3])
def test_all_money_times_k_is_all_money_times_k(name, k):
    scenario = shipped(name)
    amounts = {
        leaf.key: k * leaf.at_plan for leaf in inputs(scenario) if leaf.unit.startswith("money")
    }
    before, after = numbers(shipped_answer(name)), numbers(answer(scenario, Values(amounts)))
    assert before.keys() == after.keys()
    for path, value in before.items():
        if path.startswith("make_or_buy_by_price"):
            continue  # its prices lie at the ends of a range, and only likely values were moved
        if isinstance(value, float):
            near = 1e-6 * max(1.0, abs(value))
            is_same = abs(after[path] - value) <= near
            is_times_k = abs(after[path] - k * value) <= k * near
            is_money = any(word in path for word in MONEY)
            assert is_times_k if is_money else is_same or is_times_k, path
        elif ".reasons" not in path:  # they name amounts of money
            assert after[path] == value, path


INCH, FOOT, FLUID_OUNCE, OUNCE = 2.54, 0.3048, 29.57353, 28.34952  # cm, m, mL, g: NIST SP 811


def inch_sheet(text):
    """A sheet of test prints in inches, millilitres and grams, the same in cm, fl oz and oz."""
    rows = [line.split(",") for line in text.strip().split("\n")]
    by = {"in": ("cm", INCH), "mL": ("fl_oz", 1 / FLUID_OUNCE), "g": ("oz", 1 / OUNCE)}
    units = [cell[cell.index("[") + 1 : -1] if "[" in cell else "" for cell in rows[0]]
    header = [
        cell.replace(f"[{unit}]", f"[{by[unit][0]}]") if unit else cell
        for cell, unit in zip(rows[0], units, strict=True)
    ]
    turned = [
        [
            repr(float(cell) * by[unit][1]) if unit else cell
            for cell, unit in zip(line, units, strict=True)
        ]
        for line in rows[1:]
    ]
    return "\n".join(",".join(line) for line in [header, *turned])


def test_inches_or_centimetres_make_the_same_money(tmp_path):
    scenarios = ROOT / "scenarios"
    sheet = (scenarios / "larkspur-lane-test-prints.csv").read_text(encoding="utf-8")
    (tmp_path / "larkspur-lane-test-prints.csv").write_text(inch_sheet(sheet), encoding="utf-8")
    text = (scenarios / "larkspur-lane.toml").read_text(encoding="utf-8")
    (tmp_path / "metric.toml").write_text(text, encoding="utf-8")
    tee, hoodie, sheets = (f'products."{p.name}"' for p in shipped("larkspur-lane").products)
    own = 'equipment."24-inch printer and shaker dryer"'
    area = FOOT**2
    metric = load(
        tmp_path / "metric.toml",
        changes={
            "units": "metric",
            "today.buy_in_price": f"{3.10 / area!r} USD/m^2",
            "today.sheet_width": f"{22 * INCH!r} cm",
            "today.sheet_gap": f"{2.5 * INCH!r} mm",
            "today.price_breaks": [
                {"from": f"{60 * area!r} m^2/order", "price": f"{2.75 / area!r} USD/m^2"}
            ],
            f"{tee}.prints": [f"{10.5 * INCH!r} cm x {12.5 * INCH!r} cm"],
            f"{hoodie}.prints": [
                f"{40 * INCH!r} mm x {4 * INCH!r} cm", f"{11 * INCH!r} cm x {0.14 * INCH!r} m"
            ],
            f"{sheets}.prints": [f"{22 * INCH!r} cm x {24 * INCH!r} cm"],
            "ink.white_price": f"{88 * FLUID_OUNCE / 1000!r} USD/fl_oz",
            "ink.first_fill": f"{1100 / FLUID_OUNCE!r} fl_oz",
            "ink.daily_loss": f"{9 / FLUID_OUNCE!r} fl_oz/day",
            "film.roll": f"{24 * INCH!r} cm x {100 / FOOT!r} ft",
            "film.margin": f"{4 * INCH!r} mm",
            "film.gap": f"{2.5 * INCH!r} mm",
            "film.run_ends": f"{40 * INCH!r} cm/run",
            "film.roll_ends": f"{2.5 / FOOT!r} ft/roll",
            "powder.price": f"{21 * 0.45359237!r} USD/lb",  # NIST SP 811
            "labour.tending": f"{0.7 / area!r} min/m^2",
            "labour.cutting": "15 s/print",
            f"{own}.print_speed": f"{23 * area!r} m^2/hour",
            f"{own}.dryer_speed": f"{31 * area!r} m^2/hour",
            f"{own}.dryer_power": "4800 W",
            f'{own}.start_up."Training".practice': f"{40 * area!r} m^2",
            f'{own}.wear_parts."Print head".life': f"{15000 * area!r} m^2",
        },
    )  # fmt: skip
    found, expected = answer(metric), shipped_answer("larkspur-lane")
    for ours, theirs in zip(found.choices, expected.choices, strict=True):
        net, other = ours.evaluation.plan.ledger.net, theirs.evaluation.plan.ledger.net
        assert net == pytest.approx(other, abs=0.0005)  # ounces are printed to seven digits
    for ours, theirs in zip(found.prints, expected.prints, strict=True):
        assert ours.full == pytest.approx(theirs.full, rel=1e-6)


# ---------------------------------------------------------------- directions
@settings(max_examples=20)
@given(moves)
def test_a_higher_price_never_pays_back_later(move):
    # before tax: with losses carried forward, a price can be so much higher that tax begins
    before_tax = moved_case(move).scenario.model_copy(update={"tax": None})
    case = replace(moved_case(move), scenario=before_tax)
    moved = case.moved(price=np.linspace(0.5, 2.0, 31)[:, np.newaxis])
    own = plan(moved, some_choice(case))
    other = without(moved, own.machine).ledger
    for flows in (own.ledger.before_end, own.cash_ledger.before_end - other.before_end):
        months = np.nan_to_num(payback(flows=flows).months, nan=np.inf)
        assert (np.diff(months[np.isfinite(months)]) <= 1e-9).all()
        assert (np.diff(np.isfinite(months).astype(int)) >= 0).all()  # once reached, always


@pytest.mark.parametrize("name", SHIPPED)
def test_more_volume_within_capacity_is_worth_more(name):
    # between two replacements: no part wears out by its area, no order reaches a price break
    scenario = shipped(name)
    far = [x.key for x in inputs(scenario) if x.unit == "metre**2" and ".life" in x.key]
    far += [x.key for x in inputs(scenario) if x.unit == "metre**2/order"]
    case = Case(scenario, Values(dict.fromkeys(far, 1e9)))
    own = plan(case, some_choice(case).for_cash())
    full = capacity_factor(case, own.machine) / float(case.calendar.season.max()) / 1.15
    factors = np.linspace(0.02, full, 60)  # full in the best month of the last, largest year
    assert (np.diff(steady_surplus(case, own, factors)) > 0).all()  # contribution is positive
    assert (np.diff(own_value(case.moved(volume=factors[:, np.newaxis]), own)) > 0).all()


@pytest.mark.parametrize("name", SHIPPED)
def test_without_any_volume_nothing_is_sold_or_used_but_upkeep(name):
    scenario = shipped(name)
    own = plan(Case(scenario).moved(volume=0.0), choices(scenario)[0])
    upkeep = {"ink lost", "ink thrown away", "labour", "energy", "supplies", "insurance",
              "wear parts", "repairs", "overheads"}  # fmt: skip
    for (group, line), flows in own.ledger.columns.items():
        if group is Group.RUNNING:
            assert line in upkeep or not flows.any(), line
    assert row(own.ledger.line("ink lost"))[-1] < 0


# ---------------------------------------------------------------- draws
def drawable(node):
    """Every input whose key may hold a range, and so may be drawn."""
    if isinstance(node, tuple):
        for entry in node:
            yield from drawable(entry)
    elif isinstance(node, BaseModel):
        for name, info in type(node).model_fields.items():
            value = getattr(node, name)
            if isinstance(value, Estimate):
                reads = [*info.metadata, *get_marks(info.annotation)]
                if not any(mark.single for mark in reads if isinstance(mark, Reads)):
                    yield value
            else:
                yield from drawable(value)


def get_marks(annotation):
    """The marks inside an annotation such as ``Annotated[Estimate, Reads(…)] | None``."""
    for part in get_args(annotation):
        if isinstance(part, Reads):
            yield part
        else:
            yield from get_marks(part)


def ledgers(case):
    """Net flows of every choice, financed and for cash, and of buying in."""
    for own in (plan(case, choice) for choice in choices(case.scenario)):
        yield own.ledger.net
        yield own.cash_ledger.net
    yield without(case, own.machine).ledger.net


def evaluates(scenario, wanted):
    """Whether these inputs may be drawn together, as two draws of 1 % more or less."""
    drawn = {leaf.key: leaf.at_plan * np.array([[0.99], [1.01]]) for leaf in wanted}
    try:
        return all(net.shape[-1] > 1 for net in ledgers(Case(scenario, Values(drawn))))
    except (TypeError, ValueError):
        return False


@pytest.mark.parametrize("name", SHIPPED)
def test_every_input_that_may_be_a_range_can_be_drawn(name):
    scenario = shipped(name)
    wanted = list(drawable(scenario))
    together = evaluates(scenario, wanted)
    refused = [] if together else [x.key for x in wanted if not evaluates(scenario, [x])]
    assert refused == []


@pytest.mark.parametrize("name", SHIPPED)
def test_one_draw_at_the_point_of_the_plan_is_the_plan(name):
    scenario = shipped(name)
    ranges = [leaf for leaf in inputs(scenario) if leaf.is_range]
    one = {leaf.key: np.array([[leaf.at_plan]]) for leaf in ranges}
    for found, expected in zip(
        ledgers(Case(scenario, Values(one))), ledgers(Case(scenario)), strict=True
    ):
        assert found.shape == expected.shape
        assert (found == expected).all()


@pytest.mark.parametrize("name", SHIPPED)
def test_draws_side_by_side_are_the_single_ones(name):
    scenario, random = shipped(name), np.random.default_rng(0)
    ranges = [leaf for leaf in inputs(scenario) if leaf.is_range]
    if not ranges:  # a scenario without ranges: its prices and volumes are drawn
        ranges = [leaf for leaf in inputs(scenario) if leaf.unit.startswith(("money", "piece"))]
    draws = {leaf.key: leaf.at_plan * random.uniform(0.8, 1.2, size=(3, 1)) for leaf in ranges}
    together = list(ledgers(Case(scenario, Values(draws))))
    for at in range(3):
        single = Values({key: float(column[at, 0]) for key, column in draws.items()})
        for net, expected in zip(together, ledgers(Case(scenario, single)), strict=True):
            assert net[min(at, len(net) - 1)] == exactly(row(expected))


def test_draws_reach_the_sale_and_the_tax(bare):
    worth = {f"{MACHINE}.worth": {"after": "12 months", "share": "25 %"},
             "tax": {"rate": "20 %"}, f"{TEE}.price": 30}  # fmt: skip
    scenario = bare(worth)
    key = 'equipment."Set".items."Machine".worth.share'
    shares = np.array([[0.0], [0.25], [0.5]])
    own = plan(Case(scenario, Values({key: shares})), choices(scenario)[0])
    assert own.ledger.line("resale")[:, 12] == exactly(1200 * shares[:, 0])
    on_resale = own.ledger.line("tax on resale")[:, 12]
    assert on_resale == exactly(-0.2 * (1200 * shares[:, 0] - 1080))
