"""The first words of an answer, what they hang on, and words that an owner may not know."""

import math
import re
from dataclasses import replace

import pytest
from helpers import SHIPPED, TEE, shipped_answer

from planner.decide.answer import about, answer
from planner.decide.conditions import Condition
from planner.decide.ranking import cheapest, same_machine
from planner.decide.risk.answer import Risk, risk
from planner.decide.verdict import Answer
from planner.show import tables, words
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
    assert re.fullmatch(
        "It hangs on the share of added work that only the machine can do: yes from about 5.3%; "
        r"planned is 50%. And on the volume: yes from about \S+ of the 25 pieces a week planned.",
        said[2],
    )


def test_the_volume_that_is_named_answers_yes_and_a_little_less_does_not(bare):
    shop = HALF | {NEEDS: "50 %", "conditions.pays_back_within": "6 months"}
    page = answer(bare(shop))
    needed = page.verdict.pieces_needed
    assert needed > page.best.figures.added_work.pieces  # worth having is less than in time, too
    for pieces, is_yes in ((needed * 1.001, True), (needed * 0.999, False)):
        moved = answer(bare(shop | {f"{TEE}.planned": f"{pieces} piece/week"}))
        assert (moved.verdict.answer is Answer.YES) == is_yes
        assert any("And on the volume" in line for line in words.opening(moved)) == is_yes


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
            "At the likely values B pays back in 29 months and is worth $11,372; in the middle "
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


@pytest.mark.parametrize(
    ("figure", "met", "said"),
    [
        (1.2475, False, "not met: debt service cover at least 1.25; it is just below that"),
        (1.2504, True, "met: debt service cover at least 1.25; it is just above that"),
        (1.25, True, "met: debt service cover at least 1.25; it is 1.25, 0.00 from the limit"),
    ],
)
def test_a_figure_that_reads_like_its_limit_is_set_beside_it(figure, met, said):
    condition = Condition("debt service cover at least", met, figure, 1.25, "ratio")
    assert words.condition_words(condition, US) == said


def test_all_prices_together_and_which_comparison_is_worth_nothing(bare):
    page = answer(bare(HALF | {NEEDS: "50 %"}))  # all the work at 1 of 10; B by hand at 0.15
    assert list(words.price_sentences(page, page.best)) == [
        "At the hurdle rate of 0% a year, what money could earn elsewhere, B is worth nothing with "
        "all selling prices 85% lower; all this "
        "work, with 90% lower."
    ]
    dear = answer(bare({f"{TEE}.garment": 10}))  # 1,200 pieces would have to bring 1 more each
    assert list(words.price_sentences(dear, dear.best)) == [
        "At the hurdle rate of 0% a year, what money could earn elsewhere, B is worth nothing with "
        "all selling prices 10% higher; all this "
        "work, with 10% higher."
    ]


# --- which way to pay, and why ------------------------------------------------------------------

LOAN = {"kind": "loan", "rate": "12 %/year", "term": "12 months", "down_payment": "25 %"}
CASH = {"kind": "cash", "name": "Cash"}
BANK, DEALER = LOAN | {"name": "Bank"}, LOAN | {"name": "Dealer", "fee": 40}


def paid(bare, *offers, **changes):
    page = answer(bare({"financing": list(offers)} | changes))
    return page, same_machine(page.choices, page.best)


def test_the_way_to_pay_spoken_of_is_the_one_that_meets_most_conditions(bare):
    # the payments of a year are 960, the flow 12,000
    asked = {"lender.debt_service_cover_at_least": 1.25}
    page, _ = paid(bare, CASH, DEALER, BANK, **asked)
    assert words.choice_sentence(page) == (
        f"The figures are for {page.best.choice.label}. No other way to pay meets more conditions "
        "(of equals the first is taken): Dealer, 1 of 1; Cash, 0 of 0; Bank, 1 of 1."
    )


def test_of_many_ways_to_pay_the_first_are_counted(bare):
    page, _ = paid(bare, CASH, *(CASH | {"name": f"Cash {n}"} for n in range(5)))
    said = words.choice_sentence(page)
    assert said.endswith("Cash 0, 0 of 0; Cash 1, 0 of 0; Cash 2, 0 of 0; and 2 more.")


