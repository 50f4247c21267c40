"""What each picture shows, as the heading above it."""

from __future__ import annotations

from planner.decide.answer import AnswerPage
from planner.decide.ranking import same_machine
from planner.show.words.explains import matters_heading
from planner.show.words.film import film_heading, own_roll
from planner.show.words.inputs import print_cost_heading
from planner.show.words.month import warranty_heading
from planner.show.words.payback import cash_heading, payback_heading, station_heading
from planner.show.words.paying import paying_heading
from planner.show.words.prints import rates_heading
from planner.show.words.volume import break_even_heading, make_or_buy_heading


def findings(page: AnswerPage) -> dict[str, str]:
    """Headings by the picture's name, of the pictures that this scenario has."""
    best = page.best
    found = {
        "cumulative-cash": payback_heading(page, best),
        "cash-flow": cash_heading(page, best),
        "break-even": break_even_heading(page, best),
        "make-or-buy": make_or_buy_heading(page, best),
        "financing-outlay": paying_heading(page, same_machine(page.choices, best)),
        "station-use": station_heading(page, best),
        "warranty-years": warranty_heading(page, best),
        "print-cost": print_cost_heading(page),
        "film-layout-1": film_heading(page),
        "test-print-rates": rates_heading(page),
        "what-matters": matters_heading(page),
    }
    if best.figures.make_or_buy is None:
        del found["make-or-buy"]
    if own_roll(page) is None:
        del found["film-layout-1"]
    if not page.influences:
        del found["what-matters"]
    return found
