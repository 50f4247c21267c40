"""The stress table: each line is what its own words on the command line make of the plan."""

import functools
from dataclasses import replace

import numpy as np
import pytest
from helpers import (
    MACHINE,
    ROOT,
    SET,
    SHIPPED,
    TEE,
    equipment,
    exactly,
    money,
    shipped_answer,
    write_bare,
)

from planner.case import Case, choices
from planner.decide.answer import open_answer
from planner.decide.lending import for_lender
from planner.decide.stress import Outcome, outcome_of, own_unit, stress_lines
from planner.plan import plan
from planner.scenario.document import parse_changes
from planner.scenario.estimates import Estimate
from planner.scenario.load import load
from planner.shop.month import upsets_of

NAMES = (
    "as planned",
    "volume 30 % less",
    "selling prices 10 % lower",
    "consumables 20 % dearer",
    "buy-in price 20 % lower",
    "no added sales",
    "rate 2 points higher",
    "three months late",
    "the printer down for a month",
    "print heads twice as often",
    "every hour paid",
    "all together",
)
VARIANTS = ROOT / "tests" / "variants"
LOAN = {"kind": "loan", "rate": "6 %/year", "term": "12 months", "down_payment": "0 %"}
CHOSEN = {name: for_lender(shipped_answer(name)).best.choice for name in SHIPPED}


@functools.cache
def lines_of(name):
    return {line.name: line for line in stress_lines(shipped_answer(name).case, CHOSEN[name])}


def lines_in(scenario, kind="loan"):
    """The stress lines of a scenario's first choice of a kind, by name."""
    chosen = next(one for one in choices(scenario) if one.financing.kind == kind)
    return {line.name: line for line in stress_lines(Case(scenario), chosen)}


def of_page(page):
    """The same figures from an answer page."""
    figures = page.best.figures
    return Outcome(
        payback=figures.payback["against_buying_in"],
        value=figures.net_present_value["against_buying_in"],
        lowest_cash=figures.cash.lowest,
        lowest_cash_month=figures.cash.lowest_month,
        lowest_cover=figures.cover.lowest,
    )


def same(found, expected):
    """Every figure equal but for rounding, or missing on both sides."""
    pairs = [(found.payback.months, expected.payback.months)]
    pairs += [(found.payback.short, expected.payback.short), (found.value, expected.value)]
    pairs += [(found.lowest_cash, expected.lowest_cash)]
    pairs += [(found.lowest_cover, expected.lowest_cover)]
    for one, other in pairs:
        assert one is other or one == pytest.approx(other, rel=1e-9, abs=1e-6)
    assert found.lowest_cash_month == expected.lowest_cash_month


# ---------------------------------------------------------------- the words repeat the figures
def test_the_lines_in_the_order_of_the_model():
    for name in SHIPPED:
        assert tuple(lines_of(name)) == NAMES


@pytest.mark.long
@pytest.mark.parametrize("line", NAMES)
@pytest.mark.parametrize("name", ["larkspur-lane", "shortest"])
def test_each_line_is_what_its_words_make_of_the_plan(name, line):
    # the shortest form leaves repairs and wear parts to their defaults, and pays every hour
    found = lines_of(name)[line]
    if (name, line) == ("shortest", "every hour paid"):
        assert found.why_not == "every hour is paid already"
        return
    assert found.outcome is not None
    assert (found.sets == ()) == (line == "as planned")
    changes = parse_changes(found.sets)
    path = ROOT / "scenarios" / f"{name}.toml"
    same(found.outcome, of_page(open_answer(path, choice=CHOSEN[name].label, changes=changes)))


@pytest.mark.parametrize("name", ["new-shop", "two-widths"])
def test_all_together_is_what_its_words_make_of_the_plan(name):
    found = lines_of(name)["all together"]
    path = ROOT / "scenarios" / f"{name}.toml"
    changes = parse_changes(found.sets)
    same(found.outcome, of_page(open_answer(path, choice=CHOSEN[name].label, changes=changes)))