def test_a_default_that_no_bank_asked_for_is_named_where_it_decides_or_fails(bare):
    page, _ = paid(bare, CASH, BANK)
    assert words.choice_sentence(page).endswith(
        ": Bank, 1 of 1; Cash, 0 of 0. The cover of 1.25 is a default that no bank asked for "
        "([lender] sets it); "
        "without it, Cash stood here."
    )
    few = {f"{TEE}.planned": "2 piece/week"}  # 960 a year
    page, _ = paid(bare, BANK, CASH, **few)
    assert words.choice_sentence(page).endswith(
        ": Bank, 0 of 1 (not: debt service cover at least 1.25); Cash, 0 of 0. The cover of 1.25 "
        "is a default that no bank asked for ([lender] sets it)."
    )


def test_a_choice_that_was_asked_for_is_not_said_to_be_the_first(bare):
    page, ways = paid(bare, BANK, CASH)
    other = about(page, ways[-1])
    assert words.choice_sentence(other) == (
        f"The figures are for {ways[-1].choice.label}. By value and conditions "
        f"{page.best.choice.label} would come first."
    )


def test_only_where_others_are_offered_the_choice_is_compared(bare):
    page, _ = paid(bare, CASH)
    assert words.choice_sentence(page) == f"The figures are for {page.best.choice.label}."
    terms = [{"name": "Short"}, {"name": "Long", "term": "24 months", "price": 90}]
    page, _ = paid(bare, CASH, **{"equipment.Set.warranty": terms})
    assert words.choice_sentence(page).endswith(
        " No other machine or warranty offered is worth more."
    )


@pytest.mark.parametrize(
    ("fee", "said", "heading"),
    [
        (40, "Cash costs least, by $40 of present cost", "Cash is cheapest"),
        (
            5,
            "Cash costs least, by $5 of present cost, no clear difference",
            "Cash is cheapest by less than 1%",
        ),
        (
            0,
            "No way to pay costs less than Cash, but the next costs as much",
            "No way to pay is cheaper than Cash",
        ),
    ],
)
def test_the_cheapest_way_to_pay_is_named_however_little_cheaper(bare, fee, said, heading):
    # both cost 1,200 today but for the fee: 5 is less than a hundredth of it
    page, ways = paid(bare, CASH, BANK | {"fee": fee}, **{"shop.cash_at_start": 1250})
    room = US.money(ways[1].figures.cash.lowest - ways[0].figures.cash.lowest)
    assert words.paying_sentence(page, ways) == (
        f"{said}; Bank is easiest on cash, its lowest balance {room} above the next."
    )
    assert words.paying_heading(page, ways) == f"{heading}; Bank is easiest on cash"


def test_the_cheapest_way_that_the_bank_balance_cannot_bear_is_said_to_be(bare):
    page, ways = paid(bare, CASH, DEALER, **{"shop.cash_at_start": 500})
    said = words.paying_sentence(page, ways)
    assert "of present cost, but it takes the bank balance to −$700; " in said
    assert ", but takes more than the bank holds; " in words.paying_heading(page, ways)


def test_one_way_to_pay_is_compared_with_nothing(bare):
    page, ways = paid(bare, CASH)
    assert words.paying_sentence(page, ways) == "One way to pay is offered: Cash."
    assert words.paying_heading(page, ways) == "One way to pay is offered: Cash"


@pytest.mark.parametrize("name", SHIPPED)
def test_who_is_cheapest_is_one_story_for_the_plan_and_the_drawn_cases(name: str):
    page = shipped_answer(name)
    ways = same_machine(page.choices, page.best)
    least = cheapest(ways)[0].choice.financing.name
    shares = risk(page, draws=64, seed=0).cheapest_financing
    assert least in words.paying_heading(page, ways).partition(";")[0]
    assert shares[least].share == max(one.share for one in shares.values())


# --- break-even ---------------------------------------------------------------------------------


def test_the_purchase_comes_first_among_the_break_evens(bare):
    # 48 weeks of p pieces at 10 against 1,200: 2.5 a week of the 25 planned, 0.625 m²
    page = answer(bare())
    first, second, _ = words.break_even_sentences(page, page.best)
    assert first == (
        "The purchase is worth more than not taking the work (B) from 2.5 pieces a week, 6.73 ft² "
        "of prints; 25 pieces a week are planned: 90% of the added work may stay away, the margin "
        "of safety."
    )
    assert second.startswith("The monthly break-even is another measure: a month of all this work")
    assert words.break_even_heading(page, page.best) == (
        "Worth more than not taking the work from 2.5 pieces a week; a month pays its costs and "
        "the equipment's monthly cost from 2.5 pieces a week"
    )


