"""The lender's file as a PDF: page one, which stands alone, and its appendix.

It is tagged (PDF/UA-1) and fit for archives (PDF/A-2a), its fonts are embedded, and the same answer
gives the same bytes. Text goes to the typesetter as one JSON string and stays text.
"""

from __future__ import annotations

import datetime
import json
import re
from functools import cache
from pathlib import Path
from typing import Any, Final

import matplotlib
import typst
from babel.core import Locale

from planner.decide.answer import Answered, AnswerPage, about
from planner.decide.lending import lending
from planner.decide.risk.answer import Risk
from planner.deliver.errors import FontError
from planner.deliver.files import write_bytes
from planner.deliver.lender_pages import appendix, page_one
from planner.show.lender.words import day_words
from planner.show.style import drawable

TEMPLATE: Final = Path(__file__).parent / "templates" / "lender" / "lender.typ"
FONTS: Final = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
STANDARDS: Final = ("a-2a", "ua-1")
# A date that the metadata must have where none is given; it is printed nowhere.
NO_DATE: Final = datetime.date(1970, 1, 1)
# Where paper is US Letter: Unicode CLDR, supplemental data on paper size (from memory).
LETTER: Final = ("BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE")
_KEPT: Final = frozenset("\n\u00a0\u202f")

Json = dict[str, Any]


def write_lender_pdf(
    page: AnswerPage,
    answered: Answered,
    to: Path,
    *,
    found: Risk | None = None,
    date: datetime.date | None = None,
) -> None:
    """Write the lender's file of one choice, whole or not at all; see ``lender_pdf``."""
    write_bytes(to, lender_pdf(page, answered, found=found, date=date))


def lender_pdf(
    page: AnswerPage,
    answered: Answered,
    *,
    found: Risk | None = None,
    date: datetime.date | None = None,
) -> bytes:
    """The lender's file of one choice, on US Letter or A4 by the scenario's territory.

    ``found`` is what drawn cases say of the same choice; without it no chance is stated.

    ``date`` is printed and goes into the metadata; without one, none is printed. A sign that the
    font lacks becomes its nearest form or a question mark. What page one says is set as small as it
    must be, down to 7 pt; names so long that it does not fit even then run on to the next page.
    Raises ``FontError`` where a font is missing.
    """
    _fonts()
    document = lender_document(page, answered, found=found, date=date)
    return typeset(document, date=date or NO_DATE)


def lender_document(
    page: AnswerPage,
    answered: Answered,
    *,
    found: Risk | None = None,
    date: datetime.date | None = None,
) -> Json:
    """All that the template sets, as plain text: nothing in the PDF comes from anywhere else."""
    page = about(page, answered)
    shown = lending(page, page.best)
    territory = Locale.parse(page.scenario.locale).territory or ""
    title = page.scenario.title
    said: Json = {
        "title": title,
        "author": page.scenario.prepared_by,
        "subtitle": _subtitle(page, date),
        "footer": f"{title}: lender's file",
        "page-words": ["page ", " of "],
        "page-one": page_one(page, shown),
        "appendix": appendix(page, shown, found),
    }
    layout: Json = {
        "paper": paper_of(territory),
        "region": territory if re.fullmatch("[A-Z]{2}", territory) else None,
    }
    return {**_settable(said), **layout}


def paper_of(territory: str) -> str:
    """The paper of a territory, by its code; A4 where none is known."""
    return "us-letter" if territory in LETTER else "a4"


def _subtitle(page: AnswerPage, date: datetime.date | None) -> str:
    equipment, warranty, financing = page.best.choice.names
    asked = f"Lender's file. {financing}; {equipment}; warranty: {warranty}"
    return f"{asked}. {day_words(date)}" if date else asked


def typeset(document: Json, *, date: datetime.date) -> bytes:
    """The document as PDF; the same document and date give the same bytes."""
    return typst.compile(
        TEMPLATE.read_bytes(),
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(document, ensure_ascii=False)},
        pdf_standards=list(STANDARDS),
        timestamp=datetime.datetime.combine(date, datetime.time(), datetime.UTC),
    )


@cache
def _fonts() -> typst.Fonts:
    """The fonts that the pictures are drawn with, and no others of the machine."""
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    for name in FONTS:
        if not (folder / name).is_file():
            raise FontError(folder / name)
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(folder)]
    )


def _settable(value: Any) -> Any:
    """The document with every text as the font and the archive can hold it; pictures as drawn."""
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, list):
        return [_settable(item) for item in value]
    if isinstance(value, dict):
        return {key: item if key == "svg" else _settable(item) for key, item in value.items()}
    return value


def _text(text: str) -> str:
    """Text without signs that are not drawn, and with what the font lacks replaced."""
    return drawable("".join(c if c.isprintable() or c in _KEPT else "\ufffd" for c in text))
