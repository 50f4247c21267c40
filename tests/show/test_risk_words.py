"""What could go wrong in words and tables: no more digits than sampling allows, nothing hidden."""

import math
import re
import shlex
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from helpers import SHIPPED, TEE, equipment, shipped_answer
from hypothesis import given
from hypothesis import strategies as st

from planner.decide.answer import AnswerPage, answer
from planner.decide.conditions import Condition
from planner.decide.grid import Grid, payback_grid
from planner.decide.risk.answer import Risk, risk
from planner.decide.risk.chance_turning import chance_turnings
from planner.decide.risk.explain import Explains
from planner.decide.risk.identities import risk_checks
from planner.decide.risk.spread import T_95, Share, Spread, reached_by_month, share_of
from planner.decide.stress import stress_lines
from planner.decide.turning import Turning, turnings
from planner.scenario.estimates import Estimate
from planner.show import pictures, tables, words
from planner.show.numbers import Numbers
from planner.show.words.chances import (
    chance_with_error,
    chance_words,
    money_range,
    payback_range,
    share_in_percent,
    to_error,
)
from planner.show.words.changed import figure_words, grid_columns, grid_rows, turning_words
from planner.show.words.explains import (
    REST,
    REST_WITHOUT_FAILURES,
    amount_words,
    explained_parts,
    who_knows,
)
from planner.show.words.risk import best_by_conditions, event_words

US = Numbers(locale="en_US", currency="USD", units="inch")
NEVER = math.inf
DRAWS = 256


@cache
def drawn(name: str) -> tuple[AnswerPage, Risk]:
    page = shipped_answer(name)
    return page, risk(page, draws=DRAWS, seed=0)


def spread(low: float, middle: float, high: float, error: float = 0.0) -> Spread:
    errors = [NEVER if math.isinf(one) else error for one in (low, middle, high)]
    return Spread(low, middle, high, *errors)


# --- chances ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.0, "no case drawn"),
        (0.004, "fewer than 1 in 100"),
        (0.03, "about 3 in 100"),
        (0.094, "about 9 in 100"),
        (0.095, "about 1 in 10"),
        (0.649, "about 6 in 10"),
        (0.65, "about 7 in 10"),
        (0.9, "about 9 in 10"),
        (0.906, "about 91 in 100"),
        (0.994, "about 99 in 100"),
        (0.996, "more than 99 in 100"),
        (1.0, "every case drawn"),
    ],
)
def test_a_chance_in_words(share: float, said: str):
    assert chance_words(Share(share, 0.002)) == said


@pytest.mark.parametrize(
    ("share", "error", "said"),
    [
        # 95 % of 7 degrees: 2.3646 standard errors
        (0.83, 0.001, "about 8 in 10 (83%, give or take 1 in 100)"),
        (0.83, 0.005, "about 8 in 10 (83%, give or take 2 in 100)"),
        (0.83, 0.1 / T_95, "about 8 in 10 (give or take 1 in 10)"),
        (0.83, 0.06, "about 8 in 10 (give or take 2 in 10)"),
        (0.03, 0.005, "about 3 in 100 (give or take 2 in 100)"),
        (0.996, 0.001, "more than 99 in 100"),
        # 0.4 % with as much as 1.2 % more
        (0.996, 0.005, "more than 98 in 100"),
        (0.004, 0.005, "fewer than 2 in 100"),
    ],
)
def test_a_chance_with_what_sampling_leaves_open(share: float, error: float, said: str):
    assert chance_with_error(Share(share, error), US) == said


@pytest.mark.parametrize(
    ("cases", "bound"),
    [
        (8, "4 in 10"),
        (30, "1 in 10"),
        (64, "5 in 100"),
        (1024, "3 in 1,000"),
        (4096, "8 in 10,000"),
        (30_000, "1 in 10,000"),
    ],
)
def test_none_and_all_say_how_much_may_be_hidden(cases: int, bound: str):
    # 3 ÷ cases, rounded up
    replicate = np.arange(cases) % 8
    none, every = (share_of(np.full(cases, holds), replicate) for holds in (False, True))
    assert chance_with_error(none, US) == f"no case drawn (at most {bound})"
    assert chance_with_error(every, US) == f"every case drawn (all but {bound} at most)"


