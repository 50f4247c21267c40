"""Saving a scenario that was tried out: a file of its own, the user's words kept."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from helpers import ROOT, SHIPPED

from planner.deliver.panel.saving import NotSavedError, save_as, with_changes
from planner.deliver.panel.tryout import Tryout
from planner.deliver.starting import AlreadyThereError
from planner.scenario.document import changed, parse
from planner.scenario.faults import ScenarioError
from planner.scenario.load import load

TEXT = """# A shop.
[shop]
wage = "18 USD/hour"   # payslip

[[products]]
name = "Tee"
price = 15.50
prints = [ "10 in x 12 in" ]

[[equipment]]
name = "Set"
film = { roll_price = 86.00, margin = "0.5 cm" }   # its own

  [[equipment.items]]
  name = "Printer"
  price = 5900
"""


@pytest.mark.parametrize("name", SHIPPED)
@pytest.mark.parametrize("end", ["low", "high"])
def test_what_is_saved_reads_as_what_was_tried(
    name: str, end: str, tryouts: dict[str, Tryout]
) -> None:
    tryout = tryouts[name]
    settings = {**tryout.start, **{one.name: getattr(one, end) for one in tryout.sliders}}
    changes = tryout.changes(settings)
    text = tryout.path.read_text(encoding="utf-8")
    saved = with_changes(text, changes, name="x.toml")
    assert tomllib.loads(saved) == changed(parse(text, name="x.toml"), changes).tree
    comments = [line.partition("#")[2] for line in text.splitlines() if "#" in line]
    assert all(f"#{comment}" in saved for comment in comments)


def test_only_what_was_changed_differs() -> None:
    changes = {
        "shop.wage": '"19 USD/hour"',
        "products.Tee.price": "16.5",
        "equipment.Set.film.margin": '"1 cm"',
        "equipment.Set.items.Printer.price": '{ likely = 6100, source = "tried out" }',
        "spoilage.transfers": '"4 %"',
        "products.Tee.needs_machine": '"20 %"',
    }
    saved = with_changes(TEXT, changes, name="shop.toml")
    before, after = TEXT.splitlines(), saved.splitlines()
    assert after[: len(changes) + 2] == [
        "# Tried out from shop.toml:",
        *(f"#   {key}" for key in changes),
        "",
    ]
    new = after[len(changes) + 2 :]
    assert [line for line in before if line not in new] == [
        'wage = "18 USD/hour"   # payslip',
        "price = 15.50",
        'film = { roll_price = 86.00, margin = "0.5 cm" }   # its own',
        "  price = 5900",
    ]
    assert [line for line in new if line not in before] == [
        'wage = "19 USD/hour"   # payslip',
        "price = 16.5",
        'needs_machine = "20 %"',
        'film = { roll_price = 86.00, margin = "1 cm" }   # its own',
        '  price = { likely = 6100, source = "tried out" }',
        "[spoilage]",
        'transfers = "4 %"',
    ]


def test_plain_text_and_numbers_are_read_as_set_reads_them() -> None:
    saved = with_changes(TEXT, {"shop.wage": "19 USD/hour", "products.Tee.price": 16}, name="s")
    tree = tomllib.loads(saved)
    assert tree["shop"]["wage"] == "19 USD/hour"
    assert tree["products"][0]["price"] == 16


def test_a_change_that_leads_nowhere_is_one_message() -> None:
    with pytest.raises(ScenarioError, match="lead to an input"):
        with_changes(TEXT, {"products.Hat.price": 3}, name="shop.toml")


def test_nothing_is_ever_overwritten(copied: Callable[[str], Path]) -> None:
    path = copied("shortest")
    before = path.read_bytes()
    with pytest.raises(AlreadyThereError, match="never overwritten"):
        save_as(path, "shortest", {"shop.wage": '"19 USD/hour"'})
    saved = save_as(path, "other", {"shop.wage": '"19 USD/hour"'})
    first = saved.read_bytes()
    with pytest.raises(AlreadyThereError):
        save_as(path, "other.toml", {"shop.wage": '"20 USD/hour"'})
    assert saved.read_bytes() == first
    assert path.read_bytes() == before


def test_it_lies_beside_its_test_prints_and_can_be_used(copied: Callable[[str], Path]) -> None:
    path = copied("shortest")
    saved = save_as(path, "Dearer, by far", {"products[0].price": "18"})
    assert saved.parent == path.parent
    assert saved.suffix == ".toml"
    scenario = load(saved)
    assert scenario.products[0].price.likely == 18
    assert len(scenario.prints) == len(load(path).prints)


@pytest.mark.parametrize("name", ["", "  ", ".", ".toml", "..."])
def test_a_name_of_nothing_is_one_message(name: str, copied: Callable[[str], Path]) -> None:
    with pytest.raises(NotSavedError, match="must be words"):
        save_as(copied("shortest"), name, {})


@pytest.mark.parametrize("name", ["../up", "a/b", "c:\\d", "con", "né\u202e", "x" * 300])
def test_a_name_leads_nowhere_else(name: str, copied: Callable[[str], Path]) -> None:
    path = copied("shortest")
    saved = save_as(path, name, {})
    assert saved.parent == path.parent
    assert saved.is_file()


def test_what_cannot_be_used_is_not_written(copied: Callable[[str], Path]) -> None:
    path = copied("shortest")
    files = sorted(path.parent.iterdir())
    with pytest.raises(ScenarioError, match=r"shop\.wage"):
        save_as(path, "new", {"shop.wage": '"19 EUR/hour"'})
    assert sorted(path.parent.iterdir()) == files


def test_line_ends_and_marks_of_other_systems_do_no_harm(copied: Callable[[str], Path]) -> None:
    path = copied("shortest")
    text = path.read_text(encoding="utf-8")
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode("utf-8"))
    saved = save_as(path, "new", {"shop.wage": '"19 USD/hour"'})
    assert load(saved).shop.wage.likely == 19
    assert b"\r" not in saved.read_bytes()


def test_the_shipped_scenarios_stay_as_they_are() -> None:
    for name in SHIPPED:
        assert not list((ROOT / "scenarios").glob(f"{name}-tried-out*"))
