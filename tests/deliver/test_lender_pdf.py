"""The lender's file as a PDF: archival, tagged, the same bytes, and no number of its own."""

import copy
import datetime
import functools
import io
import itertools
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pypdf
import pytest
import reading_documents
from helpers import ROOT, SHIPPED, shipped_answer

from planner.decide.answer import AnswerPage, answer
from planner.decide.lending import for_lender
from planner.decide.risk.answer import risk
from planner.deliver.lender_pdf import (
    NO_DATE,
    Json,
    lender_document,
    lender_pdf,
    paper_of,
    typeset,
    write_lender_pdf,
)
from planner.scenario.load import load
from planner.show import lender

LETTER, A4 = (612.0, 792.0), (595.276, 841.89)  # points
NOT_SET = ("kind", "align", "svg", "alt", "paper", "region", "author")
ZERO_WIDTH = "\u200b"  # where a long word may be broken


@functools.cache
def document_of(name: str) -> Json:
    page = for_lender(shipped_answer(name))
    return lender_document(page, page.best)


@functools.cache
def pdf_of(name: str) -> bytes:
    return typeset(document_of(name), date=NO_DATE)


@functools.cache
def pages_of(name: str) -> tuple[str, ...]:
    return pages(pdf_of(name))


def pages(content: bytes) -> tuple[str, ...]:
    """The text of each page on one line, as a reader copies it."""
    reader = pypdf.PdfReader(io.BytesIO(content))
    return tuple(flat(page.extract_text()) for page in reader.pages)


def flat(text: str) -> str:
    return " ".join(text.replace(ZERO_WIDTH, "").split())


def texts(node: object) -> Iterator[str]:
    """Every text of a document that is set, pictures and layout aside."""
    return reading_documents.texts(node, but=NOT_SET)


def numbers_in(text: str) -> list[str]:
    return re.findall(r"\d(?:[\d.,\u00a0\u202f]*\d)?", text)


# ---------------------------------------------------------------- every number has a source
def stray(document: Json, printed: tuple[str, ...]) -> tuple[Counter[str], Counter[str]]:
    """Numbers in the PDF that the document does not hold, and those of it that the PDF lacks."""
    furniture = re.compile(r" page (\d+) of (\d+)$")
    body = [furniture.sub("", text) for text in printed]
    found = Counter(number for text in body for number in numbers_in(text))
    held = Counter(number for text in texts(document) for number in numbers_in(text))
    unknown = Counter({number: n for number, n in found.items() if number not in held})
    return unknown, held - found


@pytest.mark.long
@pytest.mark.parametrize("name", SHIPPED)
def test_every_number_is_in_the_tables_and_every_number_of_them_is_printed(name: str) -> None:
    unknown, lacking = stray(document_of(name), pages_of(name))
    assert unknown == Counter()
    assert lacking == Counter()


@pytest.mark.long
def test_a_wrong_number_would_be_found() -> None:
    wrong = copy.deepcopy(document_of("larkspur-lane"))
    (amount,) = [row for row in wrong["page-one"][0]["blocks"][0]["rows"] if row[0] == "Amount"]
    amount[1] = "$98,765.43"
    printed = pages(typeset(wrong, date=NO_DATE))
    unknown, lacking = stray(document_of("larkspur-lane"), printed)
    assert unknown == Counter(["98,765.43"])
    assert lacking == Counter(["15,588.33"])


@pytest.mark.long
@pytest.mark.parametrize("name", SHIPPED)
def test_tables_are_those_of_the_notebook(name: str) -> None:
    page = for_lender(shipped_answer(name))
    printed = [row for block in tables(document_of(name)) for row in block["rows"]]
    for frame in (lender.cash_by_month_table(page), lender.cash_by_year_table(page)):
        whole = lender.cash_formats(page, frame)
        for name_of_line, *flows in frame.itertuples(index=False, name=None):
            heads = zip(frame.columns[1:], flows, strict=True)
            assert [name_of_line, *(whole[head](flow) for head, flow in heads)] in printed


def tables(document: Json) -> list[Json]:
    sections = [*document["page-one"], *document["appendix"]]
    blocks = [block for section in sections for block in section["blocks"]]
    return [block for block in blocks if block["kind"] == "table"]


