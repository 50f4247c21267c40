"""What the commands print: a page that can be read aloud, JSON or CSV."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from planner.decide.answer import AnswerPage
from planner.decide.risk.answer import Risk
from planner.deliver.document import figure_rows, figures_document
from planner.deliver.figures_page import figure_lines
from planner.deliver.files import csv_text, json_text
from planner.deliver.terminal import folded, text_width, with_minus
from planner.scenario.key_paths import KEY_PART
from planner.scenario.load import LARGEST_SCENARIO
from planner.scenario.notices import costs_left_out, defaults_in_words
from planner.scenario.schema import Scenario
from planner.scenario.starter import starter_sentence, starter_values_left
from planner.scenario.text_file import read_text
from planner.scenario.tree import inputs
from planner.usage.print_doubts import every_doubt


def risks_of(pages: Sequence[AnswerPage], *, draws: int, seed: int) -> list[Risk | None]:
    """What drawn cases say of each scenario; None where none are drawn."""
    if not draws:
        return [None] * len(pages)
    from planner.decide.risk.answer import risk

    return [risk(page, draws=draws, seed=seed) for page in pages]


def printed(
    pages: Sequence[AnswerPage],
    risks: Sequence[Risk | None],
    *,
    notes: Sequence[str],
    format: str,
    every_choice: bool,
) -> str:
    """The figures of scenarios as text, JSON (a list where there are several) or CSV.

    ``notes`` are said after the answers, in text.
    """
    pairs = list(zip(pages, risks, strict=True))
    if format == "text":
        width = text_width()
        texts = [
            folded(
                map(with_minus, figure_lines(page, found, every_choice=every_choice, note=note)),
                width=width,
            )
            for (page, found), note in zip(pairs, notes, strict=True)
        ]
        return "\n\n".join(texts) + "\n"
    documents = [figures_document(page, found) for page, found in pairs]
    if format == "json":
        return json_text(documents[0] if len(documents) == 1 else documents)
    header = ("scenario", "equipment", "warranty", "financing", "figure", "value")
    rows = [(doc["scenario"], *row) for doc in documents for row in figure_rows(doc)]
    return csv_text(header, rows)


def starter_note(path: Path, scenario: Scenario) -> str:
    """A warning that numbers of the starter file are still in use; empty where none is."""
    said = starter_sentence(scenario, text=_text(path))
    return f"But {said}: planner check names them." if said else ""


def checked(path: Path, scenario: Scenario) -> str:
    """What ``planner check`` prints of a scenario that can be used."""
    return folded(check_lines(path, scenario), width=text_width())


def check_lines(path: Path, scenario: Scenario) -> Iterator[str]:
    """A scenario that can be used: what is the starter's, doubtful, left out or a default."""
    given = [estimate for estimate in inputs(scenario) if estimate.basis != "default"]
    yield f"{path.name}: can be used: {len(given)} inputs, {len(scenario.prints)} test prints"
    yield from _starter_lines(scenario, _text(path))
    for title, lines in (
        ("doubtful", every_doubt(scenario)),
        ("costs left out", costs_left_out(scenario)),
        ("defaults in use", _by_table(defaults_in_words(scenario))),
    ):
        if lines:
            yield f"  {title}:"
            yield from (f"    {line}" for line in lines)
    yield f"Next: planner figures {path}"


def _starter_lines(scenario: Scenario, text: str) -> Iterator[str]:
    """What the starter file held, as a question, and how to answer it."""
    sentence = starter_sentence(scenario, text=text)
    if not sentence:
        return
    yield f"  {sentence}; are these true of this shop?"
    yield from (f"    {line}" for line in _by_table(starter_values_left(scenario, text=text)))
    yield "    Change what is not. Behind what is, say where it is from (# bill of May)."


def _by_table(lines: Sequence[str]) -> tuple[str, ...]:
    """Lines that begin with a key, those of one table together in one line."""
    tables: dict[str, list[str]] = {}
    for line in lines:
        table, key = _split(line)
        tables.setdefault(table, []).append(key)
    return tuple(f"{table}: {'; '.join(keys)}".removeprefix(": ") for table, keys in tables.items())


def _split(line: str) -> tuple[str, str]:
    """Table and last key of a line; names in quotes may hold dots and colons."""
    found = re.match(rf"((?:{KEY_PART}\.)*)({KEY_PART}(?:\[\d+\])*.*)", line)
    assert found
    return found.group(1).rstrip("."), found.group(2).replace(": ", " ", 1)


def _text(path: Path) -> str:
    """The text of a scenario file; empty where it is no longer there."""
    return read_text(path, largest=LARGEST_SCENARIO) if path.is_file() else ""


@contextmanager
def progress_shown(title: str) -> Iterator[Callable[[object], None]]:
    """A display of notebooks done on a terminal, one plain line each elsewhere."""
    if not sys.stderr.isatty():
        yield lambda outcome: print(f"{title}: {outcome.name} done", file=sys.stderr)  # type: ignore[attr-defined]
        return
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    columns = (SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(f"{title}: running the notebooks", total=None)
        yield lambda outcome: bar.update(task, description=f"{title}: {outcome.name} done")  # type: ignore[attr-defined]
