"""What the commands print: a page that can be read aloud, JSON or CSV."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from planner.decide.answer import Answered, AnswerPage
from planner.decide.risk.answer import Risk
from planner.deliver.document import figure_rows, figures_document
from planner.deliver.files import csv_text, json_text
from planner.scenario.notices import costs_left_out, defaults_in_words
from planner.scenario.schema import Scenario
from planner.scenario.tree import inputs
from planner.show.numbers import Numbers
from planner.show.words import (
    break_even_sentences,
    cash_sentence,
    chance_sentences,
    condition_words,
    every_hour_sentence,
    explains_sentences,
    hours_sentence,
    influence_sentences,
    make_or_buy_sentence,
    numbers_of,
    opening,
    payback_sentences,
    range_sentences,
    risk_sentences,
    tax_words,
)
from planner.usage.print_doubts import every_doubt

MOST_CHOICES: Final = 6
SPEAKING_OF: Final = (
    "(the machine worth most against the other way, paid for in the way that meets most "
    "conditions; of equals, the first in the file)"
)


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
    format: str,
    every_choice: bool,
) -> str:
    """The figures of scenarios as text, JSON (a list where there are several) or CSV."""
    pairs = list(zip(pages, risks, strict=True))
    if format == "text":
        texts = (
            "\n".join(figure_lines(page, found, every_choice=every_choice)) for page, found in pairs
        )
        return "\n\n".join(texts) + "\n"
    documents = [figures_document(page, found) for page, found in pairs]
    if format == "json":
        return json_text(documents[0] if len(documents) == 1 else documents)
    header = ("scenario", "equipment", "warranty", "financing", "figure", "value")
    rows = [(doc["scenario"], *row) for doc in documents for row in figure_rows(doc)]
    return csv_text(header, rows)


def figure_lines(
    page: AnswerPage, found: Risk | None = None, *, every_choice: bool
) -> Iterator[str]:
    """The answer in words: the first sentence, what it hangs on, the choices, the conditions."""
    numbers = numbers_of(page.scenario)
    yield page.scenario.title
    yield ""
    yield from opening(page)
    yield ""
    yield f"Speaking of: {page.best.choice.label}"
    yield SPEAKING_OF
    yield from payback_sentences(page, page.best)
    yield every_hour_sentence(page, page.best)
    yield from break_even_sentences(page, page.best)
    yield make_or_buy_sentence(page, page.best)
    yield cash_sentence(page, page.best)
    yield hours_sentence(page)
    yield ""
    yield from influence_sentences(page)
    yield ""
    yield from _print_lines(page, numbers)
    yield ""
    yield from _choice_lines(page, numbers, every_choice)
    if found is not None:
        yield ""
        yield from risk_sentences(page, found)
        yield from range_sentences(page, found)
        yield from chance_sentences(page, found)
        yield from explains_sentences(page, found)
    yield from _condition_lines(page, found, numbers)
    yield ""
    yield from _notice_lines(page.scenario)


def _condition_lines(page: AnswerPage, found: Risk | None, numbers: Numbers) -> Iterator[str]:
    """The conditions of the choice spoken of, with the chance of payback where it was drawn."""
    drawn = found.best.conditions if found is not None and found.best is not None else None
    met = page.best.conditions if drawn is None else drawn
    if met:
        yield ""
        yield "Conditions:"
        yield from (f"  {condition_words(condition, numbers)}" for condition in met)
    if drawn is None and page.scenario.conditions.chance_of_payback is not None:
        yield "  not judged: the chance of payback; --draws 4096 works it out"


def _print_lines(page: AnswerPage, numbers: Numbers) -> Iterator[str]:
    yield "A piece costs (material; with labour and overheads; with the equipment; price):"
    for one in page.prints:
        money = [
            numbers.money(value, cents=True)
            for value in (one.material, one.full, one.with_equipment, one.price)
        ]
        yield f"  {one.product}: {'; '.join(money)}"


def _choice_lines(page: AnswerPage, numbers: Numbers, every_choice: bool) -> Iterator[str]:
    shown = page.choices if every_choice else page.choices[:MOST_CHOICES]
    yield f"Choices ({tax_words(page.scenario)}):"
    for answered in shown:
        yield f"  {answered.choice.label}: {_choice_words(answered, numbers)}"
    left = len(page.choices) - len(shown)
    if left:
        yield f"  and {left} more: --all shows them"


def _choice_words(answered: Answered, numbers: Numbers) -> str:
    figures = answered.figures
    paying = figures.paying
    said = []
    if paying.annual_percentage_rate is not None:
        said.append(f"{numbers.money(paying.payment_per_month, cents=True)} a month")
        rate = numbers.percent(paying.annual_percentage_rate, digits=2)
        said.append(f"annual percentage rate {rate} (by the method of Regulation Z)")
    said.append(f"present cost {numbers.money(paying.present_cost)}")
    said.append(f"lowest balance {numbers.money(figures.cash.lowest)}")
    if figures.cover.lowest is not None:
        said.append(f"lowest debt service cover {figures.cover.lowest:.2f}")
    return ", ".join(said)


def _notice_lines(scenario: Scenario) -> Iterator[str]:
    defaults, left_out = defaults_in_words(scenario), costs_left_out(scenario)
    counts = f"{len(defaults)} defaults in use, {len(left_out)} costs left out"
    yield f"{counts}: planner check lists them."
    yield "This is a calculation from the figures given, not advice."


def check_lines(path: Path, scenario: Scenario) -> Iterator[str]:
    """A scenario that can be used: what is doubtful, left out or a default."""
    from planner.scenario.starter import starter_sentence

    given = [estimate for estimate in inputs(scenario) if estimate.basis != "default"]
    yield f"{path.name}: can be used: {len(given)} inputs, {len(scenario.prints)} test prints"
    if sentence := starter_sentence(scenario):
        yield f"  {sentence}"
    for title, lines in (
        ("doubtful", every_doubt(scenario)),
        ("costs left out", costs_left_out(scenario)),
        ("defaults in use", defaults_in_words(scenario)),
    ):
        if lines:
            yield f"  {title}:"
            yield from (f"    {line}" for line in lines)


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
