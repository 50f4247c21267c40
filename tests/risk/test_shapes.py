"""From a probability to a value: each shape against its distribution, its moments and its ends."""

from __future__ import annotations

import math

import numpy as np
import pytest
from helpers import exactly
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from scipy.integrate import quad

from planner.decide.risk.uncertain import halved, rate_at, uncertain_inputs
from planner.scenario.estimates import DECILE, SHAPES, Estimate
from planner.scenario.notices import doubts
from planner.scenario.shapes import value_at
from planner.usage.test_prints import Ratio

LOW, LIKELY, HIGH = 4.0, 6.0, 12.0
INNER = np.array([1e-6, 0.001, 0.02, 0.1, 0.25, 0.5, 0.75, 0.9, 0.98, 0.999, 1 - 1e-6])


def estimate(shape, low=LOW, likely=LIKELY, high=HIGH, **limits):
    return Estimate(low=low, likely=likely, high=high, shape=shape, unit="", **limits)


def frozen(shape, low, likely, high):
    """The same distribution as scipy states it."""
    width = high - low
    match shape:
        case "pert":
            alpha, beta = 1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width
            return stats.beta(alpha, beta, loc=low, scale=width)
        case "triangular":
            return stats.triang((likely - low) / width, loc=low, scale=width)
        case "uniform":
            return stats.uniform(low, width)
        case "normal":
            return stats.norm(likely, width / (2 * stats.norm.ppf(0.9)))
        case "lognormal":
            sigma = math.log(high / low) / (2 * stats.norm.ppf(0.9))
            return stats.lognorm(sigma, scale=likely)


def moment(one, power, centre=0.0):
    """∫ (Q(p) − centre)^power dp, which is a moment of the distribution."""

    def integrand(p):
        return (float(value_at(one, np.array(p))) - centre) ** power

    return quad(integrand, 0, 1, epsabs=1e-9, limit=200)[0]


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize(
    ("low", "likely", "high"),
    [(4, 6, 12), (4, 4, 12), (4, 12, 12), (1e-3, 2e-3, 9), (90, 100, 101)],
)
def test_each_shape_is_the_distribution_of_its_name(shape, low, likely, high):
    found = value_at(estimate(shape, low, likely, high), INNER)
    np.testing.assert_allclose(found, frozen(shape, low, likely, high).ppf(INNER), rtol=1e-9)


# A triangle from a to c with its top at b has the mean (a + b + c)/3 and the variance
# (a² + b² + c² − ab − ac − bc)/18; 4, 6, 12: 7.3333 and 52/18, whose root is 1.699673.
def test_moments_of_a_triangle():
    triangle = estimate("triangular")
    assert moment(triangle, 1) == pytest.approx(22 / 3, abs=1e-7)
    assert triangle.mean == exactly(22 / 3)
    assert math.sqrt(moment(triangle, 2, 22 / 3)) == pytest.approx(1.699673, abs=5e-7)


def test_moments_of_the_three_point_estimate():
    # mean (a + 4m + b)/6; a beta distribution whose two parameters add up to 6 has the variance
    # (mean − a)(b − mean)/7
    pert = estimate("pert")
    mean = (4 + 4 * 6 + 12) / 6
    assert moment(pert, 1) == pytest.approx(mean, abs=1e-7)
    assert pert.mean == exactly(mean)
    assert moment(pert, 2, mean) == pytest.approx((mean - 4) * (12 - mean) / 7, abs=1e-6)


def test_moments_of_a_uniform_range():
    uniform = estimate("uniform")
    assert moment(uniform, 1) == pytest.approx(8, abs=1e-7)
    assert moment(uniform, 2, 8) == pytest.approx(8**2 / 12, abs=1e-6)


@pytest.mark.parametrize(("shape", "likely"), [("normal", 8.0), ("lognormal", math.sqrt(48))])
def test_one_case_in_ten_lies_below_low_and_one_above_high(shape, likely):
    one = estimate(shape, 4, likely, 12)
    assert value_at(one, np.array([0.1, 0.5, 0.9])) == exactly([4, likely, 12])
    assert moment(one, 1) == pytest.approx(one.mean, abs=1e-6)


