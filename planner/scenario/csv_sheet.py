"""Reading the sheet of measured test prints: units stand in the header."""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from planner.scenario.estimates import Estimate
from planner.scenario.faults import Fault
from planner.scenario.reading import SMALLEST, Shown, repr_short
from planner.scenario.schema import Rectangle, TestPrint
from planner.scenario.units import UnitError, factor, readable

_UNITS: Final = {
    "width": "metre",
    "height": "metre",
    "area": "metre**2",
    "white": "litre",
    "colour": "litre",
    "white density": "kilogram/litre",
    "colour density": "kilogram/litre",
    "before powder": "kilogram",
    "after powder": "kilogram",
    "powder": "kilogram",
    "film fed": "metre",
    "wanted width": "metre",
    "wanted height": "metre",
}
_WORDS: Final = ("design", "artwork")
_INKS: Final = ("white", "colour")
_NEEDED: Final = ("design", "copies", "white", "colour")
_WEIGHINGS: Final = ("before powder", "after powder")  # of the print; their difference is powder
_COLUMNS: Final = ("design", "copies", *_UNITS, "artwork")
_WANTED: Final = ("wanted width", "wanted height")
_MAY_BE_BLANK: Final = ("width", "height", "area", "film fed", *_WANTED)
_POSITIVE: Final = (
    "copies",
    "width",
    "height",
    "area",
    "white density",
    "colour density",
    *_WANTED,
)
_EXAMPLES: Final = {"kilogram": "g", "litre": "mL", "metre": "in", "kilogram/litre": "g/mL"}
MOST_ROWS: Final = 5_000
LARGEST_CELL: Final = 1e6  # in the canonical unit


@dataclass(frozen=True)
class _Column:
    """A column: its name, its canonical unit and the factor that leads there."""

    name: str
    unit: str = ""
    factor: float = 1.0


@dataclass(frozen=True)
class _Line:
    """A line of the sheet and the faults found on it."""

    where: str
    faults: list[Fault] = field(default_factory=list)

    def say(self, key: str, must: str, got: str = "", suggestion: str = "") -> None:
        """Note a fault."""
        self.faults.append(
            Fault(where=self.where, key=key, must=must, got=got, suggestion=suggestion)
        )


@lru_cache(maxsize=8)  # sheets read anew with other scenarios or changes
def read_test_prints(text: str, *, name: str) -> tuple[tuple[TestPrint, ...], tuple[Fault, ...]]:
    """Test prints from CSV text, and every fault found in it.

    Lengths become metres, ink litres, weights kilograms; ink that was weighed needs a column with
    its density. A cell that is no number, a column that is missing, unknown or given twice, a
    unit of the wrong dimension are faults with their line.
    """
    rows, broken = _rows(text, name)
    if broken:
        return (), tuple(broken)
    if not rows:
        return (), (Fault(where=f"{name}:1", key="(file)", must="hold a header and a row"),)
    header = _Line(f"{name}:{rows[0][0]}")
    columns = _columns(rows[0][1], header)
    if len(rows) == 1:
        header.say("(file)", "hold at least one test print")
    if header.faults:
        return (), tuple(header.faults)
    lines = [(_Line(f"{name}:{number}"), row) for number, row in rows[1:]]
    made = [_print(row, columns, line) for line, row in lines]
    faults = [fault for line, _ in lines for fault in line.faults]
    prints = tuple(one for one in made if one is not None)
    if not faults:
        _check_totals(prints, header)
    return prints, (*header.faults, *faults)


def _rows(text: str, name: str) -> tuple[list[tuple[int, list[str]]], list[Fault]]:
    """Rows that are not blank, each with the line on which it begins; what could not be read."""
    reader = csv.reader(io.StringIO(text), strict=True)
    rows: list[tuple[int, list[str]]] = []
    begins = 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((begins, row))
            begins = reader.line_num + 1
    except csv.Error as error:
        must, got = "be cells parted by commas", str(error)
        return [], [Fault(where=f"{name}:{begins}", key="(row)", must=must, got=got)]
    if rows and len(rows[0][1]) == 1 and re.search(r"[;\t|]", rows[0][1][0]):
        must, got = "be cells parted by commas", repr_short(rows[0][1][0])
        return [], [Fault(where=f"{name}:{rows[0][0]}", key="(header)", must=must, got=got)]
    if len(rows) > MOST_ROWS:
        must = f"hold at most {MOST_ROWS} rows"
        return [], [Fault(where=f"{name}:1", key="(file)", must=must, got=str(len(rows)))]
    return rows, []


