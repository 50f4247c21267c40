"""A TOML text as a tree, with the place of each key and changes by key path."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final

from pydantic_core import PydanticCustomError

from planner.scenario.faults import Fault, ScenarioError
from planner.scenario.key_paths import (
    Path,
    child,
    is_name,
    quoted_if_needed,
    quoted_name,
    split_key,
)
from planner.scenario.kinds import currency_code
from planner.scenario.names import name_of
from planner.scenario.toml_lines import key_lines

DEEPEST: Final = 20  # tables within tables; a scenario needs six
_TOO_DEEP = re.compile(  # possessive throughout: a text is gone through once
    r"""(?<![\w-])(?:(?:[\w-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+)"""
    rf"{{{DEEPEST}}}"
)
_TOO_LONG = re.compile(r"[\d_]{4301,}")  # digits: more are not turned into a number
_COMMA = re.compile(r"=\s*[\d.]+,\d+\s*(#.*)?$")
_POINT: Final = "a point for decimals and nothing between thousands"
SET: Final = "--set"


@dataclass(frozen=True)
class Document:
    """A parsed file: its name for messages, its tree, its lines by key path.

    Documents share parts of their trees, so a tree is never changed, only made anew. ``changed``
    holds the paths whose values were given beside the file.
    """

    name: str
    tree: dict[str, Any]
    lines: Mapping[Path, int]
    changed: frozenset[Path] = frozenset()

    @property
    def currency(self) -> str:
        """The currency of the file; empty where it gives none that is known."""
        try:
            return currency_code(self.tree.get("currency"))
        except PydanticCustomError:
            return ""

    def where(self, path: Path) -> str:
        """``file:line`` of a key or of the nearest table that holds it.

        It is ``--set`` for what was given beside the file and for what stands only there.
        """
        if path not in self.lines and any(way[: len(path)] == path for way in self.changed):
            return SET
        for end in range(len(path), 0, -1):
            if path[:end] in self.changed:
                return SET
            if path[:end] in self.lines:
                return f"{self.name}:{self.lines[path[:end]]}"
        return f"{self.name}:1"

    def key(self, path: Path) -> str:
        """The key path as a user writes it, with entries of lists by name."""
        parts: list[str] = []
        node: Any = self.tree
        within = ""
        for part in path:
            node = child(node, part)
            if isinstance(part, str):
                parts.append(("." if parts else "") + quoted_if_needed(part))
                within = part
            elif is_name(name := name_of(within, node)):
                parts.append("." + quoted_name(name))
            else:
                parts.append(f"[{part}]")
        return "".join(parts) or "(file)"

    def fault(self, path: Path, must: str, got: str = "", suggestion: str = "") -> Fault:
        """A fault with the place and the key of a path."""
        return Fault(
            where=self.where(path),
            key=self.key(path),
            must=must,
            got=got,
            suggestion=suggestion,
        )


@lru_cache(maxsize=8)  # files read anew with other changes
def parse(text: str, *, name: str) -> Document:
    """Parse TOML text; a syntax error raises ``ScenarioError`` with its line.

    A key of very many parts is refused unread: the parser's time grows with their square.
    """
    if found := _TOO_DEEP.search(text):
        raise ScenarioError((_depth_fault(text.count("\n", 0, found.start()) + 1, name),))
    try:
        tree = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise ScenarioError((_syntax_fault(error, text, name),)) from None
    if not _is_plain(tree):
        raise ScenarioError((_depth_fault(1, name),))
    return Document(name, tree, dict(key_lines(text)))


def _depth_fault(line: int, name: str) -> Fault:
    must = f"hold at most {DEEPEST} tables within each other"
    return Fault(where=f"{name}:{line}", key="(file)", must=must)


def _is_plain(value: Any) -> bool:
    """Whether a value is what TOML can hold: nothing missing, tables not too deep."""
    level = [value]
    for _ in range(DEEPEST):
        if None in level:
            return False
        level = [inner for node in level for inner in _children(node)]
    return not level


def _children(node: Any) -> list[Any]:
    if isinstance(node, Mapping):
        return list(node.values())
    return list(node) if isinstance(node, list) else []


def changed(document: Document, changes: Mapping[str, Any]) -> Document:
    """The document with values replaced by key path, as ``--set`` gives them.

    Tables on the way are made where they are missing; entries of lists must exist. All faults
    are raised together.
    """
    tree = document.tree
    paths: list[Path] = []
    faults: list[Fault] = []
    for key, value in changes.items():
        try:
            path = resolved(tree, split_key(key))
            tree = _put(tree, path, _given(value))
            paths.append(path)
        except LookupError as wrong:
            got, hint = (str(part) for part in (*wrong.args, "", "")[:2])
            faults.append(
                Fault(
                    where=SET,
                    key=_one_line(key) or '""',
                    must="lead to an input of the scenario",
                    got=_one_line(got),
                    suggestion=hint,
                )
            )
    if faults:
        raise ScenarioError(faults)
    lines = {way: line for way, line in document.lines.items() if not _is_below(way, paths)}
    changed_paths = document.changed | frozenset(paths)
    return replace(document, tree=tree, lines=lines, changed=changed_paths)


def _is_below(way: Path, paths: Sequence[Path]) -> bool:
    return any(way[: len(path)] == path for path in paths)


def parse_changes(given: Sequence[str]) -> dict[str, Any]:
    """``KEY=VALUE`` texts as changes; the first = outside quotes parts key and value.

    Raises ``ScenarioError`` with every text that has no key or no =, and with keys given twice.
    """
    changes: dict[str, Any] = {}
    faults = []
    for text in given:
        found = re.match(r"""((?:"(?:[^"\\]|\\.)*"|'[^']*'|[^"'=])+)=(.*)""", text, re.DOTALL)
        key = found.group(1).strip() if found else ""
        if not found or not key:
            faults.append(Fault(where=SET, key=_one_line(text), must="be KEY=VALUE"))
        elif key in changes:
            faults.append(Fault(where=SET, key=_one_line(key), must="be given once"))
        else:
            changes[key] = found.group(2).strip()
    if faults:
        raise ScenarioError(faults)
    return changes


def as_value(value: Any) -> Any:
    """Text after ``KEY=`` as TOML would read it; what is no TOML value is a string."""
    if not isinstance(value, str):
        return value
    try:
        tree = tomllib.loads(f"value = {value}")
    except (ValueError, RecursionError):
        return value
    return tree["value"] if set(tree) == {"value"} else value


def resolved(tree: Any, parts: Sequence[str | int]) -> Path:
    """The path of a key, with names of list entries turned into their positions.

    Parts below a table that is missing stay as they are. Raises ``LookupError`` with what could
    not be found and a suggestion.
    """
    if len(parts) > DEEPEST:
        raise LookupError(str(parts[0]))
    path: list[str | int] = []
    node = tree
    for part in parts:
        if isinstance(node, list):
            part = _position(part, [name_of(str(path[-1]), entry) for entry in node])
        elif node is not None and not (isinstance(node, Mapping) and isinstance(part, str)):
            raise LookupError(str(part), f"{path[-1]} holds a value, not a table")
        path.append(part)
        node = child(node, part)
    return tuple(path)


def _position(part: str | int, names: Sequence[str]) -> int:
    """The position of a list entry given by name or position."""
    if isinstance(part, int) and part < len(names):
        return part
    if isinstance(part, str) and part.strip() in names:
        return names.index(part.strip())
    known = [name for name in names if name]
    near = difflib.get_close_matches(str(part), known, n=1) or known
    raise LookupError(str(part), f"did you mean {quoted_name(near[0])}?" if near else "")


def _given(value: Any) -> Any:
    value = as_value(value)
    if not _is_plain(value):
        raise LookupError("nothing", "give a value")
    return value


def _put(node: Any, path: Path, value: Any) -> Any:
    """A copy of the node with a value under a path; what lies beside the path is shared."""
    if not path:
        return value
    made: Any = list(node) if isinstance(node, list) else dict(node or {})
    made[path[0]] = _put(child(node, path[0]), path[1:], value)
    return made


def _one_line(text: str) -> str:
    return "".join(c if c.isprintable() else "\ufffd" for c in text[:200])


def _likely_slip(line: str) -> str:
    """What to do about a line that is no TOML: the slip it looks like, else the rules."""
    if re.search(r"=\s*[\d.]+\s*[A-Za-z%]", line):
        return "put a number with its unit in quotes"
    return "text stands in quotes, each key once, lists in square brackets"


def _syntax_fault(error: Exception, text: str, name: str) -> Fault:
    said = str(error)
    found = re.search(r"\(at line (\d+), column \d+\)", said)
    line = int(found.group(1)) if found else 1
    if "(at end of document)" in said:
        line = text.rstrip().count("\n") + 1
    why = re.sub(r"\s*\(at .*\)", "", said)
    if isinstance(error, RecursionError):
        why = "brackets too deep"
    elif not isinstance(error, tomllib.TOMLDecodeError):  # no other error has no place
        why, digits = "a number too long", _TOO_LONG.search(text)
        line = text.count("\n", 0, digits.start()) + 1 if digits else 1
    written = text.split("\n")[line - 1]
    has_comma = _COMMA.search(written) is not None
    return Fault(
        where=f"{name}:{line}",
        key="(file)",
        must=f"use {_POINT}" if has_comma else "be valid TOML",
        got=_one_line(why),
        suggestion="" if has_comma else _likely_slip(written),
    )
