"""The starter scenario on disk."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from planner.scenario.faults import PlannerError
from planner.scenario.starter import full_form, short_form, test_print_sheet


class AlreadyThereError(PlannerError):
    """A file that would be overwritten."""


def write_starter(file: Path, *, full: bool) -> Iterator[Path]:
    """Write a scenario and its sheet of test prints; raises before writing if one is there.

    A name without its ending gets ``.toml``.
    """
    if file.suffix.lower() != ".toml":
        file = file.with_name(f"{file.name}.toml")
    sheet = file.with_name(f"{file.stem}-test-prints.csv")
    for path in (file, sheet):
        if path.exists():
            raise AlreadyThereError(f"{path}: is there already and is never overwritten")
    form = full_form if full else short_form
    for path, text in ((file, form(sheet.name)), (sheet, test_print_sheet())):
        with path.open("x", encoding="utf-8", newline="") as stream:
            stream.write(text)
        yield path
