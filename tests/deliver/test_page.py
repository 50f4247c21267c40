"""What a notebook shows and writes."""

import base64
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from planner.deliver import page as page_module
from planner.deliver.errors import CheckFailed
from planner.deliver.page import Page
from planner.show.charts import Line, Picture, financing_outlay
from planner.show.numbers import Numbers

US = Numbers(locale="en_US", currency="USD", units="inch")


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, str]]:
    """What was shown, in order."""
    outputs: list[dict[str, str]] = []
    monkeypatch.setattr(page_module, "display", lambda data, raw: outputs.append(data))
    return outputs


@pytest.fixture
def page(tmp_path: Path) -> Page:
    return Page(tmp_path / "plans {x}", "payback")


def outlay() -> Picture:
    return financing_outlay([Line("Loan & <co>", [1, 3, 6]), Line("Cash", [5, 5, 5])], numbers=US)


def attributes(html: str, tag: str) -> dict[str, str | None]:
    """Attributes of the first such tag, as a browser reads them."""
    found: list[dict[str, str | None]] = []

    class Reader(HTMLParser):
        def handle_starttag(self, name: str, attrs: list[tuple[str, str | None]]) -> None:
            if name == tag:
                found.append(dict(attrs))

    Reader().feed(html)
    return found[0]


def test_values_in_words_are_text(page: Page, shown: list[dict[str, str]]) -> None:
    page.words("## How\n\nPays **{what}**.", what="<b>*$5* and $6</b>")
    (output,) = shown
    assert "<h2>How</h2>" in output["text/html"]
    assert "<strong>&lt;b&gt;*$5* and $6&lt;/b&gt;</strong>" in output["text/html"]
    assert "mathjax_ignore" in output["text/html"]  # dollars are money
    assert output["text/plain"] == "## How\n\nPays **<b>*$5* and $6</b>**."


def test_a_name_without_a_value_is_an_error(page: Page) -> None:
    with pytest.raises(KeyError, match="what"):
        page.words("Pays {what}.")


def test_what_is_said_is_text(page: Page, shown: list[dict[str, str]]) -> None:
    page.say("a *b* <i> {c}\n\nd")
    assert "<p>a *b* &lt;i&gt; {c}</p><p>d</p>" in shown[0]["text/html"]


def test_a_picture_is_written_and_shown_with_its_words(
    page: Page, shown: list[dict[str, str]]
) -> None:
    picture = outlay()
    page.picture(picture)
    image = attributes(shown[0]["text/html"], "img")
    svg = (page.output_dir / "charts" / "financing-outlay.svg").read_bytes()
    assert image["alt"] == picture.alt
    assert "Loan & <co>" in picture.alt
    assert base64.b64decode(str(image["src"]).partition("base64,")[2]) == svg
    assert shown[0]["text/plain"] == picture.alt
    png = (page.output_dir / "charts" / "financing-outlay.png").read_bytes()
    assert png.startswith(b"\x89PNG")
    page.picture(outlay())
    assert shown[1] == shown[0]


def test_a_table_is_written_with_all_digits_and_shown_as_asked(
    page: Page, shown: list[dict[str, str]]
) -> None:
    frame = pd.DataFrame({"Way": ["=cash", "<loan>"], "Paid": [5.0, 1234.5678], "n": [1, None]})
    page.table("Pay ments", frame, "What & when", formats={"Paid": US.money})
    written = (page.output_dir / "tables" / "pay-ments.csv").read_bytes()
    assert written == b"Way,Paid,n\r\n'=cash,5.0,1.0\r\n<loan>,1234.5678,\r\n"
    html = shown[0]["text/html"]
    cells = re.findall(r"<t[hd][^>]*>([^<]*)</t[hd]>", html)
    assert cells == ["Way", "Paid", "n", "=cash", "$5", "1", "&lt;loan&gt;", "$1,235", "none"]
    assert "<caption><span>What &amp; when</span></caption>" in html
    assert attributes(html, "td")["style"] == "text-align: right; white-space: nowrap"


def test_a_negative_number_has_a_real_minus_on_the_page_and_a_hyphen_in_the_file(
    page: Page, shown: list[dict[str, str]]
) -> None:
    frame = pd.DataFrame({"way": ["a", "b"], "cover": [-1.65, 0.5], "n": [-2, 1]})
    page.table("covers", frame, "Covers")
    written = (page.output_dir / "tables" / "covers.csv").read_bytes()
    assert written == b"way,cover,n\r\na,-1.65,-2\r\nb,0.5,1\r\n"
    cells = re.findall(r"<td[^>]*>([^<]*)</td>", shown[0]["text/html"])
    assert cells == ["\N{MINUS SIGN}1.65", "\N{MINUS SIGN}2", "0.5", "1"]


def test_an_index_that_is_more_than_a_count_heads_the_rows(
    page: Page, shown: list[dict[str, str]]
) -> None:
    frame = pd.DataFrame({"x": [np.int64(1), np.int64(2)]}, index=pd.Index(["a", "b"], name="key"))
    page.table("t", frame, "c")
    assert (page.output_dir / "tables" / "t.csv").read_bytes() == b"key,x\r\na,1\r\nb,2\r\n"
    assert '<th scope="row" style="text-align: left">a</th>' in shown[0]["text/html"]


def test_checks_that_hold_are_shown(page: Page, shown: list[dict[str, str]]) -> None:
    page.checks([("sums <b>", True, "5 = 5"), ("cents", np.bool_(True), "")])
    assert "sums &lt;b&gt;" in shown[0]["text/html"]
    assert shown[0]["text/plain"] == "Checks of this page: 2 of 2 hold"


def test_checks_that_fail_are_shown_and_named(page: Page, shown: list[dict[str, str]]) -> None:
    checks = [("first", True, ""), ("second", False, "1 is not 2"), ("third", np.bool_(False), "")]
    with pytest.raises(CheckFailed, match=r"payback: .*failed: second; third") as caught:
        page.checks(checks)
    assert caught.value.names == ("second", "third")
    assert shown[0]["text/html"].count("DOES NOT HOLD") == 2


@pytest.mark.parametrize("result", [(True,), "no", 1, None])
def test_a_check_must_be_true_or_false(page: Page, result: Any) -> None:
    with pytest.raises(TypeError, match="check 'x': must be true or false"):
        page.checks([("x", result, "")])


def test_a_page_without_checks_is_an_error(page: Page) -> None:
    with pytest.raises(ValueError, match="must be at least one"):
        page.checks([])