# ---------------------------------------------------------------- page one stands alone
@pytest.mark.long
@pytest.mark.parametrize("name", SHIPPED)
def test_page_one_is_the_first_page_and_nothing_else_is(name: str) -> None:
    document, first = document_of(name), pages_of(name)[0]
    for text in texts(document["page-one"]):
        assert flat(text) in first, text
    assert document["title"] in first
    assert "page 1 of" in first
    assert document["appendix"][0]["heading"] not in first


@pytest.mark.parametrize("name", SHIPPED)
def test_the_appendix_follows_in_its_order(name: str) -> None:
    rest = " ".join(pages_of(name)[1:])
    at = 0
    for number, section in enumerate(document_of(name)["appendix"], 1):
        heading = flat(section["heading"])
        assert heading.startswith(f"A{number} ")
        at = rest.index(heading, at) + len(heading)
    assert number == 15


@pytest.mark.parametrize("name", SHIPPED)
def test_pages_are_numbered_and_of_the_territory(name: str) -> None:
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(name)))
    total = len(reader.pages)
    assert 12 <= total <= 17
    size = A4 if name == "two-widths" else LETTER
    for number, (page, text) in enumerate(zip(reader.pages, pages_of(name), strict=True), 1):
        assert text.endswith(f"page {number} of {total}")
        box = (float(page.mediabox.width), float(page.mediabox.height))
        assert box in (pytest.approx(size, abs=0.01), pytest.approx(size[::-1], abs=0.01))


@pytest.mark.parametrize("name", SHIPPED)
def test_the_stress_lines_stand_on_one_page_and_are_large_enough(name: str) -> None:
    (section,) = [one for one in document_of(name)["appendix"] if "Under stress" in one["heading"]]
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(name)))
    (at,) = [at for at, text in enumerate(pages_of(name)) if flat(section["heading"]) in text]
    assert [text for text in texts(section["blocks"]) if flat(text) not in pages_of(name)[at]] == []
    sizes: list[tuple[str, float]] = []

    def seen(text: str, own: object, matrix: list[float], font: object, size: float) -> None:
        if text.strip():
            sizes.append((text.strip(), round(size * abs(matrix[3]), 3)))

    reader.pages[at].extract_text(visitor_text=seen)
    begun = next(place for place, (text, _) in enumerate(sizes) if "Under stress" in text)
    rest = itertools.takewhile(lambda one: not one[0].startswith("A13"), sizes[begun:])
    own = [size for _, size in rest if size != 7.0]  # which is the foot of every page
    assert len(own) > 40
    assert min(own) >= 9.0


# What each section of the appendix is about, by the row of A1 that sends a reader to it.
ABOUT = {
    "A2": "What is bought",
    "A4": "by month",
    "A5": "fiscal year",
    "A6": "Debts",
    "A7": "balance",
    "A8": "Schedule",
    "A9": "Resale",
    "A10": "pieces a week",
    "A11": "pay",
    "A13": "Capacity",
    "A14": "Every number",
}


@pytest.mark.parametrize("name", SHIPPED)
def test_what_lenders_ask_for_stands_where_it_says(name: str) -> None:
    first, *others = document_of(name)["appendix"]
    sent = "; ".join(row[1] for row in first["blocks"][0]["rows"])
    assert sorted(set(re.findall(r"A\d+", sent))) == sorted(ABOUT)
    headings = {section["heading"].partition(" ")[0]: section["heading"] for section in others}
    assert [number for number, about in ABOUT.items() if about not in headings[number]] == []
    titles = [section["heading"] for section in document_of(name)["page-one"]]
    for asked in re.findall(r"page 1, ([^;?:]*)", sent):
        assert any(title.startswith(asked.strip()) for title in titles), asked


@pytest.mark.parametrize("name", SHIPPED)
def test_no_command_and_no_key_stands_in_it(name: str) -> None:
    whole = "\n".join(texts([document_of(name)["page-one"], document_of(name)["appendix"]]))
    assert "--set" not in whole
    assert re.findall(r"[a-z_]+\.\"[^\"]*\"", whole) == []


@pytest.mark.long
def test_the_stress_page_of_many_products_is_no_longer() -> None:
    one, many = map(stress_of, (for_lender(shipped_answer("shortest")), many_products()))
    assert len(one["blocks"]) == len(many["blocks"])
    for block, longer in zip(one["blocks"], many["blocks"], strict=True):
        assert len(longer.get("rows", longer.get("words"))) == len(
            block.get("rows", block.get("words"))
        )


def stress_of(page: AnswerPage) -> Json:
    (found,) = [
        one
        for one in lender_document(page, page.best)["appendix"]
        if "Under stress" in one["heading"]
    ]
    return found


