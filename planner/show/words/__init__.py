"""Answers as sentences, each with the figure it speaks of."""

from planner.show.words.common import (
    CAUTIONS,
    COMPARISON_LETTERS,
    HEADLINE_FIRST,
    NOTHING_TO_COMPARE,
    comparison_name,
    numbers_of,
    other_way,
    payback_words,
    tax_words,
)
from planner.show.words.inputs import (
    condition_words,
    film_sentence,
    influence_sentences,
    measured_sentence,
    print_cost_heading,
    print_cost_sentence,
    sources_sentence,
)
from planner.show.words.payback import (
    cash_heading,
    cash_sentence,
    every_hour_sentence,
    hours_sentence,
    overflow_sentence,
    own_cash_sentence,
    payback_heading,
    payback_sentences,
    station_heading,
)
from planner.show.words.paying import (
    RATE_NOTE,
    cover_sentence,
    paying_heading,
    paying_sentence,
)
from planner.show.words.verdict import first_sentence, opening
from planner.show.words.volume import (
    break_even_heading,
    break_even_sentences,
    make_or_buy_note,
    make_or_buy_sentence,
)

__all__ = [
    "CAUTIONS",
    "COMPARISON_LETTERS",
    "HEADLINE_FIRST",
    "NOTHING_TO_COMPARE",
    "RATE_NOTE",
    "break_even_heading",
    "break_even_sentences",
    "cash_heading",
    "cash_sentence",
    "comparison_name",
    "condition_words",
    "cover_sentence",
    "every_hour_sentence",
    "film_sentence",
    "first_sentence",
    "hours_sentence",
    "influence_sentences",
    "make_or_buy_note",
    "make_or_buy_sentence",
    "measured_sentence",
    "numbers_of",
    "opening",
    "other_way",
    "overflow_sentence",
    "own_cash_sentence",
    "payback_heading",
    "payback_sentences",
    "payback_words",
    "paying_heading",
    "paying_sentence",
    "print_cost_heading",
    "print_cost_sentence",
    "sources_sentence",
    "station_heading",
    "tax_words",
]
