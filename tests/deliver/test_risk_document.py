"""What is said of risk as JSON: plain, complete, and the numbers of the answers it is made of."""

import functools
import json

import pytest
from helpers import MACHINE, SHIPPED, TEE, equipment, exactly, shipped_answer

from planner.decide.answer import answer
from planner.decide.grid import payback_grid
from planner.decide.risk.answer import risk
from planner.decide.risk.chance_turning import chance_turnings
from planner.decide.sensitivity import without_range
from planner.decide.stress import stress_lines
from planner.decide.turning import turnings
from planner.deliver.risk_document import risk_document

DRAWS = 64
SPREAD = {"low", "middle", "high", "errors"}


@functools.cache
def risk_of(name):
    return risk(shipped_answer(name), draws=DRAWS, seed=0)


@functools.cache
def document_of(name):
    return risk_document(shipped_answer(name), risk_of(name))


def of(choice):
    return {"equipment": choice[0], "warranty": choice[1], "financing": choice[2]}


@pytest.mark.long
@pytest.mark.parametrize("name", SHIPPED)
def test_it_is_plain_json(name):
    document = document_of(name)
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    assert list(document) == [
        "draws",
        "seed",
        "uncertain_inputs",
        "choices",
        "explains",
        "leading",
        "worth_most",
        "costs_least",
        "stress",
        "grid",
        "turnings",
        "untested_inputs",
        "notes",
    ]


@pytest.mark.long
@pytest.mark.parametrize("name", SHIPPED)
def test_choices_are_those_of_the_drawn_cases(name):
    document, found = document_of(name), risk_of(name)
    assert (document["draws"], document["seed"]) == (DRAWS, 0)
    for said, one in zip(document["choices"], found.choices, strict=True):
        assert said | of(one.choice.names) == said
        for name_of, spread in one.payback.items():
            assert set(said["payback_months"][name_of]) == SPREAD
            low = said["payback_months"][name_of]["low"]
            assert (float("inf") if low is None else low) == spread.low
        assert said["net_present_value"]["whole_plan"]["middle"] == one.value["whole_plan"].middle
        assert said["lowest_cash"]["errors"]["high"] == one.lowest_cash.high_error
        assert said["chance_worth_more"]["share"] == one.worth.share
        within = said["chance_of_payback_within"]
        assert within["limit"] == {
            "share": one.within["limit"].share,
            "error": one.within["limit"].error,
        }
        assert (within["financing"] is None) == (one.choice.financing.term is None)
        assert [each["condition"] for each in said["conditions"]] == [
            each.condition for each in one.conditions
        ]


def test_chances_by_month_and_by_year():
    page = shipped_answer("larkspur-lane")
    for said, one in zip(document_of("larkspur-lane")["choices"], page.choices, strict=True):
        cash, cover = said["chance_cash_below_limit"], said["chance_cover_below_limit"]
        assert len(cash["by_month"]) == page.case.months + 1
        assert max(cash["by_month"]) <= cash["once"]["share"]
        assert len(cover["by_year"]) == 5
        if one.choice.financing.kind == "cash":  # the price is paid at signing: under the limit
            assert cash["by_month"][0] == 1.0


@pytest.mark.parametrize("name", SHIPPED)
def test_what_does_not_exist_is_null_with_a_note(name):
    document, page = document_of(name), shipped_answer(name)
    notes = document["notes"]
    for said, one in zip(document["choices"], risk_of(name).choices, strict=True):
        label = one.choice.label
        for comparison, spread in said["payback_months"].items():
            ends = [spread[end] for end in ("low", "middle", "high")]
            missing = None in ends or None in spread["errors"].values()
            begins = f"{label}: payback_months.{comparison}: null"
            assert any(note.startswith(begins) for note in notes) == missing
        for key, there_is in (
            ("lowest_debt_service_cover", one.lowest_cover is not None),
            ("chance_cash_below_limit", page.scenario.conditions.cash_never_below is not None),
        ):
            assert (said[key] is not None) == there_is
            assert any(note.startswith(f"{label}: {key}: ") for note in notes) != there_is


