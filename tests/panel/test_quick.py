"""One choice answered piece by piece: the same as all at once, and no more than is read."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from helpers import SHIPPED, shipped, shipped_answer

from planner.case import Case
from planner.deliver.document import figures_by_key
from planner.deliver.panel import quick
from planner.deliver.panel.lazily import lazily
from planner.deliver.panel.quick import quick_answer
from planner.show.words import first_sentence


@dataclass(frozen=True)
class Pair:
    left: int
    right: int

    @property
    def total(self) -> int:
        return self.left + self.right


def test_a_part_is_worked_out_once_and_only_when_read() -> None:
    asked: list[str] = []
    pair = lazily(Pair, left=lambda: asked.append("left") or 1, right=lambda: 1 // 0)
    assert isinstance(pair, Pair)
    assert not asked
    assert [pair.left, pair.left] == [1, 1]
    assert asked == ["left"]
    with pytest.raises(ZeroDivisionError):
        _ = pair.total
    with pytest.raises(AttributeError):
        _ = pair.middle  # type: ignore[attr-defined]


def test_every_field_must_have_its_part() -> None:
    with pytest.raises(TypeError, match="differs in right"):
        lazily(Pair, left=lambda: 1)
    with pytest.raises(TypeError, match="differs in middle"):
        lazily(Pair, left=lambda: 1, right=lambda: 2, middle=lambda: 3)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_same_figures_as_the_answer_of_all_choices(name: str) -> None:
    page = shipped_answer(name)
    found = quick_answer(Case(shipped(name)), page.best.choice)
    assert figures_by_key(found.best.figures) == figures_by_key(page.best.figures)
    assert found.best.conditions == page.best.conditions
    assert found.verdict == page.verdict
    assert first_sentence(found) == first_sentence(page)
    assert (found.hours_with, found.hours_without) == (page.hours_with, page.hours_without)
    assert [one.full for one in found.prints] == [one.full for one in page.prints]
    assert [one.swing for one in found.influences] == [one.swing for one in page.influences]


def test_what_the_panel_shows_works_out_no_slow_figure(monkeypatch: pytest.MonkeyPatch) -> None:
    def slow(*_: object) -> None:
        raise AssertionError("a slow figure was worked out")

    monkeypatch.setattr(quick, "figures", slow)
    monkeypatch.setattr(quick, "added_work_needed", slow)
    page = shipped_answer("larkspur-lane")
    found = quick_answer(Case(shipped("larkspur-lane")), page.best.choice)
    assert found.best.figures.payback == page.best.figures.payback
    assert found.best.figures.break_even.monthly == page.best.figures.break_even.monthly
    assert found.best.conditions == page.best.conditions
    assert found.verdict == page.verdict
    with pytest.raises(AssertionError):
        _ = found.best.figures.break_even.lifetime