def _check_totals(prints: Sequence[TestPrint], header: _Line) -> None:
    """Ink and powder must have been used somewhere, or nothing can be priced."""
    if sum(row.white.likely + row.colour.likely for row in prints) <= 0:
        header.say("white", "be more than 0 mL in some row, or colour must")
    if sum(row.after_powder.likely - row.before_powder.likely for row in prints) <= 0:
        header.say("after powder", "be more than before powder in some row")


def _columns(header: list[str], line: _Line) -> list[_Column | None]:
    """The columns of a header; None for a blank one."""
    columns = [_column(cell, line) for cell in header]
    names = [column.name for column in columns if column is not None]
    for name in dict.fromkeys(names):
        if names.count(name) > 1:
            line.say(name, "stand in one column", f"{names.count(name)} columns")
    by_weight = _weighed(columns)
    weighings = [name for name in _WEIGHINGS if name in names]
    if "powder" in names and weighings:
        must = "stand alone: powder that was weighed by itself, or a weight before and after it"
        line.say("powder", must, " and ".join(["powder", *weighings]))
    missing = [name for name in _NEEDED if name not in names]
    if len(weighings) == 1 and "powder" not in names:
        missing += [name for name in _WEIGHINGS if name not in names]
    elif not weighings and "powder" not in names:
        missing.append("powder (or before powder and after powder)")
    missing += [f"{name} density [g/mL]" for name in by_weight if f"{name} density" not in names]
    if "area" not in names and not {"width", "height"} <= set(names):
        missing.append("width and height (or area)")
    for name in missing:
        line.say("(header)", f"have the column {name}")
    for name in _INKS:
        if f"{name} density" in names and name not in by_weight:
            line.say(f"{name} density", f"stand only where {name} is weighed")
    return columns


def _weighed(columns: Sequence[_Column | None]) -> list[str]:
    """The inks that were weighed."""
    return [c.name for c in columns if c and c.name in _INKS and c.unit == "kilogram"]


def _column(cell: str, line: _Line) -> _Column | None:
    found = re.fullmatch(r"\s*([^\[\]]*?)\s*(?:\[\s*([^\[\]]+?)\s*\])?\s*", cell)
    name, unit = (found.group(1).lower(), found.group(2)) if found else (cell, None)
    if not name and unit is None:
        return None
    if name not in _COLUMNS:
        must = f"be one of the columns {', '.join(_COLUMNS)}"
        line.say(repr_short(cell), must, suggestion=_like(cell.strip()))
        return _Column(name)
    if name not in _UNITS:
        if unit is not None:
            line.say(name, "carry no unit", repr_short(unit))
        return _Column(name)
    return _with_unit(name, unit, line)


def _like(cell: str) -> str:
    """The column that an unknown one may mean."""
    bracketed = re.fullmatch(r"(.*\S)\s*\((.+)\)", cell[:40])
    if bracketed and bracketed.group(1).lower() in _COLUMNS:
        return f'write "{bracketed.group(1)} [{bracketed.group(2)}]"'
    near = difflib.get_close_matches(cell[:40].lower(), _COLUMNS, n=1)
    return f'did you mean "{near[0]}"?' if near else ""


def _with_unit(name: str, unit: str | None, line: _Line) -> _Column:
    target = _UNITS[name]
    wanted = _EXAMPLES.get(target, readable(target, ""))
    if unit is None:
        line.say(name, f'carry a unit, as in "{name} [{wanted}]"')
        return _Column(name)
    suggestion = ""
    for canonical in (target, "kilogram") if name in _INKS else (target,):
        try:
            return _Column(name, canonical, factor(unit, canonical, ""))
        except UnitError as why:
            suggestion = suggestion or why.suggestion
    line.say(name, f'carry a unit like "{wanted}"', repr_short(unit), suggestion)
    return _Column(name)


def _print(row: list[str], columns: list[_Column | None], line: _Line) -> TestPrint | None:
    """One row as a test print; None where it holds a fault."""
    if len(row) != len(columns):
        hint = "a decimal comma splits a number: use a point" if len(row) > len(columns) else ""
        line.say("(row)", f"have {len(columns)} cells", str(len(row)), hint)
        return None
    cells: dict[str, float] = {}
    words = dict.fromkeys(_WORDS, "")
    for column, cell in zip(columns, row, strict=True):
        if column is None:
            if cell.strip():
                line.say("(row)", "have no cell under a blank header", repr_short(cell))
        elif column.name in _WORDS:
            words[column.name] = _read_words(cell, column.name, line)
        elif cell.strip() or column.name not in _MAY_BE_BLANK:
            cells[column.name] = _number(cell, column, line)
    if "powder" in cells:
        cells |= {"before powder": 0.0, "after powder": cells["powder"]}
    if not line.faults:
        _check(cells, line)
    return None if line.faults else _test_print(words, _poured(cells, columns))


