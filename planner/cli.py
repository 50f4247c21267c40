"""The command line: parse, call, print."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(
    name="planner",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="Plan the purchase of a direct-to-film transfer printer and its powder dryer: what a "
    "finished piece costs, when the machine has paid for itself, and how to pay for it.",
    epilog="Start with: planner new my-shop.toml; planner check my-shop.toml; "
    "planner figures my-shop.toml; planner run my-shop.toml",
)


class Format(StrEnum):
    """How figures are printed."""

    TEXT = "text"
    JSON = "json"
    CSV = "csv"


ScenarioFile = Annotated[Path, typer.Argument(metavar="SCENARIO", help="A scenario file (TOML).")]
ScenarioFiles = Annotated[
    list[Path], typer.Argument(metavar="SCENARIO…", help="Scenario files (TOML).")
]
Set = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="KEY=VALUE",
        help="Change an input, by name: --set 'products.\"Full-front tee\".planned=80 piece/week'. "
        "May be given more than once.",
    ),
]


Draws = Annotated[
    int,
    typer.Option(min=0, max=1_048_576, help="How many cases to draw from the ranges; 0: none."),
]
Seed = Annotated[int, typer.Option(min=0, help="Which cases are drawn; the same seed repeats.")]


@app.command()
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The scenario file to write.")],
    full: Annotated[
        bool, typer.Option("--full", help="Write every key, with its default.")
    ] = False,
) -> None:
    """Write a commented starter scenario and its sheet of test prints; never overwrites.

    Example: planner new my-shop.toml
    """
    from planner.deliver.starting import write_starter

    with _messages():
        for path in write_starter(file, full=full):
            print(f"written: {path}")
    print(f"Fill it in, then: planner check {file}")


@app.command()
def check(scenario: ScenarioFiles) -> None:
    """Read scenarios and say what is wrong, doubtful, left out or still a default.

    Each fault is one line, file:line: key: must be … (got …). Exit code 2 if there is any.

    Example: planner check my-shop.toml
    """
    from planner.deliver.report import check_lines
    from planner.scenario.faults import ScenarioError
    from planner.scenario.load import load

    has_faults = False
    for path in scenario:
        try:
            print("\n".join(check_lines(path, load(path))))
        except ScenarioError as error:
            has_faults = True
            print(error, file=sys.stderr)
    if has_faults:
        raise typer.Exit(2)


@app.command()
def figures(
    scenario: ScenarioFiles,
    changes: Set = None,
    format: Annotated[Format, typer.Option(help="How to print.")] = Format.TEXT,
    all: Annotated[bool, typer.Option("--all", help="Every choice, not only six.")] = False,
    draws: Draws = 0,
    seed: Seed = 0,
) -> None:
    """Work out the figures and print them; writes no files.

    With --draws the chances are worked out as well, from so many cases drawn from the ranges.

    Example: planner figures my-shop.toml --draws 4096
    """
    from planner.decide.answer import open_answer
    from planner.deliver.report import printed, risks_of

    with _messages():
        pages = [open_answer(path, changes=_changes(changes)) for path in scenario]
        risks = risks_of(pages, draws=draws, seed=seed)
        print(printed(pages, risks, format=format.value, every_choice=all), end="")


@app.command()
def job(
    scenario: ScenarioFile,
    size: Annotated[
        list[str] | None,
        typer.Option(help='A print on each piece: "11 in x 13 in"; once for each place.'),
    ] = None,
    pieces: Annotated[str | None, typer.Option(help="How many pieces.")] = None,
    product: Annotated[
        str | None, typer.Option(metavar="NAME", help="A product of the scenario.")
    ] = None,
    design: Annotated[
        str | None, typer.Option(metavar="NAME", help="The test print whose own rates hold.")
    ] = None,
    artwork: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="The picture (PNG) that its ink is told from."),
    ] = None,
    garment: Annotated[
        str | None, typer.Option(metavar="MONEY", help="What one garment costs.")
    ] = None,
    supplied: Annotated[
        bool, typer.Option("--supplied", help="The customer brings the garments.")
    ] = False,
    loose: Annotated[bool, typer.Option("--loose", help="Sold unpressed.")] = False,
    filled: Annotated[
        str | None, typer.Option(metavar="SHARE", help='Of the size, what holds pictures: "75 %".')
    ] = None,
    rush: Annotated[bool, typer.Option("--rush", help="In a hurry.")] = False,
    new_designs: Annotated[
        str | None, typer.Option(metavar="N", help="Designs still to be drawn; 1 if left out.")
    ] = None,
    price: Annotated[
        str | None, typer.Option(metavar="MONEY", help="What is offered for the whole order.")
    ] = None,
    margin: Annotated[
        str | None, typer.Option(metavar="SHARE", help='Of the price: "45 %".')
    ] = None,
    order: Annotated[
        str | None, typer.Option(metavar="NAME", help="Only this order of the scenario.")
    ] = None,
    prices: Annotated[bool, typer.Option("--prices", help="The price list instead.")] = False,
    changes: Set = None,
    format: Annotated[Format, typer.Option(help="How to print.")] = Format.TEXT,
) -> None:
    """Cost one order and price it: the one described, or those that the scenario holds.

    Example: planner job my-shop.toml --size "11 in x 13 in" --pieces 16
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


@app.command()
def run(
    scenario: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[SCENARIO…]", help="Scenario files; the shipped example if none."),
    ] = None,
    to: Annotated[
        Path | None, typer.Option("--to", metavar="DIR", help="Folder for the results.")
    ] = None,
    only: Annotated[
        list[str] | None, typer.Option("--only", metavar="NOTEBOOK", help="Run only this notebook.")
    ] = None,
    changes: Set = None,
    draws: Draws = 4096,
    seed: Seed = 0,
) -> None:
    """Run the notebooks and write pages, charts, tables and figures.

    Results go to plans/<scenario>/ unless --to says otherwise.

    Example: planner run my-shop.toml --to results
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
        raise typer.Exit(1)


@app.command()
def lab(
    scenario: Annotated[
        Path | None, typer.Argument(metavar="[SCENARIO]", help="The shipped example if none.")
    ] = None,
    to: Annotated[
        Path | None, typer.Option("--to", metavar="DIR", help="Folder for the notebooks.")
    ] = None,
    open_it: Annotated[
        bool, typer.Option("--open/--no-open", help="Open JupyterLab, or only copy.")
    ] = True,
) -> None:
    """Open JupyterLab on a copy of the notebooks set to a scenario.

    The folder is yours: notebooks that are already there are left as they are.

    Example: planner lab my-shop.toml
    """
    from planner.deliver.lab import open_lab, prepare_lab
    from planner.deliver.places import example_scenario
    from planner.scenario.load import load

    with _messages():
        path = scenario or example_scenario()
        load(path)
        folder = to or Path("plans") / path.stem / "lab"
        added = prepare_lab(path, folder)
        print(f"{folder}: {len(added)} files added")
    if open_it:
        raise typer.Exit(open_lab(folder))


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
        raise typer.Exit(2) from None
    except PlannerError as error:
        print(error, file=sys.stderr)
        raise typer.Exit(1) from None
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        print(f"{where}{error.strerror or error}", file=sys.stderr)
        raise typer.Exit(1) from None


def main() -> None:
    """Entry point of the ``planner`` command."""
    app()