@pytest.mark.parametrize("shape", SHAPES)
def test_an_input_without_a_range_has_its_likely_value_in_every_case(shape):
    one = estimate(shape, 6, 6, 6)
    assert value_at(one, np.linspace(0, 1, 12).reshape(3, 4)) == exactly(np.full((3, 4), 6))


@pytest.mark.parametrize("shape", ["pert", "triangular", "uniform"])
def test_bounded_shapes_end_at_low_and_high(shape):
    # a probability stays 2⁻³³ away from 0 and 1
    ends = value_at(estimate(shape), np.array([0.0, 1.0]))
    reached = frozen(shape, LOW, LIKELY, HIGH).ppf([2**-33, 1 - 2**-33])
    np.testing.assert_allclose(ends, reached, rtol=1e-9)
    assert LOW <= ends[0] < LOW + 0.01
    assert HIGH - 0.02 < ends[1] <= HIGH


@pytest.mark.parametrize("shape", ["normal", "lognormal"])
def test_unbounded_shapes_are_finite_at_the_ends(shape):
    ends = value_at(estimate(shape), np.array([0.0, 1.0]))
    assert np.isfinite(ends).all()
    beyond = frozen(shape, LOW, LIKELY, HIGH).ppf([1e-9, 1 - 1e-9])
    assert ends[0] < beyond[0]
    assert ends[1] > beyond[1]


@given(
    parts=st.lists(st.floats(0.01, 1e6), min_size=3, max_size=3).map(sorted),
    shape=st.sampled_from(SHAPES),
    probabilities=st.lists(st.floats(0, 1), min_size=2, max_size=20).map(sorted),
)
def test_a_higher_probability_never_gives_a_lower_value(parts, shape, probabilities):
    low, likely, high = parts
    found = value_at(estimate(shape, low, likely, high), np.array(probabilities))
    assert (np.diff(found) >= -1e-9 * high).all()
    if shape in ("pert", "triangular", "uniform"):
        assert low * (1 - 1e-12) <= found.min()
        assert found.max() <= high * (1 + 1e-12)


@pytest.mark.parametrize("shape", ["normal", "lognormal"])
def test_values_are_cut_at_what_the_key_allows(shape):
    whole = estimate(shape, 0.2, 0.5, 0.9)
    cut = estimate(shape, 0.2, 0.5, 0.9, least=0.1, most=0.95)
    p = np.linspace(0, 1, 1001)
    free, found = value_at(whole, p), value_at(cut, p)
    assert (found.min(), found.max()) == exactly((0.1, 0.95))
    inside = (free > 0.1) & (free < 0.95)
    assert 0 < inside.mean() < 1
    assert found[inside] == exactly(free[inside])


def test_a_share_never_exceeds_the_whole(bare):
    wide = {"low": "60 %", "likely": "85 %", "high": "99 %", "shape": "normal"}
    found = value_at(bare({"shop.efficiency": wide}).shop.efficiency, np.linspace(0, 1, 101))
    assert found.max() == 1.0
    assert (found == 1.0).mean() > 0.1


def test_a_speed_that_must_be_above_zero_stays_above_it(bare):
    wide = {f"{name}": f"{n} m^2/hour" for name, n in (("low", 1), ("likely", 3), ("high", 9))}
    one = bare({"equipment.Set.print_speed": wide | {"shape": "normal"}}).equipment[0].print_speed
    found = value_at(one, np.linspace(0, 1, 101))
    assert 0 < found.min() < 1e-6
    assert value_at(one, np.array(0.9)) == exactly(3 + 4)  # (high − low)/2 above the likely value


def test_a_balance_may_be_drawn_below_zero(bare):
    wide = {"low": -500, "likely": 100, "high": 700, "shape": "normal"}
    one = bare({"shop.cash_at_start": wide}).shop.cash_at_start
    assert value_at(one, np.array(0.001)) == pytest.approx(stats.norm(100, 600 / DECILE).ppf(0.001))


