"""Reading the sheet of measured test prints: units stand in the header."""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from pydantic import ValidationError

from planner.scenario.faults import Fault
from planner.scenario.reading import repr_short
from planner.scenario.schema import TestPrint
from planner.scenario.units import UnitError, factor, readable

_TARGETS: Final = {
    "width": "metre",
    "height": "metre",
    "area": "metre**2",
    "white": "litre",
    "colour": "litre",
    "before powder": "kilogram",
    "after powder": "kilogram",
    "film fed": "metre",
}
_NEEDED: Final = ("design", "copies", "white", "colour", "before powder", "after powder")
_COLUMNS: Final = ("design", "copies", *_TARGETS)
_FIELD: Final = {"before powder": "before_powder", "after powder": "after_powder"}
MOST_ROWS: Final = 100_000


@dataclass(frozen=True)
class _Column:
    name: str
    factor: float


def read_test_prints(text: str, *, name: str) -> tuple[tuple[TestPrint, ...], tuple[Fault, ...]]:
    """Test prints from CSV text, and every fault found in it.

    Lengths become metres, ink litres, weights kilograms. A cell that is no number, a column that
    is missing or unknown, a unit of the wrong dimension are faults with their line.
    """
    rows = [
        (number, row)
        for number, row in enumerate(_rows(text), start=1)
        if any(cell.strip() for cell in row)
    ]
    if not rows:
        return (), (Fault(where=f"{name}:1", key="(file)", must="hold a header and a row"),)
    faults: list[Fault] = []
    columns = list(_columns(rows[0][1], f"{name}:{rows[0][0]}", faults))
    if faults:
        return (), tuple(faults)
    if len(rows) == 1:
        faults.append(Fault(where=f"{name}:1", key="(file)", must="hold at least one test print"))
    prints = [
        made
        for number, row in rows[1:MOST_ROWS]
        if (made := _print(row, columns, f"{name}:{number}", faults)) is not None
    ]
    return tuple(prints), tuple(faults)


def _rows(text: str) -> Iterator[list[str]]:
    try:
        yield from csv.reader(io.StringIO(text))
    except csv.Error:
        return


def _columns(header: list[str], where: str, faults: list[Fault]) -> Iterator[_Column]:
    seen = []
    for cell in header:
        found = re.fullmatch(r"\s*([^\[\]]+?)\s*(?:\[\s*([^\[\]]+?)\s*\])?\s*", cell)
        name, unit = (found.group(1).lower(), found.group(2)) if found else (cell, None)
        seen.append(name)
        if name not in _COLUMNS:
            near = difflib.get_close_matches(name, _COLUMNS, n=1)
            hint = f'did you mean "{near[0]}"?' if near else ""
            faults.append(
                Fault(
                    where=where,
                    key=repr_short(cell),
                    must=(f"be one of the columns {', '.join(_COLUMNS)}"),
                    suggestion=hint,
                )
            )
            continue
        yield _Column(name, _column_factor(name, unit, where, faults))
    has_size = "area" in seen or {"width", "height"} <= set(seen)
    missing = [name for name in _NEEDED if name not in seen]
    missing += [] if has_size else ["width and height (or area)"]
    for name in missing:
        faults.append(Fault(where=where, key="(header)", must=f"have the column {name}"))


def _column_factor(name: str, unit: str | None, where: str, faults: list[Fault]) -> float:
    target = _TARGETS.get(name)
    if target is None:
        return 1.0
    wanted = {"kilogram": "g", "litre": "mL"}.get(target, readable(target, ""))
    if unit is None:
        faults.append(Fault(where=where, key=name, must=f'carry a unit, as in "{name} [{wanted}]"'))
        return 1.0
    try:
        return factor(unit, target, "")
    except UnitError as why:
        faults.append(
            Fault(
                where=where,
                key=name,
                must=f'carry a unit like "{wanted}"',
                got=repr_short(unit),
                suggestion=why.suggestion,
            )
        )
        return 1.0


def _print(
    row: list[str], columns: list[_Column], where: str, faults: list[Fault]
) -> TestPrint | None:
    if len(row) != len(columns):
        faults.append(
            Fault(where=where, key="(row)", must=f"have {len(columns)} cells", got=str(len(row)))
        )
        return None
    cells: dict[str, Any] = {}
    before = len(faults)
    for column, cell in zip(columns, row, strict=True):
        if column.name == "design":
            cells["design"] = cell.strip()
        elif cell.strip() or column.name in _NEEDED:
            cells[column.name] = _number(cell, column, where, faults)
    if len(faults) > before:
        return None
    return _typed(cells, where, faults)


def _number(cell: str, column: _Column, where: str, faults: list[Fault]) -> float:
    if not re.fullmatch(r"\s*[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,2})?\s*", cell, re.ASCII):
        hint = "use a point for decimals" if re.fullmatch(r"\s*\d+,\d+\s*", cell) else ""
        faults.append(
            Fault(
                where=where,
                key=column.name,
                must="be a number",
                got=repr_short(cell),
                suggestion=hint,
            )
        )
        return 0.0
    return float(cell) * column.factor


def _typed(cells: Mapping[str, Any], where: str, faults: list[Fault]) -> TestPrint | None:
    from planner.scenario.estimates import Estimate

    copies = cells["copies"]
    table: dict[str, Any] = {"design": cells["design"], "copies": copies}
    sides = [cells.get("width"), cells.get("height")]
    if None not in sides:
        table["area"] = sides[0] * sides[1] * copies
        table["size"] = {
            side: Estimate(likely=value, unit="metre")
            for side, value in zip(("width", "length"), sides, strict=True)
        }
    elif "area" in cells:
        table["area"] = cells["area"]
    else:
        faults.append(Fault(where=where, key="area", must="be given, or width and height"))
        return None
    for name in ("white", "colour", "before powder", "after powder", "film fed"):
        if name in cells:
            table[_FIELD.get(name, name.replace(" ", "_"))] = cells[name]
    limits = {name: value for name, value in table.items() if isinstance(value, float)}
    found = list(_out_of_range(limits, cells, where))
    faults.extend(found)
    if found:
        return None
    try:
        return TestPrint.model_validate(
            {
                name: Estimate(likely=value, unit=_unit(name), basis="measured")
                if isinstance(value, float)
                else value
                for name, value in table.items()
            }
        )
    except ValidationError:
        faults.append(
            Fault(where=where, key="design", must="be words", got=repr_short(cells["design"]))
        )
        return None


def _unit(name: str) -> str:
    return {
        "copies": "",
        "area": "metre**2",
        "white": "litre",
        "colour": "litre",
        "film_fed": "metre",
    }.get(name, "kilogram")


def _out_of_range(
    table: Mapping[str, float], cells: Mapping[str, Any], where: str
) -> Iterator[Fault]:
    for name, value in table.items():
        shown = f"{value:g} {readable(_unit(name), '')}".strip()
        if name in ("area", "copies") and value <= 0:
            yield Fault(where=where, key=name, must="be more than 0", got=shown)
        elif value < 0:
            yield Fault(where=where, key=name.replace("_", " "), must="not be negative", got=shown)
    if table["copies"] != round(table["copies"]):
        yield Fault(where=where, key="copies", must="be a whole number", got=f"{table['copies']:g}")
    if table["after_powder"] < table["before_powder"]:
        yield Fault(
            where=where,
            key="after powder",
            must="be at least the weight before powdering",
            got=f"{table['after_powder'] * 1000:g} g against {table['before_powder'] * 1000:g} g",
            suggestion="was it weighed after drying? Weigh after shaking and before curing",
        )
