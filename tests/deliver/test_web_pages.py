"""Web pages: whole in themselves, escaped, in order, with words for every picture."""

import re
from itertools import pairwise
from pathlib import Path

import nbformat
import pytest

from planner.deliver.errors import PageError
from planner.deliver.html import notebook_page, page_title, write_notebook_page
from planner.deliver.index import (
    Front,
    FrontPicture,
    FrontTable,
    Link,
    front_page,
    read_picture,
    write_front,
)
from planner.deliver.whole import require_whole
from planner.show.charts import Line, financing_outlay
from planner.show.numbers import Numbers
from planner.show.style import to_svg

US = Numbers(locale="en_US", currency="USD", units="inch")
CONTROLS = "application/vnd.jupyter.widget-view+json"


def shown(html: str, plain: str = "plain") -> nbformat.NotebookNode:
    data = {"text/html": html, "text/plain": plain}
    return nbformat.v4.new_output("display_data", data=data)


def notebook(*outputs: nbformat.NotebookNode) -> nbformat.NotebookNode:
    title = nbformat.v4.new_markdown_cell("# What <of> it & why?\n\nFrom $5 to $6 <b>x</b>.")
    code = nbformat.v4.new_code_cell("secret_code = 1", outputs=list(outputs), execution_count=1)
    return nbformat.v4.new_notebook(cells=[title, code])


def headings(html: str) -> list[int]:
    return [int(level) for level in re.findall(r"<h([1-6])[ >]", html)]


def in_order(levels: list[int]) -> bool:
    """One heading of the first level, first, and no level left out on the way down."""
    steps = pairwise(levels)
    return levels[0] == 1 and levels.count(1) == 1 and all(b <= a + 1 for a, b in steps)


def test_figures_first_and_no_code() -> None:
    page = notebook_page(notebook(shown("<h2>Two</h2><p>words</p>")), name="payback")
    assert "secret_code" not in page
    assert "<p>words</p>" in page
    assert "plain" not in page
    assert page.startswith("<!DOCTYPE html>")
    assert '<html lang="en">' in page
    assert 'name="viewport"' in page
    assert "<title>What &lt;of&gt; it &amp; why?</title>" in page
    assert in_order(headings(page))


def test_text_cells_are_markdown_without_tags_of_their_own() -> None:
    page = notebook_page(notebook(), name="payback")
    assert "<h1>What &lt;of&gt; it &amp; why?</h1>" in page
    assert "From $5 to $6 &lt;b&gt;x&lt;/b&gt;." in page


def test_the_skip_link_leads_to_the_content() -> None:
    page = notebook_page(notebook(), name="payback", home="index.html")
    assert '<a class="skip" href="#main">' in page
    assert '<main id="main">' in page
    assert page.index('class="skip"') < page.index("index.html") < page.index("<main")


def test_nothing_comes_from_the_network() -> None:
    page = notebook_page(notebook(shown("<p>see http://a.b/c</p>")), name="payback")
    assert not re.findall(r"""(?:src|href)\s*=\s*["']?https?:""", page)
    assert "<script" not in page
    assert "default-src 'none'" in page


@pytest.mark.parametrize(
    "output",
    [
        '<img src="https://a.b/c.png" alt="">',
        '<img alt="" src=//a.b/c.png>',
        "<script>alert(1)</script>",
        '<link rel="stylesheet" href="http://a.b/c.css">',
        '<iframe src="data:text/html,x"></iframe>',
        '<p onclick="x()">x</p>',
        '<p style="background: url(http://a.b/c.png)">x</p>',
        "<style>@import 'http://a.b/c.css';</style>",
        '<style>p { background: url("http://a.b/c.png") }</style>',
        '<video poster="c.png"></video>',
    ],
)
def test_an_output_that_would_fetch_or_run_something_is_an_error(output: str) -> None:
    with pytest.raises(PageError, match="must be whole in itself"):
        notebook_page(notebook(shown(output)), name="payback")


def test_what_is_whole_passes() -> None:
    require_whole(
        '<style>p { background: url("data:image/png;base64,AA==") }</style>'
        '<a href="https://a.b/">a link to follow</a><img src="data:image/png;base64,AA==" alt="x">'
        "<use href='#part'></use>"
    )


