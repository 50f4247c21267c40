"""The lender's file in words: months, inputs, and sentences that each hold a figure."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import Final

from babel.dates import format_date

from planner.decide.answer import AnswerPage
from planner.decide.cover import Years
from planner.decide.evaluation import WHOLE_PLAN
from planner.decide.lending import Lending
from planner.decide.sensitivity import STEP
from planner.finance.depreciation import RULES
from planner.scenario.estimates import Estimate
from planner.scenario.kinds import Month
from planner.scenario.schema import Scenario
from planner.show.words import (
    COMPARISON_LETTERS,
    numbers_of,
    other_way,
    ratio_words,
    tax_words,
)

NOT_STATED: Final = "not stated"
NONE: Final = "none"


# --- months -------------------------------------------------------------------------------------


def month_words(month: Month, *, short: bool = False) -> str:
    """A calendar month in English, such as "March 2027"."""
    pattern = "MMM y" if short else "MMMM y"
    return str(format_date(datetime.date(month.year, month.month, 1), pattern, locale="en"))


def calendar_month(scenario: Scenario, at: int) -> Month:
    """The calendar month that ends month ``at`` of the plan; signing begins the first."""
    return scenario.start.plus(max(0, at - 1))


def day_words(day: datetime.date) -> str:
    """A day in English, such as "15 April 2027"."""
    return str(format_date(day, "d MMMM y", locale="en"))


def when(scenario: Scenario, at: int) -> str:
    """A month of the plan: "at signing" or "at the end of month 5 (July 2027)"."""
    if at == 0:
        return "at signing"
    return f"at the end of month {at} ({month_words(calendar_month(scenario, at))})"


# --- inputs -------------------------------------------------------------------------------------


def basis_words(estimate: Estimate) -> str:
    """Where a number comes from; raises ValueError for an input without a basis."""
    if not estimate.basis:
        raise ValueError(f"{estimate.key}: must have a basis to be shown to a lender (got none)")
    return estimate.basis


def listed(texts: Sequence[str]) -> str:
    """A list in words, "none" where nothing is in it."""
    return "; ".join(texts) or NONE


# --- cover --------------------------------------------------------------------------------------


def cover_words(years: Years) -> str:
    """The lowest cover with its year."""
    known = [(value, year) for year, value in enumerate(years, 1) if value is not None]
    if not known:
        return "no debt payments"
    value, year = min(known)
    return f"{ratio_words(value)} in year {year}"


def measure_words(page: AnswerPage, *, after: bool) -> str:
    """A measure of the whole shop's cover with the draw; what the scenario is silent on is said."""
    if not after:
        return "before tax and the owner's draw"
    scenario = page.scenario
    match scenario.tax, scenario.shop.owner_draw:
        case None, None:
            return "income tax and the owner's draw are not stated"
        case _, None:
            return "after tax; the owner's draw is not stated"
        case None, draw:
            return f"after {_draw_words(page, draw)}; income tax is not stated"
        case _, draw:
            return f"after tax and {_draw_words(page, draw)}"


def _draw_words(page: AnswerPage, draw: Estimate) -> str:
    drawn = numbers_of(page.scenario).money(page.case.values.scalar(draw))
    return f"the owner's draw of {drawn} a year"


def letters_sentence(page: AnswerPage) -> str:
    """What the columns A, B and C count, and against what."""
    numbers, values = numbers_of(page.scenario), page.case.values
    today, planned = (
        numbers.pieces_per_week(sum(map(values.scalar, pieces)))
        for pieces in zip(
            *((one.today, one.planned) for one in page.scenario.products), strict=True
        )
    )
    return (
        f"A counts today's {today} alone and B all {planned} that are planned, both made here "
        f"against {other_way(page)}; C counts the same as B against the shop of today."
    )


def minimum_sentence(page: AnswerPage, shown: Lending) -> str:
    """The lender's minimum, what it is measured on and whether it is a default."""
    scenario, least = page.scenario, page.case.values.scalar(shown.minimum)
    asked = (
        "is taken, for no lender named one" if shown.minimum.basis == "default" else "is asked for"
    )
    if shown.cover is None:
        what = f"the project alone {tax_words(scenario)}"
    else:
        after = scenario.lender.measures == "after tax and draw"
        what = f"the whole shop {measure_words(page, after=after)}"
    return f"A cover of at least {least:.2f} {asked}, measured on {what}. {_under(page, shown)}"


def _under(page: AnswerPage, shown: Lending) -> str:
    """Which columns of the cover table fall under the minimum in their lowest year."""
    least = page.case.values.scalar(shown.minimum)
    lowest = {
        name: min(known)
        for name, years in measured_cover(page, shown).items()
        if (known := [year for year in years if year is not None])
    }
    under = [
        f"{COMPARISON_LETTERS.get(name, 'the shop as it is now')} ({ratio_words(value)})"
        for name, value in lowest.items()
        if value < least
    ]
    if not under:
        return f"No column falls under {least:.2f}."
    listed = " and ".join(filter(None, (", ".join(under[:-1]), under[-1])))
    return f"Under it in the lowest year: {listed}."


