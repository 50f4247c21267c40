"""The line on which each key of a TOML text stands."""

from __future__ import annotations

import re
from collections.abc import Iterator

from planner.scenario.key_paths import KEY_PART, Path, unquoted

_HEADER = re.compile(rf"\s*(\[\[?)\s*({KEY_PART}(?:\s*\.\s*{KEY_PART})*)\s*\]\]?")
_ASSIGN = re.compile(rf"\s*({KEY_PART}(?:\s*\.\s*{KEY_PART})*)\s*=")
_LONG_QUOTES = ('"""', "'''")
_SIGN = re.compile(  # long quotes, a string, what ends the line, a bracket
    r"""\"{3}|'{3}|"(?:[^"\\]|\\.)*"|'[^']*'|["'#].*|[][{}]"""
)


def key_lines(text: str) -> Iterator[tuple[Path, int]]:
    """Key paths and the lines they stand on, for a text that is valid TOML.

    Tables, arrays of tables and keys on lines of their own are found; an array of tables begins
    with its first table; a key inside an inline table is reported at the line of that table.
    """
    table: Path = ()
    counts: dict[Path, int] = {}
    depth = 0
    quotes = ""
    for number, line in enumerate(text.split("\n"), start=1):
        if depth == 0 and not quotes:
            header = _HEADER.match(line)
            assign = _ASSIGN.match(line)
            if header:
                table = _table_path(header.group(2), header.group(1) == "[[", counts)
                if table[-1:] == (0,):
                    yield table[:-1], number
                yield table, number
            elif assign:
                yield table + _keys(assign.group(1)), number
        depth, quotes = _nesting(line, depth, quotes)


def _keys(text: str) -> tuple[str, ...]:
    return tuple(unquoted(part) for part in re.findall(KEY_PART, text))


def _table_path(text: str, is_array: bool, counts: dict[Path, int]) -> Path:
    path: Path = ()
    keys = _keys(text)
    for at, key in enumerate(keys):
        path += (key,)
        if at == len(keys) - 1 and is_array:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path += (counts[path],)
    return path


def _nesting(line: str, depth: int, quotes: str) -> tuple[int, str]:
    """Depth of brackets and the open multi-line quotes at the end of a line."""
    at = 0
    while True:
        if quotes:
            end = line.find(quotes, at)
            if end < 0:
                return depth, quotes
            at = end + len(quotes)
        found = _SIGN.search(line, at)
        if not found:
            return max(depth, 0), ""
        sign, at = found.group(), found.end()
        quotes = sign if sign in _LONG_QUOTES else ""
        depth += (sign in "[{") - (sign in "]}")