def many_products() -> AnswerPage:
    """The shortest scenario with its product twenty times over."""
    path = ROOT / "scenarios" / "shortest.toml"
    scenario = load(path)
    (one,) = scenario.products
    return for_lender(answer(scenario.model_copy(update={"products": tuple(
        one.model_copy(update={"name": f"{one.name} {number}"}) for number in range(20)
    )})))  # fmt: skip


@pytest.mark.long
def test_what_drawn_cases_come_to_follows_the_ranges() -> None:
    page = for_lender(shipped_answer("larkspur-lane"))
    found = risk(page, draws=64, seed=0)
    headings = [
        section["heading"] for section in lender_document(page, page.best, found=found)["appendix"]
    ]
    assert headings[13:] == [
        "A14 Every number that this rests on",
        "A15 What cases drawn from the ranges come to",
        "A16 Cautions",
    ]


# ---------------------------------------------------------------- archival and tagged
@pytest.mark.parametrize("name", SHIPPED)
def test_standards_tags_and_fonts(name: str) -> None:
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(name)))
    root = reader.trailer["/Root"]
    metadata = root["/Metadata"].get_data().decode("utf-8")
    assert "<pdfaid:part>2</pdfaid:part><pdfaid:conformance>A</pdfaid:conformance>" in metadata
    assert "<pdfuaid:part>1</pdfuaid:part>" in metadata
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == ("en-IE" if name == "two-widths" else "en-US")
    assert reader.metadata is not None
    assert reader.metadata.title == shipped_answer(name).scenario.title
    fonts = list(fonts_in(reader))
    assert {family for family, _ in fonts} <= {"DejaVuSans", "DejaVuSans-Bold"}
    assert all(is_embedded for _, is_embedded in fonts)


def fonts_in(reader: pypdf.PdfReader) -> Iterator[tuple[str, bool]]:
    """Family of each font, and whether the file of it is in the PDF."""
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            (inner,) = font.get_object()["/DescendantFonts"]
            descriptor = inner.get_object()["/FontDescriptor"]
            embedded = any(f"/FontFile{kind}" in descriptor for kind in ("", "2", "3"))
            yield str(descriptor["/FontName"]).partition("+")[2], embedded


@pytest.mark.long
@pytest.mark.parametrize("name", SHIPPED)
def test_every_picture_has_its_words(name: str) -> None:
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(name)))
    figures = [
        node
        for node in nodes(reader.trailer["/Root"]["/StructTreeRoot"])
        if node["/S"] == "/Figure"
    ]
    sections = document_of(name)["appendix"]
    blocks = [block for section in sections for block in section["blocks"]]
    alts = [block["alt"] for block in blocks if block["kind"] == "picture"]
    assert [node["/Alt"] for node in figures] == alts
    assert len(alts) == 4
    assert all(re.search(r"\d", alt) for alt in alts)


def nodes(tree: pypdf.generic.PdfObject) -> Iterator[pypdf.generic.DictionaryObject]:
    """Elements of the tree of tags."""
    tree = tree.get_object()
    kids = tree.get("/K", []) if isinstance(tree, dict) else []
    if isinstance(tree, dict) and "/S" in tree:
        yield tree
    for kid in kids if isinstance(kids, list) else [kids]:
        if isinstance(kid.get_object(), dict):
            yield from nodes(kid)


def test_tables_are_tagged_with_their_heads() -> None:
    reader = pypdf.PdfReader(io.BytesIO(pdf_of("larkspur-lane")))
    tags = Counter(node["/S"] for node in nodes(reader.trailer["/Root"]["/StructTreeRoot"]))
    document = document_of("larkspur-lane")
    pairs = [b for s in document["page-one"] for b in s["blocks"] if b["kind"] == "pair"]
    assert tags["/Table"] == len(tables(document)) + 2 * len(pairs)
    assert tags["/TH"] >= sum(len(block["head"]) for block in tables(document))
    assert tags["/H1"] == len(document["page-one"]) + len(document["appendix"])


# ---------------------------------------------------------------- the same bytes
@pytest.mark.long
def test_two_runs_are_the_same_bytes(tmp_path: Path) -> None:
    page = shipped_answer("shortest")
    for name in ("one", "two"):
        write_lender_pdf(page, for_lender(page).best, tmp_path / name / "lender.pdf")
    one, two = ((tmp_path / name / "lender.pdf").read_bytes() for name in ("one", "two"))
    assert one == two == pdf_of("shortest")