@given(st.floats(0, 1))
def test_what_is_not_certain_is_never_said_to_be(share: float):
    said = share_in_percent(share, US)
    assert (said == "0%") == (share == 0)
    assert (said == "100%") == (share == 1)


@pytest.mark.parametrize(
    ("value", "error", "finest", "shown"),
    [
        (11_487.0, 14.2, 1.0, 11_490.0),  # the error's first digit stands for tens
        (11_487.0, 140.0, 1.0, 11_500.0),
        (11_487.6, 0.3, 1.0, 11_488.0),  # never finer than the coin
        (11_487.6, 0.0, 1.0, 11_488.0),
        (28.44, 0.02, 0.1, 28.4),
        (28.44, 2.0, 0.1, 28.0),
        (47.96, NEVER, 0.1, 48.0),  # a replicate of the cases does not get there
    ],
)
def test_a_figure_has_no_more_digits_than_its_error(value, error, finest, shown):
    assert to_error(value, error=error, finest=finest) == pytest.approx(shown)


# --- ranges -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        ((23.2, 28.4, 38.2), "payback takes between 23 and 38 months in 8 of 10 cases, 28 in the "
         "middle case"),
        ((9.5, 9.8, 13.0), "payback takes between 9.5 and 13 months in 8 of 10 cases, 9.8 in the "
         "middle case"),
        ((12.0, 12.0, 12.0), "payback takes 12 months in 8 of 10 cases"),
        ((0.0, 0.0, 0.0), "9 of 10 cases or more need no payback: no money is in"),
        ((41.0, 47.0, NEVER), "1 of 10 cases pays back within 41 months and 5 of 10 within 47 "
         "months, and 1 of 10 or more not within 60 months"),
        ((41.0, NEVER, NEVER), "1 of 10 cases pays back within 41 months, and half of them or "
         "more not within 60 months"),
        ((NEVER, NEVER, NEVER), "9 of 10 cases or more do not pay back within 60 months"),
    ],
)  # fmt: skip
def test_paybacks_of_8_in_10_cases(ends: tuple[float, float, float], said: str):
    assert payback_range(spread(*ends), horizon=60, numbers=US) == said


def test_amounts_of_8_in_10_cases():
    said = money_range(spread(4429.3, 11_610.1, 19_353.5, error=146.0), US)
    assert said == "between $4,400 and $19,400 in 8 of 10 cases, $11,600 in the middle case"
    assert money_range(spread(5.0, 5.0, 5.0), US) == "$5 in 8 of 10 cases"


def test_times_reached_by_the_end_of_each_month():
    # 1.5 months are over at the end of month 2; month 3 is reached at its own end
    times = np.array([1.5, 3.0, NEVER, 0.0])
    assert reached_by_month(times, months=4).tolist() == [0.25, 0.25, 0.5, 0.75, 0.75]


# --- the shipped shops --------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHIPPED)
def test_every_sentence_ends_and_names_nothing_infinite(name: str):
    page, found = drawn(name)
    pairs, needed = payback_grid(page.case, page.best.choice), turnings(page, page.best)
    said = [
        *words.risk_sentences(page, found),
        *words.range_sentences(page, found),
        *words.lowest_sentences(page, found),
        *words.chance_sentences(page, found),
        *words.explains_sentences(page, found),
        *words.conditions_sentences(page, found),
        *words.cheapest_sentences(found),
        *words.turning_sentences(page, needed),
    ]
    assert len(said) > 12
    for sentence in said:
        assert sentence.endswith(".")
        assert not re.search(r"\b(inf|nan|None)\b|  |\.\.", sentence)
    headings = [*words.risk_findings(page, found).values(), words.matters_heading(page)]
    headings += [words.grid_heading(page, pairs), words.conditions_heading(page, found)]
    assert all(heading and not heading.endswith(".") for heading in headings)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_three_comparisons_stand_together(name: str):
    page, found = drawn(name)
    assert [said[:2] for said in words.range_sentences(page, found)] == ["A,", "B,", "C,"]
    ranges = tables.ranges_table(page, found)["figure"]
    assert [figure[:2] for figure in ranges[:6]] == ["A,", "B,", "C,"] * 2


