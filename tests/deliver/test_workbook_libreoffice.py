"""LibreOffice works every workbook out anew and agrees with the program in each formula cell.

Before it reads a workbook, the values beside the formulas are taken out, so that what it gives
back can only be its own.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from helpers import ROOT, SHIPPED
from openpyxl.utils.cell import column_index_from_string, coordinate_from_string

from planner.decide.answer import Answered, AnswerPage, open_answer
from planner.deliver.workbook import write_workbook

pytestmark = pytest.mark.libreoffice

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATED = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item></oor:items>"""
HALF_A_CENT = 0.005
Cells = dict[tuple[str, str], tuple[bool, Any]]


@dataclass(frozen=True)
class Trial:
    """A workbook of one choice as written and, where inputs are changed in its cells, as changed.

    ``choice`` is a part of the choice's label, the best one's where it is empty. ``before`` are
    changes of the scenario made before writing; ``keys`` the changes that ``cells`` make by hand,
    as the program reads them. ``folder`` is where the scenario stands.
    """

    scenario: str
    choice: str = ""
    before: Mapping[str, object] = field(default_factory=dict)
    keys: Mapping[str, object] = field(default_factory=dict)
    cells: Mapping[str, float] = field(default_factory=dict)
    folder: str = "scenarios"


VARIANTS = "tests/variants"
SHORT = {"horizon": "15 months"}
LOAN = 'financing."Bank loan, 48 months"'
LEASE = 'financing."Lease, 48 months, buy at the end"'
SET_24 = 'equipment."24-inch printer and shaker dryer"'
TRIALS = {f"{name} as shipped": Trial(name) for name in SHIPPED}
TRIALS |= {
    "conditional sale": Trial("larkspur-lane", "Included, 12 months · Lease"),
    "lease bought at market value": Trial("two-widths", "Lease"),
    "cash, extended warranty": Trial("larkspur-lane", "Extended, 36 months · Own savings"),
    "lease that goes back": Trial(
        "larkspur-lane",
        "Included, 12 months · Lease",
        SHORT | {f"{LEASE}.at_end": "return", f"{LEASE}.term": "9 months"},
    ),
    "lease renewed": Trial(
        "larkspur-lane",
        "Included, 12 months · Lease",
        SHORT | {f"{LEASE}.at_end": {"renew": "200 USD/month"}, f"{LEASE}.term": "9 months"},
    ),
    "rent for tax, bought": Trial(
        "larkspur-lane",
        "Extended, 36 months · Lease",
        SHORT | {f"{LEASE}.at_end": {"buy": 9000}, f"{LEASE}.term": "8 months"},
    ),
    "interest only, deferral, balloon": Trial(
        "larkspur-lane",
        "Included, 12 months · Bank",
        SHORT
        | {
            f"{LOAN}.interest_only": "3 months",
            f"{LOAN}.first_payment_after": "2 months",
            f"{LOAN}.balloon": 2000,
            f"{LOAN}.fee_financed": True,
            f"{LOAN}.term": "12 months",
        },
    ),
    "steps, charge for early repayment": Trial(
        "larkspur-lane",
        "Included, 12 months · Bank",
        SHORT
        | {
            f"{LOAN}.step": {"every": "6 months", "change": "10 %"},
            f"{LOAN}.early_repayment_charge": "2 %",
        },
    ),
    "depreciation by shares of years": Trial(
        "larkspur-lane", "Included, 12 months · Lease", SHORT | {"tax.depreciation": "US 5-year"}
    ),
    "depreciation by area printed": Trial(
        "larkspur-lane",
        "Included, 12 months · Bank",
        SHORT
        | {
            "tax.depreciation": {"life": "9000 ft^2"},
            f'{SET_24}.items."Shaker dryer".life': "7 months",
        },
    ),
}
OFFERS = [
    {
        "name": "By payment",
        "kind": "instalments",
        "payment": "1400 USD/month",
        "term": "15 months",
        "interest_only": "2 months",
        "first_payment_after": "2 months",
    },
    {
        "name": "By rate",
        "kind": "lease",
        "rate": "12 %/year",
        "term": "18 months",
        "due": "start",
        "advance_payments": 3,
        "at_end": {"buy": 500},
    },
]
TRIALS |= {
    f"{offer['name']} given": Trial(
        "larkspur-lane", f"Included, 12 months · {offer['name']}", SHORT | {"financing": OFFERS}
    )
    for offer in OFFERS
}
TRIALS["transfers at a price a piece"] = Trial(
    "two-widths",
    "Lease",
    SHORT | {"shop.closed": ["2027-08"], 'products."Tote bag".buy_in': 1.9},
)
TRIALS["press only"] = Trial(
    "press-only",
    "Pneumatic press · Included, 12 months · Loan",
    {"horizon": "30 months", 'products."Full-front tee".buy_in': 2.9},
    folder=VARIANTS,
)
CHANGED = {
    "larkspur-lane": Trial(
        "larkspur-lane",
        "Included, 12 months · Bank",
        keys={
            'products."Full-front tee, dark cotton".price': 14.25,
            'products."Chest and back hoodie".planned': "21 piece/week",
            f"{LOAN}.rate": "11.5 %/year",
            f"{LOAN}.term": "36 months",
            "film.roll_price": 205,
            "shop.wage": "22 USD/hour",
            "ramp.months": "10 months",
            "spoilage.transfers": "6 %",
        },
        cells={
            "product_1_price": 14.25,
            "product_2_planned": 21.0,
            "loan_rate": 0.115,
            "loan_term": 36.0,
            "film_roll_price": 205.0,
            "shop_wage": 22.0,
            "ramp_months": 10.0,
            "spoilage_transfers": 0.06,
        },
    ),
    "larkspur-lane, lease": Trial(
        "larkspur-lane",
        "Included, 12 months · Lease",
        keys={
            f"{LEASE}.term": "30 months",
            f"{LEASE}.payment": "470 USD/month",
            "tax.rate": "31 %",
            f"{SET_24}.items.Printer.life": "33 months",
            "hurdle_rate": "9 %/year",
        },
        cells={
            "lease_term": 30.0,
            "lease_payment": 470.0,
            "tax_rate": 0.31,
            "item_1_life": 33.0,
            "hurdle_rate": 0.09,
        },
    ),
    "new-shop": Trial(
        "new-shop",
        "loan",
        keys={
            'products."Club tee, two colours of cotton".planned': "95 piece/week",
            'products."Work jacket, chest and back".price': 49,
            'financing."Bank loan, 60 months".rate': "7 %/year",
            'financing."Bank loan, 60 months".term': "40 months",
            "film.roll_price": 120,
            "growth.prices": "4 %/year",
        },
        cells={
            "product_1_planned": 95.0,
            "product_2_price": 49.0,
            "loan_rate": 0.07,
            "loan_term": 40.0,
            "film_roll_price": 120.0,
            "growth_prices": 0.04,
        },
    ),
    "two-widths, more than it can print": Trial(
        "two-widths",
        "30 cm printer and small dryer · Included, 12 months · Bank loan",
        keys={
            'products."T-shirt, front print".planned': "400 piece/week",
            'products."Tote bag".price': 5,
            'financing."Bank loan, 48 months".rate': "0 %/year",
            'financing."Bank loan, 48 months".term': "60 months",
            'equipment."30 cm printer and small dryer".film.roll_price': 130,
            "today.buy_in_price": "44 EUR/m^2",
        },
        cells={
            "product_1_planned": 400.0,
            "product_3_price": 5.0,
            "loan_rate": 0.0,
            "loan_term": 60.0,
            "film_roll_price": 130.0,
            "buy_in_1_price": 44.0,
        },
    ),
    "shortest": Trial(
        "shortest",
        keys={
            'products."Full-front tee, dark cotton".planned': "110 piece/week",
            "ink.price": "70 USD/L",
            'financing."Loan, 48 months".term': "24 months",
            "shop.open_weeks": "50 week/year",
        },
        cells={
            "product_1_planned": 110.0,
            "ink_white_price": 70.0,
            "ink_colour_price": 70.0,
            "loan_term": 24.0,
            "shop_open_weeks": 50.0,
        },
    ),
    "overtime": Trial(
        "overtime",
        "Extended",
        {"horizon": "30 months"},
        keys={
            "shop.overtime": {"hours": "9 hour/week", "extra": "60 %"},
            "shop.staff_hours": "20 hour/week",
        },
        cells={"overtime_hours": 9.0, "overtime_extra": 0.6, "shop_staff_hours": 20.0},
        folder=VARIANTS,
    ),
    "a third machine and a second press": Trial(
        "two-machines",
        "dryers · Extended",
        {"horizon": "30 months"},
        keys={
            'equipment."Two 13-inch printers with dryers".machines': 3,
            'equipment."Two 13-inch printers with dryers".presses': 2,
            'products."Full-front tee".planned': "330 piece/week",
        },
        cells={
            "equipment_machines": 3.0,
            "equipment_presses": 2.0,
            "product_1_planned": 330.0,
        },
        folder=VARIANTS,
    ),
    "a loan of another amount": Trial(
        "loan-amount",
        "Loan",
        {"horizon": "30 months"},
        keys={'financing."Loan, 36 months".amount': 7000, "shop.wage": "22 USD/hour"},
        cells={"loan_offered": 7000.0, "shop_wage": 22.0},
        folder=VARIANTS,
    ),
    "a loan of more than the price": Trial(
        "loan-amount",
        "Loan",
        {"horizon": "30 months"},
        keys={f"{SET_24}.price": 8500},
        cells={"item_1_price": 8500.0},
        folder=VARIANTS,
    ),
    "seasons of their own": Trial(
        "own-season",
        "Cash",
        {"horizon": "30 months"},
        keys={
            'products."Club shirt".season': [40, 60, 140, 200, 400, 120, 60, 60, 120, 80, 60, 60],
            """products."Customer's own bag".garment""": 12,
            "shop.open_hours": "2 hour/day",
        },
        cells={"season_1_May": 400.0, "product_2_garment": 12.0, "shop_open_hours": 2.0},
        folder=VARIANTS,
    ),
}


