"""What every public function says of itself: a sentence, units, errors, in finance its source.

Public is what has no leading underscore in its name, its class or its module. The rules go as far
as a program can judge:

- every public module, class, function and method has a docstring whose first line is a sentence;
- in the rooms of the model, a function that takes or gives floats names each float that it takes
  and at least one unit in [square brackets]; where it lists its parameters, each has its own. Plain
  counts and flags are left out, and so is what a function returns by another name;
- a public class of the model with float fields names at least one unit;
- a function that raises an error of its own says so. The exit of a command is no error;
- a function of ``finance/`` that multiplies, divides or subtracts writes its formula, or what it
  was held against, or stands in ``PLAIN`` with the reason why there is none.

Limits cannot be told from a docstring by a program; readers judge them.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "planner"
MODEL = ("finance", "usage", "shop", "decide")

WORDS_OF_UNITS = (
    "unit", "money", "piece", "roll", "print", "order", "run", "second", "minute", "hour", "day",
    "week", "month", "year", "quarter", "period", "m", "m²", "ft", "pixel", "inch", "L", "mL", "kg",
    "kW", "kWh", "V", "A", "-", "1", "case",
)  # fmt: skip
UNIT = re.compile(
    r"(?:{0})(?:(?:/| a | an )(?:{0}))*".format("|".join(map(re.escape, WORDS_OF_UNITS)))
    + r"(?:, .*|\s(?:of|or|for) .*)?|a month|canonical unit|``unit``|any unit|in its unit"
)
FLOATS = re.compile(r"\b(?:float|Number|Array|NDArray\[np\.float64\])(?![\w.])")
ARITHMETIC = (ast.Mult, ast.Div, ast.Pow, ast.Sub)
SOURCED = re.compile(r"^(?:Notes|References|Examples)$|[=÷×^·−]", re.MULTILINE)

# Functions of finance/ that compute and have no formula or source to name.
PLAIN = {
    "finance/debt.py: DebtFlows.total_paid": "a difference of two sums",
    "finance/depreciation.py: depreciation_by_month": "shares spread evenly over months",
    "finance/depreciation.py: depreciation_rule": "each rule names its own source",
    "finance/depreciation.py: yearly_shares": "each rule names its own source",
    "finance/lease.py: payments_by_month": "counts",
    "finance/loan.py: LoanTerms.repaying_months": "counts",
    "finance/loan.py: loan_flows": "put together from level payments, whose formula stands there",
    "finance/roots.py: sign_changes": "counts",
    "finance/roots.py: sums_to_zero": "sums",
    "finance/tax.py: calendar_month": "counts months",
    "finance/tax.py: income_tax": "a share of a sum; taxes are simplified, as README says",
}


@dataclass(frozen=True)
class Public:
    """A public module, class or function, and what it says of itself."""

    name: str
    room: str
    node: ast.Module | ast.ClassDef | ast.FunctionDef

    @cached_property
    def says(self) -> str:
        """Its docstring; empty where it has none."""
        return ast.get_docstring(self.node) or ""

    @cached_property
    def parameters(self) -> dict[str, str]:
        """Its parameters with their types as written; empty of a class."""
        if not isinstance(self.node, ast.FunctionDef):
            return {}
        given = self.node.args
        return {
            one.arg: ast.unparse(one.annotation)
            for one in (*given.posonlyargs, *given.args, *given.kwonlyargs)
            if one.annotation is not None
        }

    @property
    def floats_taken(self) -> list[str]:
        """Parameters that are floats; functions that take floats are none."""
        return [name for name, written in self.parameters.items() if is_float(written)]

    @property
    def gives_floats(self) -> bool:
        """Whether floats come back."""
        node = self.node
        return (
            isinstance(node, ast.FunctionDef)
            and node.returns is not None
            and is_float(ast.unparse(node.returns))
        )

    @property
    def float_fields(self) -> list[str]:
        """Fields of a class that are floats."""
        if not isinstance(self.node, ast.ClassDef):
            return []
        fields = (item for item in self.node.body if isinstance(item, ast.AnnAssign))
        return [ast.unparse(one.target) for one in fields if is_float(ast.unparse(one.annotation))]

    @property
    def errors(self) -> list[str]:
        """Errors that its own body raises, but for the exit of a command."""
        if not isinstance(self.node, ast.FunctionDef):
            return []
        raised = (one.exc for one in own_body(self.node) if isinstance(one, ast.Raise))
        named = [ast.unparse(one) for one in raised if one is not None]
        return [name for name in named if not name.startswith("typer.Exit")]


def is_float(annotation: str) -> bool:
    """Whether a type as written is a float, an array of floats, or some of these."""
    return "Callable" not in annotation and FLOATS.search(annotation) is not None


def own_body(function: ast.FunctionDef) -> Iterator[ast.AST]:
    """All that stands in a function, but for functions within it."""
    waiting: list[ast.AST] = list(function.body)
    while waiting:
        node = waiting.pop()
        yield node
        if not isinstance(node, ast.FunctionDef | ast.Lambda):
            waiting.extend(ast.iter_child_nodes(node))


def public_within(node: ast.Module | ast.ClassDef, path: str, before: str = "") -> Iterator[Public]:
    """The public classes and functions of a module, methods included."""
    for item in node.body:
        if isinstance(item, ast.ClassDef | ast.FunctionDef) and not item.name.startswith("_"):
            yield Public(f"{path}: {before}{item.name}", path.partition("/")[0], item)
            if isinstance(item, ast.ClassDef):
                yield from public_within(item, path, f"{item.name}.")


def read(source: str, path: str) -> list[Public]:
    """A module and what is public in it."""
    module = ast.parse(source)
    return [Public(f"{path}:", path.partition("/")[0], module), *public_within(module, path)]


def everything() -> list[Public]:
    """All that is public in the package."""
    found = []
    for file in sorted(PACKAGE.rglob("*.py")):
        path = file.relative_to(PACKAGE).as_posix()
        if not re.search(r"(?:^|/)_(?!_init__)", path):
            found += read(file.read_text(encoding="utf-8"), path)
    return found


ALL = everything()
Rule = Callable[[Public], str | None]


def units_in(text: str) -> list[str]:
    """What stands in square brackets and is a unit."""
    parts = re.findall(r"\[([^\[\]]+)\]", text)
    return [part for part in parts if UNIT.fullmatch(part)]


def section(text: str, title: str) -> dict[str, str]:
    """The entries of a section of a docstring by name; empty where there is no such section."""
    found = re.search(rf"^{title}\n-+\n((?:.*\n?)*?)(?=^\w+\n-+$|\Z)", text, re.MULTILINE)
    entries: dict[str, str] = {}
    names: list[str] = []
    for line in found[1].splitlines() if found else ():
        if line and not line.startswith(" "):
            names = [name.strip() for name in line.partition(" : ")[0].split(",")]
        for name in names:
            entries[name] = f"{entries.get(name, '')}\n{line}"
    return entries


def without_sentence(one: Public) -> str | None:
    """Why the first line is no sentence; None where it is one."""
    paragraph = " ".join(one.says.partition("\n\n")[0].split())
    if not paragraph:
        return "no docstring"
    return None if paragraph.endswith((".", ":", "?")) else f"no sentence: {paragraph}"


def without_unit(one: Public) -> str | None:
    """Which float has no unit; None where all have, or there are none."""
    if one.room not in MODEL or not (one.floats_taken or one.gives_floats or one.float_fields):
        return None
    if not units_in(one.says):
        return "no unit"
    if unnamed := [name for name in one.floats_taken if not re.search(rf"\b{name}\b", one.says)]:
        return f"{', '.join(unnamed)} not named"
    entries = section(one.says, "Parameters")
    bare = [name for name in one.floats_taken if name in entries and not units_in(entries[name])]
    if bare:
        return f"{', '.join(bare)} without a unit"
    given = section(one.says, "Returns")
    if one.gives_floats and given and not units_in("".join(given.values())):
        return "what is returned has no unit"
    return None


def without_errors(one: Public) -> str | None:
    """Which errors are not spoken of; None where all are, or there are none."""
    says_so = re.search(r"\braise[sd]?\b", one.says, re.IGNORECASE)
    return None if says_so or not one.errors else ", ".join(one.errors)


def without_source(one: Public) -> str | None:
    """That a formula and its source are missing; None where one stands, or nothing is computed."""
    if one.room != "finance" or not isinstance(one.node, ast.FunctionDef):
        return None
    computes = any(
        isinstance(node, ast.BinOp) and isinstance(node.op, ARITHMETIC)
        for node in own_body(one.node)
    )
    return "no formula and no source" if computes and not SOURCED.search(one.says) else None


def lacking(rule: Rule, among: list[Public]) -> dict[str, str]:
    """What breaks a rule, by name, and how."""
    judged = ((one.name, rule(one)) for one in among)
    return {name: why for name, why in judged if why is not None}


def test_all_that_is_public_is_found():
    names = {one.name for one in ALL}
    assert "finance/series.py: payback" in names
    assert "decide/cover.py: Measured.cover" in names
    assert "shop/work.py:" in names
    assert not [name for name in names if "._" in name or " _" in name]
    assert len(names) > 1000


@pytest.mark.parametrize("rule", [without_sentence, without_unit, without_errors])
def test_nothing_public_breaks_the_rule(rule):
    assert lacking(rule, ALL) == {}


def test_finance_names_its_formulas_and_sources():
    assert lacking(without_source, ALL).keys() == PLAIN.keys()


BROKEN = {
    "def f() -> None: ...": (without_sentence, "no docstring"),
    'def f() -> None:\n    """Does it"""': (without_sentence, "no sentence: Does it"),
    'def f(*, a: float) -> None:\n    """Takes ``a``."""': (without_unit, "no unit"),
    'def f(*, a: float) -> None:\n    """Takes ``a`` as in x[0]."""': (without_unit, "no unit"),
    'def f(*, a: float) -> float:\n    """Gives [money]."""': (without_unit, "a not named"),
    'class C:\n    """Holds."""\n    a: float': (without_unit, "no unit"),
    'def f(*, a: float) -> float:\n    """Gives.\n\n    Parameters\n    ----------\n'
    '    a : float\n        What.\n    b : int\n        How many [-].\n    """': (
        without_unit,
        "a without a unit",
    ),
    'def f() -> float:\n    """Gives [-].\n\n    Returns\n    -------\n    float\n        What.\n'
    '    """': (without_unit, "what is returned has no unit"),
    'def f() -> None:\n    """Does."""\n    if f:\n        raise ValueError': (
        without_errors,
        "ValueError",
    ),
    'def f(a: int) -> int:\n    """Does."""\n    return 2 * a': (
        without_source,
        "no formula and no source",
    ),
}


@pytest.mark.parametrize("source", BROKEN)
def test_what_breaks_a_rule_is_found(source):
    rule, why = BROKEN[source]
    *_, one = read(source, "finance/x.py")
    assert rule(one) == why


@pytest.mark.parametrize(
    ("text", "units"),
    [
        ("Flows (draws, months + 1) [money].", ["money"]),
        ("Area [m²] and cost [money/m², month-1 prices].", ["m²", "money/m², month-1 prices"]),
        ("Drawn [0, 1] from x[i] or [see below].", []),
        ("As for `f` [1/period], [-], [hour a month].", ["1/period", "-", "hour a month"]),
    ],
)
def test_units_are_told_from_other_brackets(text, units):
    assert units_in(text) == units
