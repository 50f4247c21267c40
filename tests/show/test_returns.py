"""The accountant's table: every root, and why a figure does not exist."""

from dataclasses import replace

from helpers import shipped_answer

from planner.decide.answer import Answered
from planner.show.tables import returns_table

RATE, INDEX = "B, every rate of return a year", "B, profitability index"


def told(name: str, **changed: object) -> dict[str, tuple[str, str]]:
    """Value and note of each figure of the best choice, some of its figures changed."""
    page = shipped_answer(name)
    best: Answered = replace(page.best, figures=replace(page.best.figures, **changed))
    frame = returns_table(page, best)
    return {figure: (value, note) for figure, value, note in frame.itertuples(index=False)}


def test_the_table_tells_the_figures_of_the_choice() -> None:
    figures = shipped_answer("larkspur-lane").best.figures
    rows = told("larkspur-lane")
    (rate,) = figures.internal_rates_of_return["against_buying_in"]
    assert rows[RATE] == (f"{100 * rate:.0f}%", "")
    assert rows[INDEX][0] == f"{figures.profitability_index:.2f}"
    modified = figures.modified_rate_of_return
    assert modified is not None
    assert rows["B, modified rate of return a year"][0] == f"{100 * modified:.0f}%"
    months = figures.discounted_payback["against_buying_in"].months
    assert rows["B, payback at the hurdle rate"] == (f"{months:.0f} months", "")
    short = figures.discounted_payback["today_only"].short
    assert rows["A, payback at the hurdle rate"][0].endswith(f"short by ${short:,.0f}")


def test_all_roots_are_told_and_what_is_missing_has_its_reason() -> None:
    rates = {"against_buying_in": (0.123, 1.5), "today_only": (), "whole_plan": (0.4,)}
    rows = told(
        "larkspur-lane",
        internal_rates_of_return=rates,
        modified_rate_of_return=None,
        profitability_index=None,
        reasons={
            "internal_rates_of_return.against_buying_in": "more than one",
            "internal_rates_of_return.today_only": "no rate does",
            "profitability_index": "nothing is paid",
        },
    )
    assert rows[RATE] == ("12% and 150%", "more than one")
    assert rows["A, every rate of return a year"] == ("none", "no rate does")
    assert rows["C, every rate of return a year"] == ("40%", "")
    assert rows["B, modified rate of return a year"][0] == "none"
    assert rows[INDEX] == ("none", "nothing is paid")
