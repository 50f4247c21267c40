"""Every numeric input of a shipped scenario moves some figure; those that do not are named here."""

import functools
import math
from dataclasses import replace

import numpy as np
import pytest
from helpers import SHIPPED, numbers, shipped, shipped_answer

from planner.case import Case, choices
from planner.decide.answer import answer
from planner.deliver.files import flat
from planner.deliver.job_report import orders_document, price_list_document, rush_by_key
from planner.finance.series import net_present_value
from planner.plan import plan, without
from planner.scenario.checks import KEYS_OF_KIND
from planner.scenario.estimates import Estimate, Values
from planner.scenario.tree import inputs
from planner.usage.materials import rate_estimates
from planner.usage.test_prints import measured_rates

pytestmark = pytest.mark.fuzz

COUNTS = {"quantity", "pieces_per_order", "presses", "count", "copies", "colours", "machines",
          "advance_payments", "pieces", "new_designs"}  # fmt: skip

# ---------------------------------------------------------------- exceptions: end of key, reason
RISK = "the chance of payback is judged with drawn cases only"
PEOPLE = "people are the bottleneck, not the hours that machines are open"
NO_PRESS = "the press is not the bottleneck, and no voltage is given"
NOT_BEST = "the press is not the bottleneck, and current is that of the set spoken of"
NO_ORDER = "1 is less than any order costs"
NO_PRINTER = "the set prints nothing"
ALONE = 'equipment."Press alone, transfers bought in"'
ROWS = "as many prints fit across the film"
NO_LAW = "no failure law is given: a share of the price stands in its place"
BY_PICTURE = "transfers are bought by picture area, not by the sheet"

EVERYWHERE = {
    "ink.long_stop.after": "a week off stays longer than that",
    "film.margin": ROWS,
}
HERE = {
    "larkspur-lane": {
        "shop.open_hours": PEOPLE,
        "conditions.chance_of_payback.within": RISK,
        "conditions.chance_of_payback.at_least": RISK,
        'shop.debts."Van".balance': "only the payments of present debts count",
    },
    "new-shop": {
        "shop.open_hours": PEOPLE,
        "presses": NO_PRESS,
        "selling.minimum_order": NO_ORDER,
        "shop.owner_draw": "the shop's cash flow is not stated, so neither is what is left of it",
        "growth.buy_in": "no transfers are bought in",
        "life": "no item ends its life before the horizon, no part its printed area before its age",
    },
    "shortest": {
        "shop.open_hours": PEOPLE,
        "presses": NO_PRESS,
        "selling.minimum_order": NO_ORDER,
        "today.sheet_width": BY_PICTURE,
        "today.sheet_gap": BY_PICTURE,
        "today.orders": "delivery costs nothing and no price breaks stand",
        "age": NO_LAW,
        "deductible": NO_LAW,
    },
    "two-widths": {
        "selling.minimum_order": NO_ORDER,
        '"60 cm printer and shaker dryer".presses': NOT_BEST,
        '"Two 30 cm printers, two small dryers".presses': NOT_BEST,
        f"{ALONE}.presses": NOT_BEST,
        f"{ALONE}.machines": NO_PRINTER,
        f"{ALONE}.dryer_warm_up": NO_PRINTER,
        f"{ALONE}.dryer_on": NO_PRINTER,
        f"{ALONE}.age": "its failures come at a constant rate",
        f"{ALONE}.repairs.down_days_covered": "days down stop what is printed",
        f"{ALONE}.repairs.down_days_uncovered": "days down stop what is printed",
        "today.sheet_width": BY_PICTURE,
        "today.sheet_gap": BY_PICTURE,
        '"60 cm printer and shaker dryer".dryer_speed': "the dryer is kept on longer than it runs",
    },
}


def exceptions(name):
    """The ends of keys that change nothing in this scenario, each with its reason."""
    foreign = {
        f'financing."{offer.name}".{key}': f"stands only in other ways to pay than {offer.kind}"
        for offer in shipped(name).financing
        for key in type(offer).model_fields
        if isinstance(getattr(offer, key), Estimate)
        if key not in KEYS_OF_KIND[offer.kind]
    }
    return EVERYWHERE | HERE[name] | foreign


def is_exception(leaf, ends):
    """Whether a key is one of the ends or ends on one after a dot."""
    return any(leaf.key == end or leaf.key.endswith("." + end) for end in ends)


