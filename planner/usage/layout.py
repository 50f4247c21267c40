"""Prints laid out in rows across a roll of film or a supplier's sheet."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

_FIT: Final = 1e-9  # metres; a print as wide as the roll fits in spite of rounding


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A rectangle to lay out [m] and how many of it."""

    width: float
    length: float
    count: int

    def turned(self) -> Piece:
        """The same piece the other way round."""
        return Piece(width=self.length, length=self.width, count=self.count)


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

    No pieces need no length. Pieces may stand either way round when turning is allowed; of all
    ways the shortest strip counts. Raises ``DoesNotFitError`` when a piece is too wide both ways.

    Parameters
    ----------
    pieces : sequence of Piece
        Sizes [m] and counts.
    usable_width, gap : float
        Width between the margins and gap between neighbours [m].

    Notes
    -----
    Rows are filled by first-fit decreasing height; length ≤ 1.7 × optimum + tallest piece.

    References
    ----------
    Coffman, Garey, Johnson, Tarjan, SIAM Journal on Computing 9, 1980 (from memory).
    """
    wanted = [piece for piece in pieces if piece.count > 0]
    ways = [_ways(piece, usable_width, may_turn) for piece in wanted]
    return min(
        (_rows_length(way, usable_width, gap) for way in itertools.product(*ways)), default=0.0
    )


def _ways(piece: Piece, usable_width: float, may_turn: bool) -> list[Piece]:
    ways = [piece, piece.turned()] if may_turn else [piece]
    fitting = [way for way in ways if way.width <= usable_width + _FIT]
    if not fitting:
        raise DoesNotFitError(piece=piece, usable_width=usable_width)
    return list(dict.fromkeys(fitting))


def _rows_length(pieces: Sequence[Piece], usable_width: float, gap: float) -> float:
    """First-fit decreasing height; equal pieces are placed many at a time.

    A row is [room left, number of such rows]: rows that look alike are kept together.
    """
    rows: list[tuple[float, int]] = []
    length = 0.0
    for piece in sorted(pieces, key=lambda p: (-p.length, -p.width)):
        rows, left = _fill(rows, piece, gap)
        per_row = across(width=piece.width, usable_width=usable_width, gap=gap)
        full, rest = divmod(left, per_row)
        for in_row, count in ((per_row, full), (rest, 1 if rest else 0)):
            if count:
                room = usable_width + gap - in_row * (piece.width + gap)
                rows.append((room, count))
                length += count * (piece.length + gap)
    return length


def _fill(
    rows: list[tuple[float, int]], piece: Piece, gap: float
) -> tuple[list[tuple[float, int]], int]:
    """Put pieces into the room left in rows begun, first row first; rows after, pieces left."""
    left = piece.count
    after: list[tuple[float, int]] = []
    for room, count in rows:
        fits = math.floor((room + _FIT) / (piece.width + gap))
        if not fits or not left:
            after.append((room, count))
            continue
        full, rest = divmod(min(left, fits * count), fits)
        parts = ((fits, full), (rest, 1 if rest else 0), (0, count - full - (1 if rest else 0)))
        after += [(room - put * (piece.width + gap), many) for put, many in parts if many]
        left -= full * fits + rest
    return after, left
