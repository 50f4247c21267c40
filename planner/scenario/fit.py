"""Prints that are wider than what they are laid out on, and film of which nothing is left."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from planner.scenario.document import Document
from planner.scenario.estimates import Estimate
from planner.scenario.faults import Fault
from planner.scenario.key_paths import Path
from planner.scenario.peek import number, rectangle, shown, table, tables, written
from planner.scenario.units import factor, number_and_unit

_WIDE_MARGIN: Final = 0.0254  # metres; common practice, no source: margins are narrower
_FIT: Final = 1e-9  # metres; a print as wide as the roll fits in spite of rounding


def fit_faults(document: Document) -> Iterator[Fault]:
    """Prints against the film of every set of equipment and against the supplier's sheet."""
    for at, _ in tables(document, "equipment"):
        yield from _film(document, at)
    width = number(document, "today", "sheet_width")
    if table(document, "today").get("buy_in_by") == "sheet" and width is not None:
        surface = f"the supplier's sheet, {width.written} wide"
        yield from _too_wide(
            document,
            _of_products(document),
            usable=width.likely,
            surface=surface,
            may_turn=True,
        )


def _of_film(document: Document, at: int, key: str) -> Path:
    """Where a key of the film stands for a set of equipment: its own table, or [film]."""
    own: Path = ("equipment", at, "film", key)
    return ("film", key) if written(document, *own) is None else own


def _film(document: Document, at: int) -> Iterator[Fault]:
    roll_path, margin_path = _of_film(document, at, "roll"), _of_film(document, at, "margin")
    roll, margin = rectangle(document, *roll_path), number(document, *margin_path)
    if roll is None:
        return
    yield from _roll_ends(document, _of_film(document, at, "roll_ends"), roll.length)
    if margin is None:
        return
    usable = roll.width.likely - 2 * margin.likely
    if usable <= _FIT:
        if margin.likely < _WIDE_MARGIN:  # then it is the roll that is odd
            must = f"be wider than its two margins of {shown(document, *margin_path)}"
            yield document.fault(roll_path, must, shown(document, *roll_path))
        else:
            must = f"leave a usable width on the roll, which is {roll.width.written} wide"
            yield document.fault(margin_path, must, shown(document, *margin_path))
        return
    is_own = "equipment" in (roll_path[0], margin_path[0])
    owner = f" of {document.key(('equipment', at))}" if is_own else ""
    yield from _too_wide(
        document,
        (*_of_products(document), *_of_orders(document)),
        usable=usable,
        surface=f"the usable width of the film{owner}, {_in_unit_of(roll.width, usable)}",
        may_turn=written(document, *_of_film(document, at, "may_turn")) is True,
    )


def _roll_ends(document: Document, path: Path, length: Estimate) -> Iterator[Fault]:
    ends = number(document, *path)
    if ends is not None and ends.high >= length.likely:
        must = f"be less than the length of the roll, {length.written}"
        yield document.fault(path, must, shown(document, *path))


def _in_unit_of(like: Estimate, metres: float) -> str:
    """A length in the unit in which another one is written."""
    unit = number_and_unit(like.written)[1]
    return f"{metres / factor(unit, 'metre', ''):.6g} {unit}"


def _of_products(document: Document) -> Iterator[Path]:
    """Where the prints of products stand."""
    for at, _ in tables(document, "products"):
        yield from _entries(document, "products", at, "prints")


def _of_orders(document: Document) -> Iterator[Path]:
    """Where sizes stand that are printed here but not planned: of orders and of the price list."""
    for at, _ in tables(document, "orders"):
        for line_at, _ in tables(document, "orders", at, "lines"):
            yield from _entries(document, "orders", at, "lines", line_at, "prints")
    yield from _entries(document, "price_list", "sizes")


def _entries(document: Document, *path: str | int) -> Iterator[Path]:
    value = written(document, *path)
    yield from ((*path, at) for at in range(len(value) if isinstance(value, list) else 0))


def _too_wide(
    document: Document, paths: Iterable[Path], *, usable: float, surface: str, may_turn: bool
) -> Iterator[Fault]:
    """Prints that fit a width [m] neither as they are nor, where it is allowed, turned."""
    for path in paths:
        size = rectangle(document, *path)
        if size is None:
            continue
        fits = size.width.likely <= usable + _FIT
        fits_turned = size.length.likely <= usable + _FIT
        if not fits and not (may_turn and fits_turned):
            hint = "may_turn = true turns it" if fits_turned else ""
            yield document.fault(path, f"fit {surface}", shown(document, *path), hint)
