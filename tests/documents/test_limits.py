"""README says under a heading of its own what the model does not know."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
HEADING = "## What the model does not know"
SUBJECTS = {
    "demand is given": r"[Dd]emand is given, not forecast",
    "quality of prints": r"[Ww]ash-fastness, print quality .* not judged",
    "bought-in transfers": r"quality and lead time of bought-in transfers .* constant",
    "failures and resale": r"fails and what it fetches when sold are assumptions",
    "taxes": r"[Tt]axes are simplified",
    "no advice": r"not advice",
}


def said(text: str) -> list[str]:
    """The points of the section, each on one line."""
    section = text.partition(f"\n{HEADING}\n")[2].partition("\n## ")[0]
    return [" ".join(point.split()) for point in section.split("\n- ")[1:]]


@pytest.mark.parametrize("subject", SUBJECTS)
def test_the_limit_is_a_point_of_the_section(subject: str):
    points = said((ROOT / "README.md").read_text(encoding="utf-8"))
    assert [point for point in points if re.search(SUBJECTS[subject], point)]


def test_what_stands_elsewhere_does_not_count():
    text = f"# A\nTaxes are simplified.\n{HEADING}\n\n- Demand is\n  given.\n- B.\n\n## C\n- D.\n"
    assert said(text) == ["Demand is given.", "B."]