def answered(trial: Trial, *, with_keys: bool) -> tuple[AnswerPage, Answered]:
    """The page and the choice of a trial, before or after its changes."""
    changes = dict(trial.before) | (dict(trial.keys) if with_keys else {})
    page = open_answer(ROOT / trial.folder / f"{trial.scenario}.toml", changes=changes)
    if not trial.choice:
        return page, next(one for one in page.choices if one.choice.financing.kind != "cash")
    return page, next(one for one in page.choices if trial.choice in one.choice.label)


@dataclass(frozen=True)
class Bench:
    """Workbooks by trial: as the program writes them, and as LibreOffice works them out."""

    by_program: Mapping[str, Path]
    by_libreoffice: Mapping[str, Path]
    pages: Mapping[str, tuple[AnswerPage, Answered]]


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """All trials, converted in one go."""
    folder = tmp_path_factory.mktemp("workbooks")
    program, bare, pages = {}, [], {}
    trials = TRIALS | {f"{name} changed": trial for name, trial in CHANGED.items()}
    for at, (name, trial) in enumerate(trials.items()):
        first = folder / "first" / f"{at}.xlsx"
        write_workbook(*answered(trial, with_keys=False), first)
        program[name] = first
        pages[name] = answered(trial, with_keys=True)
        if trial.keys:
            program[name] = folder / "changed" / f"{at}.xlsx"
            write_workbook(*pages[name], program[name])
        bare.append(folder / "bare" / f"{at}.xlsx")
        without_values(first, bare[-1], trial.cells)
    worked_out(bare, folder)
    results = {name: folder / "out" / f"{at}.xlsx" for at, name in enumerate(trials)}
    return Bench(program, results, pages)


