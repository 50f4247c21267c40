"""Key paths: how a key is addressed, by names as a user writes them or by positions."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from functools import lru_cache
from typing import Any, Final

Path = tuple[str | int, ...]

KEY_PART: Final = r"""(?:"(?:[^"\\]|\\.)*"|'[^']*'|[A-Za-z0-9_-]+)"""
_PART = re.compile(rf"\s*({KEY_PART})\s*((?:\[\d{{1,6}}\])*)\s*(?:\.|$)")


def split_key(key: str) -> list[str | int]:
    """The parts of a key path; raises ``LookupError`` with what cannot be read.

    Examples
    --------
    >>> split_key('products."Full-front tee".prints[0]')
    ['products', 'Full-front tee', 'prints', 0]
    """
    parts: list[str | int] = []
    rest = key.strip()
    if not rest or rest.endswith("."):
        raise LookupError(key)
    while rest:
        found = _PART.match(rest)
        if not found:
            raise LookupError(rest, "write names that hold spaces or dots in double quotes")
        try:
            parts.append(unquoted(found.group(1)))
        except ValueError:
            raise LookupError(rest, "write a name as TOML does") from None
        parts += [int(index) for index in re.findall(r"\d+", found.group(2))]
        rest = rest[found.end() :]
    return parts


@lru_cache(maxsize=1024)  # names of a scenario are met again and again
def unquoted(part: str) -> str:
    """A part of a key without its quotes; raises ``ValueError`` when it is no TOML key."""
    if part.startswith('"'):
        return str(tomllib.loads(f"x = {part}")["x"])
    return part.strip("'")


def child(node: Any, part: str | int) -> Any:
    """What stands under a key or at a position; None where nothing does."""
    if isinstance(node, Mapping) and isinstance(part, str):
        return node.get(part)
    if isinstance(node, list) and isinstance(part, int) and part < len(node):
        return node[part]
    return None


def quoted_name(name: str) -> str:
    """A name in double quotes, as in a key path."""
    text = json.dumps(name, ensure_ascii=False)
    return "".join(c if c.isprintable() else f"\\U{ord(c):08x}" for c in text)


def is_name(name: str) -> bool:
    """Whether a name can stand in a key path."""
    return 0 < len(name) <= 200


def quoted_if_needed(part: str) -> str:
    """A part of a key path, in quotes where TOML asks for them; at most 200 characters of it."""
    part = part[:200]
    return part if re.fullmatch(r"[A-Za-z0-9_-]+", part) else quoted_name(part)
