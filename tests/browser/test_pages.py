"""The pages of a run as readers have them: by phone, on a desk, on paper, by ear; no network."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from conftest import Audit, Offline
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

SCENARIOS = ("larkspur-lane", "new-shop")
PAGES = (
    "index",
    "print-cost",
    "payback",
    "break-even",
    "lease-or-loan",
    "risk",
    "lender",
)
PHONE, DESK, PAPER = 375, 1280, 680  # [px]; the last is A4 less its margins
OVERFLOW = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
WIDE = "[role=region], figure[tabindex]"
FOCUS = """() => {
    const one = document.activeElement;
    return {
        outline: getComputedStyle(one).outlineStyle,
        part: one.matches("[role=region], figure") ? one.ariaLabel : null,
        isWide: one.scrollWidth > one.clientWidth,
        moved: one.scrollLeft,
    };
}"""


def at_width(page: Page, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 800})


@pytest.mark.parametrize("scenario", SCENARIOS)
@pytest.mark.parametrize("name", PAGES)
def test_a_page_loads_from_disk_and_is_open_to_everyone(
    name: str,
    scenario: str,
    run_results: Callable[[str], Path],
    offline: Offline,
    audit: Audit,
) -> None:
    page = offline.open(run_results(scenario) / f"{name}.html")
    for width in (PHONE, DESK):
        at_width(page, width)
        assert audit(page) == []
        assert page.evaluate(OVERFLOW) == 0
    assert page.locator("h1").count() == 1
    assert page.locator("main").count() == 1
    assert page.locator("html").get_attribute("lang") == "en"
    pictures = page.locator("img").evaluate_all("all => all.map(one => one.naturalWidth)")
    assert all(pictures)
    assert offline.faults == []


@pytest.mark.parametrize("scenario", SCENARIOS)
@pytest.mark.parametrize("name", PAGES)
def test_nothing_is_cut_off_on_paper(
    name: str, scenario: str, run_results: Callable[[str], Path], offline: Offline
) -> None:
    page = offline.open(run_results(scenario) / f"{name}.html")
    at_width(page, PAPER)
    page.emulate_media(media="print")
    assert page.evaluate(OVERFLOW) == 0
    assert page.locator(WIDE).evaluate_all("all => all.every(one => one.scrollWidth <= 680)")


def test_every_wide_part_is_reached_and_moved_by_keyboard(
    run_results: Callable[[str], Path], offline: Offline
) -> None:
    """At a phone's width each table and picture takes the focus, shows it, and scrolls by arrow."""
    page = offline.open(run_results("larkspur-lane") / "lease-or-loan.html")
    at_width(page, PHONE)
    reached, wide, moved = [], 0, 0
    for _ in range(page.locator(WIDE).count() + 2):  # the link that skips, the link home
        page.keyboard.press("Tab")
        focus = page.evaluate(FOCUS)
        assert focus["outline"] == "solid"
        if focus["part"]:
            reached.append(focus["part"])
        if focus["isWide"]:
            page.keyboard.press("ArrowRight")
            page.wait_for_timeout(300)  # [ms] of a smooth movement
            wide, moved = wide + 1, moved + (page.evaluate(FOCUS)["moved"] > 0)
    assert len(reached) == page.locator(WIDE).count() > 3
    assert moved == wide > 1


def test_the_front_page_leads_to_everything(
    run_results: Callable[[str], Path], offline: Offline
) -> None:
    folder = run_results("larkspur-lane")
    page = offline.open(folder / "index.html")
    at_width(page, DESK)
    first = page.locator("main > *").evaluate_all("all => all.slice(0, 4).map(one => one.tagName)")
    assert first == ["H1", "P", "H2", "DIV"]  # the sentence, then the three comparisons
    rows = page.locator("table").first.locator("tbody th").all_inner_texts()
    assert [row[0] for row in rows] == ["A", "B", "C"]
    assert [("headline" in row) for row in rows] == [False, True, False]
    table = page.locator("table").first.bounding_box()
    assert table is not None
    assert table["y"] + table["height"] < 800
    links = page.locator("main a").evaluate_all("all => all.map(one => one.getAttribute('href'))")
    files = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    apart = ("charts/", "notebooks/", "index.html")
    assert set(links) == {name for name in files if not name.startswith(apart)}


def test_what_only_an_accountant_wants_comes_last(
    run_results: Callable[[str], Path], offline: Offline
) -> None:
    page = offline.open(run_results("larkspur-lane") / "index.html")
    at_width(page, DESK)
    headings = page.locator("h2").all_inner_texts()
    assert headings[-2:] == ["For the accountant", "Words used here"]
    place = page.locator("h2").nth(-2).bounding_box()
    assert place is not None
    assert place["y"] > 800
    assert "rate of return" not in page.locator("main").inner_text()[:2000]


def test_the_audit_finds_a_fault(
    run_results: Callable[[str], Path], offline: Offline, audit: Audit
) -> None:
    page = offline.open(run_results("larkspur-lane") / "index.html")
    page.evaluate("document.querySelector('img').removeAttribute('alt')")
    page.evaluate("document.querySelector('.first').style.color = '#b0b0b0'")
    assert [fault.partition(":")[0] for fault in audit(page)] == ["color-contrast", "image-alt"]