def worked_out(files: list[Path], folder: Path) -> None:
    """Let LibreOffice work files out and save them, in a profile of its own."""
    office = shutil.which("soffice")
    assert office is not None, "soffice: must be installed for tests marked libreoffice"
    settings = folder / "profile" / "user" / "registrymodifications.xcu"
    settings.parent.mkdir(parents=True)
    settings.write_text(ALWAYS)
    command = [office, f"-env:UserInstallation=file://{folder}/profile", "--headless"]
    command += ["--convert-to", "xlsx", "--outdir", str(folder / "out"), *map(str, files)]
    subprocess.run(command, check=True, capture_output=True, timeout=900)


def without_values(path: Path, to: Path, cells: Mapping[str, float]) -> None:
    """A workbook without the values of its formulas, and with other numbers in named cells."""
    to.parent.mkdir(exist_ok=True)
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(to, "w") as new:
        spots = _spots(old)
        for part in old.namelist():
            text = old.read(part)
            if part.startswith("xl/worksheets/sheet"):
                changed = re.sub(r"(<f>[^<]*</f>)<v>[^<]*</v>", r"\1", text.decode())
                for name, number in cells.items():
                    if spots[name][0] == part:
                        changed = _with_number(changed, spots[name][1], number)
                text = changed.encode()
            new.writestr(part, text)


def _with_number(text: str, address: str, number: float) -> str:
    found, count = re.subn(
        rf'(<c r="{address}"[^>]*)><v>[^<]*</v></c>', rf"\g<1>><v>{number!r}</v></c>", text
    )
    assert count == 1, address
    return found


def _spots(book: zipfile.ZipFile) -> dict[str, tuple[str, str]]:
    """The part and the address of every named cell."""
    parts = {f"'{title}'": part for title, part in _sheets(book).items()}
    names = ElementTree.fromstring(book.read("xl/workbook.xml")).iter(f"{MAIN}definedName")
    spots = {}
    for name in names:
        sheet, _, address = (name.text or "").replace("$", "").rpartition("!")
        if not name.attrib["name"].startswith("_xlnm"):  # print titles
            spots[name.attrib["name"]] = (parts[sheet], address)
    return spots


