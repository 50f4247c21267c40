"""What the panel shows is what ``planner figures --set`` says, for every control."""

from __future__ import annotations

import json
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType

import pytest
from helpers import SHIPPED, shipped, shipped_answer
from typer.testing import CliRunner

from planner.cli import app
from planner.decide.answer import about, answer, open_answer
from planner.deliver.panel.controls import ControlError, Settings, Slider
from planner.deliver.panel.readout import Readout, readout
from planner.deliver.panel.saving import save_as
from planner.deliver.panel.sliders import sliders
from planner.deliver.panel.tryout import PICKS, Tried, Tryout
from planner.scenario.document import parse_changes
from planner.scenario.faults import ScenarioError
from planner.scenario.load import load

EVERY = [
    pytest.param(name, slider, id=f"{name}: {slider.name}")
    for name in SHIPPED
    for slider in sliders(shipped(name))
]


def elsewhere(slider: Slider) -> float:
    """A value of a slider away from its start, on a step."""
    steps = round((slider.high - slider.low) / slider.step)
    up = slider.low + 0.75 * steps // 1 * slider.step
    return up if abs(up - slider.start) > slider.step / 2 else slider.low


def concerned(tryout: Tryout, slider: Slider) -> Settings:
    """The start with the equipment and the way to pay to which a slider belongs."""
    own = dict(tryout.start)
    if slider.equipment is not None and own["equipment"] not in slider.equipment:
        own["equipment"] = sorted(slider.equipment)[0]
    if slider.financing is not None:
        own["financing"] = slider.financing
        for name in tryout.options("equipment", own):
            if slider.financing not in tryout.options("financing", own):
                own["equipment"] = name
    return tryout.settled(own)


def by_figures(tryout: Tryout, now: Tried, path: Path, sets: list[str]) -> Readout:
    """The panel's words, from the answer that the command line works out."""
    label = now.page.best.choice.label
    page = open_answer(path, choice=label, changes=parse_changes(sets))
    start = tryout.compute(tryout.start)
    return readout(tryout, Tried(now.settings, now.changes, page), start)


def by_answer(tryout: Tryout, now: Tried, sets: list[str]) -> Readout:
    """The same from the answer of the one machine, which takes less time."""
    scenario = load(tryout.path, changes=parse_changes(sets))
    bought, under, _ = now.page.best.choice.names
    (equipment,) = (one for one in scenario.equipment if one.name == bought)
    warranty = tuple(one for one in equipment.warranty if one.name == under)
    alone = equipment.model_copy(update={"warranty": warranty})
    page = answer(scenario.model_copy(update={"equipment": (alone,)}))
    spoken = about(page, page.named(now.page.best.choice.label))
    start = tryout.compute(tryout.start)
    return readout(tryout, Tried(now.settings, now.changes, spoken), start)


@pytest.mark.parametrize("name", SHIPPED)
def test_it_starts_where_figures_does(name: str, tryouts: dict[str, Tryout]) -> None:
    tryout = tryouts[name]
    start = tryout.compute(tryout.start)
    assert not start.changes
    page = shipped_answer(name)
    assert start.page.best.choice.names == page.best.choice.names
    own = readout(tryout, start, start)
    assert own == readout(tryout, Tried(start.settings, {}, page), start)


@pytest.mark.fuzz
@pytest.mark.parametrize(("name", "slider"), EVERY)
def test_every_control_is_one_set_of_figures(
    name: str, slider: Slider, tryouts: dict[str, Tryout]
) -> None:
    tryout = tryouts[name]
    before = concerned(tryout, slider)
    now = tryout.compute({**before, slider.name: elsewhere(slider)})
    start = tryout.compute(tryout.start)
    shown = readout(tryout, now, start)
    sets = [f"{key}={text}" for key, text in now.changes.items()]
    assert sets
    assert shown == by_answer(tryout, now, sets)
    if not slider.name.startswith("film edge"):  # as many prints may still stand side by side
        unmoved = readout(tryout, tryout.compute(before), start)
        assert (shown.opening, shown.rows) != (unmoved.opening, unmoved.rows)


@pytest.mark.long
@pytest.mark.parametrize("name", SHIPPED)
def test_all_controls_at_once_saved_say_the_same(
    name: str, copied: Callable[[str], Path], tryouts: dict[str, Tryout]
) -> None:
    tryout = Tryout(copied(name))
    mild = {
        one.name: one.start + one.step * (1 if one.start < one.high else -1)
        for one in tryout.sliders
    }
    now = tryout.compute({**tryout.start, **mild})
    shown = readout(tryout, now, tryout.compute(tryout.start))
    sets = [f"{key}={text}" for key, text in now.changes.items()]
    assert shown == by_figures(tryout, now, tryout.path, sets)
    saved = save_as(tryout.path, "what if", now.changes)
    assert shown == by_figures(tryout, now, saved, [])


def test_the_command_line_prints_the_same_for_the_saved_scenario(
    copied: Callable[[str], Path],
) -> None:
    tryout = Tryout(copied("shortest"))
    now = tryout.compute({**tryout.start, "price": 17.5, "volume": 30.0})
    saved = save_as(tryout.path, "dearer", now.changes)
    done = CliRunner().invoke(app, ["figures", str(saved), "--format", "json"])
    document = json.loads(done.stdout)
    names = dict(zip(PICKS, now.page.best.choice.names, strict=True))
    (choice,) = (one for one in document["choices"] if names.items() <= one.items())
    found = now.page.best.figures
    assert choice["figures"]["payback_months"] == {
        name: time.months for name, time in found.payback.items()
    }
    assert choice["figures"]["net_present_value"] == found.net_present_value
    monthly = found.break_even.monthly.value
    assert monthly is not None
    assert choice["figures"]["break_even_pieces_per_week"] == monthly * found.weekly_pieces
    assert CliRunner().invoke(app, ["check", str(saved)]).exit_code == 0