def test_names_that_need_quotes(tmp_path):
    odd = """a "b" \\ 'c' = #d.e[0]"""
    path = write_bare(tmp_path)
    changes = {"financing": [LOAN | {"name": odd}], f"{TEE}.name": odd, f"{SET}.name": odd}
    scenario = load(path, changes=changes)
    for line in lines_in(scenario).values():
        moved = load(path, changes=changes | parse_changes(line.sets))
        chosen = next(one for one in choices(moved) if one.financing.kind == "loan")
        if line.outcome is not None:
            same(line.outcome, outcome_of(Case(moved), chosen))


# ---------------------------------------------------------------- what moves, by hand
@pytest.mark.parametrize(
    ("line", "sets"),
    [
        ("volume 30 % less", ['products."Tee".planned=17.5 piece/week']),
        ("selling prices 10 % lower", ['products."Tee".price=9 USD']),
        (
            "consumables 20 % dearer",
            ["ink.price=120 USD/L", "film.roll_price=60 USD", "powder.price=12 USD/kg"],
        ),
        ("no added sales", ['products."Tee".planned=10 piece/week']),
        ("rate 2 points higher", ['financing."Loan, 12 months".rate=8 %/year']),
        ("three months late", ["runs_from=3 months", "ramp.months=3 months"]),
        (
            "print heads twice as often",
            [
                'equipment."Set".wear_parts."Head".life=50 m^2',
                'equipment."Set".wear_parts."Head".life_at_most=1 month',
            ],
        ),
        (
            "every hour paid",
            ["shop.unpaid_hours=0 hour/week", "shop.hours_already_paid=0 hour/week"],
        ),
    ],
)
def test_what_a_line_moves(bare, line, sets):
    head = {"name": "Head", "price": 10, "life": "100 m^2", "life_at_most": "1 month"}
    changes = {
        "financing": [LOAN],
        "today": {"buy_in_price": "1 USD/m^2"},
        f"{TEE}.today": "10 piece/week",
        "ink.price": "100 USD/L",
        "film.roll_price": 50,
        "powder.price": "10 USD/kg",
        f"{SET}.wear_parts": [head],
        "shop.unpaid_hours": "3 hour/week",
    }
    assert list(lines_in(bare(changes))[line].sets) == sets


def test_the_price_of_bought_in_transfers_with_its_breaks_and_pieces(bare):
    today = {
        "buy_in_price": "10 USD/m^2",
        "price_breaks": [{"from": "5 m^2/order", "price": "8 USD/m^2"}],
    }
    changes = {"today": today, f"{TEE}.buy_in": 5, "financing": [LOAN]}
    assert lines_in(bare(changes))["buy-in price 20 % lower"].sets == (
        "today.buy_in_price=8 USD/m^2",
        "today.price_breaks[0].price=6.4 USD/m^2",
        'products."Tee".buy_in=4 USD',
    )


@pytest.mark.parametrize("term", ["12 months", "0 months"])
def test_the_printer_is_down_for_one_month_more(bare, term):
    # two failures a year; 20 open days in the bare shop's month, under the warranty or after it
    changes = {
        "horizon": "24 months",
        f"{SET}.repairs": {"in_first_year": 2, "cost": 0, "down_days_covered": "1 day"},
        f'{SET}.warranty."Included".term': term,
        "financing": [LOAN],
    }
    scenario = bare(changes)
    (text,) = lines_in(scenario)["the printer down for a month"].sets
    days = [_days_down(bare, changes), _days_down(bare, changes | parse_changes([text]))]
    assert days[1] - days[0] == exactly(20)


def _days_down(bare, changes):
    """Expected days down over the horizon [day]."""
    case = Case(bare(changes))
    own = plan(case, choices(case.scenario)[0])
    return float(np.sum(upsets_of(case.setting(own.machine, case.calendar)).down_days))


def test_of_two_printers_one_is_down_for_one_month_more(bare):
    # two failures a year of each printer: forty more days would be both of them
    law = {"in_first_year": 2, "cost": 0, "down_days_covered": "1 day"}
    changes = {f"{SET}.machines": 2, f"{SET}.repairs": law}
    (text,) = lines_in(bare(changes), "cash")["the printer down for a month"].sets
    days = [_days_down(bare, changes), _days_down(bare, changes | parse_changes([text]))]
    assert 2 * (days[1] - days[0]) == exactly(20)


