"""What a user wrote behind a key, on the key's line."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from planner.scenario.key_paths import Path
from planner.scenario.toml_lines import key_lines

_CODE = re.compile(r"""(?:"(?:[^"\\]|\\.)*"|'[^']*'|[^"'#])*""")


_BASES: Final = {  # how a comment begins that says where a number comes from
    "quoted": "quote|quotes|quoted|quotation",
    "accounts": "invoice|invoices|accounts",
    "measured": "measured",
}


def comments(text: str) -> Mapping[Path, str]:
    """The comment on the line of each key, empty without one, for a text that is valid TOML."""
    lines = text.split("\n")
    return {path: _comment(lines[number - 1]) for path, number in key_lines(text)}


def origins(text: str) -> Mapping[Path, Mapping[str, str]]:
    """Basis and source of each key whose comment says them, such as ``# quote of 20 November``.

    A word of the basis begins the comment and more follows it; with a colon it says where a number
    is to be found, not where this one comes from.
    """
    lines = text.split("\n")
    said = {path: _comment(lines[n - 1]) for path, n in key_lines(text) if not _heads(lines[n - 1])}
    return {
        path: {"basis": basis, "source": comment}
        for path, comment in said.items()
        for basis, words in _BASES.items()
        if re.match(rf"(?:{words}) +[^:]+$", comment, re.IGNORECASE)
    }


def _heads(line: str) -> bool:
    """Whether a line is the header of a table."""
    return line.lstrip().startswith("[")


def _comment(line: str) -> str:
    found = _CODE.match(line)
    rest = line[found.end() :] if found else ""
    return " ".join(rest.lstrip("#").split()) if rest.startswith("#") else ""