def test_against_not_taking_the_work_where_no_price_for_bought_in_transfers_stands():
    page, found = drawn("new-shop")
    assert words.payback_range_heading(page, found).startswith("Against not taking the work, ")


def test_a_chance_counts_only_what_ends_within_the_months_looked_at():
    # the loan of the new shop runs 60 months, its plan 48
    page, found = drawn("new-shop")
    assert found.best is not None
    assert set(event_words(page, found.best)) == {"limit", "warranty", "horizon"}
    page, found = drawn("larkspur-lane")
    assert found.best is not None
    assert set(event_words(page, found.best)) == {"limit", "warranty", "financing", "horizon"}
    page, found = drawn("shortest")  # states no limit: that is the horizon
    assert found.best is not None
    assert set(event_words(page, found.best)) == {"limit", "warranty", "financing"}


def test_a_limit_that_is_not_stated_is_said():
    page, found = drawn("shortest")
    said = " ".join(words.chance_sentences(page, found))
    assert "states no limit to its bank balance" in said
    assert (
        "in some year: every case drawn (all but 2 in 100 at most); in year 1 already in every one."
    ) in said


@pytest.mark.parametrize("name", SHIPPED)
def test_pictures_of_the_drawn_cases_have_their_headings(name: str):
    page, found = drawn(name)
    drawn_pictures = (
        pictures.payback_range_picture(page, found),
        pictures.chance_picture(page, found),
        pictures.explains_picture(page, found),
    )
    names = [picture.name for picture in drawn_pictures if picture is not None]
    assert list(words.risk_findings(page, found)) == names
    influences = pictures.influences_picture(page)
    assert influences is not None
    assert influences.name in words.findings(page)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_parts_of_the_spread_add_up_to_all_of_it(name: str):
    _, found = drawn(name)
    parts = explained_parts(found, most=6)
    assert sum(share for _, share in parts) == pytest.approx(max(1.0, *np.cumsum(
        [share for _, share in parts[:-1]])))  # fmt: skip
    # the shortest form states no law of failures
    assert parts[-1][0] == (REST_WITHOUT_FAILURES if name == "shortest" else REST)
    assert parts[-1][1] >= 0
    assert len(parts) <= 6 + 2


def test_inputs_beyond_those_named_are_counted_together():
    named = [("a", 0.4), ("b", 0.3), ("c", 0.1), ("d", 0.05)]
    explains = tuple(
        Explains(Estimate(likely=1, unit="", key=key), share, 0.001) for key, share in named
    )
    _, found = drawn("larkspur-lane")
    parts = explained_parts(replace(found, explains=explains), most=2)
    assert [part for part, _ in parts] == ["a", "b", "2 other inputs, each alone", REST]
    assert [share for _, share in parts] == pytest.approx([0.4, 0.3, 0.15, 0.15])


@pytest.mark.parametrize(
    ("key", "who"),
    [
        ('products."Tee".planned', "customers and the order book"),
        ('products."Tee".needs_machine', "customers and the order book"),
        ('products."Tee".price', "whoever gave the number"),
        ("today.buy_in_price", "the supplier's invoices"),
        ("labour.pressing", "a stopwatch"),
        ('equipment."Set".price', "the dealer, and owners of the same equipment"),
        ("shop.wage", "the accountant"),
        ("hurdle_rate", "whoever gave the number"),
    ],
)
def test_who_could_say_more(key: str, who: str):
    assert who_knows(shipped_answer("shortest"), Estimate(likely=1, unit="", key=key)) == who


def test_more_test_prints_are_counted():
    page = shipped_answer("larkspur-lane")  # its powder is known to ±15 %, its colour is not
    said = [who_knows(page, Estimate(likely=1, unit="", key=f"test_prints.{kind}"))
            for kind in ("powder", "colour")]  # fmt: skip
    assert said[0] == "more test prints (±15% is reached already)"
    assert said[1] == "about 28 more test prints"


def test_an_amount_is_in_the_unit_in_which_it_was_written():
    page = shipped_answer("larkspur-lane")
    planned = page.influences[0].estimate
    assert amount_words(page, planned, planned.high) == "104 pieces a week"


