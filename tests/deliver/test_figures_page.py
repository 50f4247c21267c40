"""The page that ``planner figures`` prints."""

from __future__ import annotations

import functools
import re
from pathlib import Path

import pytest

from planner.decide.answer import AnswerPage, open_answer
from planner.decide.breakeven import headline_value
from planner.decide.evaluation import AGAINST_BUYING_IN
from planner.decide.ranking import same_machine
from planner.decide.risk.answer import risk
from planner.decide.sensitivity import without_range
from planner.deliver.figures_page import LABEL, LIKELY_CASE, MATTERING, figure_lines
from planner.deliver.terminal import folded, with_minus
from planner.show.words import (
    chance_heading,
    choice_sentence,
    first_sentence,
    numbers_of,
    paying_sentence,
)

SCENARIOS = Path(__file__).parents[2] / "scenarios"
NAMES = ("larkspur-lane", "new-shop", "shortest", "two-widths")


@functools.cache
def page(name: str) -> AnswerPage:
    return open_answer(SCENARIOS / f"{name}.toml")


def lines(name: str, *, every_choice: bool = False, note: str = "") -> list[str]:
    return list(figure_lines(page(name), every_choice=every_choice, note=note))


def text(name: str, width: int) -> str:
    return folded(map(with_minus, lines(name)), width=width)


def section(found: list[str], begins: str) -> list[str]:
    """The indented lines below a heading."""
    at = next(n for n, line in enumerate(found) if line.startswith(begins))
    rest = found[at + 1 :]
    ends = next(n for n, line in enumerate([*rest, ""]) if not line.startswith("  "))
    return rest[:ends]


@pytest.mark.parametrize("name", NAMES)
def test_the_first_sentence_comes_first_and_everything_in_its_order(name: str):
    found = lines(name)
    assert found[0] == page(name).scenario.title
    assert first_sentence(page(name)) in found[2:4]
    starts = [
        LIKELY_CASE, "The figures are for ", "  A, ", "  B, ", "  C, ", "What matters most",
        "Defaults that move",
        "Break-even", "A piece", "Ways to pay", "Conditions:", "This is a calculation",
    ]  # fmt: skip
    at = [next(n for n, line in enumerate(found) if line.startswith(s)) for s in starts]
    assert at == sorted(at)


@pytest.mark.parametrize("name", NAMES)
def test_it_is_about_seventy_lines_of_eighty_columns(name: str):
    folded_lines = text(name, 80).split("\n")
    assert len(folded_lines) <= 78
    assert max(map(len, folded_lines)) <= 80


@pytest.mark.parametrize("name", NAMES)
def test_what_is_said_does_not_depend_on_the_width(name: str):
    said = {width: text(name, width).split() for width in (60, 80, 120)}
    assert said[60] == said[80] == said[120]


@pytest.mark.parametrize("name", NAMES)
def test_it_is_plain_text_with_real_minus_signs(name: str):
    whole = text(name, 80)
    assert not re.search(r"[\x1b\u2500-\u257f]", whole)
    assert not re.search(r"(?<![\w-])-[$€\d]", whole)
    figures = page(name).best.figures
    lowest = min(value for value in figures.net_present_value.values() if value is not None)
    if lowest < 0:
        amount = numbers_of(page(name).scenario).money(-lowest)
        assert f"worth −{amount} today" in " ".join(whole.split())


@pytest.mark.parametrize("name", NAMES)
def test_break_evens_stand_in_one_table_of_one_unit(name: str):
    own, figures = page(name), page(name).best.figures
    table = section(lines(name), "Break-even, in pieces a week:")
    assert {len(row) for row in table} == {LABEL + 10}
    cells = {row[: LABEL + 2].strip(): row[LABEL + 2 :].strip() for row in table}
    shown = {label: int(cell) for label, cell in cells.items() if cell.isdigit()}
    assert shown["planned at full volume"] == round(figures.weekly_pieces)
    assert shown["the shop is full, in an average month, at"] == round(
        figures.break_even.capacity * figures.weekly_pieces
    )
    monthly = shown["all this work against none of it, a month"]
    assert monthly == round((figures.break_even.monthly.value or 0) * figures.weekly_pieces)
    purchase = next(label for label in cells if label.startswith("B, worth more than "))
    assert list(cells).index(purchase) == 1  # what the owner needs comes first
    assert set(cells.values()) - set(map(str, shown.values())) <= {"any", "none"}
    if own.verdict.pieces_needed is not None and own.verdict.answer.name == "NOT_YET":
        assert round(own.verdict.pieces_needed) in shown.values()  # the first sentence says it