def _read_words(cell: str, name: str, line: _Line) -> str:
    """The design's name, or the file of its picture, which may be blank."""
    text = cell.strip()
    is_blank = not text and name == "design"
    if is_blank or len(text) > 200 or any(not c.isprintable() for c in text):
        line.say(name, "be words, at most 200 characters on one line", repr_short(text))
    elif name == "artwork" and text and not is_beside(text):
        line.say(name, "be a file beside the sheet", repr_short(text))
    return text


def is_beside(name: str) -> bool:
    """Whether a file name stays in the folder it is read from, on any system."""
    parts = re.split(r"[/\\]", name.strip())
    return ".." not in parts and parts[0] != "" and ":" not in parts[0]


def _number(cell: str, column: _Column, line: _Line) -> float:
    """A cell in its canonical unit; 0 where it holds a fault."""
    if not re.fullmatch(r"\s*[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,2})?\s*", cell, re.ASCII):
        line.say(column.name, "be a number", repr_short(cell), _number_hint(cell))
        return 0.0
    number, shown = float(cell) * column.factor, repr_short(Shown(cell.strip()))
    is_positive = column.name in _POSITIVE
    if number < 0 or (is_positive and number < SMALLEST):
        line.say(column.name, "be more than 0" if is_positive else "not be negative", shown)
    if number > LARGEST_CELL:
        most = f"{LARGEST_CELL:g} {readable(column.unit, '')}".strip()
        line.say(column.name, f"be at most {most}", shown)
    return number


def _number_hint(cell: str) -> str:
    if re.fullmatch(r"\s*\d+,\d+\s*", cell):
        return "use a point for decimals"
    if re.fullmatch(r"\s*[\d.]+\s*[A-Za-z\"]+\s*", cell):
        return "units stand in the header, in square brackets"
    return ""


def _check(cells: Mapping[str, float], line: _Line) -> None:
    """What the cells of a row must be to each other."""
    if cells["copies"] != round(cells["copies"]):
        line.say("copies", "be a whole number", f"{cells['copies']:g}")
    sides = [name for name in ("width", "height") if name in cells]
    if "area" in cells and sides:
        line.say("area", "be left empty where width and height are given")
    elif "area" not in cells and len(sides) < 2:
        line.say("area", "be given, or width and height", sides[0] if sides else "neither")
    wanted = [name for name in _WANTED if name in cells]
    if len(wanted) == 1:
        other = next(name for name in _WANTED if name not in cells)
        line.say(other, f"be given where {wanted[0]} is", "nothing")
    before, after = cells["before powder"], cells["after powder"]
    if after < before:
        line.say(
            "after powder",
            "be at least the weight before powdering",
            f"{after * 1000:g} g against {before * 1000:g} g",
            "was it weighed after drying? Weigh after shaking and before curing",
        )


def _poured(cells: Mapping[str, float], columns: Sequence[_Column | None]) -> dict[str, float]:
    """The cells with ink that was weighed turned into litres."""
    litres = {name: cells[name] / cells[f"{name} density"] for name in _weighed(columns)}
    return {**cells, **litres}


def _test_print(words: Mapping[str, str], cells: Mapping[str, float]) -> TestPrint:
    copies = cells["copies"]
    size = _rectangle(cells, "width", "height")
    area = cells["width"] * cells["height"] * copies if size else cells["area"]
    return TestPrint(
        design=words["design"],
        area=_measured(area, "metre**2"),
        size=size,
        copies=_measured(copies, ""),
        white=_measured(cells["white"], "litre"),
        colour=_measured(cells["colour"], "litre"),
        before_powder=_measured(cells["before powder"], "kilogram"),
        after_powder=_measured(cells["after powder"], "kilogram"),
        film_fed=_measured(cells["film fed"], "metre") if "film fed" in cells else None,
        wanted=_rectangle(cells, *_WANTED),
        artwork=words["artwork"] or None,
    )


def _rectangle(cells: Mapping[str, float], width: str, height: str) -> Rectangle | None:
    """A size from two cells of a row; None where they are blank."""
    if width not in cells:
        return None
    return Rectangle(
        width=_measured(cells[width], "metre"), length=_measured(cells[height], "metre")
    )


def _measured(value: float, unit: str) -> Estimate:
    return Estimate(likely=value, unit=unit, basis="measured")