# --- too few ranges -----------------------------------------------------------------------------


@pytest.mark.parametrize(("ranges", "said"), [(0, "no input has"), (1, "only 1 input has"),
                                              (2, "only 2 inputs have")])  # fmt: skip
def test_with_too_few_ranges_no_chance_is_stated_and_the_page_says_why(bare, ranges, said):
    changes = {
        f"{TEE}.price": {"low": 8, "likely": 10, "high": 11},
        f"{TEE}.garment": {"low": 0, "likely": 2, "high": 7},
    }
    page = answer(bare(dict(list(changes.items())[:ranges])))
    found = risk(page, draws=DRAWS, seed=0)
    sentences = list(words.risk_sentences(page, found))
    assert sentences[0].startswith(f"No chance is stated, for {said} a range and 3 are needed")
    for none in (words.range_sentences, words.lowest_sentences, words.chance_sentences,
                 words.explains_sentences, words.conditions_sentences):  # fmt: skip
        assert list(none(page, found)) == []
    assert list(words.cheapest_sentences(found)) == []
    assert words.payback_range_heading(page, found) == words.chance_heading(page, found)
    assert pictures.payback_range_picture(page, found) is None
    assert pictures.chance_picture(page, found) is None
    assert pictures.explains_picture(page, found) is None
    assert (pictures.influences_picture(page) is None) == (ranges == 0)
    assert len(tables.ranges_table(page, found)) == len(tables.chances_table(page, found)) == 0
    assert len(tables.conditions_table(page, found)) == len(page.choices)
    assert len(risk_checks(page, found)) == 1


def test_with_too_few_ranges_the_chance_asked_for_is_not_judged(bare):
    asked = {"conditions.chance_of_payback": {"within": "6 months", "at_least": "80 %"}}
    page = answer(bare(asked))
    found = risk(page, draws=DRAWS, seed=0)
    assert list(words.conditions_sentences(page, found)) == [
        "The chance of payback that the shop asks for is not judged: too few inputs have a range."
    ]
    assert not any("chance" in head for head in tables.conditions_table(page, found))
    assert list(chance_turnings(page, found)) == []


def test_the_range_of_a_repair_is_none_of_those_that_are_needed(bare):
    days = {"low": "1 day", "likely": "2 day", "high": "6 day"}
    law = {"in_first_year": 1, "cost": {"low": 1, "likely": 2, "high": 3}}
    repairs = law | {"down_days_covered": days, "down_days_uncovered": days}
    page = answer(bare({"equipment": [equipment(repairs=repairs)]}))
    first = next(words.risk_sentences(page, risk(page, draws=DRAWS, seed=0)))
    assert first.startswith(
        "No chance is stated, for no input has a range (that of a repair aside)"
    )


def test_with_too_few_ranges_what_decides_most_is_named(bare):
    # 1,200 pieces of 10 in the year: a fifth of the price, and of the pieces, is 2,400
    page = answer(bare())
    named = list(words.risk_sentences(page, risk(page, draws=DRAWS, seed=0)))[1]
    assert "“Tee: price” (estimated): " in named
    assert "at $8.00" in named
    assert "at $12.00" in named
    assert "“Tee: planned pieces” (estimated): " in named


# --- conditions ---------------------------------------------------------------------------------


def test_the_choice_that_fails_fewest_conditions_then_the_one_spoken_of():
    _, found = drawn("larkspur-lane")
    first, second, *_ = found.choices
    own = second  # of equals the one that the page speaks of
    assert found.best is not None
    assert found.best.choice is own.choice
    met, failed = Condition("a", True, 1.0, 1.0, "ratio"), Condition("b", False, 1.0, 2.0, "ratio")

    def with_(one, conditions, middle):
        value = one.value | {"against_buying_in": spread(middle, middle, middle)}
        return replace(one, conditions=conditions, value=value)

    cases = [
        ((with_(first, (met, failed), 9.0), with_(second, (met, met), 1.0)), second),
        ((with_(first, (met,), 9.0), with_(second, (met,), 1.0)), own),
        ((with_(first, (met,), 9.0), with_(second, (met, failed), 1.0)), first),
    ]
    for choices, expected in cases:
        best = best_by_conditions(replace(found, choices=choices))
        assert best is not None
        assert best.choice is expected.choice


