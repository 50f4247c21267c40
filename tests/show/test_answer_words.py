"""The first words of an answer, what they hang on, and words that an owner may not know."""

import math
from dataclasses import replace

import pytest
from helpers import TEE, shipped_answer

from planner.decide.answer import answer
from planner.decide.conditions import Condition
from planner.decide.risk.answer import Risk, risk
from planner.show import words
from planner.show.numbers import Numbers
from planner.show.words.glossary import glossary
from planner.show.words.named import value_words
from planner.show.words.risk import stood_still
from planner.usage.materials import rate_ranges
from planner.usage.test_prints import measured_rates

US = Numbers(locale="en_US", currency="USD", units="inch")
HALF = {"today": {"buy_in_price": "2 USD/m^2"}}  # a transfer is bought for 0.50
NEEDS = f"{TEE}.needs_machine"
RANGES = {  # three, none of demand or price
    f"{TEE}.garment": {"low": 0, "likely": 1, "high": 2},
    "shop.wage": {"low": "10 USD/hour", "likely": "20 USD/hour", "high": "30 USD/hour"},
    "labour.pressing": {"low": "1 min/print", "likely": "2 min/print", "high": "3 min/print"},
}


# --- what the answer hangs on -------------------------------------------------------------------


def test_the_share_that_the_answer_hangs_on_is_named(bare):
    said = words.opening(answer(bare(HALF | {NEEDS: "50 %"})))
    assert said[0].startswith("Yes: ")
    assert said[1].startswith("A transfer costs more made than bought at this volume; the gain is")
    assert said[2] == (
        "It hangs on the share of added work that only the machine can do: yes from about 5.3%; "
        "planned is 50%."
    )


def test_nothing_is_said_where_it_does_not_matter(bare):
    assert len(words.opening(answer(bare({"today": {"buy_in_price": "8 USD/m^2"}})))) == 1


def test_worth_too_little_is_the_reason_where_the_money_comes_back_in_time(bare):
    # 120 a month for twelve months at 60 % a year: 120·(1 − 1/1.6)/0.03994 = 1,126.66 of 1,200
    said = words.first_sentence(
        answer(bare({f"{TEE}.planned": "3 piece/week", "hurdle_rate": "60 %/year"}))
    )
    assert "pays back in 10 months but is worth −$73 today, because" in said
    assert said.endswith(
        "because a month at full volume leaves only $120: the planned 3 pieces a week are too few."
    )


# --- chances of what little has a range ---------------------------------------------------------


def spread_of(low: object, likely: object, high: object) -> dict[str, object]:
    return {"low": low, "likely": likely, "high": high}


def drawn(scenario) -> tuple:
    page = answer(scenario)
    return page, risk(page, draws=64, seed=0)


def test_what_alone_varied_is_said_where_demand_and_prices_stood_still(bare):
    page, found = drawn(bare(RANGES | {NEEDS: "50 %"}))
    assert stood_still(found)
    (said,) = words.stood_still_sentences(page, found)
    assert said.startswith(
        "Only “shop: wage”, “Tee: garment” and “labour: pressing” have a range here; volume and "
        "prices stood still, so the real spread is wider: a fifth on “"
    )
    assert said in list(words.risk_sentences(page, found))
    for heading in (words.payback_range_heading(page, found), words.chance_heading(page, found)):
        assert heading.endswith(" (volume and prices held still)")


@pytest.mark.parametrize(
    "ranged",
    [
        {f"{TEE}.planned": spread_of("20 piece/week", "25 piece/week", "30 piece/week")},
        {f"{TEE}.price": spread_of(9, 10, 11)},
        {NEEDS: spread_of("20 %", "50 %", "60 %")},
        {"today": {"buy_in_price": spread_of("1 USD/m^2", "2 USD/m^2", "3 USD/m^2")}},
        {"ramp.start_share": spread_of("50 %", "60 %", "70 %")},
    ],
)
def test_where_demand_or_a_price_varies_nothing_is_added(bare, ranged):
    page, found = drawn(bare(RANGES | ranged))
    assert not list(words.stood_still_sentences(page, found))
    assert "held still" not in words.payback_range_heading(page, found)


def test_with_too_few_ranges_no_chance_is_stated_and_nothing_is_added(bare):
    page, found = drawn(bare())
    assert not list(words.stood_still_sentences(page, found))


def moved(found: Risk, middle: float) -> Risk:
    """The same cases with another middle payback [month]."""
    spread = replace(found.best.payback["against_buying_in"], middle=middle, middle_error=0.1)
    best = replace(found.best, payback={**found.best.payback, "against_buying_in": spread})
    return replace(found, best=best)


@pytest.mark.parametrize(
    ("off", "is_said"), [(0.0, False), (1.0, False), (1.4, False), (1.6, True), (math.inf, True)]
)
def test_a_middle_case_apart_from_the_likely_values_is_said(off: float, is_said: bool):
    """From a twentieth of 29 months on."""
    page = shipped_answer("larkspur-lane")
    at_likely = page.best.figures.payback["against_buying_in"].months
    found = moved(risk(page, draws=64, seed=0), at_likely + off)
    said = list(words.off_middle_sentences(page, found))
    assert bool(said) == is_said
    if is_said:
        assert said[0].startswith(
            "At the likely values B pays back in 29 months, but in the middle"
        )
        assert said[0] in list(words.risk_sentences(page, found))


# --- words and units ----------------------------------------------------------------------------


def test_words_used_are_explained_with_this_plans_own_figures():
    page = shipped_answer("larkspur-lane")
    known = dict(glossary(page))
    assert {"worth today", "present cost", "cover", "hurdle rate", "horizon"} <= set(known)
    assert 8 <= len(known) <= 12
    assert known["horizon"].startswith("how far ahead the plan looks: 60 months")
    hurdle = US.percent(page.case.values.scalar(page.scenario.hurdle_rate))
    assert f": {hurdle} a year" in known["hurdle rate"]


def test_measured_rates_stand_in_the_area_unit_of_the_scenario_to_three_figures():
    scenario = shipped_answer("larkspur-lane").scenario
    metric = replace(US, units="metric")
    (white, *_) = rate_ranges(measured_rates(scenario.prints))
    for numbers, area, size in ((US, "ft²", 0.3048**2), (metric, "m²", 1.0)):
        shown = numbers.plain(1000 * white.likely * size)
        assert len(shown.replace(".", "").lstrip("0")) == 3
        assert value_words(white, numbers)[0] == f"{shown} mL/{area}"


def test_a_payback_that_is_not_reached_is_said_so():
    never = Condition("pays back within", False, None, 42.0, "month")
    assert words.condition_words(never, US) == (
        "not met: pays back within 42 months; it is not reached"
    )


def test_all_prices_together_and_which_comparison_is_worth_nothing(bare):
    page = answer(bare(HALF | {NEEDS: "50 %"}))  # all the work at 1 of 10; B by hand at 0.15
    assert list(words.price_sentences(page, page.best)) == [
        "All selling prices together could fall to 10% before all this work is worth nothing, to "
        "15% before B is."
    ]