# A measured rate is R + s·t with n − 1 degrees of freedom. Three prints: the 97.5 % point of t with
# two degrees is 4.3027 in any table.
def test_a_measured_rate_follows_students_t():
    ratio = Ratio(rate=20.0, standard_error=0.5, prints=3)
    assert rate_at(ratio, np.array(0.5)) == exactly(20.0)
    assert rate_at(ratio, np.array(0.975)) == pytest.approx(20 + 0.5 * 4.3027, abs=5e-5)
    found = rate_at(ratio, INNER[1:-1])
    np.testing.assert_allclose(found, 20 + 0.5 * stats.t(2).ppf(INNER[1:-1]), rtol=1e-9)


def test_no_rate_is_drawn_below_zero_and_cut_rates_keep_their_ratio():
    # two prints that differ widely: one degree of freedom
    white = Ratio(rate=20.0, standard_error=9.0, prints=2)
    colour = Ratio(rate=5.0, standard_error=4.0, prints=2)
    p = np.array([0.0, 0.01, 0.1])
    cut = rate_at(white, p), rate_at(colour, p)
    assert (np.array(cut) > 0).all()
    assert (np.array(cut) < 1e-8).all()
    assert cut[0] / cut[1] == exactly(np.full(3, 4.0))


def test_half_a_range_is_half_as_far_on_either_side(bare):
    changes = {"products.Tee.price": {"low": 8, "likely": 10, "high": 16, "shape": "triangular"}}
    scenario = bare(changes)
    (one,) = uncertain_inputs(scenario)
    half = halved(one, scenario).estimate
    assert (half.low, half.likely, half.high) == exactly((9, 10, 13))
    ends = halved(one, scenario).at(np.array([0.0, 1.0]))
    assert ends == pytest.approx([9, 13], abs=1e-3)


# Normal 8 / 10 / 16: the width 8 is held, so that a tenth lies below 10 − 4 and above 10 + 4.
# Lognormal 4 / 6 / 16: σ z = ln(16/4)/2 = ln 2, so that a tenth lies below 6 ÷ 2 and above 6 · 2.
@pytest.mark.parametrize(
    ("shape", "parts", "said"),
    [
        (
            "normal",
            (8, 10, 16),
            "8 / 10 / 16 has not as much below the likely value as above it, as shape 'normal' "
            "has: the likely value and the width are held, low and high are not; 1 case in 10 lies "
            "below 6 USD, 1 in 10 above 14 USD. Shape 'pert' or 'triangular' ends at low and high",
        ),
        (
            "lognormal",
            (4, 6, 16),
            "4 / 6 / 16 has not the same proportion below the likely value as above it, as shape "
            "'lognormal' has: the likely value and the width are held, low and high are not; 1 "
            "case in 10 lies below 3 USD, 1 in 10 above 12 USD. Shape 'pert' or 'triangular' ends "
            "at low and high",
        ),
        ("normal", (8, 10, 12), None),
        ("normal", (8, 10, 12.2), None),  # 2.4 % of the range: off by less than is said
        ("lognormal", (5, 10, 20), None),
        ("pert", (8, 10, 16), None),
        ("uniform", (8, 10, 16), None),
    ],
)
def test_a_range_that_its_shape_does_not_hold_is_doubted(bare, shape, parts, said):
    ends = dict(zip(("low", "likely", "high"), parts, strict=True))
    lines = doubts(bare({"products.Tee.price": ends | {"shape": shape}}))
    found = [line for line in lines if line.startswith('products."Tee".price: ')]
    assert found == ([] if said is None else [f'products."Tee".price: {said}'])
    one = bare({"products.Tee.price": ends | {"shape": shape}}).products[0].price
    if said is not None:  # it is what is drawn
        below, above = value_at(one, np.array([0.1, 0.9]))
        assert f"below {below:g} USD, 1 in 10 above {above:g} USD" in said


def test_a_doubted_range_is_said_in_its_own_unit(bare):
    parts = {"low": "40 %", "likely": "50 %", "high": "80 %", "shape": "normal"}
    (line,) = (line for line in doubts(bare({"shop.efficiency": parts})) if "shape" in line)
    assert line.startswith("shop.efficiency: 40 % / 50 % / 80 % has not as much below")
    assert "below 30 %, 1 in 10 above 70 %." in line
