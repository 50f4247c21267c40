"""Roots in brackets, and all roots of power series."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

import planner.finance.roots as roots_module
from planner.finance.roots import bracketed_roots, series_roots, sign_changes


def test_many_brackets_at_once_are_solved_to_full_precision():
    wanted = np.array([2.0, 3.0, 10.0, 1e-6])
    roots = bracketed_roots(
        function=lambda x: x**3 - wanted, low=np.zeros(4), high=np.array([2.0, 9.0, 10.0, 1.0])
    )
    assert roots == pytest.approx(np.cbrt(wanted), rel=1e-14)  # arithmetic: the cube root


def test_few_points_are_looked_at():
    looked_at = []

    def cube(x):
        looked_at.append(x)
        return x**3 - 2.0

    bracketed_roots(function=cube, low=np.array([0.0]), high=np.array([1e6]))
    assert len(looked_at) < 45  # halving alone takes 73 to 1e-16 of a million


def test_an_end_that_is_a_root_is_the_root():
    ends = bracketed_roots(
        function=lambda x: (x - 0.5) * (x - 2.0),
        low=np.array([0.5, 1.0]),
        high=np.array([1.0, 2.0]),
    )
    assert ends.tolist() == [0.5, 2.0]


@given(st.floats(1e-3, 0.999), st.floats(0.1, 30.0))
def test_a_steep_function_agrees_with_brent(root, power):
    def value(x):
        return x**power - root**power

    ours = bracketed_roots(function=value, low=np.array([1e-4]), high=np.array([1.0]))[0]
    assert ours == pytest.approx(brentq(value, 1e-4, 1.0, xtol=1e-15, rtol=1e-14), rel=1e-9)


@pytest.mark.parametrize(
    "roots",
    [
        [0.5],
        [0.25, 0.75],
        [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7],  # as many as the degree
        [0.9, 0.9001],  # close together
        [0.0051, 0.995],  # near both ends
    ],
)
def test_all_roots_of_a_product_of_factors_are_found(roots):
    row, found = series_roots(np.poly(roots)[::-1][np.newaxis])  # the factors give the roots
    assert row.tolist() == [0] * len(roots)
    assert found == pytest.approx(roots, abs=1e-8)


@pytest.mark.parametrize("times", [2, 3])
def test_a_root_of_higher_order_is_given_once(times):
    _, found = series_roots(np.poly([0.9] * times)[::-1][np.newaxis])
    assert found == pytest.approx([0.9], abs=1e-4)  # a k-fold root is known to eps^(1/k) only


def test_a_touch_is_precise_and_a_near_miss_is_none():
    touch = np.array([[-100.0, 220.0, -121.0]])  # -(10 - 11 w)^2
    assert series_roots(touch)[1] == pytest.approx([10 / 11], abs=1e-12)
    assert series_roots(touch - [[1e-4, 0.0, 0.0]])[1].size == 0


def test_rows_keep_apart_and_zeros_in_front_do_not_matter():
    rows = np.array([[1.0, -2.0, 0.0, 0.0], [0.0, 0.0, 1.0, -4.0], [1.0, 1.0, 1.0, 1.0], [0.0] * 4])
    row, root = series_roots(rows)
    assert row.tolist() == [0, 1]
    assert root == pytest.approx([0.5, 0.25], rel=1e-14)


@pytest.mark.parametrize("others", [[], [0.5], [0.2, 0.999]])
@pytest.mark.parametrize("times", [1, 2, 3])
def test_zero_and_one_are_left_out_and_hide_no_other_root(others, times):
    _, root = series_roots(np.poly([0.0] * times + [1.0] * times + others)[::-1][np.newaxis])
    assert root == pytest.approx(others, abs=1e-7)


def test_what_fails_when_put_back_is_no_root(monkeypatch):
    cell = (np.array([0]), np.array([0.1]), np.array([0.2]))
    none = (np.array([], dtype=int), np.array([]), np.array([]))
    monkeypatch.setattr(roots_module, "_isolate", lambda _: (cell, none))
    assert series_roots(np.array([[1.0, -0.5]]))[1].size == 0  # its root is 2


@settings(max_examples=200)
@given(st.lists(st.integers(-9, 9), min_size=2, max_size=40))
def test_every_crossing_on_a_fine_grid_is_found(coefficients):
    grid = np.linspace(0.001, 0.999, 1999)
    values = np.polynomial.polynomial.polyval(grid, np.array(coefficients, dtype=float))
    size = np.polynomial.polynomial.polyval(grid, np.abs(np.array(coefficients, dtype=float)))
    sure = np.abs(values) > 1e-6 * size
    crossed = np.flatnonzero((values[:-1] * values[1:] < 0) & sure[:-1] & sure[1:])
    _, roots = series_roots(np.array([coefficients], dtype=float))
    for place in crossed:
        assert np.any((roots >= grid[place]) & (roots <= grid[place + 1]))


@pytest.mark.parametrize(
    ("values", "changes"),
    [([1, -1, 1], 2), ([1, 0, -1], 1), ([0, 0, 1], 0), ([0, 0, 0], 0), ([-1, 0, -1], 0)],
)
def test_sign_changes_leave_zeros_out(values, changes):
    assert sign_changes(np.array(values, dtype=float)) == changes