def test_all_together_takes_the_lower_of_two_values():
    sets = parse_changes(lines_of("larkspur-lane")["all together"].sets)
    alone = [parse_changes(line.sets) for line in lines_of("larkspur-lane").values()]
    assert set(sets) == {key for changes in alone for key in changes}
    # 52 today is less than 70 % of 81, which is 56.7
    assert sets['products."Full-front tee, dark cotton".planned'] == "52 piece/week"


# ---------------------------------------------------------------- lines without a figure
def test_what_does_not_apply_says_why(bare):
    changes = {f"{SET}.repairs": {"in_first_year": 0, "cost": 0}}
    found = lines_in(bare(changes), "cash")
    reasons = {name: line.why_not for name, line in found.items() if line.outcome is None}
    assert reasons == {
        "buy-in price 20 % lower": "no price for bought-in transfers is stated",
        "no added sales": "none of this work is done today, so that no sales would be left",
        "rate 2 points higher": "no loan or lease with a rate of its own",
        "the printer down for a month": "no failures are expected",
        "print heads twice as often": "no parts that wear out are listed",
        "every hour paid": "every hour is paid already",
    }
    assert all(not line.sets for line in found.values() if line.outcome is None)


def test_a_set_that_prints_nothing_has_no_lines_of_a_printer():
    scenario = load(VARIANTS / "press-only.toml")
    press = next(one for one in choices(scenario) if one.equipment.print_speed is None)
    found = stress_lines(Case(scenario), press)
    reasons = {line.name: line.why_not for line in found if line.outcome is None}
    assert reasons == {
        "consumables 20 % dearer": "the set has no printer",
        "the printer down for a month": "the set has no printer",
        "print heads twice as often": "the set has no printer",
        "every hour paid": "every hour is paid already",
    }


def test_what_would_change_nothing_says_why(bare):
    buying = {"today": {"buy_in_price": "1 USD/m^2"}, f"{TEE}.today": "25 piece/week"}
    found = lines_in(bare(buying), "cash")
    assert found["no added sales"].why_not == "nothing is added to today's work"
    # three months after month 8 there is still a month of twelve left, after month 9 none
    late = [
        lines_in(bare({"runs_from": f"{month} months"}), "cash")["three months late"]
        for month in (8, 9)
    ]
    assert late[0].sets == ("runs_from=11 months", "ramp.months=3 months")
    assert late[1].why_not == "the plan would end before the first print"


def test_a_payment_that_is_given_does_not_move_with_rates(bare):
    offer = {key: value for key, value in LOAN.items() if key != "rate"} | {
        "payment": "110 USD/month"
    }
    line = lines_in(bare({"financing": [offer]}))["rate 2 points higher"]
    assert line.outcome is None


def test_a_lease_with_a_rate_moves_with_it(bare):
    lease = {"kind": "lease", "rate": "12 %/year", "term": "12 months", "at_end": "return"}
    found = lines_in(bare({"financing": [lease]}), "lease")
    assert found["rate 2 points higher"].sets == ('financing."Lease, 12 months".rate=14 %/year',)
    planned, dearer = (found[name].outcome for name in ("as planned", "rate 2 points higher"))
    # twelve payments at the end of the month repay 1,200: cover is in proportion to their factor
    factors = [rate / 12 / (1 - (1 + rate / 12) ** -12) for rate in (0.12, 0.14)]
    assert planned.lowest_cover / dearer.lowest_cover == exactly(factors[1] / factors[0])


# ---------------------------------------------------------------- other sets, other shops
OTHERS = [(VARIANTS, path.stem) for path in sorted(VARIANTS.glob("*.toml"))]


@pytest.mark.long
@pytest.mark.parametrize(("folder", "name"), [*OTHERS, (ROOT / "scenarios", "two-widths")])
def test_lines_of_every_set_are_what_their_words_make_of_it(folder, name):
    # overtime, several machines, seasons of their own, sets that only press
    path = folder / f"{name}.toml"
    scenario = load(path)
    for owned in scenario.equipment:
        chosen = [one for one in choices(scenario) if one.equipment is owned][-1]
        for line in stress_lines(Case(scenario), chosen):
            assert (line.outcome is None) == bool(line.why_not)
            if line.outcome is None:
                assert line.sets == ()
                continue
            moved = load(path, changes=parse_changes(line.sets))
            again = next(one for one in choices(moved) if one.names == chosen.names)
            same(line.outcome, outcome_of(Case(moved), again))


