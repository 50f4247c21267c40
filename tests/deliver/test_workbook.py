"""The workbook as a file: the same each time, harmless, and readable by an older spreadsheet."""

from __future__ import annotations

import re
import zipfile
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from helpers import ROOT, SHIPPED, shipped_answer

from planner.decide.answer import open_answer
from planner.deliver.workbook import write_workbook
from planner.deliver.workbook.book import Book, Entry, Listing, Sheet

pytestmark = pytest.mark.long

# Functions of Excel 2007, so that 2010 and every later one knows them.
KNOWN = {
    *("ABS", "AND", "AVERAGE", "COUNTIF", "DATE", "IF", "IFERROR", "INDEX", "INT", "IPMT", "IRR"),
    *("LOOKUP", "MAX", "MIN", "MONTH", "NPV", "OR", "PMT", "PPMT", "ROUNDUP", "SUM", "SUMIF"),
    "SUMPRODUCT",
}
SHEETS = ["Answer", "Inputs", "Products", "Print cost", "Calendar", "Equipment", "Months"]
SHEETS += ["Months today only", "Without", "Today", "Loan or lease", "Tax", "Compared", "Years"]
SHEETS += ["Choices", "Ranges and stress", "Charts"]
EVIL = {  # words that look like formulas, with a part that no formula of ours holds
    "=40404+1": "40404",
    "+50505+2": "50505",
    "-60606+3": "60606",
    "@SUM(ZZ77:ZZ79)": "ZZ77",
    '=HYPERLINK("file:///etc/passwd","x")': "passwd",
}


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The workbook of a shipped scenario's best choice."""
    folder = tmp_path_factory.mktemp("workbooks")

    @cache
    def path_of(name: str) -> Path:
        page = shipped_answer(name)
        write_workbook(page, page.best, folder / f"{name}.xlsx")
        return folder / f"{name}.xlsx"

    return path_of


@cache
def _cells(path: Path, *, values: bool = False) -> dict[tuple[str, str], Any]:
    book = openpyxl.load_workbook(path, data_only=values)
    return {
        (sheet.title, cell.coordinate): cell
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }


@pytest.mark.parametrize("name", SHIPPED)
def test_every_formula_has_a_value_and_none_is_an_error(name: str, written: Any) -> None:
    formulas, values = _cells(written(name)), _cells(written(name), values=True)
    checked = [place for place, cell in formulas.items() if cell.data_type == "f"]
    assert len(checked) > 10_000
    for place in checked:
        value = values[place].value
        assert not (isinstance(value, str) and value.startswith("#")), (place, value)


@pytest.mark.parametrize("name", SHIPPED)
def test_only_functions_that_older_programs_know(name: str, written: Any) -> None:
    found = {cell.value for cell in _cells(written(name)).values() if cell.data_type == "f"}
    used = {function for formula in found for function in re.findall(r"([A-Z]+)\(", formula)}
    assert used - KNOWN == set()
    assert all("," in call for formula in found for call in re.findall(r"IRR\([^)]*\)", formula))


def test_sheets_stand_in_their_order(written: Any) -> None:
    assert openpyxl.load_workbook(written("larkspur-lane")).sheetnames == SHEETS


def test_a_scenario_without_tax_has_no_tax_sheet(written: Any) -> None:
    expected = [sheet for sheet in SHEETS if sheet != "Tax"]
    assert openpyxl.load_workbook(written("new-shop")).sheetnames == expected


def test_inputs_are_open_and_named_and_formulas_are_locked(written: Any) -> None:
    book = openpyxl.load_workbook(written("larkspur-lane"))
    named = {spot.attr_text.replace("$", "") for spot in book.defined_names.values()}
    open_cells = 0
    for sheet in book:
        assert sheet.protection.sheet
        for row in sheet.iter_rows():
            for cell in row:
                if not cell.protection.locked:
                    open_cells += 1
                    assert cell.data_type == "n"
                    assert cell.fill.fgColor.rgb == "FFFFF2CC"
                    assert f"'{sheet.title}'!{cell.coordinate}" in named
    assert open_cells > 120


def test_inputs_stand_with_the_user_s_text_and_source(written: Any) -> None:
    book = openpyxl.load_workbook(written("larkspur-lane"))
    rows = {row[6]: row for row in book["Inputs"].iter_rows(values_only=True)}
    label, unit, value, text, basis, *_ = rows["shop_wage"]
    assert (label, unit, value, basis) == ("wage", "USD/hour", 18.5, "accounts")
    assert text == "17 USD/hour / 18.50 USD/hour / 21 USD/hour"
    assert rows["buy_in_1_price"][5] == "six supplier invoices, 2026-10-30"