def test_compute_is_pure(tryouts: dict[str, Tryout]) -> None:
    tryout = tryouts["shortest"]
    before = tryout.path.read_bytes()
    dearer = MappingProxyType({**tryout.start, "price": 17.5})
    start = tryout.compute(tryout.start)
    first, other, again = (tryout.compute(one) for one in (dearer, tryout.start, dearer))
    assert readout(tryout, first, start) == readout(tryout, again, start)
    assert readout(tryout, other, start).rows != readout(tryout, first, start).rows
    assert dict(first.settings) == dict(dearer)
    assert tryout.path.read_bytes() == before
    with pytest.raises(TypeError):
        first.settings["price"] = 1.0  # type: ignore[index]
    with pytest.raises(AttributeError):
        first.changes = {}  # type: ignore[misc]


def test_a_higher_price_never_pays_back_later(tryouts: dict[str, Tryout]) -> None:
    tryout = tryouts["larkspur-lane"]
    paid = [
        tryout.compute({**tryout.start, "price": price}).page.best.figures.payback["whole_plan"]
        for price in (14.0, 15.0, 16.0, 17.0)
    ]
    assert all(
        later.months <= earlier.months  # type: ignore[operator]
        for earlier, later in pairwise(paid)
    )


def test_more_work_that_only_the_machine_can_do_speaks_for_it(tryouts: dict[str, Tryout]) -> None:
    tryout = tryouts["larkspur-lane"]
    share = tryout.sliders[0]
    worth = [
        tryout.compute({**tryout.start, share.name: at}).page.best.figures.net_present_value[
            "against_buying_in"
        ]
        for at in (share.low, share.start, share.high)
    ]
    assert worth == sorted(worth)  # type: ignore[type-var]
    assert worth[0] != worth[-1]


def test_given_changes_are_where_it_starts(copied: Callable[[str], Path]) -> None:
    path = copied("shortest")
    tryout = Tryout(path, changes={"shop.wage": "21 USD/hour"})
    wage = next(one for one in tryout.sliders if one.name == "wage")
    assert wage.start == 21.0
    moved = tryout.compute({**tryout.start, "price": 16.0})
    assert dict(moved.changes)["shop.wage"] == "21 USD/hour"
    lower = tryout.compute({**tryout.start, "wage": 18.5})
    plain = Tryout(path)
    same = plain.compute(plain.start)
    assert lower.page.best.figures.net_present_value == same.page.best.figures.net_present_value


def test_the_choice_named_is_where_it_starts(copied: Callable[[str], Path]) -> None:
    path = copied("shortest")
    label = "24-inch printer and shaker dryer · Included, 12 months · Cash"
    assert Tryout(path, choice=label).start["financing"] == "Cash"
    with pytest.raises(KeyError):
        Tryout(path, choice="none such")


def test_another_set_has_its_own_warranty_and_ways_to_pay(tryouts: dict[str, Tryout]) -> None:
    tryout = tryouts["two-widths"]
    wide = "60 cm printer and shaker dryer"
    lease = "Lease of the 60 cm set, 48 months"
    leased = tryout.settled({**tryout.start, "equipment": wide, "financing": lease})
    assert leased["warranty"] == "Included, 24 months"
    assert leased["financing"] == lease
    narrow = tryout.settled({**leased, "equipment": "30 cm printer and small dryer"})
    assert narrow["warranty"] == "Included, 12 months"
    assert narrow["financing"] == "Own savings"
    with pytest.raises(ControlError, match="financing: must be one of Own savings, Bank loan"):
        tryout.compute({**narrow, "financing": lease})


def test_rate_and_term_of_an_offer_without_a_name_move_together(
    tryouts: dict[str, Tryout],
) -> None:
    # its implied name, "Loan, 48 months", changes with its term
    tryout = tryouts["shortest"]
    loan = "Loan, 48 months"
    moved = {f"rate of {loan}": 7.0, f"term of {loan}": 60.0, f"down payment of {loan}": 30.0}
    now = tryout.compute({**tryout.start, "financing": loan, **moved})
    offer = now.page.best.choice.financing
    assert offer.name == "Loan, 60 months"
    assert offer.rate is not None
    assert (offer.rate.likely, offer.down_payment.likely) == (pytest.approx(0.07), 0.3)  # type: ignore[union-attr]


def test_settings_must_be_those_of_the_panel(tryouts: dict[str, Tryout]) -> None:
    tryout = tryouts["shortest"]
    with pytest.raises(ControlError, match="differs in pricee"):
        tryout.compute({**tryout.start, "pricee": 1.0})
    with pytest.raises(ControlError, match=r"Wage: must be from .* \(got 99\)"):
        tryout.compute({**tryout.start, "wage": 99.0})


def test_inputs_that_cannot_stand_together_are_one_message(copied: Callable[[str], Path]) -> None:
    path = copied("shortest")
    text = path.read_text(encoding="utf-8")
    narrow = text.replace('"24 in x 100 m"', '"11.6 in x 100 m"')  # 10.5 in fit, 11.6 less 2 do not
    path.write_text(narrow, encoding="utf-8")
    tryout = Tryout(path)
    with pytest.raises(ScenarioError, match="fit") as caught:
        tryout.compute({**tryout.start, "film edge": 1.0})
    assert len(str(caught.value).splitlines()) == 1