# ---------------------------------------------------------------- the direction of each
def test_nothing_that_goes_wrong_makes_the_plan_better():
    planned = lines_of("larkspur-lane")["as planned"].outcome
    for line in lines_of("larkspur-lane").values():
        assert line.outcome.value <= planned.value + 1e-9
        assert line.outcome.lowest_cover <= planned.lowest_cover + 1e-9


def test_a_dearer_loan_leaves_what_is_before_financing(bare):
    found = lines_in(bare({"financing": [LOAN], "shop.cash_at_start": 500}))
    planned, dearer = found["as planned"].outcome, found["rate 2 points higher"].outcome
    assert dearer.value == planned.value
    # 1,200 over twelve months by the payment factor of 0.5 % and of 8 %/12 a month
    assert planned.lowest_cover == exactly(12 * 1000 / (12 * 1200 * 0.005 / (1 - 1.005**-12)))
    rate = 0.08 / 12
    assert dearer.lowest_cover == exactly(12 * 1000 / (12 * 1200 * rate / (1 - (1 + rate) ** -12)))


def test_defaults_written_out_change_nothing():
    scenario = shipped_answer("shortest").scenario
    (machine,) = scenario.equipment
    assert machine.repairs is None
    assert machine.wear_parts is None
    heads = lines_of("shortest")["print heads twice as often"]
    path = ROOT / "scenarios" / "shortest.toml"
    written = parse_changes(heads.sets[:1])  # the table alone, before its life is halved
    down = parse_changes(lines_of("shortest")["the printer down for a month"].sets[:1])
    page = open_answer(path, choice=CHOSEN["shortest"].label, changes=written | down)
    same(of_page(page), lines_of("shortest")["as planned"].outcome)


def test_defaults_written_out_are_those_of_each_machine(bare):
    # of two machines at 600 each: a share of the price a year after the warranty, and of wear
    left_out = equipment(machines=2, repairs=None, wear_parts=None)
    scenario = bare({"equipment": [left_out], "horizon": "36 months"})
    chosen = choices(scenario)[0]
    found = {line.name: line for line in stress_lines(Case(scenario), chosen)}
    for name in ("the printer down for a month", "print heads twice as often"):
        written, _ = found[name].sets
        spelled = bare({"equipment": [left_out], "horizon": "36 months"} | parse_changes([written]))
        same(outcome_of(Case(spelled), choices(spelled)[0]), found["as planned"].outcome)


# ---------------------------------------------------------------- units
@pytest.mark.parametrize(
    ("written", "unit", "expected"),
    [
        ("81 piece/week", "piece/week", ("piece/week", 1.0)),
        (
            "2.70 USD/ft^2 / 3.10 USD/ft^2 / 3.60 USD/ft^2",
            "money/metre**2",
            ("USD/ft^2", 1 / 0.09290304),
        ),
        ("15.5", "money", ("USD", 1.0)),
        ("12 %/year effective", "share/year", ("%/year", 0.01)),
        ("", "share", ("%", 0.01)),
        ("5 years", "month", ("years", 12.0)),
        ("3", "", ("", 1.0)),
    ],
)
def test_the_unit_in_which_an_input_was_written(written, unit, expected):
    # square foot: 0.09290304 m² exactly (NIST Special Publication 811)
    shown, scale = own_unit(Estimate(likely=1.0, unit=unit, written=written), "USD")
    assert (shown, scale) == (expected[0], exactly(expected[1]))


def test_outcome_of_a_case_is_the_page_of_it(bare):
    scenario = bare({"financing": [LOAN], f"{MACHINE}.price": 6000})
    case, chosen = Case(scenario), choices(scenario)[0]
    found = outcome_of(case, chosen)
    # 12,000 a year from 1,200 pieces less 6,000 at once: back in half a year
    assert found.payback.months == exactly(6)
    assert found.value == money(6000)
    assert outcome_of(replace(case), chosen) == found