def _sheets(book: zipfile.ZipFile) -> dict[str, str]:
    """The part of every sheet."""
    links = ElementTree.fromstring(book.read("xl/_rels/workbook.xml.rels"))
    targets = {link.attrib["Id"]: link.attrib["Target"] for link in links}
    sheets = ElementTree.fromstring(book.read("xl/workbook.xml")).iter(f"{MAIN}sheet")
    return {sheet.attrib["name"]: f"xl/{targets[sheet.attrib[RELATED]]}" for sheet in sheets}


def cells_of(path: Path) -> Cells:
    """Every cell: whether it holds a formula, and its value."""
    found: Cells = {}
    with zipfile.ZipFile(path) as book:
        texts = [
            "".join(part.text or "" for part in entry.iter(f"{MAIN}t"))
            for entry in ElementTree.fromstring(book.read("xl/sharedStrings.xml"))
        ]
        for title, part in _sheets(book).items():
            for cell in ElementTree.fromstring(book.read(part)).iter(f"{MAIN}c"):
                written, kind = cell.findtext(f"{MAIN}v"), cell.attrib.get("t", "n")
                value: Any = written
                if written is not None and kind == "s":
                    value = texts[int(written)]
                elif written is not None and kind == "n":
                    value = float(written)
                has_formula = cell.find(f"{MAIN}f") is not None
                found[title, cell.attrib["r"]] = (has_formula, value)
    return found


def differences(name: str, bench: Bench) -> tuple[int, dict[tuple[str, str], tuple[Any, Any]]]:
    """How many formula cells there are, and those in which the two do not agree."""
    own, other = cells_of(bench.by_program[name]), cells_of(bench.by_libreoffice[name])
    formulas = {place: value for place, (has_formula, value) in own.items() if has_formula}
    wrong = {}
    for place, value in formulas.items():
        found = other[place][1]
        if isinstance(value, float) and isinstance(found, float):
            if not abs(value - found) <= HALF_A_CENT:
                wrong[place] = (value, found)
        elif value != found:
            wrong[place] = (value, found)
    return len(formulas), wrong


@pytest.mark.parametrize("name", TRIALS)
def test_every_formula_cell_agrees(name: str, bench: Bench) -> None:
    count, wrong = differences(name, bench)
    assert count > 3000
    assert wrong == {}


@pytest.mark.parametrize("name", CHANGED)
def test_changed_inputs_flow_through_to_every_cell(name: str, bench: Bench) -> None:
    count, wrong = differences(f"{name} changed", bench)
    state = {place for place, values in wrong.items() if "sentence" in str(values)}
    assert count > 10_000
    assert {sheet for sheet, _ in state} == {"Answer"}, "the answer must say that inputs changed"
    assert set(wrong) == state


def line_of(cells: Cells, sheet: str, label: str, *, at: int = 0) -> list[Any]:
    """A line with a label, from signing on: the first, or the one ``at`` its place among them."""
    rows = [
        address[1:]
        for (title, address), (_, value) in cells.items()
        if title == sheet and value == label and re.fullmatch(r"A\d+", address)
    ]
    row = rows[at]
    places = [place for place in cells if place[0] == sheet and place[1].endswith(row)]
    found = {coordinate_from_string(address): cells[sheet, address][1] for _, address in places}
    by_column = {
        column_index_from_string(column): value
        for (column, line), value in found.items()
        if line == int(row)
    }
    return [by_column[column] for column in sorted(by_column) if column > 3]


@pytest.mark.parametrize("name", CHANGED)
def test_changed_inputs_give_the_program_s_own_figures(name: str, bench: Bench) -> None:
    _, one = bench.pages[f"{name} changed"]
    cells = cells_of(bench.by_libreoffice[f"{name} changed"])
    rows = [address[1:] for (sheet, address) in cells if sheet == "Answer" and address[0] == "A"]
    last_of_b = next(
        i for i, row in enumerate(rows) if str(cells["Answer", f"A{row}"][1])[:2] == "C:"
    )
    answers = {
        cells["Answer", f"A{row}"][1]: cells["Answer", f"C{row}"][1]
        for row in rows[:last_of_b]
        if ("Answer", f"C{row}") in cells
    }
    value = one.figures.net_present_value["against_buying_in"]
    months = one.figures.payback["against_buying_in"].months
    never = f"not within {one.evaluation.case.months} months"
    label = "worth today (net present value), before financing"
    assert answers[label] == pytest.approx(value, abs=HALF_A_CENT)
    assert answers["pays back, before financing"] == (
        never if months is None else pytest.approx(months, abs=1e-6)
    )
    net = line_of(cells, "Compared", "before financing", at=1)  # A, B, C
    assert net == pytest.approx(list(one.evaluation.headline.net[0]), abs=HALF_A_CENT)