def test_a_choice_other_than_the_pages_own_is_named():
    page, found = drawn("larkspur-lane")
    best, other = found.best, found.choices[0]
    assert best is not None
    assert other.choice is not best.choice
    met, failed = Condition("a", True, 1.0, 1.0, "ratio"), Condition("b", False, 1.0, 2.0, "ratio")
    own = replace(best, conditions=(met, failed))
    moved = replace(found, choices=(replace(other, conditions=(met,) * 9), own), best=own)
    said = " ".join(words.conditions_sentences(page, moved))
    assert f"Fewest conditions fail with {other.choice.label}: 9 of 9 met." in said
    assert f"This page speaks of {best.choice.label}, which meets 1 of 2." in said


def test_a_choice_to_which_no_condition_applies_fails_none():
    page, found = drawn("shortest")  # its one condition is the lender's
    said = list(words.conditions_sentences(page, found))
    assert said[1].startswith("No condition applies to ")
    assert said[1].endswith("Cash, so that none fails with it.")
    assert said[2].endswith("Loan, 48 months, which meets 0 of 1.")


def test_that_no_choice_meets_a_condition_is_said_of_all_of_them():
    page, found = drawn("new-shop")
    assert "No choice meets any condition." in list(words.conditions_sentences(page, found))
    first, *others = found.choices
    met = Condition("a", True, 1.0, 1.0, "ratio")
    more = replace(first, conditions=(*first.conditions, met, *first.conditions))
    moved = replace(found, choices=(more, *others))  # one more is met, but more fail with it
    said = list(words.conditions_sentences(page, moved))
    assert "No choice meets any condition." not in said


@pytest.mark.parametrize(("least", "close"), [(0.8, True), (0.83, True), (0.79, False)])
def test_a_chance_too_near_to_what_is_asked_for_is_said_to_be(least, close):
    page, found = drawn("larkspur-lane")
    assert found.best is not None
    key = "conditions.chance_of_payback.at_least"
    page = replace(page, case=replace(page.case, values=page.case.values.with_value(key, least)))
    near = replace(found, best=replace(found.best, asked=Share(0.815, 0.01)))  # reaches 0.024
    said = "too near" in " ".join(words.conditions_sentences(page, near))
    assert said == close


# --- inputs that move together -------------------------------------------------------------------

TIED = {
    f"{TEE}.price": {"low": 8, "likely": 10, "high": 12},
    f"{TEE}.garment": {"low": 0, "likely": 3, "high": 4},
    "shop.wage": {"low": "18 USD/hour", "likely": "20 USD/hour", "high": "22 USD/hour"},
}


def tied(bare, rank: float) -> tuple[AnswerPage, Risk]:
    """A shop whose price and garment move against each other, or apart."""
    group = {"inputs": [f"{TEE}.price", f"{TEE}.garment"], "rank_correlation": rank}
    page = answer(bare(TIED | {"together": [group]}))
    return page, risk(page, draws=2048, seed=0)


def test_what_moves_together_may_explain_more_than_all(bare):
    page, found = tied(bare, -0.9)
    assert sum(one.share for one in found.explains) > 1.5
    assert explained_parts(found, most=6)[-1][1] == 0
    said = list(words.explains_sentences(page, found))
    assert "explains" in said[0]
    assert "with what moves with it" in said[0]
    assert said[1] == (
        "“Tee: price” and “Tee: garment” move together as the scenario says: what they share "
        "counts for each of them, so that the shares may add up to more than all of the spread."
    )
    assert ", with what moves with it, explains " in words.explains_heading(page, found)
    assert "Those that move together do so in step." in next(words.risk_sentences(page, found))


def test_what_moves_apart_explains_alone(bare):
    page, found = tied(bare, 0)
    assert sum(one.share for one in found.explains) == pytest.approx(1, abs=0.02)
    said = " ".join([*words.risk_sentences(page, found), *words.explains_sentences(page, found)])
    assert "together" not in said
    assert words.explains_heading(page, found).startswith("“Tee: price” alone explains ")


