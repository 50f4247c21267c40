"""Mutations of a scenario: its values, keys, tables and size.

One that spoils a single value says on which line it stands: if the file is refused, a fault must
name that line."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from trust.hostile import DEEP, FACTORS, NUMBERS, OTHER_KINDS, UNITS, WORDS
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

_KEY = re.compile(r"^(\s*)([\w.\"-]+)(\s*=\s*)(.*?)(\s*(?:#.*)?)$")
_NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?")
_PLAIN = re.compile(r"[+-]?[\d. /]+(e-?\d+)?", re.ASCII)
_UNIT = re.compile(r"(?<=\d )[A-Za-z%][A-Za-z%/^0-9 ]*(?=\")")


def _key_lines(content: bytes) -> tuple[list[str], list[int]]:
    """Lines of a scenario and which of them hold a key with its whole value."""
    lines = text_of(content).split("\n")
    return lines, [at for at, line in enumerate(lines) if _KEY.match(line)] or [0]


def _with_value(rng: Rng, content: bytes, change: Callable[[str], str]) -> Spoilt:
    """One value changed, on a line drawn at random; a name may be missed on another line."""
    lines, keys = _key_lines(content)
    at = rng.choice(keys)
    is_name = re.match(r"\s*name\b", lines[at])
    lines[at] = _KEY.sub(
        lambda found: "".join((*found.group(1, 2, 3), change(found[4]), found[5])), lines[at]
    )
    return spoilt(lines, None if is_name else at)


def another_kind(rng: Rng, content: bytes) -> Spoilt:
    """A value of another kind."""
    return _with_value(rng, content, lambda _: rng.choice(OTHER_KINDS))


def other_words(rng: Rng, content: bytes) -> Spoilt:
    """Words, harmless or not, where a value stood."""
    return _with_value(rng, content, lambda _: rng.choice(WORDS))


def other_words_for_words(rng: Rng, content: bytes) -> Spoilt:
    """Words where words stood: names, titles, files."""
    lines, keys = _key_lines(content)
    named = [
        at for at in keys if re.search(r"(name|title|file|for|by|product|design) *=", lines[at])
    ]
    at = rng.choice(named or keys)
    lines[at] = re.sub(r"=.*", lambda _: "= " + rng.choice(WORDS), lines[at])
    return spoilt(lines, at)


def another_number(rng: Rng, content: bytes) -> Spoilt:
    """A number that is none, or one that nobody means; that one may be missed on another line."""
    number = rng.choice(NUMBERS)
    changed = _with_value(rng, content, lambda value: _NUMBER.sub(lambda _: number, value, count=1))
    return Spoilt(changed.content) if _PLAIN.fullmatch(number) else changed


def another_size(rng: Rng, content: bytes) -> Spoilt:
    """A number far too large or too small, as when cents are typed for dollars."""
    factor = rng.choice(FACTORS)
    return _with_value(
        rng,
        content,
        lambda value: _NUMBER.sub(lambda found: f"{float(found[0]) * factor:.12g}", value, count=1),
    )


def another_unit(rng: Rng, content: bytes) -> Spoilt:
    """A number in a unit that may be no unit."""
    lines, keys = _key_lines(content)
    at = rng.choice([at for at in keys if _UNIT.search(lines[at])] or keys)
    unit = rng.choice(UNITS).replace('"', '\\"')
    lines[at] = _UNIT.sub(lambda _: unit, lines[at], count=1)
    return spoilt(lines, at)


def a_range(rng: Rng, content: bytes) -> Spoilt:
    """A value with a range round it, in order or not."""

    def change(value: str) -> str:
        parts = ["low", "likely", "high"]
        named = [f"{part} = {_scaled(value, rng.choice(FACTORS[5:]))}" for part in parts]
        shape = rng.choice(["", ', shape = "pert"', ', shape = "lognormal"', ', shape = "uniform"'])
        return "{ " + ", ".join(named[rng.choice([0, 0, 0, 1]) :]) + shape + " }"

    return _with_value(rng, content, change)


def a_fair_range(rng: Rng, content: bytes) -> Spoilt:
    """A range of a tenth round a value."""

    def change(value: str) -> str:
        low, high = (_scaled(value, factor) for factor in (0.9, 1.1))
        return f"{{ low = {low}, likely = {value}, high = {high} }}"

    return _with_value(rng, content, change)


def _scaled(value: str, factor: float) -> str:
    return _NUMBER.sub(lambda found: f"{float(found[0]) * factor:.6g}", value, count=1)


def a_key_gone(rng: Rng, content: bytes) -> Spoilt:
    """A key left out."""
    lines, keys = _key_lines(content)
    del lines[rng.choice(keys)]
    return spoilt(lines)


def a_key_misspelt(rng: Rng, content: bytes) -> Spoilt:
    """A key with a slip, a capital, another script or quotes."""
    lines, keys = _key_lines(content)
    at = rng.choice(keys)
    found = _KEY.match(lines[at])
    key = found.group(2) if found else "x"
    place = rng.randrange(len(key))
    slips = (
        key[:place] + key[place + 1 :],
        key[:place] + key[place:][:2][::-1] + key[place + 2 :],
        key.upper(),
        key.title(),
        key + "s",
        f'"{key}"',
        f"'{key} '",
        f"{key}.{key}",
        key.replace("a", "\u0430"),
        '""',
        '"\\u001b[1m"',
        '"' + "k" * 5_000 + '"',
        key.replace("_", "-"),
        "__class__",
    )
    lines[at] = lines[at].replace(key, rng.choice(slips), 1)
    return spoilt(lines)


def a_line_twice(rng: Rng, content: bytes) -> Spoilt:
    """A line that stands twice, here or elsewhere: a key, a header."""
    lines = text_of(content).split("\n")
    line = rng.choice(lines)
    lines.insert(rng.randrange(len(lines) + 1), line)
    return spoilt(lines)


def lines_moved(rng: Rng, content: bytes) -> Spoilt:
    """Two lines in each other's place."""
    lines = text_of(content).split("\n")
    one, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    return spoilt(lines)