def test_plain_outputs_are_escaped() -> None:
    stream = nbformat.v4.new_output("stream", text="a < b <script>\n")
    result = nbformat.v4.new_output("execute_result", data={"text/plain": "<x>"})
    error = nbformat.v4.new_output(
        "error", ename="E", evalue="v", traceback=["\x1b[31m<tb>\x1b[0m"]
    )
    page = notebook_page(notebook(stream, result, error), name="payback")
    assert "a &lt; b &lt;script&gt;" in page
    assert "&lt;x&gt;" in page
    assert "&lt;tb&gt;" in page


def test_controls_become_a_sentence_and_scripts_go() -> None:
    data = {CONTROLS: {"model_id": "1"}, "text/plain": "IntSlider(value=3)"}
    script = {"application/javascript": "alert(1)", "text/plain": "a script"}
    outputs = [nbformat.v4.new_output("display_data", data=d) for d in (data, script)]
    page = notebook_page(notebook(*outputs), name="explore")
    assert "a page cannot work them" in page
    assert "IntSlider" not in page
    assert "alert(1)" not in page


def test_every_picture_has_words() -> None:
    png = nbformat.v4.new_output("display_data", data={"image/png": "AA==", "text/plain": "x"})
    own = shown('<img src="data:image/png;base64,AA==" alt="what it shows">')
    page = notebook_page(notebook(png, own), name="payback")
    images = re.findall(r"<img[^>]*>", page)
    assert len(images) == 2
    assert all(re.search(r'alt="[^"]+"', image) for image in images)
    assert 'alt="what it shows"' in page


def test_a_notebook_without_a_heading_goes_by_its_name(tmp_path: Path) -> None:
    bare = nbformat.v4.new_notebook(cells=[])
    assert page_title(bare) is None
    nbformat.write(bare, tmp_path / "pay {x}.ipynb")
    write_notebook_page(tmp_path / "pay {x}.ipynb", tmp_path / "out" / "page.html")
    assert "<title>pay {x}</title>" in (tmp_path / "out" / "page.html").read_text("utf-8")


SECTIONS = (
    "Three comparisons",
    "Pages<",
    "Documents<",
    "Read this with it",
    "Pictures<",
    "Defaults in use",
    "Costs left out",
    "Tables<",
    "For the accountant<",
)


def front(**more: object) -> Front:
    return Front(
        title="Lark <Lane> & Co",
        first_sentence="Yes: <b>B</b> pays back.",
        comparison=FrontTable(
            "Which way",
            ("Comparison", "Payback", "Worth"),
            [("A. <today>", "none", "$5"), ("B.", "19 months", "-$6"), ("C.", "15 months", "none")],
        ),
        **more,  # type: ignore[arg-type]
    )


def test_the_front_page_says_what_it_was_given() -> None:
    svg = b"<svg xmlns='http://www.w3.org/2000/svg'/>"
    page = front_page(
        front(
            cautions=["x < y"],
            pages=[Link("Does it pay?", "pay {back} 1.html")],
            pictures=[FrontPicture("Cash <wins>", svg, 'alt "text"')],
            documents=[Link("Workbook", "plan.xlsx")],
            tables=[Link("Payments", "tables/pay.csv")],
            defaults=["horizon: 60 months", "efficiency: 60 %"],
            left_out=["sales tax"],
            returns=FrontTable("Rates", ("figure", "value"), [("B, every rate", "5% & 12%")]),
            contracts=["Lease: <operating> lease."],
        )
    )
    for said in (
        "<h1>Lark &lt;Lane&gt; &amp; Co</h1>",
        "Yes: &lt;b&gt;B&lt;/b&gt; pays back.",
        "<li>x &lt; y</li>",
        "A. &lt;today&gt;</th>",
        '<a href="pay%20%7Bback%7D%201.html">Does it pay?</a>',
        "<h3>Cash &lt;wins&gt;</h3>",
        'alt="alt &#34;text&#34;"',
        '<a href="tables/pay.csv">Payments</a>',
        "<h2>Defaults in use (2)</h2>",
        "<li>sales tax</li>",
        "5% &amp; 12%</td>",
        "<p>Lease: &lt;operating&gt; lease.</p>",
    ):
        assert said in page
    order = [page.index(f">{name}") for name in SECTIONS]
    assert order == sorted(order)
    assert page.index("Yes: ") < order[0]
    assert in_order(headings(page))
    assert not re.findall(r"""(?:src|href)\s*=\s*["']?https?:""", page)


