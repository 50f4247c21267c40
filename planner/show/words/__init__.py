"""Answers as sentences, each with the figure it speaks of."""

from planner.show.words.buy_in_prices import buy_in_price_sentences
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
from planner.show.words.film import film_heading, film_sentences
from planner.show.words.findings import findings
from planner.show.words.inputs import (
    condition_words,
    film_sentence,
    influence_sentences,
    print_cost_heading,
    print_cost_sentence,
    sources_sentence,
)
from planner.show.words.jobs import orders_sentence, price_list_sentence, rush_sentence
from planner.show.words.month import (
    current_sentence,
    served_sentence,
    supplies_sentence,
    warranty_heading,
    warranty_sentences,
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
    lease_sentences,
    paying_heading,
    paying_sentence,
    terms_sentences,
)
from planner.show.words.prints import (
    DESIGNS_NOTE,
    designs_sentence,
    outlier_sentences,
    rate_sentences,
    rates_heading,
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
    "DESIGNS_NOTE",
    "HEADLINE_FIRST",
    "NOTHING_TO_COMPARE",
    "RATE_NOTE",
    "break_even_heading",
    "break_even_sentences",
    "buy_in_price_sentences",
    "cash_heading",
    "cash_sentence",
    "comparison_name",
    "condition_words",
    "cover_sentence",
    "current_sentence",
    "designs_sentence",
    "every_hour_sentence",
    "film_heading",
    "film_sentence",
    "film_sentences",
    "findings",
    "first_sentence",
    "hours_sentence",
    "influence_sentences",
    "lease_sentences",
    "make_or_buy_note",
    "make_or_buy_sentence",
    "numbers_of",
    "opening",
    "orders_sentence",
    "other_way",
    "outlier_sentences",
    "overflow_sentence",
    "own_cash_sentence",
    "payback_heading",
    "payback_sentences",
    "payback_words",
    "paying_heading",
    "paying_sentence",
    "price_list_sentence",
    "print_cost_heading",
    "print_cost_sentence",
    "rate_sentences",
    "rates_heading",
    "rush_sentence",
    "served_sentence",
    "sources_sentence",
    "station_heading",
    "supplies_sentence",
    "tax_words",
    "terms_sentences",
    "warranty_heading",
    "warranty_sentences",
]
