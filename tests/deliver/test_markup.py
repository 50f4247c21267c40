"""Nothing that a user wrote is ever markup."""

import html

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.deliver.markup import (
    markdown_escape,
    markdown_to_html,
    plain_to_html,
    table_to_html,
)

NASTY = [
    "<script>alert(1)</script>",
    "*bold* _it_ `code` # head",
    "[text](javascript:alert(1)) ![x](http://a.b/c.png)",
    "from $5 to $6 & more",
    "a | b\n---|---",
    "1. one\n2. two",
    "{braces} \\ backslash &amp; &lt;",
]


@pytest.mark.parametrize("text", NASTY)
def test_escaped_text_reads_as_itself_inside_markdown(text: str) -> None:
    shown = markdown_to_html(f"It is **{markdown_escape(text)}**, so.")
    inner = html.escape(" ".join(text.split()))
    assert html.unescape(shown) == html.unescape(f"<p>It is <strong>{inner}</strong>, so.</p>")
    assert shown.count("<") == 4


@given(st.text())
def test_any_text_inside_markdown_makes_no_tag_of_its_own(text: str) -> None:
    shown = markdown_to_html(f"a {markdown_escape(text)} b")
    assert shown.count("<") == 2  # the paragraph, opened and closed
    assert plain_to_html(f"x{text}").replace("<p>", "").replace("</p>", "").count("<") == 0


def test_html_and_pictures_in_markdown_are_only_text() -> None:
    shown = markdown_to_html("# A\n\n<b>x</b> ![chart](http://a.b/c.png) [l](javascript:x)")
    assert "<h1>A</h1>" in shown
    assert "<b>" not in shown
    assert "<img" not in shown
    assert 'href="javascript' not in shown


def test_plain_text_keeps_its_paragraphs() -> None:
    assert plain_to_html("a < b\n\nc") == "<p>a &lt; b</p><p>c</p>"


def test_a_table_can_be_followed_by_ear() -> None:
    table = table_to_html(
        caption="What & when",
        header=["Way", "Paid"],
        rows=[["<loan>", "$5"]],
        numeric=[False, True],
    )
    assert "<caption><span>What &amp; when</span></caption>" in table
    assert '<th scope="col" style="text-align: right">Paid</th>' in table  # may wrap
    assert '<th scope="row" style="text-align: left">&lt;loan&gt;</th>' in table
    assert '<td style="text-align: right; white-space: nowrap">$5</td>' in table
    assert 'role="region" tabindex="0" aria-label="What &amp; when"' in table
    assert " id=" not in table
