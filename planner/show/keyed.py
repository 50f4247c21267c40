"""Lines that begin with a key of the scenario, as a reader reads them: what is spoken of, in words.

Each line is ``key: words``, as ``planner.scenario.notices`` and the doubts give them.
"""

from __future__ import annotations

import re
from typing import Final

from planner.scenario.key_paths import KEY_PART, unquoted
from planner.show.words.named import input_words, path_words

_STEP: Final = rf"{KEY_PART}(?:\[\d+\])*"
_LINE: Final = re.compile(rf"({_STEP}(?:\.{_STEP})*): (.*)", re.DOTALL)


def parted(line: str) -> tuple[str, str]:
    """The key of a line, and what is said of it; no key where the line begins with none."""
    found = _LINE.fullmatch(line)
    return (found.group(1), found.group(2)) if found else ("", line)


def read_out(line: str) -> str:
    """A line with words in the place of its key."""
    key, said = parted(line)
    return f"{_place(key)}: {said}" if key else line


def cost_words(line: str) -> str:
    """A line that says itself what it speaks of: under the names in its key, the key left out."""
    key, said = parted(line)
    names = " \u203a ".join(_names(key))
    return f"{names}: {said}" if names else said


def _place(key: str) -> str:
    """What a key addresses, the table left out where a name of the user's stands in it."""
    *holders, field = path_words(key)
    if not holders:
        return field
    shown = input_words(key).removeprefix(f"{holders[-1]}: ")
    return " \u203a ".join([*holders[1 if _names(key) else 0 :], shown])


def _names(key: str) -> list[str]:
    """The names in a key that a user wrote."""
    return [unquoted(part) for part in re.findall(KEY_PART, key) if part[0] in "\"'"]
