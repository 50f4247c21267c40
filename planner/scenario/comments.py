"""What a user wrote behind a key, on the key's line."""

from __future__ import annotations

import re
from collections.abc import Mapping

from planner.scenario.key_paths import Path
from planner.scenario.toml_lines import key_lines

_CODE = re.compile(r"""(?:"(?:[^"\\]|\\.)*"|'[^']*'|[^"'#])*""")


def comments(text: str) -> Mapping[Path, str]:
    """The comment on the line of each key, empty without one, for a text that is valid TOML."""
    lines = text.split("\n")
    return {path: _comment(lines[number - 1]) for path, number in key_lines(text)}


def _comment(line: str) -> str:
    found = _CODE.match(line)
    rest = line[found.end() :] if found else ""
    return " ".join(rest.lstrip("#").split()) if rest.startswith("#") else ""
