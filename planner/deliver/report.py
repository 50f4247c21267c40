"""What the commands print: a page that can be read aloud, JSON or CSV."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from planner.decide.answer import AnswerPage
from planner.decide.risk.answer import Risk
from planner.decide.sensitivity import defaults_that_matter
from planner.deliver.document import figure_rows, figures_document
from planner.deliver.figures_page import figure_lines
from planner.deliver.files import csv_text, json_text
from planner.deliver.terminal import folded, text_width, with_minus
from planner.scenario.key_paths import KEY_PART
from planner.scenario.load import LARGEST_SCENARIO
from planner.scenario.notices import (
    costs_left_out,
    defaults_in_words,
    is_sourced,
    prices_and_rates,
)
from planner.scenario.schema import Scenario
from planner.scenario.starter import starter_sentence, starter_values_left, still_asked
from planner.scenario.text_file import read_text
from planner.scenario.tree import inputs
from planner.show.words import numbers_of
from planner.show.words.named import input_words
from planner.usage.print_doubts import every_doubt

MOST_NAMED: Final = 5  # inputs of a kind that a check names


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


def checked(path: Path, scenario: Scenario, *, every_default: bool = False) -> str:
    """What ``planner check`` prints of a scenario that can be used."""
    lines = check_lines(path, scenario, every_default=every_default)
    return folded(lines, width=text_width())


def check_lines(path: Path, scenario: Scenario, *, every_default: bool) -> Iterator[str]:
    """A scenario that can be used: what is the starter's, doubtful, unsaid, left out, a default."""
    given = [estimate for estimate in inputs(scenario) if estimate.basis != "default"]
    text = _text(path)
    left = starter_values_left(scenario, text=text)
    yield f"{path.name}: can be used: {len(given)} numbers, {len(scenario.prints)} test prints"
    yield from _starter_lines(scenario, left, text)
    yield from _titled("doubtful", every_doubt(scenario))
    yield from _unsourced_lines(scenario, left, text)
    yield from _titled("costs left out", costs_left_out(scenario))
    yield from _default_lines(scenario, every_default=every_default)
    yield f"Next: planner figures {path}"


def _titled(title: str, lines: Sequence[str]) -> Iterator[str]:
    if lines:
        yield f"  {title}:"
        yield from (f"    {line}" for line in lines)


def _starter_lines(scenario: Scenario, left: Sequence[str], text: str) -> Iterator[str]:
    """What the starter file held, as a question, and how to answer it."""
    if not left:
        return
    yield f"  {starter_sentence(scenario, text=text)}; are these true of this shop?"
    yield from (f"    {line}" for line in _by_table(left))
    yield "    Change what is not. Behind what is, take the ? away or write where it is from."


def _unsourced_lines(scenario: Scenario, left: Sequence[str], text: str) -> Iterator[str]:
    """The shop's own numbers that do not say where they are from, the first of each by name."""
    asked = [key for key in still_asked(scenario, text=text) if key not in left]
    if asked:
        yield f"  own numbers still marked #?: {len(asked)}"
        yield f"    {_first_named(asked)}"
        yield "    Where one is from what its mark says, take the ? away."
    own = [one for one in prices_and_rates(scenario) if one.key not in left]
    bare = [one.key for one in own if not is_sourced(one) and one.key not in asked]
    if bare:
        yield f"  without a source: {len(bare)} of {len(own)} prices and rates, which are guesses:"
        yield f"    {_first_named(bare)}"
        yield "    Behind each, write where it is from, such as # bill of May."


def _first_named(keys: Sequence[str]) -> str:
    """The first inputs by name, and how many more there are."""
    rest = [f"{len(keys) - MOST_NAMED} more"] if len(keys) > MOST_NAMED else []
    return "; ".join([*map(input_words, keys[:MOST_NAMED]), *rest])


def _default_lines(scenario: Scenario, *, every_default: bool) -> Iterator[str]:
    """How many defaults are in use, and which of them move the answer most; or every one."""
    lines = defaults_in_words(scenario)
    how = "" if every_default else "; planner check --defaults lists them"
    yield f"  defaults in use: {len(lines)} keys hold their usual value{how}"
    if every_default:
        yield from (f"    {line}" for line in _by_table(lines))
    numbers = numbers_of(scenario)
    named = [
        f"{input_words(one.estimate.key)} ({one.estimate.written}) by {numbers.money(one.swing)}"
        for one in defaults_that_matter(scenario)[:MOST_NAMED]
    ]
    if named:
        yield f"    A fifth less or more of these moves the answer most: {'; '.join(named)}."


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