def test_where_a_range_does_not_end_is_said(bare):
    shape = {f"{TEE}.price": TIED[f"{TEE}.price"] | {"shape": "normal"}}
    page = answer(bare(TIED | shape))
    said = " ".join(words.explains_sentences(page, risk(page, draws=DRAWS, seed=0)))
    assert "Its range is $8.00 to $12.00 (beyond each end lies 1 case in 10), estimated." in said


def test_without_a_law_of_failures_none_are_said_to_come(bare):
    law = {"in_first_year": 1, "cost": 100}
    for repairs, luck in ((None, "repairs cost their average"), (law, "failures come by chance")):
        page = answer(bare(TIED | {"equipment": [equipment(repairs=repairs)]}))
        found = risk(page, draws=DRAWS, seed=0)
        assert luck in next(words.risk_sentences(page, found))
        rest = explained_parts(found, most=6)[-1][0]
        assert rest == (REST_WITHOUT_FAILURES if repairs is None else REST)


def test_inputs_of_other_sets_explain_nothing_of_this_one(bare):
    cost = {"low": 100, "likely": 120, "high": 400}
    sets = [
        equipment(start_up=[{"name": "Circuit", "cost": cost}]),
        equipment(name="Other", start_up=[{"name": "Circuit", "cost": cost}]),
    ]
    page = answer(bare(TIED | {"equipment": sets}))
    found = risk(page, draws=DRAWS, seed=0)
    assert len(found.uncertain) == 5
    keys = [one.estimate.key for one in found.explains]
    assert len(keys) == 4
    own = f'equipment."{page.best.choice.equipment.name}".'
    assert all(key.startswith(own) for key in keys if key.startswith("equipment."))


@pytest.mark.parametrize("name", SHIPPED)
def test_the_table_of_conditions_has_every_choice_and_says_what_fails(name: str):
    page, found = drawn(name)
    frame = tables.conditions_table(page, found)
    assert list(frame["choice"]) == [one.choice.label for one in found.choices]
    cells = frame.drop(columns=["choice", "conditions met"]).to_numpy().ravel()
    failed = sum(str(cell).startswith("NOT met") for cell in cells)
    assert failed == sum(not one.met for each in found.choices for one in each.conditions)
    currency = page.scenario.currency
    likely, middle = f"B at the likely values [{currency}]", f"B in the middle case [{currency}]"
    assert list(frame.columns)[-3:] == ["conditions met", likely, middle]
    assert set(tables.conditions_formats(page)) == {likely, middle}
    for row, answered, one in zip(frame.index, page.choices, found.choices, strict=True):
        assert frame[likely][row] == answered.figures.net_present_value["against_buying_in"]
        assert frame[middle][row] == one.value["against_buying_in"].middle


def test_the_chance_of_payback_is_a_column_where_it_is_asked_for():
    page, found = drawn("larkspur-lane")
    asked = "chance of payback within 36 months at least 80%"
    assert asked in tables.conditions_table(page, found).columns
    assert words.conditions_heading(page, found) == "All 4 conditions of the plan are met"


def test_what_would_have_to_change_is_said_for_each_condition_that_fails():
    condition = Condition("cash never below", False, 1400.0, 2000.0, "money")
    turned = Turning(
        condition=condition,
        lever="added work",
        factor=1.047,
        sets=("a=1",),
        figure=2000.0,
        just_short=1999.9,
        how="",
        why_not="",
    )
    lower = replace(turned, lever="equipment price", factor=0.9)
    none = Turning(condition=condition, lever="selling prices", factor=None, how="",
                   why_not="not even at 10 times")  # fmt: skip
    page = shipped_answer("new-shop")
    assert list(words.turning_sentences(page, [turned, lower, none])) == [
        "For “cash never below $2,000” to be met, each alone: added work 4.7% more; equipment "
        "price 10% lower; selling prices: not even at 10 times."
    ]
    bounded = turning_words(page, replace(turned, until=1.3))
    assert bounded == "added work 4.7% more, up to 130% of what is planned"
    (said,) = words.turning_sentences(page, [])
    assert said.startswith("Nothing has to change")


