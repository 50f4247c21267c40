"""A scenario is data: whatever it holds is shown and never obeyed.

More of it stands beside what it is about: words in HTML and Markdown (tests/deliver/test_markup.py,
test_web_pages.py, test_page.py), in the PDF (test_lender_pdf.py), in cells (test_files.py,
test_workbook.py), in parameters of notebooks (test_parameters.py, test_suite.py), names of files
(test_files.py, tests/scenario/test_bad_inputs.py), pictures (tests/usage/test_artwork.py), the
private traffic of kernels (test_suite.py), and the page server (tests/panel).
"""

from __future__ import annotations

import csv
import html
import json
import os
import re
import struct
import sys
import tracemalloc
import zlib
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pypdf
import pytest
from trust.evil import WORDS, evil_scenario
from trust.judge import UNPRINTED, say

from planner.usage.artwork import ArtworkError, read_artwork

WITHIN = 300  # [s]


# ---------------------------------------------------------------- in the terminal


@pytest.fixture(scope="module")
def evil(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A scenario whose every name is evil, in a folder of its own."""
    return evil_scenario(tmp_path_factory.mktemp("evil"))


@pytest.mark.parametrize(
    "words",
    [
        ("check", "--defaults"),
        ("figures", "--all"),
        ("figures", "--format", "json"),
        ("figures", "--format", "csv"),
        ("job",),
        ("job", "--prices"),
    ],
)
def test_evil_words_are_printed_as_they_stand(
    words: tuple[str, ...], evil: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
):
    monkeypatch.chdir(tmp_path)
    said = say(words[0], str(evil), *words[1:], longest=60)
    assert (said.code, said.trouble, said.err) == (0, (), "")
    if "csv" in words:
        rows = csv.reader(said.out.splitlines())
        assert not [cell for row in rows for cell in row if _is_formula(cell)]
    else:
        shown = " ".join(said.out.split())
        assert "<script>alert(1)</script>" in shown
        assert "--prices" in words or "{0.__class__.__mro__} {{7*7}} {% x %} %(a)s %n" in shown
    assert not UNPRINTED.search(said.out.replace("\r\n", "\n"))
    assert not list(tmp_path.iterdir())


def _is_formula(cell: str) -> bool:
    return cell.startswith(("=", "+", "-", "@")) and not re.fullmatch(r"-[\d.e+-]+", cell)


ESCAPES = ("\x1b[2J", "\x1b]0;t\x07", "\x9b31m", "\x08", "\u202e")


@pytest.mark.parametrize("sign", ESCAPES)
@pytest.mark.parametrize(
    "line",
    [
        'title = "{}"',
        '"{}" = 1',
        '["{}"]\nx = 1',
        'horizon = "{} months"',
        'currency = "{}"',
        'start = {{ "{}" = 1 }}',
        '[[products]]\nname = "{}"\nprise = 1',
        '[test_prints]\nfile = "{}"',
    ],
)
def test_no_escape_of_a_file_reaches_the_terminal(line: str, sign: str, tmp_path: Path):
    code = "".join(f"\\U{ord(one):08x}" for one in sign)
    scenario = tmp_path / "shop.toml"
    scenario.write_text(line.format(code) + "\n", encoding="utf-8")
    said = say("check", str(scenario))
    assert said.code == 2
    assert not UNPRINTED.search(said.out + said.err)


@pytest.mark.parametrize("sign", ESCAPES)
def test_no_escape_of_a_sheet_reaches_the_terminal(sign: str, tmp_path: Path):
    scenario = evil_scenario(tmp_path)
    (tmp_path / "prints.csv").write_text(f"design,{sign}\n{sign},1\n", encoding="utf-8")
    said = say("check", str(scenario))
    assert said.code == 2
    assert not UNPRINTED.search(said.err)


@pytest.mark.parametrize("sign", ESCAPES)
def test_no_escape_of_a_change_reaches_the_terminal(sign: str, evil: Path):
    for change in (f"{sign}=1", f"shop.wage={sign}", sign, f"shop.{sign}=1"):
        said = say("figures", str(evil), "--set", change)
        assert said.code == 2
        assert not UNPRINTED.search(said.err), change


@pytest.mark.skipif(os.name != "posix", reason="names of files that other systems refuse")
@pytest.mark.parametrize("command", ["check", "figures", "job", "run", "lab"])
def test_a_file_whose_name_steers_the_terminal_is_refused(command: str, tmp_path: Path):
    scenario = tmp_path / "a\x1b[2Jb.toml"
    scenario.write_bytes(evil_scenario(tmp_path / "evil").read_bytes())
    said = say(command, str(scenario))
    assert (said.code, said.out) == (2, "")
    assert "must hold no control characters" in said.err
    assert not UNPRINTED.search(said.err)


# ---------------------------------------------------------------- in files


@pytest.fixture(scope="module")
def results(evil: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All that a run on the evil scenario leaves."""
    place = tmp_path_factory.mktemp("evil results {0} $(touch owned)")
    before = Path.cwd()
    os.chdir(place)
    try:
        said = say("run", str(evil), "--to", "out", "--draws", "16", longest=WITHIN)
    finally:
        os.chdir(before)
    assert (said.code, said.trouble) == (0, ()), said.err
    return place / "out"


@pytest.mark.fuzz
def test_nothing_in_a_scenario_is_executed(results: Path, evil: Path):
    for folder in (results.parent, evil.parent):
        assert not list(folder.rglob("*owned"))
    assert [path.name for path in results.parent.iterdir()] == ["out"]
    hostname = Path("/etc/hostname")
    if hostname.exists() and len(hostname.read_text().strip()) > 5:
        printed = "".join(
            page.extract_text() for page in pypdf.PdfReader(results / "lender.pdf").pages
        )
        assert hostname.read_text().strip() not in printed


@pytest.mark.fuzz
def test_names_of_files_are_plain(results: Path):
    names = [path.name for path in results.rglob("*")]
    assert len(names) > 40
    assert not [name for name in names if not re.fullmatch(r"[a-z0-9-]+(\.[a-z]+)?", name)]


class Reader(HTMLParser):
    """Tags, attributes and words of a page as a browser takes them."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += [(name, value or "") for name, value in attributes]

    def handle_data(self, data: str) -> None:
        self.words.append(data)


@pytest.mark.fuzz
def test_pages_show_evil_words_and_obey_none(results: Path):
    shown = ""
    for path in results.glob("*.html"):
        reader = Reader()
        reader.feed(path.read_text("utf-8"))
        assert not reader.tags & {"script", "iframe", "object", "embed", "base", "form"}
        assert not [name for name, _ in reader.attributes if name.startswith("on")]
        fetched = [value for name, value in reader.attributes if name in ("src", "href", "action")]
        assert not [value for value in fetched if re.match(r"\s*(javascript|https?):", value)]
        shown += " ".join("".join(reader.words).split())
    missing = [word for word in WORDS if " ".join(word.split()) not in shown]
    assert not missing


@pytest.mark.fuzz
def test_pictures_hold_no_script(results: Path):
    for path in results.rglob("*.svg"):
        elements = list(ElementTree.parse(path).iter())
        tags = {element.tag.rpartition("}")[2] for element in elements}
        assert not tags & {"script", "foreignObject", "a", "image", "img", "animate", "set"}
        assert not [name for one in elements for name in one.attrib if name.startswith("on")]


@pytest.mark.fuzz
def test_no_cell_of_a_table_is_a_formula(results: Path):
    tables = list(results.rglob("*.csv"))
    assert len(tables) > 5
    for path in tables:
        with path.open(encoding="utf-8", newline="") as stream:
            cells = [cell for row in csv.reader(stream) for cell in row]
        assert not [cell for cell in cells if _is_formula(cell)], path.name
    words = "".join(path.read_text("utf-8") for path in tables)
    assert "'=HYPERLINK" in words
    assert "'@SUM" in words


@pytest.mark.fuzz
def test_no_words_in_the_workbook_are_a_formula(results: Path):
    book = openpyxl.load_workbook(results / "plan.xlsx")
    formulas = [
        str(cell.value)
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    ]
    assert len(formulas) > 100
    assert not [one for one in formulas if re.search(r"HYPERLINK|calc|-2\+3|owned", one)]


@pytest.mark.fuzz
def test_notebooks_hold_evil_words_as_literals(results: Path):
    for path in (results / "notebooks").glob("*.ipynb"):
        for cell in json.loads(path.read_text("utf-8"))["cells"]:
            tags = cell["metadata"].get("tags", [])
            source = "".join(cell["source"])
            if cell["cell_type"] == "code" and "injected-parameters" not in tags:
                assert not any(word in source for word in WORDS)
            for output in cell.get("outputs", []):
                assert "application/javascript" not in output.get("data", {})
    page = (results / "index.html").read_text("utf-8")
    assert html.escape("<script>alert(1)</script>") in page


# ---------------------------------------------------------------- links, pipes and bombs

needs_posix = pytest.mark.skipif(os.name != "posix", reason="links and pipes of POSIX")
SCENARIO = Path(__file__).parents[2] / "scenarios" / "shortest.toml"


@needs_posix
def test_a_folder_of_the_results_that_leads_elsewhere_is_refused(tmp_path: Path):
    elsewhere, out = tmp_path / "elsewhere", tmp_path / "out"
    elsewhere.mkdir()
    out.mkdir()
    (out / "tables").symlink_to(elsewhere)
    said = say("run", str(SCENARIO), "--to", str(out), "--draws", "0")
    assert (said.code, said.out) == (1, "")
    assert said.err == f"{out / 'tables'}: must be a folder (got a link to {elsewhere})\n"
    assert not list(elsewhere.iterdir())


@pytest.mark.long
@needs_posix
def test_links_among_the_results_are_replaced_and_not_followed(tmp_path: Path):
    mine, out = tmp_path / "mine", tmp_path / "out"
    mine.write_text("mine")
    (out / "notebooks").mkdir(parents=True)
    for name in ("index.html", "figures.json", "plan.xlsx", "notebooks/print-cost.ipynb"):
        (out / name).symlink_to(mine)
    words = ("--to", str(out), "--only", "print-cost", "--draws", "0")
    said = say("run", str(SCENARIO), *words, longest=WITHIN)
    assert said.code == 0, said.err
    assert mine.read_text() == "mine"
    assert not [path for path in out.rglob("*") if path.is_symlink()]


@pytest.mark.long
@needs_posix
def test_results_may_themselves_be_a_link(tmp_path: Path):
    (tmp_path / "disk").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "disk")
    words = ("--to", str(tmp_path / "out"), "--only", "print-cost", "--draws", "0")
    assert say("run", str(SCENARIO), *words, longest=WITHIN).code == 0
    assert (tmp_path / "disk" / "index.html").is_file()


@needs_posix
@pytest.mark.parametrize("what", ["scenario", "sheet"])
def test_a_pipe_is_no_file(what: str, tmp_path: Path):
    text = SCENARIO.read_text("utf-8").replace("shortest-test-prints.csv", "prints.csv")
    scenario = tmp_path / "shop.toml"
    if what == "sheet":
        scenario.write_text(text, encoding="utf-8")
        os.mkfifo(tmp_path / "prints.csv")
    else:
        os.mkfifo(scenario)
    said = say("check", str(scenario))
    assert said.code == 2
    assert "must be a file (got " in said.err


@needs_posix
def test_a_picture_that_is_a_pipe_is_refused(tmp_path: Path):
    os.mkfifo(tmp_path / "picture.png")
    with pytest.raises(ArtworkError, match="must be a picture file"):
        read_artwork(tmp_path / "picture.png")


@pytest.mark.skipif(sys.platform != "linux", reason="/dev/zero")
def test_a_file_without_end_is_refused():
    said = say("check", "/dev/zero")
    assert said.code == 2
    assert "must be a file" in said.err


def bomb(*chunks: tuple[bytes, bytes], side: int = 1) -> bytes:
    """A small PNG file that asks for much memory."""
    head = struct.pack(">IIBBBBB", side, side, 8, 6, 0, 0, 0)
    body = zlib.compress(b"\0" * 5)
    parts = [(b"IHDR", head), *chunks, (b"IDAT", body), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in parts
    )


MUCH = zlib.compress(b"\0" * 200_000_000, 9)
BOMBS = {
    "more pixels than memory": bomb(side=2**31 - 1),
    "more pixels than are read": bomb(side=20_000),
    "text": bomb((b"zTXt", b"k\0\0" + MUCH)),
    "international text": bomb((b"iTXt", b"k\0\1\0\0\0" + MUCH)),
    "a colour profile": bomb((b"iCCP", b"k\0\0" + MUCH)),
    "much text": bomb(*[(b"tEXt", b"k\0" + b"x" * 900_000)] * 80),
}


@pytest.mark.parametrize("data", BOMBS.values(), ids=BOMBS.keys())
def test_a_picture_that_is_a_bomb_is_refused_before_it_is_unpacked(data: bytes, tmp_path: Path):
    path = tmp_path / "picture.png"
    path.write_bytes(data)
    tracemalloc.start()
    try:
        with pytest.raises(ArtworkError, match=r"picture.png: must "):
            read_artwork(path)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 90_000_000
