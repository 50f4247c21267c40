"""The front page of a scenario's results, from plain data."""

import base64
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final
from xml.etree import ElementTree

from jinja2 import Environment, FileSystemLoader
from markupsafe import Markup, escape

from planner.deliver.files import write_text
from planner.deliver.markup import table_to_html
from planner.deliver.whole import require_whole

TEMPLATES = Path(__file__).parent / "templates" / "page"
DESCRIPTION = "{http://purl.org/dc/elements/1.1/}description"
# A key of a scenario among words: steps with dots between them, or a single one of several words.
_STEP: Final = r"""(?:[a-z]+(?:_[a-z]+)*|"(?:[^"\\]|\\.)*")(?:\[\d+\])*"""
KEY: Final = re.compile(rf"""(?<![\w."])((?:{_STEP}(?:\.{_STEP})+|[a-z]+(?:_[a-z]+)+))(?![\w"])""")


@dataclass(frozen=True)
class Link:
    """A file of the results: the words of the link, and its path seen from the front page."""

    words: str
    path: str


@dataclass(frozen=True)
class FrontPicture:
    """A picture under its finding: an SVG, and its text alternative."""

    heading: str
    svg: bytes
    alt: str


@dataclass(frozen=True)
class FrontTable:
    """A table in words: a caption, and rows as long as the header."""

    caption: str
    header: Sequence[str]
    rows: Sequence[Sequence[str]]


@dataclass(frozen=True, kw_only=True)
class Front:
    """All that the front page says, in plain words; nothing in it is markup.

    Parameters
    ----------
    title, first_sentence : str
        What the scenario is called, and the answer.
    comparison : FrontTable
        The three comparisons, a row each.
    pages, documents, tables : sequence of Link
        Pages of the notebooks; the workbook, the lender's paper and the like; tables.
    cautions : sequence of str
        What must be read with the answer. Here, in the defaults and in the costs left out a key of
        the scenario is set apart from the words.
    pictures : sequence of FrontPicture
        Pictures that the front page holds itself.
    defaults, left_out : sequence of str
        Defaults in use and costs left out.
    returns : FrontTable, optional
        Rates of return and the like, which only an accountant asks for.
    contracts : sequence of str
        How contracts are classified, for the accountant too.
    glossary : sequence of (str, str)
        Words that the pages use, each with what it means.
    """

    title: str
    first_sentence: str
    comparison: FrontTable
    pages: Sequence[Link] = ()
    documents: Sequence[Link] = ()
    tables: Sequence[Link] = ()
    cautions: Sequence[str] = ()
    pictures: Sequence[FrontPicture] = ()
    defaults: Sequence[str] = ()
    left_out: Sequence[str] = ()
    returns: FrontTable | None = None
    contracts: Sequence[str] = ()
    glossary: Sequence[tuple[str, str]] = ()


def write_front(front: Front, to: Path) -> None:
    """Write the front page, whole or not at all."""
    write_text(to, front_page(front))


def front_page(front: Front) -> str:
    """The front page, whole in itself."""
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, keep_trailing_newline=True
    )
    environment.filters["keys"] = _keys_apart
    html = environment.get_template("front.html.j2").render(
        front=front,
        comparison=_table(front.comparison),
        returns=_table(front.returns) if front.returns else None,
        pictures=[
            {"heading": shown.heading, "alt": shown.alt, "source": _source(shown.svg)}
            for shown in front.pictures
        ],
    )
    require_whole(html)
    return html


def read_picture(path: Path, *, heading: str) -> FrontPicture:
    """A picture that a notebook wrote, with the text alternative that its SVG carries.

    Raises ValueError if the SVG carries none.
    """
    svg = path.read_bytes()
    found = ElementTree.fromstring(svg).find(f".//{DESCRIPTION}")
    if found is None or not found.text:
        raise ValueError(f"{path}: must carry a description (got none)")
    return FrontPicture(heading, svg, found.text)


def _table(table: FrontTable) -> Markup:
    """The table; a column of single words is set like numbers, one of phrases may wrap."""
    numeric = [all(" " not in cell for cell in column) for column in zip(*table.rows, strict=True)]
    return Markup(
        table_to_html(caption=table.caption, header=table.header, rows=table.rows, numeric=numeric)
    )


def _keys_apart(words: str) -> Markup:
    """Words in which the keys of a scenario are set as code."""
    parts = KEY.split(words)  # words and keys in turn
    return Markup("").join(
        Markup("<code>{}</code>").format(part) if place % 2 else escape(part)
        for place, part in enumerate(parts)
    )


def _source(svg: bytes) -> str:
    return f"data:image/svg+xml;base64,{base64.b64encode(svg).decode('ascii')}"
