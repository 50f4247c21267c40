"""Lines that begin with a key, as a reader reads them: in words, with the user's own names."""

import re

import pytest
from helpers import SHIPPED, shipped

from planner.scenario.notices import costs_left_out, defaults_in_words
from planner.show.keyed import cost_words, parted, read_out
from planner.usage.print_doubts import every_doubt

OWN = r'equipment."9\" \"Fast\": set".wear_parts."Print head".life'


@pytest.mark.parametrize(
    ("line", "parts"),
    [
        ("horizon: 60 months", ("horizon", "60 months")),
        ("shop.season[11]: 100", ("shop.season[11]", "100")),
        (f"{OWN}: 2 years: short", (OWN, "2 years: short")),
        ("No key stands here: or does it?", ("", "No key stands here: or does it?")),
    ],
)
def test_a_line_parts_behind_its_key(line: str, parts: tuple[str, str]) -> None:
    assert parted(line) == parts


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('products."Tee, dark".planned: is less', "Tee, dark \u203a planned pieces: is less"),
        ('equipment."A set": nothing says', "A set: nothing says"),
        ("test_prints: few", "test prints: few"),
        ("shop.open_days: 5 day/week", "shop \u203a open days: 5 day/week"),
        (f"{OWN}: ends", '9" "Fast": set \u203a wear parts \u203a Print head \u203a life: ends'),
        ("No key stands here: words", "No key stands here: words"),
    ],
)
def test_a_line_read_out(line: str, words: str) -> None:
    assert read_out(line) == words


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("selling.packing: packing", "packing"),
        ('financing."Bank".fee: fee of the loan', "Bank: fee of the loan"),
        ('equipment."A".warranty."B".price: price', "A \u203a B: price"),
    ],
)
def test_a_cost_says_itself_what_it_is(line: str, words: str) -> None:
    assert cost_words(line) == words


@pytest.mark.parametrize("name", SHIPPED)
def test_no_line_of_a_scenario_begins_with_a_key_when_it_is_read(name: str) -> None:
    scenario = shipped(name)
    costs = costs_left_out(scenario)
    lines = (*every_doubt(scenario), *defaults_in_words(scenario), *costs)
    assert all(parted(line)[0] for line in lines)
    for said in (*map(read_out, lines), *map(cost_words, costs)):
        assert not re.search(r'_|"|\w\.\w', said.partition(": ")[0]), said