def room_sentence(page: AnswerPage, shown: Lending) -> str:
    """How far sales may fall before the lowest cover of the whole plan is under the minimum."""
    if shown.room is None:
        return "No debt payments fall due: 0 is to be covered."
    numbers = numbers_of(page.scenario)
    least, factor = page.case.values.scalar(shown.minimum), shown.room.factor
    lowest = (
        f"The lowest cover of the whole plan (C) is {cover_words(whole_plan_cover(page, shown))}"
    )
    if factor is None:
        return f"{lowest}; no volume of sales within capacity brings it up to {least:.2f}."
    if factor == 0:
        return f"{lowest}; even without any sales of this work it would not fall under {least:.2f}."
    if factor > 1:
        more = numbers.percent(factor - 1)
        return f"{lowest}; sales of this work would have to be {more} higher to reach {least:.2f}."
    return (
        f"{lowest}; sales of this work may fall by {numbers.percent(1 - factor)}, from the first "
        f"month on, before it drops under {least:.2f}."
    )


def measured_cover(page: AnswerPage, shown: Lending) -> dict[str, Years]:
    """Cover by column and the lender's measure, of the project where no shop is stated."""
    if shown.cover is None:
        return shown.answered.figures.cover.project
    before_tax = page.scenario.lender.measures == "before tax"
    return {
        name: one.before_tax if before_tax else one.after_tax_and_draw
        for name, one in shown.cover.items()
    }


def whole_plan_cover(page: AnswerPage, shown: Lending) -> Years:
    """Cover of the whole plan by the lender's measure."""
    return measured_cover(page, shown)[WHOLE_PLAN]


def balance_sentence(page: AnswerPage, shown: Lending) -> str:
    """The lowest bank balance, its month and what it counts."""
    cash, scenario = shown.answered.figures.cash, page.scenario
    counted = (
        "this work alone, not the rest of the shop"
        if scenario.shop.cash_flow_before is None
        else "the whole shop, the owner's draw and present debts"
    )
    lowest = numbers_of(scenario).money(cash.lowest)
    return (
        f"The lowest bank balance is {lowest}, {when(scenario, cash.lowest_month)}, counting "
        f"{counted}."
    )


def cash_note(page: AnswerPage) -> str:
    """What the lines of the projected cash flow are, and how they reach the bank balance."""
    scenario = page.scenario
    start = numbers_of(scenario).money(page.case.values.scalar(scenario.shop.cash_at_start))
    return (
        f"Whole {scenario.currency}, {tax_words(scenario)}; sums are of amounts that are not "
        f"rounded. {_counted(page)} The balance starts from {start} and leaves out what only the "
        f"end of the plan brings, such as resale."
    )


def _counted(page: AnswerPage) -> str:
    """What the balance counts of today's work and of the rest of the shop."""
    has_today = bool(page.best.evaluation.today.ledger.before_end[0].any())
    all_of_it = "\u201cNet of the plan\u201d counts all of this work, today's part included"
    without_rest = "The shop's other income and costs, and the owner's draw, are not in it."
    match page.scenario.shop.cash_flow_before is None, has_today:
        case True, True:
            return (
                f"{all_of_it}; what today's part earns as it is now is then taken off, so that the "
                f"balance shows only what the purchase changes. {without_rest}"
            )
        case True, False:
            return f"The balance shows what this work brings. {without_rest}"
        case False, True:
            return (
                f"{all_of_it}. Last year's cash flow of the whole shop holds today's part too, so "
                "that it is taken off once."
            )
        case _:
            return "Last year's cash flow of the whole shop is added to the net of the plan."


def rule_sentence(scenario: Scenario) -> str:
    """The rule of depreciation with its edition and source, or that no tax is stated."""
    if scenario.tax is None:
        return "No income tax is stated: 0 is taken, and every figure is before tax."
    chosen = scenario.tax.depreciation
    known = RULES.get(chosen.rule or "")
    source = f", {', '.join(filter(None, (known.source, known.edition)))}" if known else ""
    rate = numbers_of(scenario).percent(scenario.tax.rate.likely)
    return (
        f"Income is taxed at {rate}; the price is deducted by {chosen.rule or 'the shares given'}"
        f"{source}. Ask your accountant which rule applies."
    )


def matters_sentence(page: AnswerPage) -> str:
    """How far the inputs that matter most were moved."""
    fifth = numbers_of(page.scenario).percent(STEP)
    return (
        "Each is moved alone over its range; an estimate or a default without one, by a fifth "
        f"(±{fifth})."
    )


def bases_sentence(shown: Lending) -> str:
    """How many inputs are measured, from accounts, quoted, estimated and defaults."""
    counts = shown.bases.counts
    quoted = f"{counts['quoted']} quoted"
    if counts["quoted"] and shown.prepared_by_seller is not None:
        quoted += f" ({_by_seller(shown)})"
    return (
        f"Of {shown.bases.total} numbers that this rests on, {counts['measured']} are measured, "
        f"{counts['accounts']} from accounts, {quoted}, "
        f"{counts['estimated']} estimated and {counts['default']} defaults."
    )


def _by_seller(shown: Lending) -> str:
    if shown.bases.by_seller is None:
        return "the seller did not prepare this file"
    return f"{shown.bases.by_seller} by the seller, who prepared this file"