@pytest.mark.long
@pytest.mark.parametrize("name", SHIPPED)
def test_stress_grid_turnings_and_untested_inputs_are_those_of_the_answers(name):
    document, page = document_of(name), shipped_answer(name)
    case, best = page.case, page.best
    lines = stress_lines(case, best.choice)
    for said, line in zip(document["stress"], lines, strict=True):
        assert (said["name"], tuple(said["sets"])) == (line.name, line.sets)
        assert said["why_not"] == line.why_not
        if line.outcome is not None:
            assert said["lowest_cash"] == line.outcome.lowest_cash
            assert said["payback_months"] == line.outcome.payback.months
    grid = payback_grid(case, best.choice)
    cells = [
        [float("inf") if cell is None else cell for cell in row]
        for row in document["grid"]["payback_months"]
    ]
    assert cells == grid.months.tolist()
    for said, answered in zip(document["turnings"], page.choices, strict=True):
        assert said | of(answered.choice.names) == said
        found = turnings(page, answered)
        assert [(each["factor"], each["figure"]) for each in said["turnings"]] == [
            (each.factor, each.figure) for each in found
        ]
    found = without_range(case, best.evaluation.plan)[:10]
    assert [each["input"] for each in document["untested_inputs"]] == [
        each.estimate.key for each in found
    ]


def test_with_too_few_ranges_no_chance_is_stated(bare):
    # 1,200 of machine, and 12,000 of sales at the price of 10; two inputs have a range
    ranges = {
        f"{TEE}.price": {"low": 8, "likely": 10, "high": 11},
        f"{MACHINE}.price": {"low": 1000, "likely": 1200, "high": 1500},
    }
    page = answer(bare(ranges))
    document = risk_document(page, risk(page, draws=DRAWS, seed=3))
    assert (document["draws"], document["seed"]) == (0, 3)
    assert (document["choices"], document["leading"], document["explains"]) == ([], None, [])
    assert document["notes"][0] == (
        "choices: no chance is stated, for 3 inputs with a range are needed and there are 2"
    )
    assert [each["likely"] for each in document["uncertain_inputs"]] == exactly([10, 1200])
    assert document["stress"][0]["net_present_value"] == exactly(10_800)


def test_a_chance_that_fails_is_solved_for_the_choice_spoken_of(bare):
    # a machine of 1,200 and sales of 800 to 1,200 a month
    changes = {
        f"{TEE}.price": {"low": 8, "likely": 10, "high": 12},
        f"{TEE}.planned": {
            "low": "20 piece/week", "likely": "25 piece/week", "high": "26 piece/week"},
        f"{TEE}.garment": {"low": 0, "likely": 0.5, "high": 1},
        "conditions.chance_of_payback": {"within": "1.2 months", "at_least": "90 %"},
        "equipment": [equipment(), equipment(name="Other")],
    }  # fmt: skip
    page = answer(bare(changes))
    found = risk(page, draws=DRAWS, seed=0)
    document = risk_document(page, found)
    expected = chance_turnings(page, found)
    assert len(expected) == 3
    for said, answered in zip(document["turnings"], page.choices, strict=True):
        of_chance = [each for each in said["turnings"] if each["unit"] == "share"]
        if answered is not page.best:
            assert of_chance == []
            continue
        for each, one in zip(of_chance, expected, strict=True):
            assert (each["factor"], each["error"]) == (one.factor, one.error)
            assert (each["figure"], each["just_short"]) == (one.figure, one.just_short)
            assert each["just_short"] < 0.9 <= each["figure"]
            assert (each["limit"], each["jumps"]) == (0.9, one.jumps)
    notes = document["notes"]
    assert "turnings: the chance of payback is solved for the choice spoken of alone" in notes


@pytest.mark.parametrize("name", SHIPPED)
def test_no_error_of_a_share_is_nothing(name):
    document = document_of(name)
    shares = [
        share
        for one in document["choices"]
        for share in one["chance_of_payback_within"].values()
        if share is not None
    ]
    assert min(share["error"] for share in shares) >= 1 / DRAWS
    explains = document["explains"]
    assert [one["share"] for one in explains] == [one.share for one in risk_of(name).explains]
    assert [one["error"] for one in explains] == [one.error for one in risk_of(name).explains]
