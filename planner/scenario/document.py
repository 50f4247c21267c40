"""A TOML text as a tree, with the line on which each key stands and changes by key path."""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from planner.scenario.faults import Fault, ScenarioError

Path = tuple[str | int, ...]

_KEY_PART = r"""(?:"(?:[^"\\]|\\.)*"|'[^']*'|[A-Za-z0-9_-]+)"""
_HEADER = re.compile(rf"\s*(\[\[?)\s*({_KEY_PART}(?:\s*\.\s*{_KEY_PART})*)\s*\]\]?")
_ASSIGN = re.compile(rf"\s*({_KEY_PART}(?:\s*\.\s*{_KEY_PART})*)\s*=")


@dataclass(frozen=True)
class Document:
    """A parsed file: its name for messages, its tree, its lines by key path."""

    name: str
    tree: dict[str, Any]
    lines: Mapping[Path, int]

    def where(self, path: Path) -> str:
        """``file:line`` of a key, or of the nearest table that holds it."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.lines:
                return f"{self.name}:{self.lines[path[:end]]}"
        return f"{self.name}:1"

    def key(self, path: Path) -> str:
        """The key path as a user writes it, with entries of lists by name."""
        parts: list[str] = []
        node: Any = self.tree
        for part in path:
            node = _child(node, part)
            if isinstance(part, str):
                parts.append(("." if parts else "") + _quoted(part))
            elif isinstance(node, Mapping) and isinstance(node.get("name"), str):
                parts.append("." + quoted_name(node["name"]))
            else:
                parts.append(f"[{part}]")
        return "".join(parts) or "(file)"


def parse(text: str, *, name: str) -> Document:
    """Parse TOML text; a syntax error raises ``ScenarioError`` with its line."""
    try:
        tree = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        raise ScenarioError((_syntax_fault(error, text, name),)) from None
    return Document(name, tree, dict(_lines(text)))


def changed(document: Document, changes: Mapping[str, Any]) -> Document:
    """The document with values replaced by key path, as ``--set`` gives them.

    Every path must lead to a table that exists; its last key may be new. All faults are raised
    together.
    """
    tree = copy.deepcopy(document.tree)
    lines = dict(document.lines)
    faults: list[Fault] = []
    for key, value in changes.items():
        try:
            path = _resolve(tree, split_key(key))
            _put(tree, path, as_value(value))
            lines.pop(path, None)
        except KeyError as missing:
            faults.append(
                Fault(
                    where="--set",
                    key=key,
                    must="lead to an input of the scenario",
                    got=str(missing.args[0]),
                    suggestion=missing.args[1] if len(missing.args) > 1 else "",
                )
            )
    if faults:
        raise ScenarioError(tuple(faults))
    return Document(document.name, tree, lines)


def as_value(value: Any) -> Any:
    """Text after ``KEY=`` as TOML would read it; what is no TOML value is a string."""
    if not isinstance(value, str):
        return value
    try:
        return tomllib.loads(f"value = {value}")["value"]
    except (tomllib.TOMLDecodeError, RecursionError, KeyError):
        return value


def split_key(key: str) -> list[str | int]:
    """``products."Full-front tee".prints[0]`` → its parts; raises KeyError when it cannot."""
    parts: list[str | int] = []
    rest = key.strip()
    pattern = re.compile(rf"\s*({_KEY_PART})\s*((?:\[\d+\])*)\s*(?:\.|$)")
    while rest:
        found = pattern.match(rest)
        if not found:
            raise KeyError(rest, "write names that hold spaces or dots in double quotes")
        parts.append(_unquoted(found.group(1)))
        parts += [int(index) for index in re.findall(r"\d+", found.group(2))]
        rest = rest[found.end() :]
    if not parts:
        raise KeyError(key)
    return parts


def quoted_name(name: str) -> str:
    """A name in double quotes, as in a key path."""
    return '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _quoted(part: str) -> str:
    return part if re.fullmatch(r"[A-Za-z0-9_-]+", part) else quoted_name(part)


def _unquoted(part: str) -> str:
    if part.startswith('"'):
        return str(tomllib.loads(f"x = {part}")["x"])
    return part.strip("'")


def _child(node: Any, part: str | int) -> Any:
    if isinstance(node, Mapping) and isinstance(part, str):
        return node.get(part)
    if isinstance(node, list) and isinstance(part, int) and part < len(node):
        return node[part]
    return None


def _resolve(tree: Any, parts: Sequence[str | int]) -> Path:
    """Turn names of list entries into their positions."""
    import difflib

    path: list[str | int] = []
    node = tree
    for at, part in enumerate(parts):
        if isinstance(node, list) and isinstance(part, str):
            names = [str(entry.get("name", "")) for entry in node if isinstance(entry, Mapping)]
            if part not in names:
                near = difflib.get_close_matches(part, names, n=1) or names
                hint = f"did you mean {quoted_name(near[0])}?" if near else ""
                raise KeyError(part, hint)
            part = names.index(part)
        last = at == len(parts) - 1
        child = _child(node, part)
        if child is None and not (last and isinstance(node, dict)):
            known = list(node) if isinstance(node, dict) else []
            near = difflib.get_close_matches(str(part), known, n=1)
            raise KeyError(str(part), f"did you mean {near[0]}?" if near else "")
        path.append(part)
        node = child
    return tuple(path)


def _put(tree: Any, path: Path, value: Any) -> None:
    node = tree
    for part in path[:-1]:
        node = node[part]
    node[path[-1]] = value


def _syntax_fault(error: Exception, text: str, name: str) -> Fault:
    found = re.search(r"\(at line (\d+), column \d+\)", str(error))
    at_end = text.count("\n") + 1
    line = int(found.group(1)) if found else at_end
    why = re.sub(r"\s*\(at .*\)", "", str(error))
    return Fault(
        where=f"{name}:{line}",
        key="(file)",
        must="be valid TOML",
        got=why,
        suggestion="text stands in quotes, each key once, lists in square brackets",
    )


def _lines(text: str) -> Iterator[tuple[Path, int]]:
    """Key paths and the lines they stand on.

    Tables, arrays of tables and keys on lines of their own are found; a key inside an inline
    table is reported at the line of that table.
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
                yield table, number
            elif assign:
                keys = _keys(assign.group(1))
                yield table + keys, number
        depth, quotes = _nesting(line, depth, quotes)


def _keys(text: str) -> tuple[str, ...]:
    return tuple(_unquoted(part) for part in re.findall(_KEY_PART, text))


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
    while at < len(line):
        if quotes:
            end = line.find(quotes, at)
            if end < 0:
                return depth, quotes
            at, quotes = end + 3, ""
            continue
        if line[at : at + 3] in ('"""', "'''"):
            quotes, at = line[at : at + 3], at + 3
            continue
        char = line[at]
        if char == "#":
            break
        if char in "\"'":
            string = re.compile(r'"(?:[^"\\]|\\.)*"' if char == '"' else r"'[^']*'")
            found = string.match(line, at)
            at = found.end() if found else len(line)
            continue
        depth += (char in "[{") - (char in "]}")
        at += 1
    return max(depth, 0), quotes
