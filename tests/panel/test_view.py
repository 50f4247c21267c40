"""The panel without a browser: what moves when a control moves, and what is said when it cannot."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape
from pathlib import Path
from threading import Event
from types import SimpleNamespace
from typing import Any

import pytest

from planner.deliver import results
from planner.deliver.panel import view
from planner.deliver.panel.controls import ControlError
from planner.deliver.panel.readout import NOTHING_CHANGED, readout
from planner.deliver.panel.tryout import PICKS, Tryout
from planner.deliver.panel.view import Panel
from planner.deliver.suite import Outcome
from planner.show.words import first_sentence

Copies = Callable[[str], Path]


@pytest.fixture
def panel(tryouts: dict[str, Tryout], tmp_path: Path) -> Panel:
    """A panel that a test may move, but not save from."""
    return Panel(tryouts["shortest"], tmp_path / "results")


@pytest.fixture
def own_panel(copied: Copies, tmp_path: Path) -> Panel:
    """A panel on a copy of its own."""
    return Panel(Tryout(copied("shortest")), tmp_path / "results")


@pytest.fixture(autouse=True)
def hand_that_rests_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    """Words come at once where nothing newer waits."""
    monkeypatch.setattr(view, "REST", 0)


def move(panel: Panel, name: str, value: object) -> None:
    """Move a control and wait for what it comes to; what went wrong unforeseen is raised."""
    panel.controls[name].value = value
    panel.wait()


def words(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def test_it_opens_with_the_answer(panel: Panel) -> None:
    start = panel.tryout.compute(panel.tryout.start)
    assert words(panel.first.value) == first_sentence(start.page)
    assert bytes(panel.picture.value).startswith(b"\x89PNG")
    assert words(NOTHING_CHANGED) in words(panel.words.value)
    assert not panel.error.value


def test_every_control_is_named_with_its_unit_and_bounds(panel: Panel) -> None:
    controls = {name: control.description for name, control in panel.controls.items()}
    assert controls["wage"] == "Wage, USD/hour (13.9 to 23.1, no range in the file)"
    assert controls["equipment"] == "Equipment"
    assert all(controls.values())
    lane = panel.tryout
    assert len(controls) == len(lane.sliders) + len(PICKS)


def test_bounds_that_are_the_files_are_said_to_be(
    tryouts: dict[str, Tryout], tmp_path: Path
) -> None:
    lane = Panel(tryouts["larkspur-lane"], tmp_path)
    assert lane.controls["wage"].description == "Wage, USD/hour (17.00 to 21.00, range in the file)"
    first = lane.widget.children[0].children[0].children[1]
    assert first.description.startswith("Added work that only the machine can do")


def test_all_that_is_shown_follows_a_control(panel: Panel) -> None:
    before = (panel.first.value, panel.words.value, panel.picture.value, panel.spoken.value)
    move(panel, "volume", 40.0)
    after = (panel.first.value, panel.words.value, panel.picture.value, panel.spoken.value)
    assert all(old != new for old, new in zip(before, after, strict=True))
    now = panel.tryout.compute({**panel.tryout.start, "volume": 40.0})
    read = readout(panel.tryout, now, panel.tryout.compute(panel.tryout.start))
    assert words(panel.first.value) == " ".join(read.opening)
    shown = words(panel.words.value)
    for row in read.rows:
        assert words(" ".join(row)) in shown
    assert "Added work at full volume: 40 pieces a week, at the start 20 pieces a week" in shown


def test_back_to_where_you_started(panel: Panel) -> None:
    before = (panel.first.value, panel.words.value, panel.picture.value)
    move(panel, "price", 18.0)
    move(panel, "financing", "Cash")
    panel.reset.click()
    panel.wait()
    assert (panel.first.value, panel.words.value, panel.picture.value) == before
    assert panel.settings == dict(panel.tryout.start)


def test_where_you_started_stays_beside_what_moves(panel: Panel) -> None:
    before = rows(panel)
    assert all(now == start for _, now, start in before)
    move(panel, "volume", 40.0)
    after = rows(panel)
    assert [start for _, _, start in after] == [start for _, _, start in before]
    assert [now for _, now, _ in after] != [now for _, now, _ in before]
    assert "where you started" in words(panel.spoken.value)


def rows(panel: Panel) -> list[tuple[str, ...]]:
    """Name, value now and value at the start of each figure of the table."""
    cells = re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", panel.words.value)
    return [tuple(cells[at : at + 3]) for at in range(3, len(cells), 3)]


def test_sliders_of_another_way_to_pay_are_hidden(panel: Panel) -> None:
    rate, wage = (panel.controls[name] for name in ("rate of Loan, 48 months", "wage"))
    move(panel, "financing", "Cash")
    assert (rate.layout.display, wage.layout.display) == ("none", None)
    move(panel, "financing", "Loan, 48 months")
    assert rate.layout.display is None


def test_another_set_brings_its_own_warranty_and_sliders(
    tryouts: dict[str, Tryout], tmp_path: Path
) -> None:
    metric = Panel(tryouts["two-widths"], tmp_path)
    wide = "60 cm printer and shaker dryer"
    move(metric, "equipment", wide)
    assert metric.controls["warranty"].value == "Included, 24 months"
    assert "Lease of the 60 cm set, 48 months" in metric.controls["financing"].options
    assert metric.controls[f"price of {wide}"].layout.display is None
    assert words(metric.first.value).startswith(f"Yes: {wide}")
    move(metric, "financing", "Lease of the 60 cm set, 48 months")
    move(metric, "equipment", "Press alone, transfers bought in")
    assert metric.controls["financing"].value == "Own savings"
    assert metric.controls[f"price of {wide}"].layout.display == "none"
    assert not metric.error.value


def test_a_plan_that_cannot_be_computed_is_said_and_forgotten(
    copied: Copies, tmp_path: Path
) -> None:
    path = copied("shortest")
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('"24 in x 100 m"', '"11.6 in x 100 m"'), encoding="utf-8")
    panel = Panel(Tryout(path), tmp_path)
    before = panel.picture.value
    move(panel, "film edge", 1.0)
    assert "fit" in words(panel.error.value)
    assert view.STALE in words(panel.error.value)
    assert "Traceback" not in panel.error.value
    assert panel.picture.value == before
    move(panel, "film edge", 0.5)
    assert panel.error.value == ""


def test_a_callback_that_raises_makes_a_test_fail(
    panel: Panel, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: object) -> None:
        raise ZeroDivisionError("no <b>pieces</b>")

    monkeypatch.setattr(panel.tryout, "compute", broken)
    with pytest.raises(ZeroDivisionError):
        move(panel, "price", 18.0)
    assert "ZeroDivisionError: no &lt;b&gt;pieces" in panel.error.value
    assert view.STALE in panel.error.value


def test_an_error_in_the_choice_lists_is_raised_too(
    panel: Panel, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: object) -> None:
        raise RuntimeError("list")

    monkeypatch.setattr(panel.tryout, "settled", broken)
    with pytest.raises(RuntimeError):
        move(panel, "financing", "Cash")
    assert "RuntimeError: list" in panel.error.value


def test_an_error_of_ours_is_shown_and_not_raised(
    panel: Panel, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(_: object) -> None:
        raise ControlError("Wage: must be less")

    monkeypatch.setattr(panel.tryout, "compute", refused)
    move(panel, "wage", 20.0)
    assert words(panel.error.value).startswith("Wage: must be less")


def test_of_moves_that_wait_only_the_last_is_computed(
    panel: Panel, monkeypatch: pytest.MonkeyPatch
) -> None:
    computed: list[float] = []
    began, may_end = Event(), Event()
    own = panel.tryout.compute

    def slow(settings: Any) -> Any:
        computed.append(settings["price"])
        began.set()
        assert may_end.wait(60)
        return own(settings)

    monkeypatch.setattr(panel.tryout, "compute", slow)
    panel.controls["price"].value = 16.0
    assert began.wait(60)
    for price in (16.5, 17.0, 17.5):
        panel.controls["price"].value = price
    may_end.set()
    panel.wait()
    assert computed == [16.0, 17.5]
    assert "17.5 USD" in words(panel.words.value)


def told_on_the_way(
    panel: Panel, monkeypatch: pytest.MonkeyPatch, prices: list[float]
) -> tuple[list[float], list[float]]:
    """Prices that pictures and words were made for, each move begun by the picture before it."""
    drawn: list[float] = []
    told: list[float] = []
    compute, read = panel.tryout.compute, view.readout

    def computed(settings: Any) -> Any:
        drawn.append(settings["price"])
        if len(drawn) < len(prices):
            panel.controls["price"].value = prices[len(drawn)]
        if settings["price"] == 17.0:
            raise ControlError("Selling price: must be another")
        return compute(settings)

    def read_out(tryout: Tryout, now: Any, start: Any) -> Any:
        told.append(now.settings["price"])
        return read(tryout, now, start)

    monkeypatch.setattr(panel.tryout, "compute", computed)
    monkeypatch.setattr(view, "readout", read_out)
    move(panel, "price", prices[0])
    return drawn, told


def test_words_wait_until_the_hand_rests(panel: Panel, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(view, "WORDS_AT_LATEST", 3600)
    drawn, told = told_on_the_way(panel, monkeypatch, [16.0, 16.5, 17.5])
    assert drawn == [16.0, 16.5, 17.5]
    assert told == [17.5]
    assert "17.5 USD" in words(panel.words.value)


def test_words_are_told_now_and_then_while_it_moves(
    panel: Panel, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(view, "WORDS_AT_LATEST", 0)
    drawn, told = told_on_the_way(panel, monkeypatch, [16.0, 16.5, 17.5])
    assert drawn == told == [16.0, 16.5, 17.5]


def test_after_an_error_words_are_those_of_the_picture_that_stays(
    panel: Panel, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(view, "WORDS_AT_LATEST", 3600)
    drawn, told = told_on_the_way(panel, monkeypatch, [16.0, 17.0])
    assert drawn == [16.0, 17.0]
    assert told == [16.0]
    assert "must be another" in words(panel.error.value)


def test_saving_leaves_a_file_and_never_another(own_panel: Panel) -> None:
    move(own_panel, "price", 18.0)
    assert own_panel.run.disabled
    own_panel.name.value = "Dearer"
    own_panel.save.click()
    own_panel.wait()
    assert own_panel.saved is not None
    assert own_panel.saved.name == "dearer.toml"
    assert str(own_panel.saved) in words(own_panel.done.value)
    assert not own_panel.run.disabled
    first = own_panel.saved.read_bytes()
    move(own_panel, "price", 17.0)
    own_panel.save.click()
    own_panel.wait()
    assert "never overwritten" in words(own_panel.done.value)
    assert own_panel.saved.read_bytes() == first


def test_running_everything_tells_how_far_it_is(
    own_panel: Panel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []

    def deliver(**given: Any) -> Any:
        asked.append(given)
        given["progress"](Outcome("payback", tmp_path, None))
        told.append(words(own_panel.done.value))
        return SimpleNamespace(message="")

    asked: list[dict[str, Any]] = []
    monkeypatch.setattr(results, "deliver", deliver)
    own_panel.save.click()
    own_panel.wait()
    own_panel.run.click()
    own_panel.wait()
    assert asked[0]["scenario"] == own_panel.saved
    assert asked[0]["output_dir"] == tmp_path / "results" / "shortest-tried-out"
    assert asked[0]["draws"] > 0
    assert told == [
        f"shortest-tried-out.toml: 1 of {len(results.QUESTIONS)} notebooks done, the last payback"
    ]
    assert words(own_panel.done.value).endswith("index.html")
    assert not own_panel.run.disabled


def test_a_run_that_fails_says_so(own_panel: Panel, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(results, "deliver", lambda **_: SimpleNamespace(message="risk: <broken>"))
    own_panel.save.click()
    own_panel.wait()
    own_panel.run.click()
    own_panel.wait()
    assert words(own_panel.done.value) == "risk: <broken>"
    assert "<broken>" not in own_panel.done.value


def test_what_a_user_wrote_is_never_markup(copied: Copies, tmp_path: Path) -> None:
    path = copied("shortest")
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("24-inch printer", "<b>24</b> printer"), encoding="utf-8")
    panel = Panel(Tryout(path), tmp_path)
    for shown in (panel.first, panel.words, panel.spoken):
        assert "<b>" not in shown.value
    assert "&lt;b&gt;24" in panel.first.value


def test_what_a_screen_reader_needs_is_there(panel: Panel) -> None:
    script = (view.TEMPLATES / "panel.js").read_text(encoding="utf-8")
    for name in (
        "planner-panel",
        "planner-control",
        "planner-live",
        "planner-alt",
        "planner-picture",
    ):
        assert name in script
    assert "planner-picture" in panel.picture._dom_classes
    assert "planner-live" in panel.first._dom_classes


def every_widget(widget: Any) -> list[Any]:
    return [
        widget,
        *(one for child in getattr(widget, "children", ()) for one in every_widget(child)),
    ]


def test_focus_can_be_seen_and_colours_told_apart() -> None:
    style = (view.TEMPLATES / "panel.css").read_text(encoding="utf-8")
    assert re.search(r":focus-visible[^{]*\{\s*outline: 3px solid #00508c", style)
    colours = set(
        re.findall(r"(?<!background: )(?:color|border[^:;{]*): [^;]*(#[0-9a-f]{6})", style)
    )
    for colour in colours - {"#cccccc", "#ffffff"}:  # a rule between rows carries no meaning
        assert contrast(colour, "#ffffff") >= 4.5, colour


def contrast(one: str, other: str) -> float:
    """Contrast of two colours [-], by WCAG 2.2 (relative luminance, success criterion 1.4.3)."""

    def luminance(colour: str) -> float:
        parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        linear = [
            part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
        ]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