def test_long_lists_are_closed_and_printed_all_the_same() -> None:
    """Closed lists need no script to open, and a heading leads to each; print opens them."""
    tables = [Link("Payments", "tables/pay.csv")]
    page = front_page(
        front(defaults=["horizon: 60 months"], tables=tables, pages=tables, left_out=["sales tax"])
    )
    closed = re.findall(r"<h2>([^<]*)</h2>\s*(?:<p>[^<]*</p>\s*)?<details><summary>[^<]+<", page)
    assert closed == ["Defaults in use (1)", "Tables"]
    assert page.count("<details>") == page.count("</details>") == 2
    assert "<details open" not in page
    print_rules = page[page.index("@media print") :]
    assert "details::details-content { content-visibility: visible; }" in print_rules


@pytest.mark.parametrize(
    ("words", "html"),
    [
        ("name it under start_up, or in in_place", "<code>start_up</code>, or in <code>in_place"),
        ("look at film.margin, film.gap.", "<code>film.margin</code>, <code>film.gap</code>."),
        ('x (a."B <c>".e_f)', "x (<code>a.&#34;B &lt;c&gt;&#34;.e_f</code>)"),
        (r'a."9\" b".c: 1', r"<li><code>a.&#34;9\&#34; b&#34;.c</code>: 1"),
        ("shop.season[0]: 67", "<li><code>shop.season[0]</code>: 67"),
        ("127.5 in against 117.6 in: look", "<li>127.5 in against 117.6 in: look"),
    ],
)
def test_keys_are_set_apart_from_words(words: str, html: str) -> None:
    page = front_page(front(cautions=[words]))
    assert html in page
    assert ("<code>" in page) == ("<code>" in html)


def test_words_wrap_on_the_front_page_and_single_figures_do_not() -> None:
    page = front_page(front())
    assert '<td style="text-align: left">19 months</td>' in page
    assert '<td style="text-align: right; white-space: nowrap">-$6</td>' in page


def test_what_was_not_given_has_no_heading() -> None:
    page = front_page(front())
    assert re.findall(r"<h2>([^<]*)</h2>", page) == ["Three comparisons"]


def test_a_link_cannot_be_a_script() -> None:
    assert 'href="javascript:' not in front_page(front(pages=[Link("x", "javascript:alert(1)")]))


def test_the_front_page_is_written_the_same_each_time(tmp_path: Path) -> None:
    for name in ("a.html", "b.html"):
        write_front(front(), tmp_path / name)
    assert (tmp_path / "a.html").read_bytes() == (tmp_path / "b.html").read_bytes()


def test_a_picture_is_read_back_with_its_words(tmp_path: Path) -> None:
    picture = financing_outlay([Line("Loan & <co>", [1, 3, 6])], numbers=US)
    svg = to_svg(picture.figure, title=picture.name, description=picture.alt)
    (tmp_path / "a.svg").write_bytes(svg)
    assert read_picture(tmp_path / "a.svg", heading="h") == FrontPicture("h", svg, picture.alt)
    (tmp_path / "b.svg").write_bytes(b"<svg xmlns='http://www.w3.org/2000/svg'/>")
    with pytest.raises(ValueError, match="must carry a description"):
        read_picture(tmp_path / "b.svg", heading="h")


def luminance(colour: str) -> float:
    """Relative luminance of a colour, by the definition of WCAG 2.1."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def test_text_stands_out_from_its_background() -> None:
    """At least 4.5 : 1, level AA of WCAG 2.1, on the darkest background that the pages use."""
    page = front_page(front())
    text = set(re.findall(r"[^-]color: (#[0-9a-f]{6})", page))
    backgrounds = set(re.findall(r"background: (#[0-9a-f]{6})", page))
    assert len(text) >= 3
    darkest = min(luminance(colour) for colour in backgrounds)
    for colour in text:
        assert (darkest + 0.05) / (luminance(colour) + 0.05) >= 4.5
