"""Payback over volume and price: each cell is a plan of its own, and one is the plan."""

import numpy as np
import pytest
from helpers import MACHINE, ROOT, SHIPPED, TEE, exactly, shipped, shipped_answer

from planner.case import Case, choices
from planner.decide.evaluation import headline_for_cash
from planner.decide.grid import PRICES, VOLUMES, payback_grid
from planner.finance.series import payback
from planner.scenario.load import load


def grid_of(scenario):
    return payback_grid(Case(scenario), choices(scenario)[0])


def alone(case, choice):
    """Payback of one plan against buying in [month], infinite where it is not reached."""
    months = payback(flows=headline_for_cash(case, choice).before_end).months
    return float(np.where(np.isnan(months), np.inf, months)[0])


def test_by_hand(bare):
    # 1,000 a month as planned against a machine of 6,000; half the pieces at 80 % bring 4,800 in
    # all twelve months
    found = grid_of(bare({f"{MACHINE}.price": 6000}))
    expected = [[6 / (volume * price) for price in PRICES] for volume in VOLUMES]
    cells = np.array(expected)
    assert found.months == exactly(np.where(cells <= 12, cells, np.inf))
    assert np.isinf(found.months[0, 0])
    assert found.lever == "added"
    assert found.pieces == exactly([25 * volume for volume in VOLUMES])


def test_all_work_where_nothing_is_added(bare):
    buying = {"today": {"buy_in_price": "40 USD/m^2"}, f"{TEE}.today": "25 piece/week"}
    found = grid_of(bare(buying))
    assert found.lever == "volume"
    assert found.pieces == exactly([25 * volume for volume in VOLUMES])
    # what is saved is the price of transfers, 10 a piece, whatever they sell for
    expected = np.repeat([[1.2 / volume] for volume in VOLUMES], len(PRICES), axis=1)
    assert found.months == exactly(expected)


def test_the_added_work_alone_moves(bare):
    buying = {"today": {"buy_in_price": "40 USD/m^2"}, f"{TEE}.today": "10 piece/week"}
    assert grid_of(bare(buying)).pieces == exactly([10 + 15 * volume for volume in VOLUMES])


@pytest.mark.parametrize("name", SHIPPED)
def test_the_plan_is_a_cell(name):
    for answered in shipped_answer(name).choices:
        found = payback_grid(shipped_answer(name).case, answered.choice)
        months = answered.figures.payback["against_buying_in"].months
        assert (found.volumes[found.plan[0]], found.prices[found.plan[1]]) == (1.0, 1.0)
        assert found.months[found.plan] == exactly(np.inf if months is None else months)


@pytest.mark.parametrize("name", SHIPPED)
def test_a_higher_price_never_pays_back_later(name):
    for choice in choices(shipped(name)):
        months = payback_grid(Case(shipped(name)), choice).months
        assert (months[:, 1:] <= months[:, :-1] + 1e-9).all()


@pytest.mark.parametrize("cell", [(0, 0), (0, 6), (2, 4), (5, 1), (6, 6)])
@pytest.mark.parametrize("name", ["larkspur-lane", "two-widths"])
def test_a_cell_is_a_scenario_with_these_pieces_and_prices(name, cell):
    scenario = shipped(name)
    volume, price = VOLUMES[cell[0]], PRICES[cell[1]]
    changes = {}
    for product in scenario.products:
        key, today = f'products."{product.name}"', product.today.likely
        pieces = today + volume * (product.planned.likely - today)
        changes[f"{key}.planned"] = f"{pieces!r} piece/week"
        changes[f"{key}.price"] = f"{price * product.price.likely!r} {scenario.currency}"
    moved = load(ROOT / "scenarios" / f"{name}.toml", changes=changes)
    found = payback_grid(Case(scenario), choices(scenario)[0])
    assert found.months[cell] == exactly(alone(Case(moved), choices(moved)[0]))


def test_the_grid_rises_in_small_steps_about_the_plan():
    for factors in (VOLUMES, PRICES):
        assert list(factors) == sorted(set(factors))
        assert 1.0 in factors
        assert max(np.diff(factors)) <= 0.2 + 1e-9
