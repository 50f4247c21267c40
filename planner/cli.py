"""The command line: parse, call, print."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from planner.command_line import (
    EXIT_CODES,
    FAILED,
    WRONG,
    Commands,
    examples,
    scenario_argument,
    speak_utf8,
)

app = typer.Typer(
    name="planner",
    cls=Commands,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Plan the purchase of a direct-to-film transfer printer and its powder dryer: what a "
    "finished piece costs, when the machine has paid for itself, and how to pay for it.",
    epilog=examples(
        "planner new my-shop.toml       a file to fill in",
        "planner check my-shop.toml     what is wrong, doubtful or left out in it",
        "planner figures my-shop.toml   the answer, here in the terminal",
        "planner run my-shop.toml       the answer as pages, charts and tables",
    )
    + f"\n\n{EXIT_CODES}",
)


class Format(StrEnum):
    """How figures are printed."""

    TEXT = "text"
    JSON = "json"
    CSV = "csv"


ScenarioFile = Annotated[Path, scenario_argument("SCENARIO", "A scenario file (TOML).")]
ScenarioFiles = Annotated[
    list[Path], scenario_argument("SCENARIO…", "One scenario file or several (TOML).")
]
Set = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="KEY=VALUE",
        help="Change an input for this time, by its name in the file: --set 'shop.wage=21 "
        "USD/hour', --set 'products.\"Full-front tee\".planned=80 piece/week'. May be given more "
        "than once.",
    ),
]
Draws = Annotated[
    int,
    typer.Option(
        min=0, max=1_048_576, metavar="N", help="Draw so many cases from the ranges; 0: none."
    ),
]
FormatOption = Annotated[
    Format, typer.Option(help="As text to read, or as json or csv for other programs.")
]
Seed = Annotated[
    int,
    typer.Option(
        min=0,
        max=2**32 - 1,  # a larger one would share random numbers with smaller ones
        metavar="N",
        help="Which cases are drawn; the same seed repeats.",
    ),
]


@app.command(
    epilog=examples("planner new my-shop.toml", "planner new my-shop.toml --full"),
)
def new(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="The scenario file to write, my-shop.toml.")
    ],
    full: Annotated[
        bool, typer.Option("--full", help="Write every key, with its default.")
    ] = False,
) -> None:
    """Write a scenario to fill in, and its sheet of test prints.

    Each line says where a shop finds the number. A file that is there is never overwritten.
    """
    from planner.deliver.starting import write_starter

    with _messages():
        written = list(write_starter(file, full=full))
    print("\n".join(f"written: {path}" for path in written))
    print(f"Fill it in with any text editor, then: planner check {written[0]}")


@app.command(
    epilog=examples(
        "planner check my-shop.toml --defaults", "planner check shop-a.toml shop-b.toml"
    ),
)
def check(
    scenario: ScenarioFiles,
    defaults: Annotated[
        bool, typer.Option("--defaults", help="List every default in use, not their number alone.")
    ] = False,
) -> None:
    """Say what is wrong, doubtful, left out or without a source in a scenario.

    Each fault is one line, file:line: key: must be … (got …), and the exit code is 2. Warnings of
    unusual values name the usual range and its basis; they stop nothing.
    """
    from planner.deliver.report import checked
    from planner.scenario.faults import ScenarioError
    from planner.scenario.load import load

    has_faults = False
    for path in scenario:
        try:
            print(checked(path, load(path), every_default=defaults))
        except ScenarioError as error:
            has_faults = True
            print(error, file=sys.stderr)
    if has_faults:
        raise typer.Exit(WRONG)


@app.command(
    epilog=examples(
        "planner figures my-shop.toml",
        "planner figures my-shop.toml --set ramp.months='18 months'",
        "planner figures my-shop.toml --draws 4096",
        "planner figures my-shop.toml --format json > my-shop.json",
    ),
)
def figures(
    scenario: ScenarioFiles,
    changes: Set = None,
    format: FormatOption = Format.TEXT,
    all: Annotated[
        bool, typer.Option("--all", help="Every choice, with every machine's ways to pay.")
    ] = False,
    draws: Draws = 0,
    seed: Seed = 0,
) -> None:
    """Work out the answer and print it; write no files.

    With --draws the chances are worked out as well, from so many cases drawn from the ranges.
    """
    from planner.decide.answer import open_answer
    from planner.deliver.report import printed, risks_of, starter_note

    with _messages():
        pages = [open_answer(path, changes=_changes(changes)) for path in scenario]
        risks = risks_of(pages, draws=draws, seed=seed)
        notes = [
            starter_note(path, page.scenario) for path, page in zip(scenario, pages, strict=True)
        ]
        text = printed(pages, risks, notes=notes, format=format.value, every_choice=all)
        print(text, end="")


@app.command(
    epilog=examples(
        'planner job my-shop.toml --size "11 in x 13 in" --pieces 16 --garment 3.40',
        'planner job my-shop.toml --product "Club shirt, front" --pieces 40 --price 500',
        "planner job my-shop.toml --prices",
    ),
)
def job(
    scenario: ScenarioFile,
    size: Annotated[
        list[str] | None,
        typer.Option(
            metavar="SIZE", help='A print on each piece: "11 in x 13 in"; once for each place.'
        ),
    ] = None,
    pieces: Annotated[
        str | None, typer.Option(metavar="N", help="How many pieces, such as 16.")
    ] = None,
    product: Annotated[
        str | None, typer.Option(metavar="NAME", help="A product of the scenario, by its name.")
    ] = None,
    design: Annotated[
        str | None, typer.Option(metavar="NAME", help="The test print whose own rates hold.")
    ] = None,
    artwork: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="The picture (PNG) that its ink is told from."),
    ] = None,
    garment: Annotated[
        str | None, typer.Option(metavar="MONEY", help="What one garment costs, such as 3.40.")
    ] = None,
    supplied: Annotated[
        bool, typer.Option("--supplied", help="The customer brings the garments.")
    ] = False,
    loose: Annotated[bool, typer.Option("--loose", help="Sold unpressed.")] = False,
    filled: Annotated[
        str | None, typer.Option(metavar="SHARE", help='Of the size, what holds pictures: "75 %".')
    ] = None,
    rush: Annotated[
        bool, typer.Option("--rush", help="In a hurry: with the surcharge of selling.rush.")
    ] = False,
    new_designs: Annotated[
        str | None, typer.Option(metavar="N", help="Designs still to be drawn; 1 if left out.")
    ] = None,
    price: Annotated[
        str | None,
        typer.Option(metavar="MONEY", help="What is offered for the whole order, such as 250."),
    ] = None,
    margin: Annotated[
        str | None, typer.Option(metavar="SHARE", help='What to keep of the price: "45 %".')
    ] = None,
    order: Annotated[
        str | None, typer.Option(metavar="NAME", help="Only this order of the scenario.")
    ] = None,
    prices: Annotated[
        bool, typer.Option("--prices", help="The price list, by size and quantity, instead.")
    ] = False,
    changes: Set = None,
    format: FormatOption = Format.TEXT,
) -> None:
    """Cost one order and price it.

    The order is the one described by the options, or each that the scenario holds.
    """
    from planner.deliver.job_report import printed_order

    options = {
        "--size": size,
        "--pieces": pieces,
        "--product": product,
        "--design": design,
        "--artwork": artwork,
        "--garment": garment,
        "--supplied": supplied,
        "--loose": loose,
        "--filled": filled,
        "--rush": rush,
        "--new-designs": new_designs,
        "--price": price,
        "--margin": margin,
        "--order": order,
        "--prices": prices,
    }
    given = {name: value for name, value in options.items() if value not in (None, False, [])}
    with _messages():
        text = printed_order(scenario, given, changes=_changes(changes), format=format.value)
        print(text, end="")


@app.command(
    epilog=examples(
        "planner run",
        "planner run my-shop.toml",
        "planner run my-shop.toml --to results --only payback --draws 16384",
    ),
)
def run(
    scenario: Annotated[
        list[Path] | None,
        scenario_argument("[SCENARIO…]", "Scenario files; the shipped example if none."),
    ] = None,
    to: Annotated[
        Path | None,
        typer.Option("--to", metavar="DIR", help="Folder for the results; else plans/<scenario>."),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            "--only",
            metavar="NOTEBOOK",
            help="Run only this notebook, such as payback. May be given more than once.",
        ),
    ] = None,
    changes: Set = None,
    draws: Draws = 4096,
    seed: Seed = 0,
) -> None:
    """Write the answer as pages, charts, tables and figures.

    Results go to plans/<scenario>/ unless --to says otherwise.
    """
    from planner.deliver.places import example_scenario
    from planner.deliver.report import progress_shown
    from planner.deliver.results import deliver

    failed = []
    with _messages():
        for path in scenario or [example_scenario()]:
            target = _target(path, to, many=len(scenario or []) > 1)
            with progress_shown(path.stem) as progress:
                result = deliver(
                    scenario=path,
                    output_dir=target,
                    changes=_changes(changes),
                    draws=draws,
                    seed=seed,
                    only=only or (),
                    progress=progress,
                )
            print(f"{path.stem}: open {target / 'index.html'}")
            if result.failed:
                failed.append(result.message)
    if failed:
        print("\n".join(failed), file=sys.stderr)
        raise typer.Exit(FAILED)


@app.command(
    epilog=examples(
        "planner lab my-shop.toml",
        "planner lab my-shop.toml --page",
        "planner lab my-shop.toml --to my-notebooks --no-open",
    ),
)
def lab(
    scenario: Annotated[
        Path | None, scenario_argument("[SCENARIO]", "The shipped example if none.")
    ] = None,
    to: Annotated[
        Path | None, typer.Option("--to", metavar="DIR", help="Folder for the notebooks.")
    ] = None,
    open_it: Annotated[
        bool, typer.Option("--open/--no-open", help="Open JupyterLab, or only copy.")
    ] = True,
    page: Annotated[
        bool, typer.Option("--page", help="Serve the panel as a page without code instead.")
    ] = False,
) -> None:
    """Open JupyterLab on a copy of the notebooks set to a scenario, the panel first.

    The folder is yours: notebooks that are already there are left as they are.
    """
    from planner.deliver.lab import open_lab, open_page, prepare_lab
    from planner.deliver.places import example_scenario

    with _messages():
        path = scenario or example_scenario()
        folder = to or Path("plans") / path.stem / "lab"
        added = prepare_lab(path, folder)
        print(f"{folder}: {len(added)} files added")
        if open_it:
            raise typer.Exit(open_page(folder) if page else open_lab(folder))


def _target(scenario: Path, to: Path | None, *, many: bool) -> Path:
    from planner.deliver.files import safe_name

    if to is None:
        return Path("plans") / safe_name(scenario.stem)
    return to / safe_name(scenario.stem) if many else to


def _changes(given: list[str] | None) -> dict[str, object]:
    """``KEY=VALUE`` pairs; the first = outside quotes parts them."""
    from planner.scenario.document import parse_changes

    return parse_changes(given or [])


@contextmanager
def _messages() -> Iterator[None]:
    """Errors of ours are printed and end the command; they never show a traceback."""
    from planner.scenario.faults import PlannerError, ScenarioError

    try:
        yield
    except ScenarioError as error:
        print(error, file=sys.stderr)
        raise typer.Exit(WRONG) from None
    except PlannerError as error:
        print(error, file=sys.stderr)
        raise typer.Exit(FAILED) from None
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        print(f"{where}{error.strerror or error}", file=sys.stderr)
        raise typer.Exit(FAILED) from None


def main() -> None:
    """Entry point of the ``planner`` command; what it prints does not depend on the locale."""
    speak_utf8()
    app()