def test_a_figure_that_jumps_over_its_limit_is_said_to():
    page = shipped_answer("new-shop")
    late = Condition("pays back within", False, 28.0, 24.0, "month")
    jump = Turning(condition=late, lever="added work", factor=1.36, figure=22.4, just_short=24.0001,
                   how="", why_not="")  # fmt: skip
    assert turning_words(page, jump) == (
        "added work 36% more (payback jumps there: with it 22 months, just short of it after the "
        "limit)"
    )
    assert turning_words(page, replace(jump, just_short=None)) == turning_words(page, jump)
    assert not replace(jump, figure=23.9999).jumps
    short = Condition("cash never below", False, 100.0, 2000.0, "money")
    cash = replace(jump, condition=short, figure=2400.0, just_short=1990.0)
    assert turning_words(page, cash).endswith(
        "(the figure jumps there: with it $2,400, just short of it the limit is not met)"
    )
    assert not replace(cash, figure=2000.0, just_short=1999.0).jumps


def test_a_change_found_from_drawn_cases_has_no_more_digits_than_its_error():
    page = shipped_answer("new-shop")
    asked = Condition("chance of payback within 36 months at least", False, 0.84, 0.9, "share")
    turned = Turning(condition=asked, lever="selling prices", factor=1.0579, error=0.003,
                     figure=0.9, just_short=0.8999, how="", why_not="")  # fmt: skip
    cases = [
        (0.003, "selling prices 5.8% higher (give or take 0.8%)"),
        (0.03, "selling prices 6% higher (give or take 7.1%)"),
        (math.inf, "selling prices about 5.8% higher"),
    ]
    for error, said in cases:
        assert turning_words(page, replace(turned, error=error)) == said


def test_figures_of_conditions_in_their_units():
    cases = [("month", 28.8, "29 months"), ("money", 4000.0, "$4,000"), ("ratio", 1.25, "1.25"),
             ("share", 0.832, "83%"), ("month", None, "no payback")]  # fmt: skip
    for unit, value, said in cases:
        assert figure_words(Condition("a", True, value, 0.0, unit), value, US) == said


# --- the grid -----------------------------------------------------------------------------------


def grid(months: list[list[float]], plan: tuple[int, int]) -> Grid:
    rows, columns = len(months), len(months[0])
    return Grid(
        lever="added",
        volumes=tuple(1.0 + 0.1 * (row - plan[0]) for row in range(rows)),
        pieces=tuple(100.0 + 10 * (row - plan[0]) for row in range(rows)),
        prices=tuple(1.0 + 0.1 * (column - plan[1]) for column in range(columns)),
        months=np.array(months),
        plan=plan,
    )


def test_how_far_volume_and_prices_may_fall():
    page = shipped_answer("larkspur-lane")  # wants its money back within 36 months
    cases = [
        ([[50, 40], [38, 30]], (1, 1), "all 100 pieces a week, or with no lower prices"),
        ([[50, 36], [36, 30]], (1, 1), "90 instead of 100 pieces a week, or with prices 10% lower"),
        # a volume in time beyond one that is not does not count
        ([[50, 40], [50, 30], [50, 40], [20, 30]], (3, 1),
         "all 100 pieces a week, or with prices 10% lower"),
    ]  # fmt: skip
    for months, plan, said in cases:
        heading = words.grid_heading(page, grid(months, plan))
        assert heading == (
            "In the steps of the table, payback within the 36 months that the shop wants still "
            f"holds with {said}"
        )


def test_a_plan_that_is_late_counts_the_pairs_that_are_not():
    page = shipped_answer("larkspur-lane")
    heading = words.grid_heading(page, grid([[NEVER, 40], [20, 30]], (0, 1)))
    assert heading.endswith("it does at 2 of the other 3 pairs of volume and price")
    none = words.grid_heading(page, grid([[NEVER, 40], [50, 60]], (0, 1)))
    assert none.startswith("At no volume and price of the table")


def test_rows_and_columns_of_the_grid():
    page = shipped_answer("larkspur-lane")
    found = grid([[1, 2], [3, 4]], (1, 0))
    assert grid_rows(page, found) == ["90 (90%)", "100 (100%)"]
    assert grid_columns(page, found) == ["as planned", "+10%"]
    assert grid_columns(page, grid([[1, 2]], (0, 1))) == ["−10%", "as planned"]
    frame = tables.grid_table(page, grid([[NEVER, 2.5]], (0, 1)))
    assert math.isnan(frame.iloc[0, 1])
    assert frame.iloc[0, 2] == 2.5


