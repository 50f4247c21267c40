"""An order given on the command line, read like one that stands in the scenario file."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from planner.decide.answer import AnswerPage, open_answer
from planner.decide.pictured import Picture
from planner.scenario.document import as_value
from planner.scenario.faults import Fault, ScenarioError
from planner.scenario.key_paths import quoted_name
from planner.scenario.load import load
from planner.scenario.reading import repr_short
from planner.scenario.schema import Order, TestPrint
from planner.usage.artwork import ArtworkError, read_artwork
from planner.usage.ink_fit import InkFitError, fitted

COMMAND: Final = "planner job"
THIS: Final = "This order"

# Key of a line of an order, by option; what is read as TOML reads it, or as words.
_READ: Final[Mapping[str, tuple[str, Callable[[Any], Any]]]] = {
    "--size": ("prints", lambda sizes: sizes),
    "--pieces": ("pieces", as_value),
    "--product": ("product", str),
    "--design": ("design", str),
    "--garment": ("garment", as_value),
    "--supplied": ("garment_supplied", bool),
    "--loose": ("pressed", lambda loose: not loose),
    "--filled": ("filled", str),
    "--new-designs": ("new_designs", as_value),
}
_OF_ORDER: Final[Mapping[str, tuple[str, Callable[[Any], Any]]]] = {
    "--rush": ("rush", bool),
    "--price": ("price", as_value),
}


def open_with_order(
    scenario: Path, given: Mapping[str, Any], *, changes: Mapping[str, object]
) -> AnswerPage:
    """Answer a scenario whose orders are the one given, one named, or all of its own.

    ``given`` holds options by name as typed, without those left out. What is wrong with them is
    raised as ``ScenarioError``, each fault under the name of its option.
    """
    _check(given)
    if "--order" in given:
        _check_name(load(scenario, changes=changes).orders, given["--order"])
    own, options = _changes(given)
    try:
        page = open_answer(scenario, changes={**changes, **own})
    except ScenarioError as error:
        raise ScenarioError(_as_option(fault, options) for fault in error.faults) from None
    return page


def _check(given: Mapping[str, Any]) -> None:
    """Options that need or exclude each other."""
    is_new = "--size" in given or "--product" in given
    faults = []
    if "--artwork" in given and "--design" in given:
        faults.append(_fault("--artwork", "not stand with --design, whose own rates hold"))
    if "--prices" in given:
        for option in given.keys() - {"--prices", "--margin"}:
            faults.append(_fault(option, "not stand with --prices"))
    elif "--order" in given:
        for option in given.keys() - {"--order", "--margin", *_OF_ORDER}:
            faults.append(_fault(option, "not stand with --order, which has its own"))
    elif is_new and "--pieces" not in given:
        faults.append(_fault("--pieces", "be given", got="nothing"))
    elif not is_new:
        for option in given.keys() - {"--margin"}:
            needs = "--size, --product or --order" if option in _OF_ORDER else "--size or --product"
            faults.append(_fault(option, f"stand with {needs}"))
    if faults:
        raise ScenarioError(faults)


def _check_name(orders: Sequence[Order], name: str) -> None:
    names = [order.name for order in orders]
    if name.strip() not in names:
        near = difflib.get_close_matches(name.strip(), names, n=1)
        known = ", ".join(repr_short(one) for one in names) or "none"
        hint = f"did you mean {repr_short(near[0])}?" if near else f"there is {known}"
        must = "name an order of the scenario"
        raise ScenarioError((_fault("--order", must, got=repr_short(name), suggestion=hint),))


def _fault(option: str, must: str, *, got: str = "", suggestion: str = "") -> Fault:
    return Fault(where=COMMAND, key=option, must=must, got=got, suggestion=suggestion)


def _changes(given: Mapping[str, Any]) -> tuple[dict[str, object], dict[str, str]]:
    """Changes to the scenario, and the option behind each key that they set."""
    changes: dict[str, object] = {}
    options: dict[str, str] = {}
    if "--margin" in given:
        changes["selling.margin"] = given["--margin"]
        options["selling.margin"] = "--margin"
    order = {key: read(given[o]) for o, (key, read) in _OF_ORDER.items() if o in given}
    name = given["--order"].strip() if "--order" in given else THIS
    base = f"orders.{quoted_name(name)}"
    options |= {f"{base}.{key}": o for o, (key, _) in _OF_ORDER.items() if o in given}
    if "--order" in given:
        changes |= {f"{base}.{key}": value for key, value in order.items()}
    elif "--size" in given or "--product" in given:
        line = {key: read(given[o]) for o, (key, read) in _READ.items() if o in given}
        if "product" not in line and line.get("pressed", True):
            line.setdefault("garment", 0)
        changes["orders"] = [{"name": THIS, "lines": [line], **order}]
        options |= {f"{base}.lines[0].{key}": o for o, (key, _) in _READ.items() if o in given}
    return changes, options


def picture_of(scenario: Path, prints: Sequence[TestPrint], file: str) -> Picture:
    """The picture of an order, and the fit to the scenario's test prints that name theirs.

    Raises ``ScenarioError`` for a picture that cannot be used and for too few of them.
    """
    try:
        coverage = read_artwork(Path(file))
        return Picture(Path(file).name, coverage, fitted(prints, scenario.parent))
    except (ArtworkError, InkFitError) as error:
        name, _, must = str(error).partition(": must ")
        raise ScenarioError((_fault(f"--artwork: {name}", must),)) from None


def _as_option(fault: Fault, options: Mapping[str, str]) -> Fault:
    """A fault of a key that an option set, under the option's name."""
    for key, option in options.items():
        if fault.key == key or fault.key.startswith(f"{key}["):
            return replace(fault, where=COMMAND, key=option)
    return fault