def _tables(content: bytes) -> list[str]:
    """The text in pieces, each a table with its header; the first has none."""
    return re.split(r"(?m)^(?=[ \t]*\[)", text_of(content))


def a_table_gone(rng: Rng, content: bytes) -> Spoilt:
    """A table left out."""
    pieces = _tables(content)
    del pieces[rng.randrange(len(pieces))]
    return spoilt(["".join(pieces)])


def a_table_twice(rng: Rng, content: bytes) -> Spoilt:
    """A table that stands twice, or many times."""
    pieces = _tables(content)
    at = rng.randrange(len(pieces))
    return spoilt(
        ["".join([*pieces[:at], pieces[at] * rng.choice([2, 2, 3, 12]), *pieces[at + 1 :]])]
    )


def tables_swapped(rng: Rng, content: bytes) -> Spoilt:
    """Two tables in each other's place: what belongs to an entry may follow another."""
    pieces = _tables(content)
    one, other = rng.randrange(len(pieces)), rng.randrange(len(pieces))
    pieces[one], pieces[other] = pieces[other], pieces[one]
    return spoilt(["".join(pieces)])


def another_header(rng: Rng, content: bytes) -> Spoilt:
    """A header in other brackets, misspelt, nested or broken."""
    lines = text_of(content).split("\n")
    headers = [at for at, line in enumerate(lines) if re.match(r"\s*\[", line)] or [0]
    at = rng.choice(headers)
    name = re.sub(r"[\[\]\s]|#.*", "", lines[at])
    lines[at] = rng.choice(
        (
            f"[{name}]",
            f"[[{name}]]",
            f"[{name}",
            f"[[{name}]",
            f"[{name}s]",
            f"[{name}.{name}]",
            f'["{name}"]',
            "[]",
            "[[]]",
            f"[{'.'.join('a' * 400)}]",
            f"[{name.upper()}]",
            "[__class__]",
        )
    )
    return spoilt(lines)


def nested(rng: Rng, content: bytes) -> Spoilt:
    """Lists or tables within each other, far too deep."""
    lines = text_of(content).split("\n")
    deep = rng.choice(
        (
            f"deep = {DEEP}",
            "deep = " + "{ a = " * 300 + "1" + " }" * 300,
            ".".join("a" * 2_000) + " = 1",
            f"[{'.'.join(['a'] * 30)}]",
            "deep = " + "[" * 30 + "]" * 30,
            "deep = " + "[" * 50_000,
        )
    )
    lines.insert(rng.choice([0, len(lines)]), deep)
    return spoilt(lines)


def huge(rng: Rng, content: bytes) -> Spoilt:
    """A file of ten megabytes, or of nearly all that is allowed."""
    text = text_of(content)
    filler = rng.choice(
        (
            "# padding\n" * 1_000_000,
            "#" * 10_000_000,
            "\n" * 10_000_000,
            "# padding\n" * 90_000,
            "\n" * 900_000,
            " " * 900_000,
            '\n[[overheads]]\nname = "x"\ncost = "1 USD/month"\n' * 18_000,
            "\nlong = [" + "1, " * 250_000 + "]\n",
            '\nlong = "' + "x" * 900_000 + '"\n',
            "\n" + ".".join("a" * 400_000) + " = 1\n",
            "\n" + "a" * 900_000,
            '\n"' + "\\\\" * 400_000,
        )
    )
    return spoilt([text + filler])


OF_SCENARIO: Final[tuple[tuple[Mutation, float], ...]] = (
    (another_kind, 8),
    (other_words, 4),
    (other_words_for_words, 8),
    (another_number, 10),
    (another_size, 12),
    (another_unit, 7),
    (a_range, 4),
    (a_fair_range, 6),
    (a_key_gone, 5),
    (a_key_misspelt, 5),
    (a_line_twice, 3),
    (lines_moved, 3),
    (a_table_gone, 4),
    (a_table_twice, 3),
    (tables_swapped, 3),
    (another_header, 3),
    (nested, 1.5),
    (encoded, 3),
    (cut, 2),
    (bytes_flipped, 2),
    (letters_lost, 3),
    (huge, 0.6),
)
