"""Reading a text file that a user wrote, with a fault instead of a traceback."""

from __future__ import annotations

import difflib
from pathlib import Path

from planner.scenario.faults import Fault, ScenarioError


def read_text(path: Path, *, largest: int) -> str:
    """Text of a UTF-8 file of at most ``largest`` bytes, line ends as ``\\n``.

    A byte order mark is dropped. Raises ``ScenarioError`` with one fault for anything else.
    """
    raw = _read(path, largest)
    if len(raw) > largest:
        raise _error(path, f"be at most {largest / 1e6:g} MB")
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise _error(
            path, "be saved as UTF-8 text", got=_encoding(raw), hint=_SAVE_AS, line=line
        ) from None


_SAVE_AS = 'save it again with the encoding "UTF-8"'


def _read(path: Path, largest: int) -> bytes:
    try:
        if path.exists() and not path.is_file():
            raise _error(path, "be a file", got="a folder" if path.is_dir() else "something else")
        with path.open("rb") as stream:
            return stream.read(largest + 1)
    except OSError as error:
        reason = (error.strerror or "not readable").lower()
        raise _error(path, "be a file that can be read", got=reason, hint=_nearby(path)) from None
    except ValueError:
        raise _error(path, "be the name of a file") from None


def _encoding(raw: bytes) -> str:
    return "UTF-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "another encoding"


def _error(path: Path, must: str, *, got: str = "", hint: str = "", line: int = 1) -> ScenarioError:
    name = "".join(c if c.isprintable() else "\ufffd" for c in path.name[:200])
    where = f"{name}:{line}"
    return ScenarioError((Fault(where=where, key="(file)", must=must, got=got, suggestion=hint),))


def _nearby(path: Path) -> str:
    """A file of nearly the same name in the same folder."""
    try:
        names = [entry.name for entry in path.parent.iterdir()]
    except (OSError, ValueError):
        return ""
    near = difflib.get_close_matches(path.name, names, n=1)
    return f"did you mean {near[0]}?" if near and near[0].isprintable() else ""
