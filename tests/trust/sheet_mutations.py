"""Mutations of a sheet of test prints: its cells, columns, rows and size."""

from __future__ import annotations

import re
from typing import Final

from trust.hostile import CELLS, NUMBERS, UNITS, UNITS_OF_COLUMNS
from trust.spoiling import (
    Mutation,
    Rng,
    Spoilt,
    bytes_flipped,
    cut,
    encoded,
    letters_lost,
    spoilt,
    text_of,
)


def _rows(content: bytes) -> list[list[str]]:
    return [line.split(",") for line in text_of(content).split("\n")]


def _sheet(rows: list[list[str]], at: int | None = None) -> Spoilt:
    return spoilt([",".join(row) for row in rows], at)


def another_cell(rng: Rng, content: bytes) -> Spoilt:
    """A cell with something else in it."""
    rows = _rows(content)
    at = rng.randrange(1, len(rows)) if len(rows) > 1 else 0
    rows[at][rng.randrange(len(rows[at]))] = rng.choice(CELLS + NUMBERS)
    return _sheet(rows, at)


def another_column(rng: Rng, content: bytes) -> Spoilt:
    """A head of a column with another name or unit."""
    rows = _rows(content)
    at = rng.randrange(len(rows[0]))
    name = re.sub(r"\s*\[.*", "", rows[0][at])
    rows[0][at] = rng.choice(
        (
            f"{name} {rng.choice(UNITS_OF_COLUMNS)}",
            f"{name} {rng.choice(UNITS_OF_COLUMNS)}",
            f"{name} [{rng.choice(UNITS)}]",
            f"{name}s [g]",
            name.upper(),
            "",
            rng.choice(CELLS),
            rng.choice(rows[0]),
        )
    )
    return _sheet(rows)


def a_column_gone(rng: Rng, content: bytes) -> Spoilt:
    """A column left out, twice, or moved, with its cells or without."""
    rows = _rows(content)
    one, other = rng.randrange(len(rows[0])), rng.randrange(len(rows[0]))
    how = rng.randrange(4)
    for row in rows[: 1 if rng.random() < 0.2 else len(rows)]:
        if how == 0 and one < len(row):
            del row[one]
        elif how == 1 and one < len(row):
            row.insert(other, row[one])
        elif max(one, other) < len(row):
            row[one], row[other] = row[other], row[one]
    return _sheet(rows)


def other_rows(rng: Rng, content: bytes) -> Spoilt:
    """Rows left out, twice, blank, torn or far too many."""
    lines = text_of(content).split("\n")
    at = rng.randrange(len(lines))
    how = rng.randrange(7)
    if how == 0:
        lines = lines[:at]
    elif how == 1:
        lines.insert(at, lines[rng.randrange(len(lines))])
    elif how == 2:
        lines.insert(at, rng.choice(["", " ", ",,,,,,,,", ",", '"', "#", "# a remark"]))
    elif how == 3:
        lines[at] += rng.choice([",", ",x", ",,,", ",1,2,3"])
    elif how == 4:
        lines = [lines[0], *lines[1:-1] * 30, ""]
    elif how == 5:
        lines = [lines[0], *lines[1:2] * rng.choice([4_999, 5_001]), ""]
    else:
        lines = [lines[0], ""]
    return spoilt(lines)


def other_separators(rng: Rng, content: bytes) -> Spoilt:
    """Cells parted by something else, quoted, or with decimal commas."""
    text = text_of(content)
    separator = rng.choice([";", "\t", "|", ", ", " ,", " "])
    return spoilt(
        [
            rng.choice(
                (
                    text.replace(",", separator),
                    text.replace(",", ";").replace(".", ","),
                    re.sub(r"[^,\n]+", lambda found: f'"{found[0]}"', text),
                    re.sub(r"(\d)\.(\d)", r'"\1,\2"', text),
                    "sep=,\n" + text,
                )
            )
        ]
    )


def huge_sheet(rng: Rng, content: bytes) -> Spoilt:
    """A sheet of ten megabytes and more."""
    text = text_of(content)
    row = [*text.split("\n"), ""][1] + "\n"
    return spoilt(
        [
            rng.choice(
                (
                    text + row * 150_000,
                    text + "\n" * 10_000_000,
                    text + '"' + "x" * 10_000_000,
                    text + "," * 10_000_000,
                    text + "x" * 140_000,
                    text + "\n" * 21_000_000,
                )
            )
        ]
    )


OF_SHEET: Final[tuple[tuple[Mutation, float], ...]] = (
    (another_cell, 10),
    (another_column, 6),
    (a_column_gone, 4),
    (other_rows, 5),
    (other_separators, 2),
    (encoded, 2),
    (cut, 1),
    (bytes_flipped, 2),
    (letters_lost, 3),
    (huge_sheet, 0.3),
)