# --- tables -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHIPPED)
def test_chances_with_their_standard_errors(name: str):
    page, found = drawn(name)
    best = found.best
    assert best is not None
    frame = tables.chances_table(page, found)
    assert frame["share of cases"][0] == best.within["limit"].share
    assert frame["standard error"][0] == best.within["limit"].error
    events = len(event_words(page, best))
    extra = [one for one in (best.cash_once, best.cover_once) if one is not None]
    assert len(frame) == events + 1 + len(extra)
    assert frame["what"][events] == f"B is worth more than {words.other_way(page)}"
    assert frame["share of cases"][events] == best.worth.share


@pytest.mark.parametrize("name", SHIPPED)
def test_the_table_by_month_is_what_the_pictures_draw(name: str):
    page, found = drawn(name)
    frame = tables.months_table(page, found)
    assert list(frame["month"]) == list(range(page.case.months + 1))
    assert found.fan is not None
    assert (frame.iloc[:, 2] == found.fan[1]).all()
    assert (frame["share paid back"] == found.paid_back).all()


def test_every_input_with_a_range_stands_in_the_table_of_what_explains():
    page, found = drawn("larkspur-lane")
    frame = tables.explains_table(page, found)
    assert len(frame) == len(found.uncertain)
    assert list(frame["share of the spread"]) == [one.share for one in found.explains]
    assert frame["range"][0] == "58 to 104 pieces a week"


@pytest.mark.parametrize("name", SHIPPED)
def test_what_repeats_a_stress_line_reads_back_as_its_words(name: str):
    """A shell takes the cell apart into the very KEY=VALUE texts, --set between them."""
    page = shipped_answer(name)
    lines = [one for one in stress_lines(page.case, page.best.choice)[:-1] if one.sets]
    frame = tables.sets_table(stress_lines(page.case, page.best.choice))
    for line, cell in zip(lines, frame["repeat with --set"], strict=True):
        assert [word for word in shlex.split(cell) if word != "--set"] == list(line.sets)


# --- checks -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHIPPED)
def test_every_check_holds(name: str):
    page, found = drawn(name)
    checks = risk_checks(page, found)
    assert [check for check, holds, _ in checks if not holds] == []
    assert len(checks) >= 9


def broken(found: Risk, what: str) -> Risk:
    """The same with one thing wrong."""
    best = found.best
    assert best is not None
    assert found.paid_back is not None
    match what:
        case "stated":
            return replace(found, uncertain=found.uncertain[:2])
        case "chance":
            wrong = replace(best, within=best.within | {"limit": Share(1.1, 0.0)})
            return replace(found, choices=(wrong,))
        case "order":
            wrong = replace(best, lowest_cash=spread(2.0, 1.0, 3.0))
            return replace(found, choices=(wrong,))
        case "falls":
            return replace(found, paid_back=found.paid_back[::-1])
        case "ends":
            return replace(found, paid_back=found.paid_back * 0.9)
        case "passes":
            early = replace(best, payback=best.payback | {"against_buying_in": spread(1, 2, 3)})
            return replace(found, best=early)
        case "warranty":
            return replace(found, best_warranty={"a": Share(0.7, 0.0)})
        case _:
            return replace(found, explains=tuple(replace(one, share=0.9) for one in found.explains))


@pytest.mark.parametrize(
    ("what", "check"),
    [
        ("stated", "chances are stated exactly where"),
        ("chance", "chances of every choice lie between"),
        ("order", "low, middle and high"),
        ("falls", "the chance to have paid back never falls"),
        ("ends", "by the last month"),
        ("passes", "it passes 1, 5 and 9 of 10"),
        ("warranty", "in each case one warranty"),
        ("explained", "shares that inputs explain alone"),
    ],
)
def test_each_check_can_fail(what: str, check: str):
    page, found = drawn("larkspur-lane")
    failed = [name for name, holds, _ in risk_checks(page, broken(found, what)) if not holds]
    assert any(name.startswith(check) for name in failed)
