"""Sums of what has different sizes, and parts of nothing."""

import numpy as np
from helpers import exactly

from planner.shop.ratio import ratio
from planner.shop.total import total


def test_amounts_of_different_sizes_add_up():
    column, row = np.array([[1.0], [2.0]]), np.array([10.0, 20.0, 30.0])
    full = np.arange(6.0).reshape(2, 3)
    assert total([full, 0.5, row, column]) == exactly(full + 0.5 + row + column)


def test_adding_up_leaves_the_amounts_as_they_are():
    one, two = np.ones((2, 3)), np.full((2, 3), 2.0)
    assert total([one, two, two]) == exactly(np.full((2, 3), 5.0))
    assert (one == 1).all()
    assert (two == 2).all()


def test_a_part_of_nothing_is_what_is_said():
    part, whole = np.array([3.0, 3.0, 0.0]), np.array([2.0, 0.0, 4.0])
    assert ratio(part, whole) == exactly([1.5, 0, 0])
    assert ratio(part, whole, of_nothing=1.0) == exactly([1.5, 1, 0])
    assert ratio(part, 2.0, of_nothing=1.0) == exactly([1.5, 1.5, 0])
