"""Prints laid out in rows across a roll of film or a supplier's sheet."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

_FIT: Final = 1e-9  # metres; a print as wide as the roll fits in spite of rounding
MOST_WAYS: Final = 1024  # ways to turn pieces that are all tried, ten sizes each both ways


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A rectangle to lay out [m] and how many of it."""

    width: float
    length: float
    count: int

    def turned(self) -> Piece:
        """The same piece the other way round."""
        return Piece(width=self.length, length=self.width, count=self.count)


@dataclass(frozen=True, kw_only=True)
class Place:
    """Where one print lies.

    ``x`` across from the margin and ``y`` along the roll are those of its nearer corner, ``width``
    across and ``length`` along as it lies [m]; ``piece`` is its place in the list of pieces [-].
    """

    x: float
    y: float
    width: float
    length: float
    piece: int


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A strip: its ``length`` with the gap after the last row [m], and where each print lies."""

    length: float
    places: tuple[Place, ...]


class DoesNotFitError(ValueError):
    """A print is wider than what it is to be laid out on."""

    def __init__(self, *, piece: Piece, usable_width: float) -> None:
        super().__init__("a print is wider than the usable width")
        self.piece = piece
        self.usable_width = usable_width


def across(*, width: float, usable_width: float, gap: float) -> int:
    """How many pieces fit side by side: floor((usable + gap) / (width + gap)) [-].

    Parameters
    ----------
    width, usable_width, gap : float
        Width of the piece, usable width, gap between pieces [m]; width > 0, gap ≥ 0.
    """
    return math.floor((usable_width + gap + _FIT) / (width + gap))


def strip_length(
    pieces: Sequence[Piece], *, usable_width: float, gap: float, may_turn: bool
) -> float:
    """Length of the strip on which all pieces lie, each row followed by a gap [m].

    No pieces need no length. Pieces may stand either way round when turning is allowed, all of a
    size alike; of all ways the shortest strip counts. Raises ``DoesNotFitError`` when a piece is
    too wide both ways.

    Parameters
    ----------
    pieces : sequence of Piece
        Sizes [m] and counts.
    usable_width, gap : float
        Width between the margins and gap between neighbours [m].

    Notes
    -----
    Rows are filled by first-fit decreasing height; length ≤ 1.7 × optimum + tallest piece.
    Where sizes could be turned in more than ``MOST_WAYS`` ways, each is turned in its turn, the
    one that takes most room first, and stays so where that shortens the strip: a short strip, not
    always the shortest, and never longer than with nothing turned.

    References
    ----------
    Coffman, Garey, Johnson, Tarjan, SIAM Journal on Computing 9, 1980 (from memory).
    """
    rows = _best_rows(tuple(pieces), usable_width, gap, may_turn)
    return _length(rows, gap)


def placed(pieces: Sequence[Piece], *, usable_width: float, gap: float, may_turn: bool) -> Laid:
    """The same strip [m] with the place of every print on it.

    ``usable_width`` and ``gap`` [m], errors and source are those of ``strip_length``. Prints of
    a row stand side by side from the margin, all at the row's beginning.
    """
    rows = _best_rows(tuple(pieces), usable_width, gap, may_turn)
    return Laid(length=_length(rows, gap), places=tuple(_places(rows, gap)))


class _Lying(NamedTuple):
    """A piece one way round: its place in the list, sides across and along [m], how many."""

    at: int
    width: float
    length: float
    many: int


class _Rows(NamedTuple):
    """Rows that look alike: how many, their length, the room left in each [m], and from the margin
    on which pieces and how many of each stand in it.
    """

    many: int
    length: float
    room: float
    pieces: tuple[tuple[_Lying, int], ...] = ()


def _length(rows: Sequence[_Rows], gap: float) -> float:
    return sum((alike.many * (alike.length + gap) for alike in rows), 0.0)


def _places(rows: Sequence[_Rows], gap: float) -> Iterator[Place]:
    y = 0.0
    for alike in rows:
        for _ in range(alike.many):
            x = 0.0
            for lying, beside in alike.pieces:
                for _ in range(beside):
                    yield Place(x=x, y=y, width=lying.width, length=lying.length, piece=lying.at)
                    x += lying.width + gap
            y += alike.length + gap


@lru_cache(maxsize=512)  # a question asked of a plan lays the same orders out hundreds of times
def _best_rows(
    pieces: tuple[Piece, ...], usable_width: float, gap: float, may_turn: bool
) -> tuple[_Rows, ...]:
    """The rows of the shortest strip."""
    ways = [
        _ways(at, piece, usable_width, may_turn)
        for at, piece in enumerate(pieces)
        if piece.count > 0
    ]
    if math.prod(map(len, ways)) > MOST_WAYS:
        return _turned_in_turn(ways, usable_width, gap)
    return min(
        (_rows(way, usable_width, gap) for way in itertools.product(*ways)),
        key=lambda rows: _length(rows, gap),
    )


def _ways(at: int, piece: Piece, usable_width: float, may_turn: bool) -> list[_Lying]:
    """The ways round in which a piece fits, as given first."""
    round_both_ways = (piece, piece.turned()) if may_turn else (piece,)
    ways = [_Lying(at, way.width, way.length, way.count) for way in dict.fromkeys(round_both_ways)]
    fitting = [way for way in ways if way.width <= usable_width + _FIT]
    if not fitting:
        raise DoesNotFitError(piece=piece, usable_width=usable_width)
    return fitting


def _turned_in_turn(
    ways: Sequence[Sequence[_Lying]], usable_width: float, gap: float
) -> tuple[_Rows, ...]:
    """Turn one size after the other, the one that takes most room first, where that helps."""
    chosen = [fitting[0] for fitting in ways]
    best = _rows(chosen, usable_width, gap)
    most_room_first = sorted(
        range(len(ways)), key=lambda at: -chosen[at].width * chosen[at].length * chosen[at].many
    )
    for at in most_room_first:
        for turned in ways[at][1:]:
            tried = [*chosen[:at], turned, *chosen[at + 1 :]]
            rows = _rows(tried, usable_width, gap)
            if _length(rows, gap) < _length(best, gap):
                chosen, best = tried, rows
    return best


def _rows(pieces: Sequence[_Lying], usable_width: float, gap: float) -> tuple[_Rows, ...]:
    """First-fit decreasing height: into rows begun, then into as many new ones as it takes."""
    rows: list[_Rows] = []
    for piece in sorted(pieces, key=lambda p: (-p.length, -p.width)):
        rows, left = _fill(rows, piece, piece.many, gap)
        if left:
            per_row = across(width=piece.width, usable_width=usable_width, gap=gap)
            new = _Rows(math.ceil(left / per_row), piece.length, usable_width + gap)
            rows += _fill([new], piece, left, gap)[0]
    return tuple(rows)


def _fill(rows: Sequence[_Rows], piece: _Lying, left: int, gap: float) -> tuple[list[_Rows], int]:
    """Put pieces into the room left in rows, first row first; the rows after, and pieces left.

    Equal pieces are put into equal rows many at a time.
    """
    after: list[_Rows] = []
    each = piece.width + gap
    for alike in rows:
        fits = math.floor((alike.room + _FIT) / each)
        if not fits or not left:
            after.append(alike)
            continue
        full, rest = divmod(min(left, fits * alike.many), fits)
        left -= full * fits + rest
        begun = 1 if rest else 0
        for put, count in ((fits, full), (rest, begun), (0, alike.many - full - begun)):
            if count:
                stood = (*alike.pieces, (piece, put)) if put else alike.pieces
                after.append(_Rows(count, alike.length, alike.room - put * each, stood))
    return after, left
