"""Every formula cell, worked out by a second program, gives the value that stands in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from helpers import ROOT
from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token
from openpyxl.formula.translate import Translator
from openpyxl.utils.datetime import to_excel

from planner.decide.answer import open_answer
from planner.deliver.workbook import write_workbook

pytestmark = pytest.mark.long

Place = tuple[str, str]
HOME = "CA900"  # where formulas are moved to, so that those which are alike read alike
LARKSPUR = {
    "horizon": "7 months",
    'financing."Bank loan, 48 months".term': "5 months",
    'equipment."24-inch printer and shaker dryer".items."Shaker dryer".life': "4 months",
    'equipment."24-inch printer and shaker dryer".wear_parts."Print head".life_at_most': "3 months",
    "tax.losses": "carried forward",
    "shop.closed": ["2027-06"],
}
AT_ONCE = {"horizon": "4 months", "ramp.start_share": "100 %"}


@dataclass(frozen=True)
class Trial:
    """A choice, by a part of its label, and a line in which what it is tried for can be seen."""

    scenario: str
    choice: str
    changes: Mapping[str, object]
    seen_on: str
    seen_in: str


TRIALS = {
    "loan and losses": Trial("scenarios/larkspur-lane", "Bank loan", LARKSPUR, "Tax", "deducted"),
    "a loan of an amount": Trial(
        "tests/variants/loan-amount",
        "Loan",
        AT_ONCE | {"shop.closed": []},
        "Months",
        "loan paid out",
    ),
    "overtime": Trial(
        "tests/variants/overtime",
        "Included",
        AT_ONCE | {"shop.open_hours": "72 min/day", "shop.closed": ["2027-05"]},
        "Months",
        "overtime",
    ),
    "two machines": Trial(
        "tests/variants/two-machines",
        "Extended",
        AT_ONCE | {"shop.closed": [], "shop.staff_hours": "50 hour/week"},
        "Months",
        "transfers bought in a hurry",
    ),
    "press only": Trial(
        "tests/variants/press-only",
        "press · ",
        AT_ONCE | {"shop.open_hours": "30 min/day"},
        "Months",
        "transfers bought in",
    ),
    "seasons, customers' garments": Trial(
        "tests/variants/own-season",
        "",
        AT_ONCE | {"shop.closed": ["2027-06"]},
        "Calendar",
        "season of Club shirt",
    ),
}


class Reckoner:
    """Works a workbook out from its formulas and constants alone, with the library `formulas`."""

    def __init__(self, path: Path) -> None:
        import formulas

        self.book: Any = openpyxl.load_workbook(path)
        self.names = {name: spot.attr_text for name, spot in self.book.defined_names.items()}
        self._parser, self._compiled = formulas.Parser(), dict[str, Any]()
        self._known: dict[Place, Any] = {}

    def formula_cells(self) -> Iterator[Place]:
        """Sheet and address of every formula."""
        for sheet in self.book:
            for row in sheet.iter_rows():
                for cell in row:
                    if cell.data_type == "f":
                        yield sheet.title, cell.coordinate

    def value(self, place: Place) -> Any:
        """The value of a cell; dates as numbers, an empty cell as the library's own nothing."""
        if place not in self._known:
            self._known[place] = self._worked_out(place)
        return self._known[place]

    def _worked_out(self, place: Place) -> Any:
        from formulas.functions import XlError
        from schedula import EMPTY

        sheet, address = place
        cell = self.book[sheet][address]
        if cell.data_type != "f":
            return to_excel(cell.value) if isinstance(cell.value, datetime) else cell.value
        alike = Translator(cell.value, origin=address).translate_formula(HOME)
        if alike not in self._compiled:
            self._compiled[alike] = self._parser.ast(alike)[1].compile()
        compiled = self._compiled[alike]
        spoken = {_plain(a): b for a, b in zip(_ranges(alike), _ranges(cell.value), strict=True)}
        inputs = [self._range(spoken[_plain(name)], sheet) for name in compiled.inputs or ()]
        found = np.ravel(np.asarray(compiled(*inputs), dtype=object))[0]
        assert not isinstance(found, XlError), (place, cell.value)
        return 0 if found is EMPTY else found

    def _range(self, reference: str, sheet: str) -> Any:
        reference = self.names.get(reference, reference)
        where, _, cells = reference.rpartition("!")
        where = where.strip("'") or sheet
        block = self.book[where][cells.replace("$", "")]
        rows = block if isinstance(block, tuple) else ((block,),)
        found = [[self._filled(self.value((where, one.coordinate))) for one in row] for row in rows]
        return np.array(found, dtype=object)

    @staticmethod
    def _filled(value: Any) -> Any:
        from schedula import EMPTY

        return EMPTY if value is None else value


def _ranges(formula: str) -> list[str]:
    return [
        token.value
        for token in Tokenizer(formula).items
        if token.type == Token.OPERAND and token.subtype == Token.RANGE
    ]


def _plain(reference: str) -> str:
    return reference.replace("$", "").replace("'", "").upper()


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", TRIALS)
def test_every_formula_gives_the_value_of_the_program(name: str, tmp_path: Path) -> None:
    trial = TRIALS[name]
    page = open_answer(ROOT / f"{trial.scenario}.toml", changes=trial.changes)
    path = tmp_path / "plan.xlsx"
    answered = next(one for one in page.choices if trial.choice in one.choice.label)
    write_workbook(page, answered, path)
    values = openpyxl.load_workbook(path, data_only=True)
    assert any(_line(values[trial.seen_on], trial.seen_in)), "must show what it is tried for"
    reckoner, count = Reckoner(path), 0
    for sheet, address in reckoner.formula_cells():
        expected = values[sheet][address].value
        expected = to_excel(expected) if isinstance(expected, datetime) else expected
        found = reckoner.value((sheet, address))
        if isinstance(expected, str):
            assert expected == found, (sheet, address)
        else:
            assert float(found) == pytest.approx(expected, abs=0.005), (sheet, address)
        count += 1
    assert count > 1500


def _line(sheet: Any, label: str) -> list[float]:
    """The first line with a label."""
    return next(row[3:] for row in sheet.iter_rows(values_only=True) if row[0] == label)