BOUGHT = {f"{TEE}.today": "10 piece/week", "today": {"buy_in_price": "1000 USD/m^2"}}


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        (
            {f"{TEE}.planned": "2 piece/week"},
            "2 pieces a week are planned: it takes 25% more added",
        ),
        ({f"{TEE}.price": 0}, "(B) at no volume within capacity; 25 pieces a week are planned."),
        (BOUGHT, "(B) even with none of the added work; 25 pieces a week are planned."),
    ],
)
def test_a_purchase_that_needs_more_or_nothing_is_said_to(bare, changes, said):
    page = answer(bare(changes))
    assert said in words.worth_more_sentence(page, page.best)


@pytest.mark.parametrize("name", SHIPPED)
def test_pieces_and_area_of_the_purchase_are_said_of_one_mix(name: str):
    page = shipped_answer(name)
    needed, numbers = page.best.figures.added_work, words.numbers_of(page.scenario)
    said = words.worth_more_sentence(page, page.best)
    if needed.pieces is None:
        assert " within capacity" in said or " with none of " in said
        return
    assert numbers.pieces_per_week(needed.pieces) in said
    assert numbers.area(needed.area) in said
    if page.best.figures.make_or_buy is not None:
        note = words.make_or_buy_note(page, page.best)
        assert note.endswith(f"it is above nothing from {numbers.area_per_week(needed.area)}.")


@pytest.mark.parametrize(("price", "side"), [(8, "above"), (2, "under")])
def test_up_to_where_buying_a_transfer_is_cheaper(bare, price, side):
    # 1,200 a year made, however much; at 8 a square metre that is 150 of them, at 2 it is 600
    page = answer(bare({"today": {"buy_in_price": f"{price} USD/m^2"}}))
    area = US.area_per_week(1200 / 48 / price)
    assert words.make_or_buy_sentence(page, page.best) == (
        f"Buying a transfer is cheaper than making it, every hour costed, up to {area}; the "
        f"67.3 ft² a week planned lie {side} that."
    )


# --- what a figure holds ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "said", "aside"),
    [
        ({}, " It counts this work alone, and nothing is drawn by the owner.", True),
        ({"shop.cash_flow_before": "1000 USD/year"}, " Nothing is drawn by the owner.", True),
        ({"shop.cash_flow_before": "1000 USD/year", "shop.owner_draw": "500 USD/year"}, "", False),
    ],
)
def test_what_the_balance_leaves_out_is_said(bare, changes, said, aside):
    page = answer(bare(changes))
    assert words.cash_sentence(page, page.best).endswith(f" in the whole plan (C) is $1,200.{said}")
    heading = words.cash_heading(page, page.best)
    assert heading.endswith(", with nothing drawn by the owner") == aside


def test_upkeep_is_named_by_what_it_holds(bare):
    page = answer(bare())
    assert words.upkeep_sentence(page).endswith("and no overheads, for none are stated.")
    page = answer(bare({"overheads": [{"name": "Rent", "cost": "9 USD/month"}]}))
    assert words.upkeep_sentence(page).endswith("and the overheads stated.")
    assert list(page.prints[0].parts)[-1] == "upkeep and overheads"


def test_ratios_have_a_real_minus_sign_in_words_and_tables():
    page = shipped_answer("new-shop")
    minus = "\N{MINUS SIGN}1.65"
    for shown in (
        words.ratio_words,
        tables.cover_formats(page.best)["year 1"],
        tables.choice_formats(page)["lowest debt service cover"],
    ):
        assert shown(-1.649) == minus
    assert f"is {minus} " in words.cover_sentence(page, page.best)
    failed = next(one for one in page.best.conditions if one.unit == "ratio")
    assert f"it is {minus}, 2.90 from the limit" in words.condition_words(failed, US)


# --- chances ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SHIPPED)
def test_the_chance_of_a_payback_never_stands_without_its_months_and_that_of_worth(name: str):
    page = shipped_answer(name)
    found = risk(page, draws=64, seed=0)
    for one in (
        words.chance_heading(page, found),
        " ".join(words.chance_sentences(page, found)),
        " ".join(words.explains_sentences(page, found)),
        words.opening(page, found)[-1],
    ):
        assert f"that it is worth more than {words.other_way(page)}" in one
        assert re.search(r"within the \d+ months", one)
    assert words.opening(page, found)[:-1] == words.opening(page)


def test_a_middle_value_apart_from_the_likely_is_said_though_the_payback_is_not(bare):
    # 1,200 pieces at a price that may be much higher and is never lower: back soon in any case
    page, found = drawn(bare(RANGES | {f"{TEE}.price": spread_of(10, 10, 40)}))
    (said,) = words.off_middle_sentences(page, found)
    assert said.startswith("At the likely values B pays back in 1.")
    assert said.endswith("what varies does not lie evenly about the likely values.")
