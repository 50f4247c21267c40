"""An input's mean by shape, and what an evaluation takes of it."""

import math

import numpy as np
import pytest

from planner.scenario.estimates import Estimate, Shape, Values


@pytest.mark.parametrize(
    ("shape", "low", "likely", "high", "mean"),
    [
        ("pert", 4.0, 6.0, 12.0, 40 / 6),  # (a + 4m + b) / 6 by hand
        ("triangular", 4.0, 6.0, 12.0, 7.3333),  # (a + m + b) / 3, printed as 7.3333
        ("uniform", 4.0, 6.0, 12.0, 8.0),
        ("normal", 4.0, 6.0, 8.0, 6.0),
        (
            "lognormal",
            4.0,
            6.0,
            9.0,
            6 * math.exp((math.log(9 / 4) / 2 / 1.2815515655446004) ** 2 / 2),
        ),
    ],
)
def test_means(shape: Shape, low: float, likely: float, high: float, mean: float) -> None:
    estimate = Estimate(low=low, likely=likely, high=high, unit="", shape=shape)
    assert estimate.mean == pytest.approx(mean, abs=5e-5)


@pytest.mark.parametrize("shape", ["pert", "triangular", "uniform", "normal", "lognormal"])
def test_one_value_is_its_own_mean(shape: Shape) -> None:
    single = Estimate(likely=5.0, unit="", shape=shape)
    assert (single.low, single.high, single.mean) == (5.0, 5.0, 5.0)
    assert not single.is_range


def test_the_plan_takes_the_likely_value_but_the_mean_of_an_expected_one() -> None:
    cost = Estimate(low=0.0, likely=1.0, high=8.0, unit="money", enters_as_mean=True)
    price = Estimate(low=0.0, likely=1.0, high=8.0, unit="money")
    assert Values()(cost) == pytest.approx(2.0)  # (0 + 4 + 8) / 6 by hand
    assert Values()(price) == 1.0


def test_a_drawn_value_stands_for_the_input_of_its_key_only() -> None:
    wage = Estimate(likely=18.0, unit="money/hour", key="shop.wage")
    other = Estimate(likely=7.0, unit="money/hour", key="other")
    values = Values().with_value("shop.wage", np.array([[20.0], [22.0]]))
    assert np.array_equal(values(wage), [[20.0], [22.0]])
    assert values(other) == 7.0
    assert Values()(wage) == 18.0


@pytest.mark.parametrize(("months", "whole"), [(2.0, 2), (2.0 + 1e-12, 2), (2.001, 3), (0.0, 0)])
def test_part_of_a_month_counts_as_one(months: float, whole: int) -> None:
    assert Values().whole(Estimate(likely=months, unit="month")) == whole
