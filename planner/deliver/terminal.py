"""Text for a terminal: lines folded at its width, the same everywhere else."""

from __future__ import annotations

import re
import shutil
import sys
import textwrap
from collections.abc import Iterable
from typing import Final

PLAIN_WIDTH: Final = 80  # columns where the output is no terminal
NARROWEST: Final = 60
WIDEST: Final = 100
_MINUS = re.compile(r"(?<![\w-])-(?=[^\s-])")


def text_width() -> int:
    """Columns to fold at: the terminal's, between 60 and 100; 80 where there is none."""
    if not sys.stdout.isatty():
        return PLAIN_WIDTH
    return min(max(shutil.get_terminal_size().columns, NARROWEST), WIDEST)


def folded(lines: Iterable[str], *, width: int) -> str:
    """Lines folded between words at a width [columns]; what follows a fold is indented further.

    A name or number longer than a line stays whole.
    """
    return "\n".join(_folded(line, width) for line in lines)


def _folded(line: str, width: int) -> str:
    indent = " " * (len(line) - len(line.lstrip()))
    following = f"{indent}  " if indent else ""
    parts = textwrap.wrap(
        line.strip(),
        width,
        initial_indent=indent,
        subsequent_indent=following,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return line.rstrip() if len(line) <= width else "\n".join(parts)


def with_minus(line: str) -> str:
    """The line with a minus sign, not a hyphen, before negative numbers and amounts."""
    return _MINUS.sub("\N{MINUS SIGN}", line)
