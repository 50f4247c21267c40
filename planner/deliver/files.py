"""Files written whole or not at all, under safe names, byte for byte the same each time."""

import csv
import io
import json
import math
import os
import re
import secrets
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from hashlib import sha256
from pathlib import Path

Cell = str | int | float | bool | None

LONGEST_NAME = 60  # [characters]
DEVICES = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(10))}
UNFINISHED = re.compile(r"\.[0-9a-f]{16}\.tmp")
# A negative amount begins like a formula, and computes nothing.
AMOUNT = re.compile(r"-[$€£]?\d[\d.,\u00a0\u202f]*[$€£%]?")
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n")


def write_bytes(path: Path, content: bytes) -> None:
    """Put the content where `path` says, making its folder; a reader sees the old or the new.

    On failure the old file stands as it was and nothing else is left behind; an error of the system
    names the file.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    temporary = path.parent / f".{secrets.token_hex(8)}.tmp"
    try:
        with temporary.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(temporary, path)
    except BaseException as error:
        temporary.unlink(missing_ok=True)
        if isinstance(error, OSError) and error.strerror:  # a full disk does not say of which file
            error.filename = str(path)
        raise


def remove_unfinished(folder: Path) -> None:
    """Remove what `write_bytes` left half done in a folder or just below, when it was killed."""
    for path in (*folder.glob(".*.tmp"), *folder.glob("*/.*.tmp")):
        if UNFINISHED.fullmatch(path.name):
            path.unlink(missing_ok=True)


def write_text(path: Path, text: str) -> None:
    """Text as UTF-8 with its line ends as they are, whole or not at all."""
    write_bytes(path, text.encode("utf-8"))


def write_csv(path: Path, header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> None:
    """A table by RFC 4180, whole or not at all; see `csv_text`."""
    write_text(path, csv_text(header, rows))


def csv_text(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """A table by RFC 4180: CRLF, quotes where needed, numbers with all their digits.

    Text that a spreadsheet would take for a formula gets an apostrophe in front. None is an empty
    cell. Raises ValueError if a row is not as long as the header or a number is not finite.
    """
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\r\n")
    writer.writerow([_harmless(name) for name in header])
    for row in rows:
        if len(row) != len(header):
            raise ValueError(f"row: must have {len(header)} cells (got {len(row)})")
        writer.writerow([_written(cell) for cell in row])
    return buffer.getvalue()


def write_json(path: Path, value: object) -> None:
    """A value as JSON, whole or not at all; see `json_text`."""
    write_text(path, json_text(value))


def json_text(value: object) -> str:
    """A value as indented JSON, keys in the order given; what has no figure must be None.

    Raises ValueError that says where a number is not finite, TypeError for what JSON cannot hold.
    """
    for place, number in _numbers(value, "value"):
        if not math.isfinite(number):
            raise ValueError(f"{place}: must be finite or null (got {number})")
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def safe_name(text: str) -> str:
    """A file name, without ending, from any text: lower-case letters, digits and hyphens.

    Text that says more than the name can hold gets a few signs of its checksum at the end, so that
    two such texts do not share a name; so does a name that a system keeps for its devices.
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode("ascii")
    name = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")
    whole = bool(re.fullmatch(r"[A-Za-z0-9 ._-]+", text)) and len(name) <= LONGEST_NAME
    if whole and name and name not in DEVICES:
        return name
    checksum = sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:8]
    return f"{name[:LONGEST_NAME].strip('-')}-{checksum}".lstrip("-")


def _written(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return _harmless(cell)
    if isinstance(cell, bool):
        return str(cell).lower()
    if not math.isfinite(cell):
        raise ValueError(f"cell: must be finite or None (got {cell})")
    return repr(float(cell)) if isinstance(cell, float) else str(cell)


def _harmless(text: str) -> str:
    text = text.replace("\N{MINUS SIGN}", "-")  # what programs read keeps the plain sign
    is_formula = text.startswith(FORMULA_SIGNS) and not AMOUNT.fullmatch(text)
    return f"'{text}" if is_formula else text


def _numbers(value: object, place: str) -> Iterable[tuple[str, float]]:
    if isinstance(value, float):
        yield place, value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _numbers(item, f"{place}.{key}")
    elif isinstance(value, list | tuple):
        for index, item in enumerate(value):
            yield from _numbers(item, f"{place}[{index}]")


def flat(base: str, value: object) -> Iterator[tuple[str, Cell]]:
    """Nested figures as keys and values; entries of a list are counted from 1."""
    if isinstance(value, dict):
        for key, part in value.items():
            yield from flat(f"{base}.{key}" if base else key, part)
    elif isinstance(value, list):
        for at, part in enumerate(value):
            yield from flat(f"{base}[{at + 1}]", part)
    else:
        assert value is None or isinstance(value, str | int | float)
        yield base, value
