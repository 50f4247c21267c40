"""What a user wrote behind a key, on the key's line."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Final

from planner.scenario.key_paths import Path
from planner.scenario.toml_lines import key_lines

_CODE = re.compile(r"""(?:"(?:[^"\\]|\\.)*"|'[^']*'|[^"'#])*""")

# Words that say where a number is from, by the basis that they give it; each may end in s.
_WORDS: Final = {
    "measured": "measured|measurement|stopwatch|timed|weighed|count|counted|counter|scale|ruler"
    "|tape measure|power meter|test print",
    "accounts": "invoice|invoiced|bill|receipt|payslip|pay slip|payroll|statement|account|ledger"
    "|books|order book|balance sheet|bank balance|tax return|records|diary|rota|opening hours",
    "quoted": "quote|quoted|quotation|offer|offered|contract|agreement|term sheet|price list"
    "|order form|catalogue|catalog|brochure|data ?sheet|label|type plate|nameplate|website|letter"
    "|e-?mail|mail|policy",
    "estimated": "estimate|estimated|guess|guessed|assumed|assumption|expected|opinion|word|said"
    "|told",
}
_NEGATED: Final = r"(?P<no>(?:no|not|without|to be) (?:(?:an?|the|any|yet|from|on) )*)?"
_AWAITED: Final = r"(?! (?:(?:is|are) )?(?:to come|to follow|pending|missing|outstanding)\b)"
_SAID: Final = re.compile(
    rf"\b{_NEGATED}(?:{'|'.join(f'(?P<{basis}>{words})' for basis, words in _WORDS.items())})s?\b"
    rf"{_AWAITED}",
    re.IGNORECASE,
)
_LONGEST: Final = 200  # characters of a source


def comments(text: str) -> Mapping[Path, str]:
    """The comment on the line of each key, empty without one, for a text that is valid TOML."""
    lines = text.split("\n")
    return {path: _comment(lines[number - 1]) for path, number in key_lines(text)}


@lru_cache(maxsize=8)  # files read anew with other changes
def origins(text: str) -> Mapping[Path, Mapping[str, str]]:
    """Basis and source of each key whose comment says them, such as ``# bill of May``.

    A comment that holds a word for a document, a measurement or a guess is the source of what
    stands before it. One that begins with a question mark says where a number is to be found, not
    where this one comes from.
    """
    lines = text.split("\n")
    said = {path: _comment(lines[n - 1]) for path, n in key_lines(text) if not _heads(lines[n - 1])}
    found = {path: (comment, _basis(comment)) for path, comment in said.items()}
    return {
        path: {"basis": basis, "source": _shown(comment)}
        for path, (comment, basis) in found.items()
        if basis
    }


def asks(comment: str) -> bool:
    """Whether a comment says where a number is to be found, as those of a starter do."""
    return comment.startswith("?")


def _basis(comment: str) -> str:
    """The basis that a comment gives: a guess wherever it says so, else by its first such word."""
    if asks(comment):
        return ""
    bases = [str(one.lastgroup) for one in _SAID.finditer(comment) if not one["no"]]
    return "estimated" if "estimated" in bases else next(iter(bases), "")


def _shown(comment: str) -> str:
    """A comment as a source: not too long, and without signs that steer what shows it."""
    return "".join(c if c.isprintable() else "\ufffd" for c in comment[:_LONGEST])


def _heads(line: str) -> bool:
    """Whether a line is the header of a table."""
    return line.lstrip().startswith("[")


def _comment(line: str) -> str:
    found = _CODE.match(line)
    rest = line[found.end() :] if found else ""
    return " ".join(rest.lstrip("#").split()) if rest.startswith("#") else ""
