"""Labels are moved apart as little as possible, within their limits."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.show.labels import spread


def test_labels_that_do_not_touch_stay() -> None:
    assert spread(centres=[50, 10], sizes=[10, 10], low=0, high=100, gap=2) == [50, 10]


def test_two_labels_at_one_place_share_the_move() -> None:
    """Ten wide with a gap of two: twelve apart, six to each side; the first stands above."""
    assert spread(centres=[50, 50], sizes=[10, 10], low=0, high=100, gap=2) == [56, 44]


def test_labels_stay_within_the_limits() -> None:
    assert spread(centres=[0, 1], sizes=[10, 10], low=0, high=100, gap=2) == [5, 17]
    assert spread(centres=[99, 100], sizes=[10, 10], low=0, high=100, gap=2) == [83, 95]


def test_labels_that_fit_exactly_do_and_a_hair_more_does_not() -> None:
    assert spread(centres=[3, 2], sizes=[10, 10], low=0, high=22, gap=2) == [17, 5]
    with pytest.raises(ValueError, match="must fit"):
        spread(centres=[3, 2], sizes=[10, 10], low=0, high=21.9, gap=2)


def test_no_labels() -> None:
    assert spread(centres=[], sizes=[], low=0, high=1, gap=2) == []


@given(
    st.lists(
        st.tuples(st.floats(-50, 650), st.floats(5, 60)),
        min_size=1,
        max_size=8,
    )
)
def test_never_overlapping_never_outside_and_in_order(labels: list[tuple[float, float]]) -> None:
    centres, sizes = [c for c, _ in labels], [s for _, s in labels]
    places = spread(centres=centres, sizes=sizes, low=0, high=600, gap=3)
    order = sorted(range(len(labels)), key=places.__getitem__)
    for before, after in pairwise(order):
        assert places[after] - places[before] >= (sizes[before] + sizes[after]) / 2 + 3 - 1e-6
        assert centres[before] <= centres[after]
    assert places[order[0]] - sizes[order[0]] / 2 >= -1e-6
    assert places[order[-1]] + sizes[order[-1]] / 2 <= 600 + 1e-6
