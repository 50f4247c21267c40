"""Parameters checked against the notebooks before any of them runs."""

import ast
import math
from collections.abc import Iterator, Mapping
from typing import Any

from nbformat import NotebookNode

from planner.deliver.errors import ParameterError


def check_parameters(
    notebooks: Mapping[str, NotebookNode], parameters: Mapping[str, object]
) -> None:
    """Raise ParameterError with every fault unless each notebook takes exactly these parameters.

    A notebook names its parameters in one cell tagged `parameters`, as plain assignments of
    literals. A value must be of a type that JSON has, so that it comes through unchanged.
    """
    faults = [f"{place}: {must}" for place, must in _unlike_json(parameters, "")]
    for name, notebook in notebooks.items():
        try:
            declared = declared_parameters(notebook)
        except ParameterError as fault:
            faults += [f"{name}: {line}" for line in fault.faults]
            continue
        for unknown in sorted(set(parameters) - set(declared)):
            known = ", ".join(declared)
            faults.append(f"{name}: parameter {unknown}: must be one of {known} (got {unknown!r})")
        for missing in sorted(set(declared) - set(parameters)):
            faults.append(f"{name}: parameter {missing}: must be given (got nothing)")
    if faults:
        raise ParameterError(faults)


def declared_parameters(notebook: NotebookNode) -> dict[str, Any]:
    """Name and default of each parameter, in the order of the notebook's own cell.

    Raises ParameterError if there is not exactly one such cell, or it holds anything but plain
    assignments of literals.
    """
    cells = [cell for cell in notebook.cells if "parameters" in cell.metadata.get("tags", [])]
    if len(cells) != 1:
        raise ParameterError([f"cells tagged parameters: must be one (got {len(cells)})"])
    try:
        return dict(_assignment(statement) for statement in ast.parse(cells[0].source).body)
    except (SyntaxError, ValueError) as error:
        must = "must hold only assignments of literals to names"
        raise ParameterError([f"parameters cell: {must} ({error})"]) from error


def _assignment(statement: ast.stmt) -> tuple[str, Any]:
    match statement:
        case ast.Assign(targets=[ast.Name(id=name)], value=value):
            return name, ast.literal_eval(value)
        case ast.AnnAssign(target=ast.Name(id=name), value=ast.expr() as value):
            return name, ast.literal_eval(value)
    raise ValueError(f"line {statement.lineno}")


def _unlike_json(value: object, place: str) -> Iterator[tuple[str, str]]:
    """Each place in a value that JSON could not carry, with what it must be.

    Types are compared exactly: a NumPy number is a float by inheritance, but is written unlike one.
    """
    if isinstance(value, Mapping):
        for key, item in value.items():
            name = f"{place}[{key!r}]" if place else f"parameter {key}"
            if type(key) is not str:
                yield name, f"must have text as its key (got {type(key).__name__})"
            yield from _unlike_json(item, name)
    elif type(value) is list:
        for index, item in enumerate(value):
            yield from _unlike_json(item, f"{place}[{index}]")
    elif type(value) not in (str, int, float, bool, type(None)):
        yield place, f"must be text, number, true, false, null, list or table (got {value!r})"
    elif type(value) is float and not math.isfinite(value):
        yield place, f"must be finite (got {value})"