@pytest.mark.long
def test_a_date_is_printed_only_if_given() -> None:
    page = for_lender(shipped_answer("shortest"))
    dated = lender_pdf(page, page.best, date=datetime.date(2027, 2, 3))
    assert "3 February 2027" in pages(dated)[0]
    reader = pypdf.PdfReader(io.BytesIO(dated))
    assert reader.metadata is not None
    assert reader.metadata.creation_date == datetime.datetime(2027, 2, 3, tzinfo=datetime.UTC)
    assert "1970" not in " ".join(pages_of("shortest"))


# ---------------------------------------------------------------- whatever users write
ODD = """#let x = 1; $a_b$ *b* _it_ "q" 's' \\u{41} \\ [c] <l> @r ~ `r` // é €"""
RIGHT_TO_LEFT = "\u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627"
NO_GLYPH = "\u65e5\u672c"


@functools.cache
def odd_page() -> AnswerPage:
    text = f"{ODD} {NO_GLYPH} {RIGHT_TO_LEFT}"
    machine = 'equipment."24-inch printer and shaker dryer"'
    changes = {
        "title": text,
        "orders": [],
        "prepared_for": text,
        "prepared_by": text,
        "lender": {"guarantors": [text, "y" * 200], "missing": [text]},
        'shop.debts."Van".secured_by': text,
        f'{machine}.items."Printer".source': text,
        'products."Full-front tee, dark cotton".name': text,
        f"{machine}.name": text,
    }
    path = ROOT / "scenarios" / "larkspur-lane.toml"
    return for_lender(answer(load(path, changes=changes)))


@pytest.mark.long
def test_what_a_user_writes_stays_text() -> None:
    page = odd_page()
    printed = pages(lender_pdf(page, page.best))
    assert flat(ODD) in printed[0]
    assert sum(text.count(flat(ODD)) for text in printed) > 8
    assert "?? " in printed[0]  # what the font lacks
    assert NO_GLYPH not in printed[0]
    whole = "".join(printed)
    assert all(letter in whole for letter in RIGHT_TO_LEFT.replace(" ", ""))
    assert "y" * 200 in printed[0].replace(" ", "")


@pytest.mark.long
def test_names_that_do_not_fit_run_on() -> None:
    page = odd_page()
    long = page.scenario.lender.model_copy(update={"guarantors": ("word " * 40,) * 40})
    scenario = page.scenario.model_copy(update={"lender": long})
    page = for_lender(answer(scenario))
    printed = pages(lender_pdf(page, page.best))
    assert "Not enclosed" not in printed[0]
    assert "Not enclosed" in printed[1]


@pytest.mark.parametrize(
    ("territory", "paper"),
    [("US", "us-letter"), ("CA", "us-letter"), ("MX", "us-letter"), ("DE", "a4"), ("", "a4")],
)
def test_paper_is_that_of_the_territory(territory: str, paper: str) -> None:
    assert paper_of(territory) == paper


# ---------------------------------------------------------------- other ways to pay
@pytest.mark.long
@pytest.mark.parametrize("at", [0, 2])
def test_cash_and_a_lease(at: int) -> None:
    page = shipped_answer("larkspur-lane")
    chosen = page.choices[at]
    document = lender_document(page, chosen)
    printed = pages(typeset(document, date=NO_DATE))
    assert stray(document, printed) == (Counter(), Counter())
    kind = chosen.choice.financing.kind
    words = {"cash": "none: nothing is owed", "lease": "none: the lessor owns the equipment"}
    assert words[kind] in printed[0]
    assert ("nothing is borrowed" in printed[0]) == (kind == "cash")
    assert ("Lease payments in advance" in printed[0]) == (kind == "lease")


# ---------------------------------------------------------------- every input with its basis
@pytest.mark.parametrize("name", SHIPPED)
def test_every_assumption_is_printed_with_its_basis(name: str) -> None:
    (block,) = [
        b
        for b in tables(document_of(name))
        if b["head"][:2] == ["input", "value"] and len(b["head"]) == 7
    ]
    bases = Counter(row[5] for row in block["rows"] if len(row) > 1)
    assert set(bases) <= {"measured", "accounts", "quoted", "estimated", "default"}
    page = for_lender(shipped_answer(name))
    frame = lender.assumptions_table(page)
    assert bases == Counter(frame["basis"])
