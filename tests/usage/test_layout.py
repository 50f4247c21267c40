"""Pieces in rows across a roll: the plain formula, exact fits, turning, first fit, its bound."""

import itertools
import math
import random

import pytest
from helpers import exactly, machine_of, product, shipped
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.usage.layout import DoesNotFitError, Piece, across, strip_length

INCH = 0.0254  # NIST SP 811, appendix B
side = st.integers(1, 60).map(lambda tenths: tenths / 10)


def length(*pieces, width, gap=0.0, may_turn=False):
    """Strip length of pieces given as (width, length, count)."""
    made = [Piece(width=w, length=h, count=n) for w, h, n in pieces]
    return strip_length(made, usable_width=width, gap=gap, may_turn=may_turn)


@settings(max_examples=80)
@given(w=side, h=side, n=st.integers(0, 40), width=st.sampled_from([6.0, 7.3, 12.0]), gap=side)
def test_equal_pieces_follow_the_plain_formula(w, h, n, width, gap):
    # n = floor((W + g)/(w + g)) across, here in whole hundredths; rows of length h + g
    gap /= 10
    beside = (round(width * 100) + round(gap * 100)) // (round(w * 100) + round(gap * 100))
    rows = -(-n // beside)
    assert length((w, h, n), width=width, gap=gap) == exactly(rows * (h + gap))


@pytest.mark.parametrize(
    ("expected", "width", "gap", "usable"),
    [
        (4, 0.25, 0.0, 1.0),  # four quarters fill a metre
        (3, 0.25, 0.0, 1.0 - 1e-6),  # a thousandth of a millimetre less and one fewer fits
        (3, 0.3, 0.05, 1.0),  # three prints, two gaps: 1.00
        (2, 0.3, 0.05, 1.0 - 1e-6),
        (10, 0.1, 0.0, 1.0),  # ten times 0.1 is not 1 in binary
        (1, 1.0, 0.5, 1.0),  # one as wide as the roll needs no gap
        (0, 1.0 + 1e-6, 0.0, 1.0),
    ],
)
def test_pieces_across_at_both_sides_of_a_fit(expected, width, gap, usable):
    assert across(width=width, usable_width=usable, gap=gap) == expected


@pytest.mark.parametrize("sign", [1, -1])
def test_a_width_in_inches_fits_in_spite_of_rounding(sign):
    piece = 10.5 * INCH
    usable = 2 * piece + 0.25 * INCH + sign * 1e-6
    expected = 1 if sign > 0 else 2
    assert length((piece, 1.0, 2), width=usable, gap=0.25 * INCH) == exactly(
        expected * (1.0 + 0.25 * INCH)
    )


def test_nothing_needs_no_length():
    assert length(width=1.0) == 0.0
    assert length((0.5, 0.5, 0), width=1.0) == 0.0


def test_a_gap_follows_every_row():
    assert length((0.5, 0.2, 4), width=1.05, gap=0.05) == exactly(2 * (0.2 + 0.05))


def test_turning_takes_the_shorter_way():
    # 0.4 wide: two across, two rows of 0.9; turned 0.9 wide: one across, four rows of 0.4 = 1.6
    assert length((0.4, 0.9, 4), width=1.0) == exactly(1.8)
    assert length((0.4, 0.9, 4), width=1.0, may_turn=True) == exactly(1.6)
    assert length((0.9, 0.4, 4), width=1.0, may_turn=True) == exactly(1.6)


def test_only_turning_lets_a_long_print_on():
    assert length((1.2, 0.8, 1), width=1.0, may_turn=True) == exactly(1.2)
    with pytest.raises(DoesNotFitError):
        length((1.2, 0.8, 1), width=1.0)
    with pytest.raises(DoesNotFitError):
        length((1.2, 1.1, 1), width=1.0, may_turn=True)


mix = st.lists(st.tuples(side, side, st.integers(1, 5)), min_size=1, max_size=4)


@settings(max_examples=40)
@given(mix)
def test_turning_never_lengthens_the_strip(pieces):
    turned = length(*pieces, width=6.0, gap=0.1, may_turn=True)
    assert turned <= length(*pieces, width=6.0, gap=0.1) + 1e-9


def one_by_one(pieces, width, gap):
    """First-fit decreasing height as the paper tells it: a piece at a time."""
    shelves, total = [], 0.0
    singles = [(h, w) for w, h, n in pieces for _ in range(n)]
    for h, w in sorted(singles, reverse=True):
        for at, room in enumerate(shelves):
            if w + gap <= room + 1e-9:
                shelves[at] -= w + gap
                break
        else:
            shelves.append(width + gap - w - gap)
            total += h + gap
    return total


@settings(max_examples=150)
@given(mix, st.integers(0, 3))
def test_many_at_a_time_is_the_same_as_one_by_one(pieces, tenths):
    gap = tenths / 10
    expected = one_by_one(pieces, 6.0, gap)
    assert length(*pieces, width=6.0, gap=gap) == exactly(expected)


def shortest_shelves(singles, width):
    """Every way to share pieces among shelves, tried out; the shortest total of tallest pieces."""
    if not singles:
        return 0.0
    (w, h), rest = singles[0], singles[1:]
    best = math.inf
    for size in range(len(rest) + 1):
        for beside in itertools.combinations(range(len(rest)), size):
            shelf = [(w, h), *(rest[at] for at in beside)]
            if sum(across for across, _ in shelf) <= width + 1e-9:
                left = [piece for at, piece in enumerate(rest) if at not in beside]
                tallest = max(along for _, along in shelf)
                best = min(best, tallest + shortest_shelves(left, width))
    return best


def test_small_mixes_against_every_possible_set_of_shelves():
    draw = random.Random(1980)
    for _ in range(150):
        singles = [
            (draw.randint(1, 60) / 10, draw.randint(1, 60) / 10) for _ in range(draw.randint(1, 6))
        ]
        optimum = shortest_shelves(singles, 6.0)
        ours = length(*((w, h, 1) for w, h in singles), width=6.0)
        tallest = max(h for _, h in singles)
        assert optimum - 1e-9 <= ours <= 1.7 * optimum + tallest + 1e-9


def test_a_thousand_mixes_stay_within_the_published_bound():
    # length ≤ 1.7 × optimum + tallest: Coffman, Garey, Johnson, Tarjan, SIAM Journal on Computing
    # 9, 1980 (from memory);
    # no packing is shorter than its area ÷ width, its tallest piece, or the pieces stacked that are
    # wider than half the strip, so that the bound is asked for at less than the optimum.
    draw = random.Random(9)
    for _ in range(1000):
        pieces = [
            (draw.uniform(0.02, 1.0), draw.uniform(0.02, 1.0), draw.randint(1, 12))
            for _ in range(draw.randint(1, 8))
        ]
        area = sum(w * h * n for w, h, n in pieces)
        tallest = max(h for _, h, _ in pieces)
        stacked = sum(h * n for w, h, n in pieces if w > 0.5)
        least = max(area, tallest, stacked)
        ours = length(*pieces, width=1.0)
        assert least - 1e-9 <= ours <= 1.7 * least + tallest + 1e-9


def test_film_of_an_order_on_a_roll_in_inches():
    # 24 in less 2 × 0.4; two of 10.5 + 0.25 across; 16 prints in 8 rows of 12.5 + 0.25 in
    use = machine_of(shipped("larkspur-lane")).uses[0]
    assert use.film == exactly(8 * 12.75 * INCH / 16)
    assert use.area == exactly(10.5 * 12.5 * INCH**2)


def test_an_order_of_two_sizes_lies_on_one_strip(bare):
    # two of 0.6 × 0.5 in rows of their own; four of 0.2 × 0.2 fit beside them, two to a row
    use = machine_of(
        bare(
            {
                "products.Tee.prints": ["60 cm x 50 cm", "20 cm x 20 cm"],
                "products.Tee.pieces_per_order": 2,
            }
        )
    ).uses[0]
    assert use.film == exactly(2 * 0.5 / 2)
    assert use.prints == 2
    assert use.area == exactly(0.6 * 0.5 + 0.2 * 0.2)


def test_film_a_piece_rests_on_whole_rows(bare):
    # three prints of half the width take two rows, four do as well
    for count, rows in ((3, 2), (4, 2), (5, 3)):
        use = machine_of(bare({"products.Tee.pieces_per_order": count})).uses[0]
        assert use.film == exactly(rows * 0.5 / count)


@pytest.mark.parametrize(
    ("expected", "today"),
    [
        (0.25, {"buy_in_by": "picture"}),  # 0.5 m × 0.5 m
        (0.60 * 0.51, {"sheet_gap": "1 cm"}),  # one across 0.6 m, a row of 0.5 + 0.01 m a piece
        (1.20 * 0.52 / 2, {"sheet_width": "1.2 m", "sheet_gap": "2 cm"}),  # two across
    ],
)
def test_area_bought_by_picture_and_by_sheet(bare, expected, today):
    table = {"buy_in_price": "10 USD/m^2", "buy_in_by": "sheet", "sheet_width": "60 cm"} | today
    changes = {"today": table, "products.Tee.pieces_per_order": 2}
    assert machine_of(bare(changes)).bought[0] == exactly(expected)


def test_a_supplier_turns_prints_on_the_sheet(bare):
    # 0.7 m is wider than the sheet of 0.6 m; turned, the print is 0.5 m wide and 0.7 m long
    today = {
        "buy_in_price": "10 USD/m^2",
        "buy_in_by": "sheet",
        "sheet_width": "60 cm",
        "sheet_gap": "0 cm",
    }
    wide = product("Banner", prints=["70 cm x 50 cm"])
    assert machine_of(bare({"today": today, "products": [wide]})).bought[0] == exactly(0.6 * 0.7)


def test_a_set_of_equipment_has_its_own_film(bare):
    # the print of 0.5 m on a roll of 0.6 m: one across, a whole row of 0.5 m for each
    own = machine_of(bare({"equipment.Set.film": {"roll": "60 cm x 50 m", "roll_price": 30}}))
    assert own.uses[0].film == exactly(0.5)
    assert own.rates.film_price == exactly(30 / 50)
