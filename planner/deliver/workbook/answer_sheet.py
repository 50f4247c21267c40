"""The answer: the first sentence as written, and the three comparisons as live formulas."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.decide.answer import about
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS
from planner.decide.figures import PaybackTime
from planner.deliver.workbook.book import Entry, Listing, Sheet, Words
from planner.deliver.workbook.compared_sheet import payback_formula
from planner.deliver.workbook.facts import Facts, one
from planner.deliver.workbook.grid import Value
from planner.scenario.notices import doubts
from planner.show.words import (
    CAUTIONS,
    COMPARISON_LETTERS,
    comparison_name,
    opening,
    tax_words,
)

ANSWER: Final = "Answer"
_UNCHANGED: Final = "The inputs are as they were; the sentence above holds."
_CHANGED: Final = (
    "Inputs have been changed: the sentence above may no longer hold, these figures do."
)
_HOW: Final = (
    "Coloured cells on Inputs and Products may be changed; every other sheet follows by formulas.",
    "Sheets are protected against slips, without a password.",
    "Not live: the sentence above, the sheet Choices, the horizon, print sizes and pieces an order "
    "(laid out by the program), shares that a depreciation rule lays down by tax year, and which "
    "choice is shown.",
)


def answer_sheet(facts: Facts) -> Sheet:
    """What a reader sees first."""
    page = about(facts.page, facts.answered)
    scenario = facts.scenario
    sheet = Sheet(
        title=ANSWER, widths={0: 56, 1: 10, 2: 22, 3: 24}, text_columns=4, on_one_page=True
    )
    sheet.add(
        Words(text=scenario.title, style="title"),
        Words(text=f"Prepared for {scenario.prepared_for}, by {scenario.prepared_by}"),
        Words(text=f"Choice: {facts.answered.choice.label}", style="strong"),
    ).gap()
    sheet.add(Words(text="As worked out when this workbook was written", style="heading"))
    # in one cell, so that places below do not depend on how many sentences there are
    sheet.add(Words(text=" ".join(opening(page)), style="strong")).gap()
    sheet.add(_state(facts)).gap()
    for name in COMPARISONS:
        sheet.add(_comparison(facts, name)).gap()
    sheet.add(Words(text="How to use this workbook", style="heading"))
    sheet.add(*(Words(text=text) for text in _HOW)).gap()
    sheet.add(Words(text="Cautions", style="heading"))
    return sheet.add(
        *(Words(text=text, style="caution") for text in (*CAUTIONS, *doubts(scenario)))
    )


def _state(facts: Facts) -> Listing:
    written = facts.answered.figures.net_present_value[AGAINST_BUYING_IN]
    return Listing(
        title="By formulas, from the other sheets",
        with_names=False,
        entries=(
            Entry(
                name="hurdle_month",
                label="hurdle rate a month, (1 + hurdle rate)^(1/12) − 1",
                unit="%/month",
                value=one(facts.case.hurdle),
                formula="(1+hurdle_rate)^(1/12)-1",
            ),
            Entry(
                name="value_as_written",
                label="B, worth today, when this workbook was written",
                unit=facts.currency,
                value=written,
            ),
            Entry(
                name="state",
                label="inputs",
                unit="",
                value=_UNCHANGED,
                formula="IF(ABS(net_present_value_B-value_as_written)<0.005,"
                f'"{_UNCHANGED}","{_CHANGED}")',
            ),
        ),
    )


def _comparison(facts: Facts, name: str) -> Listing:
    letter = COMPARISON_LETTERS[name]
    return Listing(
        title=f"{letter}: {comparison_name(facts.page, name)}, {tax_words(facts.scenario)}",
        entries=tuple(_figures(facts, name, letter)),
        with_names=False,
    )


def _figures(facts: Facts, name: str, letter: str) -> Iterator[Entry]:
    figures, currency = facts.answered.figures, facts.currency
    yield Entry(
        name=f"payback_{letter}",
        label="pays back, before financing",
        unit="month",
        value=_months(facts, figures.payback[name]),
        formula=payback_formula(letter, "total"),
    )
    yield Entry(
        name=f"net_present_value_{letter}",
        label="worth today (net present value), before financing",
        unit=currency,
        value=figures.net_present_value[name],
        formula=_worth(f"net_{letter}"),
    )
    yield Entry(
        name=f"payback_own_cash_{letter}",
        label="pays back own cash, financing included",
        unit="month",
        value=_months(facts, figures.payback_own_cash[name]),
        formula=payback_formula(letter, "own_total"),
    )
    yield Entry(
        name=f"net_present_value_financed_{letter}",
        label="worth today, financing included",
        unit=currency,
        value=figures.net_present_value_financed[name],
        formula=_worth(f"financed_{letter}"),
    )


def _worth(key: str) -> str:
    return f"{{compared.{key}.first}}+NPV(hurdle_month,{{compared.{key}.later}})"


def _months(facts: Facts, time: PaybackTime) -> Value:
    return f"not within {facts.months} months" if time.months is None else time.months
