"""Everything that ``planner run`` leaves for one scenario."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from pandas import DataFrame

from planner.decide.answer import AnswerPage, open_answer
from planner.decide.ranking import same_machine
from planner.decide.risk.answer import USUAL_DRAWS, Risk, risk
from planner.deliver.claims import claimed
from planner.deliver.document import figure_rows, figures_document
from planner.deliver.errors import InUseError, LinkError, ParameterError
from planner.deliver.files import remove_unfinished, write_csv, write_json
from planner.deliver.html import write_notebook_page
from planner.deliver.index import (
    Front,
    FrontPicture,
    FrontTable,
    Link,
    read_picture,
    write_front,
)
from planner.deliver.places import notebooks_folder
from planner.deliver.suite import Outcome, SuiteResult, run_suite
from planner.deliver.workbook import write_workbook
from planner.scenario.notices import costs_left_out, defaults_in_words
from planner.show.keyed import cost_words, parted, read_out
from planner.show.tables import all_inputs_table, choices_table, comparison_table, returns_table
from planner.show.words import (
    CAUTIONS,
    findings,
    glossary,
    lease_sentences,
    off_middle_sentences,
    opening,
    risk_findings,
    stood_still_sentences,
    tax_words,
)
from planner.usage.print_doubts import every_doubt

QUESTIONS: Final = {
    "print-cost": "What does a print cost to make?",
    "payback": "Does the machine pay for itself, and when?",
    "break-even": "How many prints a week must we sell?",
    "lease-or-loan": "Lease, loan or cash?",
    "risk": "What could go wrong?",
    "lender": "What do we show the lender?",
}
DOCUMENTS: Final = {
    "lender.pdf": "The lender's file (PDF)",
    "plan.xlsx": "The plan as a workbook with live formulas",
    "figures.json": "All figures (JSON)",
}
PICTURES: Final = {
    "cumulative-cash": "payback",
    "cash-flow": "payback",
    "break-even": "break-even",
    "make-or-buy": "break-even",
    "financing-outlay": "lease-or-loan",
    "station-use": "payback",
    "warranty-years": "payback",
    "print-cost": "print-cost",
    "film-layout-1": "print-cost",
    "test-print-rates": "print-cost",
    "what-matters": "risk",
    "payback-range": "risk",
    "chance-by-month": "risk",
    "what-explains": "risk",
}
EARLIER: Final = " (from an earlier run)"


def deliver(
    *,
    scenario: Path,
    output_dir: Path,
    changes: Mapping[str, object],
    draws: int = USUAL_DRAWS,
    seed: int = 0,
    only: Sequence[str] = (),
    jobs: int = 2,
    progress: Callable[[Outcome], None] = lambda outcome: None,
) -> SuiteResult:
    """Run the notebooks on a scenario and write pages, tables, figures and the front page.

    The scenario is read first: one that cannot be used raises ``ScenarioError`` and nothing is
    written; nor is it where ``only`` names what a run makes no page of (``ParameterError``). Each
    file is written whole or not at all; what a failed notebook would have made is
    left as it was. Raises ``InUseError`` where another run writes to the folder.
    """
    page = open_answer(scenario, changes=changes)
    if not set(only) <= set(QUESTIONS):
        known = f"{', '.join(QUESTIONS)}; planner lab opens explore"
        raise ParameterError(
            [f"notebook {name}: must be one of {known}" for name in only if name not in QUESTIONS]
        )
    with _alone_in(output_dir):
        result = run_suite(
            scenario=scenario,
            output_dir=output_dir,
            notebooks=notebooks_folder(),
            parameters={"choice": "", "changes": dict(changes), "draws": draws, "seed": seed},
            only=only or tuple(QUESTIONS),
            jobs=jobs,
            progress=progress,
        )
        made = {outcome.name: outcome.path for outcome in result.outcomes if outcome.error is None}
        for name, path in made.items():
            write_notebook_page(path, output_dir / f"{name}.html", home="index.html")
        found = risk(page, draws=draws, seed=seed) if draws else None
        _write_figures(page, found, output_dir)
        front = _front(page, found, output_dir, made=frozenset(made))
        write_front(front, output_dir / "index.html")
    return result


@contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    """The folder, held against other runs, without what killed ones left; never left empty."""
    folder.mkdir(parents=True, exist_ok=True)
    try:
        with claimed(folder.resolve()) as is_ours:
            if not is_ours:
                raise InUseError(folder)
            for path in folder.iterdir():
                if path.is_symlink() and path.is_dir():
                    raise LinkError(path)
            remove_unfinished(folder)
            yield
    finally:
        if not any(folder.iterdir()):
            folder.rmdir()


def _write_figures(page: AnswerPage, found: Risk | None, output_dir: Path) -> None:
    document = figures_document(page, found)
    write_json(output_dir / "figures.json", document)
    write_workbook(page, page.best, output_dir / "plan.xlsx", found)
    header = ("equipment", "warranty", "financing", "figure", "value")
    write_csv(output_dir / "tables" / "figures.csv", header, list(figure_rows(document)))
    frames = {"inputs": all_inputs_table(page), "choices": choices_table(page, page.choices)}
    for name, frame in frames.items():
        rows = [
            [None if cell is None or cell != cell else cell for cell in row]
            for row in frame.itertuples(index=False, name=None)
        ]
        write_csv(output_dir / "tables" / f"{name}.csv", list(frame.columns), rows)


def _front(
    page: AnswerPage, found: Risk | None, output_dir: Path, *, made: frozenset[str]
) -> Front:
    """The front page; pictures are those of the notebooks made in this run."""
    return Front(
        title=page.scenario.title,
        first_sentence=" ".join(opening(page, found)),
        comparison=_front_table(
            comparison_table(page, page.best), "What the purchase earns, compared in three ways"
        ),
        cautions=(
            *(stood_still_sentences(page, found) if found else ()),
            *(off_middle_sentences(page, found) if found else ()),
            *CAUTIONS,
            *map(read_out, every_doubt(page.scenario)),
        ),
        pages=list(_pages(output_dir, made)),
        pictures=list(_pictures(page, found, output_dir, made)),
        documents=list(_documents(output_dir, made)),
        tables=[
            Link(path.stem.replace("-", " "), f"tables/{path.name}")
            for path in sorted((output_dir / "tables").glob("*.csv"))
        ],
        defaults=list(defaults_in_words(page.scenario)),
        left_out=[_with_key(line) for line in costs_left_out(page.scenario)],
        returns=_front_table(
            returns_table(page, page.best),
            f"Rates of return, before financing and {tax_words(page.scenario)}",
        ),
        contracts=list(lease_sentences(page, same_machine(page.choices, page.best))),
        glossary=list(glossary(page)),
    )


def _with_key(line: str) -> str:
    """A cost left out in words, and behind it the key under which it would be stated."""
    return f"{cost_words(line)} ({parted(line)[0]})"


def _front_table(frame: DataFrame, caption: str) -> FrontTable:
    return FrontTable(caption, list(frame.columns), frame.to_numpy().tolist())


def _pages(output_dir: Path, made: frozenset[str]) -> Iterator[Link]:
    for name, question in QUESTIONS.items():
        if (output_dir / f"{name}.html").exists():
            yield Link(question + ("" if name in made else EARLIER), f"{name}.html")


def _documents(output_dir: Path, made: frozenset[str]) -> Iterator[Link]:
    for name, words in DOCUMENTS.items():
        if (output_dir / name).exists():
            is_earlier = name == "lender.pdf" and "lender" not in made
            yield Link(words + (EARLIER if is_earlier else ""), name)


def _pictures(
    page: AnswerPage, found: Risk | None, output_dir: Path, made: frozenset[str]
) -> Iterator[FrontPicture]:
    drawn = risk_findings(page, found) if found is not None else {}
    for name, heading in (findings(page) | drawn).items():
        if PICTURES[name] in made:
            yield read_picture(output_dir / "charts" / f"{name}.svg", heading=heading)
