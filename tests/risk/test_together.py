"""Inputs that move together: their ranks as stated, each on its own as before."""

from __future__ import annotations

import math

import numpy as np
import pytest
from helpers import exactly, write_bare
from scipy import stats

from planner.case import Case, choices
from planner.decide.evaluation import AGAINST_BUYING_IN
from planner.decide.risk.draws import REPLICATES, slices
from planner.decide.risk.outcomes import outcomes
from planner.decide.risk.uncertain import uncertain_inputs
from planner.scenario.correlated import mixing, normal_correlations
from planner.scenario.load import load

DRAWS = 16_384
PRICE, GARMENT = 'products."Tee".price', 'products."Tee".garment'
WAGE, SPEED = "shop.wage", 'equipment."Set".print_speed'
RANGES = {
    PRICE: {"low": 8, "likely": 10, "high": 13},
    GARMENT: {"low": 2, "likely": 3, "high": 6, "shape": "triangular"},
    WAGE: {
        "low": "15 USD/hour", "likely": "20 USD/hour", "high": "22 USD/hour", "shape": "normal"},
    SPEED: {"low": "5 m^2/hour", "likely": "8 m^2/hour", "high": "15 m^2/hour",
            "shape": "lognormal"},
}  # fmt: skip


def together(*groups):
    return [{"inputs": list(names), "rank_correlation": rank} for *names, rank in groups]


def shop(bare, *groups, **changes):
    return bare(RANGES | changes | ({"together": together(*groups)} if groups else {}))


def parts_of(scenario, draws=DRAWS):
    case, uncertain = Case(scenario), uncertain_inputs(scenario)
    return slices(scenario, uncertain, draws=draws, months=case.months, seed=0, values=case.values)


def by_replicate(scenario):
    """What each input is worth, by key and replicate (replicates, cases)."""
    parts, keys = tuple(parts_of(scenario)), [one.key for one in uncertain_inputs(scenario)]
    return {
        key: np.reshape([part.values.drawn[key] for part in parts], (REPLICATES, -1))
        for key in keys
    }


def assert_ranks(values, one, other, stated):
    """Spearman's correlation is the stated one within four standard errors of the scrambles."""
    found = np.array(
        [
            stats.spearmanr(first, second).statistic
            for first, second in zip(values[one], values[other], strict=True)
        ]
    )
    error = found.std(ddof=1) / math.sqrt(REPLICATES)
    assert error < 0.01
    assert abs(found.mean() - stated) < 4 * error + 1e-6


@pytest.mark.parametrize("rank", [-0.95, -0.5, 0.3, 0.8, 0.99])
def test_two_inputs_have_the_stated_rank_correlation(bare, rank):
    values = by_replicate(shop(bare, (PRICE, SPEED, rank)))
    assert_ranks(values, PRICE, SPEED, rank)
    assert_ranks(values, PRICE, GARMENT, 0.0)
    assert_ranks(values, WAGE, SPEED, 0.0)


@pytest.mark.parametrize("rank", [1, -1])
def test_one_input_may_follow_from_another(bare, rank):
    values = by_replicate(shop(bare, (PRICE, SPEED, rank)))
    for first, second in zip(values[PRICE], values[SPEED], strict=True):
        order = np.argsort(first)
        assert (np.diff(rank * second[order]) > 0).all()  # the one says where the other stands
    assert_ranks(values, WAGE, SPEED, 0.0)


def test_three_inputs_may_follow_from_one_and_a_fourth_lean_on_them(bare):
    groups = [(PRICE, SPEED, WAGE, 1), *((GARMENT, one, 0.5) for one in (PRICE, SPEED, WAGE))]
    values = by_replicate(shop(bare, *groups))
    for first, second in zip(values[PRICE], values[WAGE], strict=True):
        assert (np.diff(second[np.argsort(first)]) > 0).all()
    for one in (PRICE, SPEED, WAGE):
        assert_ranks(values, GARMENT, one, 0.5)


def test_the_factor_of_a_matrix_by_hand():
    # 1; 0.6 and √(1 − 0.36); a third that is the first over again
    matrix = np.array([[1, 0.6, 1], [0.6, 1, 0.6], [1, 0.6, 1]])
    lower = mixing(matrix)
    assert lower == exactly(np.array([[1, 0, 0], [0.6, 0.8, 0], [1, 0, 0]]))
    assert lower @ lower.T == exactly(matrix)
    free = np.array([[1, 0.2, -0.3], [0.2, 1, 0.4], [-0.3, 0.4, 1]])
    assert mixing(free) == exactly(np.linalg.cholesky(free))


