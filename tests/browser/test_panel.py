"""The panel in JupyterLab and as a page of its own, as ``planner lab`` opens them."""

from __future__ import annotations

import json
import re
import statistics
import subprocess
import sys
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from conftest import Audit, Opened

pytestmark = pytest.mark.browser

MOVES, RESTS = 24, 8
MOVED = {  # the beginning of a control's name: the keys that move it
    "Added work that only the machine can do: Full-front tee": ["ArrowRight"] * 4,
    "Added work at full volume": ["ArrowLeft"] * 5,
    "Selling price": ["ArrowRight"] * 3,
}
OUTLINE = "getComputedStyle(document.activeElement).outlineStyle"
READOUT = (
    "document.activeElement.closest('.planner-control').querySelector('.widget-readout').innerText"
)
FOCUSED = "document.activeElement.getAttribute('aria-label') || ''"
WATCH = """() => {
    window.times = [];
    let moved = 0;
    document.addEventListener("keydown", () => { moved = performance.now(); }, true);
    document.querySelector("img.planner-picture").addEventListener(
        "load", () => window.times.push(performance.now() - moved));
    window.told = [];
    new MutationObserver(() => window.told.push(performance.now() - moved)).observe(
        document.querySelector(".planner-results"), {childList: true, subtree: true});
}"""


@pytest.fixture(scope="module", params=["lab", "page"])
def opened(
    request: pytest.FixtureRequest, open_panel: Callable[..., Iterator[Opened]]
) -> Iterator[Opened]:
    """The panel of the shipped example on the screen."""
    yield from open_panel("larkspur-lane", as_page=request.param == "page")


def focus_by_tab(opened: Opened, name: str) -> None:
    """Go from control to control with the tab key until the name begins so."""
    opened.page.locator(".planner-panel .noUi-handle").first.focus()
    for _ in range(60):
        if opened.page.evaluate(FOCUSED).startswith(name):
            return
        opened.page.keyboard.press("Tab")
    pytest.fail(f"{name}: must be reached by the tab key")


def figures_shown(opened: Opened) -> dict[str, list[str]]:
    """Rows of the panel's table of figures, by the beginning of their names."""
    rows = opened.page.locator(".planner-panel tbody tr").all()
    cells = [[row.locator("th").inner_text(), *row.locator("td").all_inner_texts()] for row in rows]
    return {name.partition(",")[0]: [now, before] for name, now, before in cells}


def planner(*words: str) -> str:
    command = [sys.executable, "-m", "planner", *words]
    return subprocess.run(command, check=True, capture_output=True, encoding="utf-8").stdout


def money(amount: float) -> str:
    return f"{'-' if amount < 0 else ''}${abs(amount):,.0f}"


def test_nothing_pops_up(opened: Opened) -> None:
    assert opened.page.get_by_text("news").count() == 0
    assert opened.page.locator(".jp-Dialog").count() == 0


def test_the_panel_is_open_to_everyone(opened: Opened, audit: Audit) -> None:
    assert audit(opened.page, ".planner-panel") == []
    sliders = opened.page.locator(".planner-panel .noUi-handle:visible")
    names = sliders.evaluate_all("all => all.map(one => one.getAttribute('aria-label'))")
    assert len(names) == len(set(names)) > 10
    assert names[0].startswith("Added work that only the machine can do")
    alt = opened.page.locator("img.planner-picture").get_attribute("alt")
    assert alt is not None
    assert "Money gained so far" in alt
    sliders.first.focus()
    assert opened.page.evaluate(OUTLINE) == "solid"


def test_three_controls_moved_by_keyboard_give_the_figures_of_the_saved_scenario(
    opened: Opened,
) -> None:
    page = opened.page
    stands = []
    for name, keys in MOVED.items():
        focus_by_tab(opened, name)
        for key in keys:
            page.keyboard.press(key)
        stands.append(f": {page.evaluate(READOUT)} ")
    changes = page.locator(".planner-panel li", has_text="at the start")
    opened.until(lambda: all(changes.filter(has_text=one).count() for one in stands))
    shown = figures_shown(opened)
    assert shown["Worth today B"][0] != shown["Worth today B"][1]
    page.get_by_role("button", name="Save as a new scenario").focus()
    page.keyboard.press("Space")
    page.get_by_text("Saved:").wait_for()
    saved = opened.folder / "larkspur-lane-tried-out.toml"
    assert "can be used" in planner("check", str(saved))

    document = json.loads(planner("figures", str(saved), "--format", "json"))
    picked = page.locator(".planner-panel select").evaluate_all(
        r"all => all.map(one => one.selectedOptions[0].text.replace(/\s/g, ' '))"
    )
    picks = ("equipment", "warranty", "financing")
    (choice,) = [one for one in document["choices"] if [one[pick] for pick in picks] == picked]
    figures: dict[str, Any] = choice["figures"]
    for letter, name in zip("BC", ("against_buying_in", "whole_plan"), strict=True):
        months = figures["payback_months"][name]
        assert shown[f"Payback {letter}"][0] == f"{months:.0f} months"
    worth = figures["net_present_value"]["against_buying_in"]
    assert shown["Worth today B"][0] == money(worth)
    lowest = figures["lowest_cash"], figures["lowest_cash_month"]
    assert shown["Lowest bank balance"][0] == f"{money(lowest[0])}, month {lowest[1]}"
    even = figures["break_even_pieces_per_week"]
    assert shown["Break-even"][0] == f"{even:.0f} pieces a week"
    page.get_by_role("button", name="Back to where you started").focus()
    page.keyboard.press("Space")
    opened.until(lambda: changes.count() == 0)
    assert all(now == before for now, before in figures_shown(opened).values())


def test_how_long_the_picture_takes_to_follow_is_told(
    opened: Opened, record_property: Callable[[str, object], None]
) -> None:
    """From the key to the loaded picture, and to the words; told at the end, never judged here."""
    page = opened.page
    focus_by_tab(opened, "Selling price")
    page.evaluate(WATCH)
    for move in range(MOVES):
        page.keyboard.press("ArrowLeft" if move % 2 else "ArrowRight")
        opened.until(lambda done=move + 1: page.evaluate("times.length") == done)
    times = page.evaluate("times")
    words = []
    for move in range(RESTS):
        page.wait_for_timeout(300)
        page.evaluate("told.length = 0")
        page.keyboard.press("ArrowLeft" if move % 2 else "ArrowRight")
        opened.until(lambda: page.evaluate("told.length") > 0)
        words.append(page.evaluate("told[0]"))
    median = f"{statistics.median(times):.0f} ms (from {min(times):.0f} to {max(times):.0f} ms)"
    later = f"to the words, when the hand rests, {statistics.median(words):.0f} ms"
    record_property(opened.kind, f"median of {MOVES} moves {median}; {later}")
    assert re.fullmatch(r"blob:http://127\.0\.0\.1:\d+/\S+", opened.picture_source())