def test_the_machine_is_worth_nothing_more_than_buying_in_at_the_volume_said():
    """The cell says 153; at 152 pieces the headline value is below zero, at 154 above."""
    own = page("shortest")
    (row,) = [row for row in lines("shortest") if "B, worth more than buying in" in row]
    pieces = int(row.split()[-1])
    today, planned = 40, 60
    for at, sign in ((pieces - 1, -1), (pieces + 1, 1)):
        moved = own.case.moved(added=(at - today) / (planned - today))
        assert sign * float(headline_value(moved, own.best.choice)[0]) > 0


@pytest.mark.parametrize("name", NAMES)
def test_defaults_and_estimates_are_ranked_with_the_ranges(name: str):
    own = page(name)
    found = [*own.influences, *without_range(own.case, own.best.evaluation.plan)]
    ranked = sorted(found, key=lambda one: -one.swing)[:MATTERING]
    numbers = numbers_of(own.scenario)
    said = section(lines(name), "What matters most")
    assert len(said) == len(ranked)
    for line, one in zip(said, ranked, strict=True):
        ends = f"{numbers.money(one.at_low)} to {numbers.money(one.at_high)}"
        assert line.endswith(f"({one.estimate.basis}): worth {ends}.")


def test_a_file_of_defaults_does_not_hide_what_decides():
    """Without a range in the file the measured rates alone would be named."""
    own = page("shortest")
    assert not [line for line in section(lines("shortest"), "What matters") if "(measured)" in line]
    (line,) = [line for line in lines("shortest") if line.startswith("Defaults that move it most:")]
    numbers = numbers_of(own.scenario)
    defaults = [
        one
        for one in without_range(own.case, own.best.evaluation.plan)
        if one.estimate.basis == "default"
    ]
    named = " ".join(section(lines("shortest"), "What matters"))
    assert "labour: daily, " in named  # the first of them is among what matters most of all
    for one in defaults[1 : 1 + MATTERING]:
        assert f"” by {numbers.money(one.swing)}" in line
    assert line.count("” by ") == MATTERING
    assert "“ink: colours” by " in line


def test_ways_to_pay_are_those_of_one_machine_and_other_machines_are_a_line_each():
    own, found = page("two-widths"), lines("two-widths")
    ways = section(found, "Ways to pay")
    assert len(ways) == 2
    others = section(found, "Other machines and warranties")
    names = {answered.choice.names[:2] for answered in own.choices} - {own.best.choice.names[:2]}
    assert len(others) == len(names) == 3
    for answered in own.choices:
        worth = answered.figures.net_present_value[AGAINST_BUYING_IN]
        label = ", ".join(answered.choice.names[:2])
        line = f"  {label}: {numbers_of(own.scenario).money(worth)}."
        assert (line in others) == (answered.choice.names[:2] in names)
    every = section(lines("two-widths", every_choice=True), "Ways to pay")
    assert len(every) == len(own.choices)


def test_every_hour_is_said_only_where_it_makes_a_difference():
    assert any("every hour of work paid for" in line for line in lines("larkspur-lane"))
    assert not any("every hour of work paid for" in line for line in lines("shortest"))


def test_the_likely_case_is_named_until_chances_stand_beside_it():
    own = page("larkspur-lane")
    found = risk(own, draws=64, seed=0)
    drawn = list(figure_lines(own, found, every_choice=False))
    assert LIKELY_CASE in lines("larkspur-lane")
    assert LIKELY_CASE not in drawn
    at = drawn.index(f"{chance_heading(own, found)}.")
    assert drawn.index(first_sentence(own)) < at < drawn.index(choice_sentence(own))


@pytest.mark.parametrize("name", NAMES)
def test_the_ways_to_pay_are_ranked_below_their_list(name: str):
    own, found = page(name), lines(name)
    said = paying_sentence(own, same_machine(own.choices, own.best))
    ways = next(n for n, line in enumerate(found) if line.startswith("Ways to pay"))
    assert found.index(said) == ways + 1 + len(section(found, "Ways to pay"))


def test_a_note_follows_the_answer():
    found = lines("shortest", note="But mind this.")
    assert found[found.index(first_sentence(page("shortest"))) + 1] == "But mind this."


def test_counts_of_one_are_singular():
    assert "25 defaults in use, 1 cost left out: planner check. Next: planner run." in lines(
        "larkspur-lane"
    )


def test_what_a_machine_needs_and_nobody_named_is_one_line():
    scenario = open_answer(SCENARIOS / "shortest.toml", changes={}).scenario
    (needed,) = [line for line in lines("shortest") if ": nothing says that " in line]
    assert needed.startswith(f"{scenario.equipment[0].name}: nothing says that extraction")
