"""A TOML text as a tree, with the place of each key and changes by key path."""

from __future__ import annotations

import copy
import difflib
import json
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from pydantic_core import PydanticCustomError

from planner.scenario.faults import Fault, ScenarioError
from planner.scenario.kinds import currency_code
from planner.scenario.toml_lines import KEY_PART, Path, key_lines, unquoted

DEEPEST: Final = 20  # tables within tables; a scenario needs six
SET: Final = "--set"
_PART = re.compile(rf"\s*({KEY_PART})\s*((?:\[\d{{1,6}}\])*)\s*(?:\.|$)")


@dataclass(frozen=True)
class Document:
    """A parsed file: its name for messages, its tree, its lines by key path.

    ``changed`` holds the paths whose values were given beside the file.
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
        """``file:line`` of a key or of the nearest table that holds it; ``--set`` if changed."""
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
        for part in path:
            node = child(node, part)
            if isinstance(part, str):
                parts.append(("." if parts else "") + _quoted(part))
            elif is_name(named := _name_of(node)):
                parts.append("." + quoted_name(named))
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


def parse(text: str, *, name: str) -> Document:
    """Parse TOML text; a syntax error raises ``ScenarioError`` with its line."""
    try:
        tree = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise ScenarioError((_syntax_fault(error, text, name),)) from None
    if not _is_plain(tree):
        must = f"hold at most {DEEPEST} tables within each other"
        raise ScenarioError((Fault(where=f"{name}:1", key="(file)", must=must),))
    return Document(name, tree, dict(key_lines(text)))


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
    tree = copy.deepcopy(document.tree)
    paths: list[Path] = []
    faults: list[Fault] = []
    for key, value in changes.items():
        try:
            path = resolved(tree, split_key(key))
            _put(tree, path, _given(value))
            paths.append(path)
        except LookupError as wrong:
            got, hint = (str(part) for part in (*wrong.args, "", "")[:2])
            faults.append(
                Fault(
                    where=SET,
                    key=_one_line(key),
                    must="lead to an input of the scenario",
                    got=_one_line(got),
                    suggestion=hint,
                )
            )
    if faults:
        raise ScenarioError(faults)
    return replace(document, tree=tree, changed=document.changed | frozenset(paths))


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


def split_key(key: str) -> list[str | int]:
    """``products."Full-front tee".prints[0]`` → its parts; raises LookupError when it cannot."""
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
            part = _position(node, part)
        elif node is not None and not (isinstance(node, Mapping) and isinstance(part, str)):
            raise LookupError(str(part), f"{path[-1]} holds a value, not a table")
        path.append(part)
        node = child(node, part)
    return tuple(path)


def _position(entries: list[Any], part: str | int) -> int:
    names = [_name_of(entry) for entry in entries]
    if isinstance(part, int) and part < len(entries):
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
    return copy.deepcopy(value)


def _put(tree: Any, path: Path, value: Any) -> None:
    node = tree
    for part in path[:-1]:
        if isinstance(node, dict):
            node = node.setdefault(part, {})
        else:
            node = node[part]
    node[path[-1]] = value


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


def _name_of(entry: Any) -> str:
    name = entry.get("name") if isinstance(entry, Mapping) else None
    return name.strip() if isinstance(name, str) else ""


def _quoted(part: str) -> str:
    return part if re.fullmatch(r"[A-Za-z0-9_-]+", part) else quoted_name(part[:200])


def _one_line(text: str) -> str:
    return "".join(c if c.isprintable() else "\ufffd" for c in text[:200])


def _syntax_fault(error: Exception, text: str, name: str) -> Fault:
    found = re.search(r"\(at line (\d+), column \d+\)", str(error))
    at_end = max(1, text.rstrip().count("\n") + 1)
    line = int(found.group(1)) if found else at_end
    why = re.sub(r"\s*\(at .*\)", "", str(error)).replace("\n", "\\n")
    return Fault(
        where=f"{name}:{line}",
        key="(file)",
        must="be valid TOML",
        got=_one_line(why),
        suggestion="text stands in quotes, each key once, lists in square brackets",
    )
