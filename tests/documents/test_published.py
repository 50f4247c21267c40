"""The list of published checks in DEVELOPERS.md: each cited test is there and names its source.

And each test file that names a published source is cited for it. Two are left out of this way
round: factors of units, which many tests hold as constants, and what is common practice without a
source, which the program's own messages say as well. Libraries that another check leans on are not
looked for either.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parents[2]
SOURCES = {
    "textbook": r"OpenStax|textbook example",
    "regulation": r"Appendix J|ASC 842",
    "tax": r"IRS Publication|writing-down allowance",
    "standard": r"JCGM|IEC 61966|ICC\.1:|ITU-R|WCAG 2|RFC 4180|rfc_4180",
    "handbook": r"NIST Handbook|NIST/SEMATECH",
    "article": r"Norstrom|Coffman",
    "spreadsheet": r"spreadsheets' [A-Z]{2}",
    "library": r"numpy-financial docs",
}


class Check(NamedTuple):
    """A row of the list."""

    file: str
    sources: tuple[str, ...]
    test: str
    result: str
    tolerance: str


def listed(text: str) -> list[Check]:
    """The rows of the section; a row with a file in bold is the head of those that follow."""
    section = text.partition("\n## Published checks\n")[2].partition("\n## ")[0]
    found, file = [], ""
    for line in section.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split(" |")]
        if not line.startswith("| ") or cells[0] in ("source", "---"):
            continue
        if cells[0].startswith("**"):
            file = cells[0].strip("*")
            continue
        source, *rest = cells
        found.append(Check(file, tuple(source.split("; ")), *rest))
    return found


CHECKS = listed((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))


def plain(text: str) -> str:
    """Text on one line, so that a source that runs over two lines of a comment is found."""
    return re.sub(r"\s*\n\s*(?:#\s*)?", " ", text)


def names_of_tests(file: str) -> set[str]:
    """Names of the tests that a file holds."""
    module = ast.parse((ROOT / file).read_text(encoding="utf-8"))
    return {node.name for node in ast.walk(module) if isinstance(node, ast.FunctionDef)}


def test_the_list_is_long_and_each_of_its_rows_is_whole():
    assert len(CHECKS) >= 60
    assert all(all(check) for check in CHECKS)
    assert len({(check.file, check.test, check.sources) for check in CHECKS}) == len(CHECKS)


@pytest.mark.parametrize("file", dict.fromkeys(check.file for check in CHECKS))
def test_each_cited_test_is_there_and_its_file_names_the_source(file: str):
    tests, text = names_of_tests(file), plain((ROOT / file).read_text(encoding="utf-8"))
    for check in (check for check in CHECKS if check.file == file):
        assert f"test_{check.test}" in tests, check
        for source in check.sources:
            assert source in text, check


def named_in(file: Path) -> set[str]:
    """Kinds of published sources that a test file names."""
    text = plain(file.read_text(encoding="utf-8"))
    return {kind for kind, pattern in SOURCES.items() if re.search(pattern, text)}


def test_each_file_that_names_a_source_is_cited():
    uncited = {}
    for file in sorted((ROOT / "tests").rglob("test_*.py")):
        path = file.relative_to(ROOT).as_posix()
        has_rows = any(check.file == path for check in CHECKS)
        if named_in(file) and not has_rows and file != Path(__file__):
            uncited[path] = named_in(file)
    assert uncited == {}


def test_a_row_that_cites_what_is_not_there_would_be_found():
    text = (
        "\n## Published checks\n\n| source | test | result | tolerance |\n"
        "| --- | --- | --- | --- |\n| **tests/finance/test_apr.py** | | | |\n"
        "| A; B, 1 | some_test | 3 | exact |\n## More\n"
    )
    (check,) = listed(text)
    assert check == Check("tests/finance/test_apr.py", ("A", "B, 1"), "some_test", "3", "exact")
    assert "test_some_test" not in names_of_tests(check.file)