def test_a_group_of_three_and_a_pair_beside_it(bare):
    values = by_replicate(shop(bare, (WAGE, GARMENT, PRICE, 0.6), (SPEED, PRICE, -0.4)))
    for one, other in ((WAGE, GARMENT), (WAGE, PRICE), (GARMENT, PRICE)):
        assert_ranks(values, one, other, 0.6)
    assert_ranks(values, SPEED, PRICE, -0.4)
    assert_ranks(values, SPEED, WAGE, 0.0)


def test_each_input_on_its_own_is_as_before(bare):
    tied = by_replicate(shop(bare, (WAGE, GARMENT, PRICE, 0.6), (SPEED, PRICE, -0.4)))
    shares = np.array([0.01, 0.1, 0.5, 0.9, 0.99])
    for one in uncertain_inputs(shop(bare)):
        below = np.mean(tied[one.key][:, None] <= one.at(shares)[:, None], axis=-1)
        error = below.std(axis=0, ddof=1) / math.sqrt(REPLICATES)
        assert error.max() < 0.002
        assert (np.abs(below.mean(axis=0) - shares) < 4.5 * error + 1 / 2048).all()  # one case


def test_what_moves_with_nothing_is_drawn_to_the_same_values(bare):
    apart = by_replicate(shop(bare))
    tied = by_replicate(shop(bare, (PRICE, GARMENT, 0.7)))
    np.testing.assert_allclose(tied[WAGE], apart[WAGE], rtol=1e-9)
    np.testing.assert_allclose(tied[SPEED], apart[SPEED], rtol=1e-9)


def test_without_a_correlation_nothing_is_changed(bare):
    assert normal_correlations(shop(bare), [PRICE, GARMENT]) is None
    apart, none = by_replicate(shop(bare)), by_replicate(shop(bare, (PRICE, GARMENT, 0.0)))
    for key in RANGES:
        np.testing.assert_allclose(none[key], apart[key], rtol=1e-9)


def test_normal_scores_of_a_rank_correlation_by_hand(bare):
    # 2 sin(π/12) = 0.517638 for ½
    matrix = normal_correlations(shop(bare, (WAGE, PRICE, 0.5)), [PRICE, GARMENT, WAGE])
    assert matrix == pytest.approx(np.array(
        [[1, 0, 0.517638], [0, 1, 0], [0.517638, 0, 1]]), abs=5e-7)  # fmt: skip


def test_what_goes_up_together_widens_or_narrows_the_spread(bare):
    # price less garment: against each other they widen it, in step they narrow it
    spreads = []
    for groups in ([(PRICE, GARMENT, -0.9)], [], [(PRICE, GARMENT, 0.9)]):
        scenario = shop(bare, *groups)
        (one,) = outcomes(Case(scenario), choices(scenario), parts_of(scenario, 2048)).values()
        spreads.append(one.value[AGAINST_BUYING_IN].std())
    assert spreads[0] > 1.15 * spreads[1] > 1.3 * spreads[2]


def test_the_spread_of_a_difference_in_step_by_formula(bare):
    # two normal inputs: Var(x − y) = σ² + σ² − 2 r σ², r = 2 sin(π ρ/6)
    normal = {"low": 2, "likely": 3, "high": 4, "shape": "normal"}
    wide = {"low": 9, "likely": 10, "high": 11, "shape": "normal"}
    values = by_replicate(shop(bare, (PRICE, GARMENT, 0.8), **{PRICE: wide, GARMENT: normal}))
    sigma = 1 / stats.norm.ppf(0.9)
    expected = sigma**2 * (2 - 2 * 2 * math.sin(math.pi * 0.8 / 6))
    found = (values[PRICE] - values[GARMENT]).var(axis=1)
    assert abs(found.mean() - expected) < 4 * found.std(ddof=1) / math.sqrt(REPLICATES)


def test_measured_rates_move_together(bare, tmp_path):
    rows = ["design,area [m^2],copies,white [mL],colour [mL],before powder [g],after powder [g]"]
    rows += [f"P{n},1,1,{20 + n % 3},{10 + n % 2},50,{60 + n % 4}" for n in range(6)]
    path = write_bare(tmp_path)
    (tmp_path / "bare.csv").write_text("\n".join(rows), encoding="utf-8")
    pair = ("test_prints.white", "test_prints.powder", 0.7)
    values = by_replicate(load(path, changes={"together": together(pair)}))
    assert_ranks(values, "test_prints.white", "test_prints.powder", 0.7)
    assert_ranks(values, "test_prints.white", "test_prints.colour", 0.0)


def test_as_many_points_as_before_and_all_within_the_cube(bare):
    for part in parts_of(shop(bare, (PRICE, GARMENT, 0.97)), 4096):
        assert part.points.shape == (512, 4)
        assert (part.points > 0).all()
        assert (part.points < 1).all()
    assert sum(part.points.size for part in parts_of(shop(bare), 4096)) == exactly(4096 * 4)