def leaves(name):
    """Every input; the test prints act through their three rates."""
    scenario = shipped(name)
    written = [leaf for leaf in inputs(scenario) if not leaf.key.startswith("prints[")]
    return [*written, *rate_estimates(measured_rates(scenario.prints))]


def moved(leaf):
    """5 % more (less where more is not possible); whole things and months by at least one."""
    last = leaf.key.rpartition(".")[2]
    if leaf.unit == "month" or last in COUNTS:
        return leaf.likely + max(1, math.ceil(0.05 * leaf.likely))
    if leaf.likely == 0:
        return 0.05 if leaf.unit.startswith("share") else 1.0
    full_share = leaf.unit == "share" and leaf.likely > 0.95
    return leaf.likely * (0.95 if full_share or ".prints[" in leaf.key else 1.05)


def values_of(case, choice):
    """Two figures that most inputs move: net present value before and after financing."""
    own = plan(case, choice)
    other = without(case, own.machine).ledger.net
    flows = np.concatenate([own.cash_ledger.net - other, own.ledger.net - other])
    return net_present_value(flows=flows, rate=float(case.hurdle))


@functools.cache
def likely_values(name, at):
    """The two figures of a choice as the scenario is written."""
    scenario = shipped(name)
    return values_of(Case(scenario), choices(scenario)[at])


def moves_something(name, leaf):
    """Whether a figure moves by a cent: first the two of a choice that the key names, then all."""
    scenario, values = shipped(name), Values({leaf.key: moved(leaf)})
    offered = choices(scenario)
    at = max(range(len(offered)), key=lambda n: sum(f'"{x}"' in leaf.key for x in offered[n].names))
    found = values_of(Case(scenario, values), offered[at])
    if (np.abs(found - likely_values(name, at)) >= 0.005).any():
        return True
    if leaf.key.startswith(OF_ORDERS):
        return priced(name, Values()) != priced(name, values)
    before, after = numbers(shipped_answer(name)), numbers(answer(scenario, values))
    return any(
        abs(value - after[path]) >= 0.005
        if isinstance(value, float) and isinstance(after.get(path), float)
        else value != after.get(path)
        for path, value in before.items()
    )


OF_ORDERS = ("orders.", "price_list.", "selling.minimum_order", "selling.margin", "selling.rush")


def priced(name, values):
    """Single orders and the price list, to half a cent: they do not enter the plan."""
    page = shipped_answer(name)
    moved = replace(page, case=Case(page.scenario, values))
    documents = (orders_document(moved), price_list_document(moved), rush_by_key(moved))
    return [
        round(value, 2) if isinstance(value, float) else value
        for _, value in flat("", {"all": list(documents)})
    ]


@pytest.mark.parametrize("name", SHIPPED)
def test_every_input_moves_a_figure(name):
    ends = exceptions(name)
    stuck = {
        leaf.key: leaf.written
        for leaf in leaves(name)
        if not is_exception(leaf, ends)
        if not moves_something(name, leaf)
    }
    assert stuck == {}


def same(one, other):
    """Whether two figures are the same but for rounding."""
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
    return one == other


@pytest.mark.parametrize("name", SHIPPED)
def test_every_exception_really_changes_nothing(name):
    # all at once: were one of them to act, some figure would move
    ends = exceptions(name)
    still = [leaf for leaf in leaves(name) if is_exception(leaf, ends)]
    values = Values({leaf.key: moved(leaf) for leaf in still})
    before, after = numbers(shipped_answer(name)), numbers(answer(shipped(name), values))
    assert {path for path, value in before.items() if not same(value, after.get(path))} == set()


@pytest.mark.parametrize("name", SHIPPED)
def test_every_exception_names_an_input(name):
    for end in exceptions(name):
        assert any(is_exception(leaf, [end]) for leaf in leaves(name)), end


def test_test_prints_act_through_their_rates_alone():
    # their cells are moved in the room of usage, where a rate must move with each
    scenario = shipped("larkspur-lane")
    cells = [leaf for leaf in inputs(scenario) if leaf.key.startswith("prints[")]
    values = Values({leaf.key: 1.05 * leaf.likely for leaf in cells})
    assert len(cells) > 8 * len(scenario.prints)
    (first, *_) = choices(scenario)
    assert (values_of(Case(scenario, values), first) == values_of(Case(scenario), first)).all()