def test_a_term_may_be_as_long_as_its_schedule(written: Any) -> None:
    """48 months in a plan of 60; 60 months in a plan of 48."""
    for name in ("larkspur-lane", "new-shop"):
        book = openpyxl.load_workbook(written(name))
        _, cell = book.defined_names["loan_term"].attr_text.replace("$", "").split("!")
        rules = book["Inputs"].data_validations.dataValidation
        (rule,) = [rule for rule in rules if cell in rule.sqref]
        assert (rule.type, rule.formula1, rule.formula2) == ("whole", "1", "60")


@pytest.fixture(scope="module")
def evil(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workbook of a shop whose words look like formulas."""
    folder = tmp_path_factory.mktemp("evil")
    text = (ROOT / "scenarios" / "two-widths.toml").read_text("utf-8")
    names = ("T-shirt, front print", "Tote bag", "Layout and colour software", "Printer, 30 cm")
    for name, bad in zip(names, EVIL, strict=False):
        text = text.replace(f'"{name}"', f"'{bad}'")
    text = re.sub(r"^title .*$", f"title = '{list(EVIL)[-1]}'", text, flags=re.MULTILINE)
    text = text.replace("two-widths-test", "test")
    (folder / "evil.toml").write_text(text, "utf-8")
    prints = ROOT / "scenarios" / "two-widths-test-prints.csv"
    (folder / "test-prints.csv").write_bytes(prints.read_bytes())
    page = open_answer(folder / "evil.toml")
    write_workbook(page, page.best, folder / "evil.xlsx")
    return folder / "evil.xlsx"


def test_no_words_of_the_user_become_a_formula(evil: Path) -> None:
    cells = _cells(evil)
    for bad in EVIL:
        found = [cell for cell in cells.values() if cell.value == bad]
        assert found, bad
        assert {cell.data_type for cell in found} == {"s"}
        assert all(cell.quotePrefix for cell in found)
    spoken = "".join(cell.value for cell in cells.values() if cell.data_type == "f")
    assert not any(part in spoken for part in EVIL.values())


def test_no_macros_and_no_links(evil: Path, written: Any) -> None:
    for path in (evil, written("larkspur-lane")):
        with zipfile.ZipFile(path) as parts:
            names = parts.namelist()
            targets = [parts.read(name).decode() for name in names if name.endswith(".rels")]
        assert not any("vba" in name or "externalLink" in name for name in names)
        assert not any('TargetMode="External"' in target for target in targets)


def test_two_runs_give_the_same_bytes(written: Any, tmp_path: Path) -> None:
    page = open_answer(ROOT / "scenarios" / "two-widths.toml")
    write_workbook(page, page.best, tmp_path / "again.xlsx")
    assert (tmp_path / "again.xlsx").read_bytes() == written("two-widths").read_bytes()


def test_charts_say_nothing_that_inputs_could_make_untrue(written: Any) -> None:
    with zipfile.ZipFile(written("larkspur-lane")) as parts:
        charts = [parts.read(name).decode() for name in parts.namelist() if "charts/chart" in name]
    assert len(charts) == 2
    assert all('<c:autoTitleDeleted val="1"/>' in chart for chart in charts)
    assert sum(chart.count("<c:ser>") for chart in charts) == 4


def test_another_choice_than_the_best_speaks_of_itself(tmp_path: Path) -> None:
    page = shipped_answer("two-widths")
    other = next(one for one in page.choices if one.choice.financing.kind == "lease")
    write_workbook(page, other, tmp_path / "lease.xlsx")
    words = [cell.value for cell in _cells(tmp_path / "lease.xlsx", values=True).values()]
    assert f"Choice: {other.choice.label}" in words
    sentence = next(word for word in words if isinstance(word, str) and word.startswith("Yes"))
    assert other.choice.equipment.name in sentence


def test_a_name_stands_for_one_cell() -> None:
    entry = Entry(name="wage", label="wage", unit="USD/hour", value=20.0)
    sheet = Sheet(title="Inputs").add(Listing(title="Shop", entries=(entry,)))
    assert Book((sheet,)).names == {"wage": "'Inputs'!$C$2"}
    with pytest.raises(
        ValueError, match=r"names: must stand for one cell \(got \['wage'\] twice\)"
    ):
        _ = Book((sheet, Sheet(title="More").add(Listing(title="Shop", entries=(entry,))))).names
