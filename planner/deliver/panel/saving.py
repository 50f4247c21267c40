"""A scenario with changes written into it: a file of its own, the user's comments kept."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import tomlkit

from planner.deliver.errors import DeliveryError
from planner.deliver.files import safe_name
from planner.deliver.starting import AlreadyThereError
from planner.scenario.document import Document, as_value, changed, parse, resolved
from planner.scenario.key_paths import Path as KeyPath
from planner.scenario.key_paths import split_key
from planner.scenario.load import LARGEST_SCENARIO, load
from planner.scenario.text_file import read_text

ENDING: Final = ".toml"


class NotSavedError(DeliveryError):
    """A scenario that cannot be saved under a name."""


def save_as(source: Path, name: str, changes: Mapping[str, Any]) -> Path:
    """Write a scenario with changes beside it, so that its test prints and artwork are found.

    The name gets the ending ``.toml`` and is made safe for every system. Nothing is overwritten.

    Raises
    ------
    NotSavedError
        For a name of which nothing can be made.
    AlreadyThereError
        If the file is there.
    ScenarioError
        If the changes do not make a scenario that can be used; nothing is written then.
    """
    stem = name.strip().removesuffix(ENDING)
    if not stem.strip(". "):
        raise NotSavedError(f'name of the new scenario: must be words (got "{name.strip()}")')
    target = source.with_name(safe_name(stem) + ENDING)
    if target.exists():
        raise AlreadyThereError(f"{target}: is there already and is never overwritten")
    load(source, changes=changes)
    text = with_changes(read_text(source, largest=LARGEST_SCENARIO), changes, name=source.name)
    try:
        with target.open("x", encoding="utf-8", newline="") as stream:
            stream.write(text)
    except FileExistsError:
        raise AlreadyThereError(f"{target}: is there already and is never overwritten") from None
    return target


def with_changes(text: str, changes: Mapping[str, Any], *, name: str) -> str:
    """The text of a scenario with changes by key path, as ``--set`` gives them, written into it.

    Comments and order stay; a line at the top says what was changed. Raises ``ScenarioError`` for
    a change that leads nowhere.
    """
    wanted = changed(parse(text, name=name), changes)
    written = tomlkit.parse(text)
    for key, value in changes.items():
        _put(written, resolved(written, split_key(key)), _item(value))
    lines = [f"# Tried out from {name}:", *(f"#   {_said(key)}" for key in changes), "", ""]
    result = "\n".join(lines) + tomlkit.dumps(written) if changes else text
    _check(parse(result, name=name), wanted)
    return result


def _said(key: str) -> str:
    return "".join(sign if sign.isprintable() else "\ufffd" for sign in key)


def _put(tree: Any, path: KeyPath, value: Any) -> None:
    """Set a value under a path; tables on the way are made where they are missing."""
    for part in path[:-1]:
        if isinstance(part, str) and part not in tree:
            tree[part] = tomlkit.table()
        tree = tree[part]
    tree[path[-1]] = value


def _item(value: Any) -> Any:
    """A value as it will stand in the file; text is read as ``--set`` reads it."""
    if isinstance(value, str) and as_value(value) != value:
        return tomlkit.value(value)
    return tomlkit.item(as_value(value))


def _check(result: Document, wanted: Document) -> None:
    """Raise unless what was written reads as what was meant."""
    if result.tree != wanted.tree:
        keys = [key for key in wanted.tree if result.tree.get(key) != wanted.tree[key]]
        raise NotSavedError(f"new scenario: must read as it was tried out ({', '.join(keys)})")
