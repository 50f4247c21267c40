"""Every shipped scenario against the figures that stand beside it.

The expected figures come from the second calculation, which shares no code with the package; they
are never edited to make a test pass.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planner.decide.answer import AnswerPage, open_answer
from planner.decide.prints import print_costs
from planner.deliver.document import figures_by_key

SCENARIOS = Path(__file__).parent.parent / "scenarios"
FILES = sorted(SCENARIOS.glob("*.toml"))


@pytest.fixture(scope="module", params=FILES, ids=lambda path: path.stem)
def both(request: pytest.FixtureRequest) -> tuple[AnswerPage, dict]:
    path: Path = request.param
    beside = path.with_name(f"{path.stem}-expected.json")
    return open_answer(path), json.loads(beside.read_text(encoding="utf-8"))


def flat(base: str, value: object):
    if isinstance(value, dict):
        for key, part in value.items():
            yield from flat(f"{base}.{key}", part)
    else:
        yield base, value


def test_choices_are_the_same_and_in_the_same_order(both):
    page, expected = both
    names = [(c["equipment"], c["warranty"], c["financing"]) for c in expected["choices"]]
    assert names == [answered.choice.names for answered in page.choices]


def test_headline_figures_agree_to_half_a_cent(both):
    page, expected = both
    for answered, choice in zip(page.choices, expected["choices"], strict=True):
        found = dict(flat("", figures_by_key(answered.figures)))
        for key, value in flat("", choice["figures"]):
            if value is None:
                assert found[key] is None, (answered.choice.label, key)
            else:
                assert found[key] == pytest.approx(value, abs=0.005 if abs(value) > 1000 else 2e-6)


def test_print_costs_agree_to_half_a_cent(both):
    page, expected = both
    first_set = page.choices[0].evaluation.plan
    for one, row in zip(print_costs(page.case, first_set), expected["prints"], strict=True):
        assert one.product == row["product"]
        assert one.material == pytest.approx(row["material"], abs=0.005)
        assert one.full == pytest.approx(row["full"], abs=0.005)
        assert one.with_equipment == pytest.approx(row["full_with_equipment"], abs=0.005)


@pytest.mark.parametrize(
    ("name", "start"),
    [
        ("shortest", "Not yet, from "),
        ("larkspur-lane", "Yes: "),
        ("new-shop", "Not yet, from "),
        ("two-widths", "Yes: 30 cm printer"),
    ],
)
def test_each_scenario_tells_its_story(name: str, start: str):
    from planner.show.words import first_sentence

    assert first_sentence(open_answer(SCENARIOS / f"{name}.toml")).startswith(start)


def test_the_long_example_differs_by_more_than_a_year_between_comparisons():
    months = open_answer(SCENARIOS / "larkspur-lane.toml").best.figures.payback
    assert months["today_only"].months is None
    assert months["against_buying_in"].months - months["whole_plan"].months > 12


def test_one_set_of_the_metric_shop_is_full_in_its_busiest_month():
    page = open_answer(SCENARIOS / "two-widths.toml")
    assert page.best.figures.busiest.share >= 1
    ledger = page.best.evaluation.plan.ledger
    assert ledger.line("transfers bought in a hurry").sum() < 0
    assert ledger.line("sales lost").sum() < 0


def test_the_new_shop_fails_because_the_volume_comes_late():
    from planner.decide.verdict import Reason

    page = open_answer(SCENARIOS / "new-shop.toml")
    assert page.verdict.reason is Reason.LATE
    assert page.verdict.months is None
    assert page.verdict.pieces_needed > page.verdict.pieces_planned
    assert page.verdict.months_if_at_once < page.verdict.limit
