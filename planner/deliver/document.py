"""The figures of a scenario as one JSON document, and as rows for a CSV."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from planner.decide.answer import Answered, AnswerPage
from planner.decide.buy_in_prices import (
    break_even_buy_in_price,
    buy_in_prices,
    make_or_buy_by_price,
)
from planner.decide.contract import LeaseTests
from planner.decide.figures import Figures, PaybackTime, needed_share
from planner.decide.film import film_figures
from planner.decide.prints import PrintCost
from planner.decide.risk.answer import Risk
from planner.decide.solve import Crossing
from planner.deliver.files import Cell, flat
from planner.deliver.job_report import orders_document, price_list_document, rush_by_key
from planner.deliver.month_document import (
    consumables_by_key,
    current_by_key,
    months_by_key,
    warranties_by_key,
)
from planner.deliver.risk_document import condition_by_key, influence_by_key, risk_document
from planner.scenario.notices import costs_left_out, defaults_in_words
from planner.show.words import NOTHING_TO_COMPARE, first_sentence
from planner.usage.print_doubts import every_doubt

Json = dict[str, Any]


def figures_document(page: AnswerPage, found: Risk | None = None) -> Json:
    """Every figure of every choice; one that does not exist is null, with its reason in notes."""
    return {
        "scenario": page.scenario.title,
        "currency": page.scenario.currency,
        "first_sentence": first_sentence(page),
        "choices": [_choice(page, answered) for answered in page.choices],
        "prints": [_print(one) for one in page.prints],
        "hours_per_week": {"with": page.hours_with, "without": page.hours_without},
        **_asked_of_prints(page),
        "warranties": warranties_by_key(page),
        "consumables": consumables_by_key(page),
        "current": current_by_key(page),
        "what_matters_most": [influence_by_key(one) for one in page.influences],
        "risk": None if found is None else risk_document(page, found),
        "defaults": list(defaults_in_words(page.scenario)),
        "left_out": list(costs_left_out(page.scenario)),
        "notes": list(_notes(page)),
    }


def _asked_of_prints(page: AnswerPage) -> Json:
    """Film, buy-in prices, single orders and the price list, of the choice spoken of."""
    found = page.best.figures.make_or_buy
    asked = buy_in_prices(page.case, page.best.evaluation.plan, found)
    return {
        "film": film_figures(page.case),
        "make_or_buy_by_price": make_or_buy_by_price(asked),
        "break_even_buy_in_price": break_even_buy_in_price(asked),
        "orders": orders_document(page),
        "price_list": price_list_document(page),
        **rush_by_key(page),
    }


def _choice(page: AnswerPage, answered: Answered) -> Json:
    equipment, warranty, financing = answered.choice.names
    return {
        "equipment": equipment,
        "warranty": warranty,
        "financing": financing,
        "figures": figures_by_key(answered.figures),
        "conditions": [condition_by_key(condition) for condition in answered.conditions],
        "months": months_by_key(page, answered),
    }


def figures_by_key(figures: Figures) -> Json:
    """The figures of one choice under their JSON keys."""
    return {
        **_paybacks(figures),
        **_worth(figures),
        **_break_evens(figures),
        **_busiest(figures),
        **_cash(figures),
        **_cover(figures),
        **_paying(figures),
    }


def _paybacks(figures: Figures) -> Json:
    return {
        "payback_months": _months(figures.payback),
        "discounted_payback_months": _months(figures.discounted_payback),
        "payback_own_cash_months": _months(figures.payback_own_cash),
        "payback_months_every_hour_paid": figures.every_hour_paid.payback_months,
    }


def _worth(figures: Figures) -> Json:
    return {
        "net_present_value": figures.net_present_value,
        "net_present_value_financed": figures.net_present_value_financed,
        "net_present_value_every_hour_paid": figures.every_hour_paid.net_present_value,
        "internal_rates_of_return": {
            name: list(rates) for name, rates in figures.internal_rates_of_return.items()
        },
        "modified_rate_of_return": figures.modified_rate_of_return,
        "profitability_index": figures.profitability_index,
        "equivalent_monthly_cost": figures.equivalent_monthly_cost,
    }


def _break_evens(figures: Figures) -> Json:
    found, needed = figures.break_even, needed_share(figures.added_work)
    bought = figures.make_or_buy
    return {
        "break_even_pieces_per_week": _times(found.monthly, figures.weekly_pieces),
        "break_even_area_per_week": _times(found.monthly, figures.weekly_area),
        "lifetime_break_even_pieces_per_week": _times(found.lifetime, figures.weekly_pieces),
        "break_even_price_factor": found.price.value,
        "capacity_pieces_per_week": figures.weekly_pieces * found.capacity
        if found.capacity < float("inf")
        else None,
        "worth_more_from_pieces_per_week": figures.added_work.pieces,
        "worth_more_from_area_per_week": figures.added_work.area,
        "added_work_needed": needed,
        "margin_of_safety": None if needed is None else 1 - needed,
        "make_or_buy_area_per_week": _times(bought.by_cost, bought.buyable_area)
        if bought
        else None,
    }


def _busiest(figures: Figures) -> Json:
    busiest = figures.busiest
    return {
        "busiest_station": busiest.station,
        "busiest_station_month": busiest.month,
        "busiest_station_share": busiest.share,
    }


def _cash(figures: Figures) -> Json:
    held = figures.collateral
    return {
        "lowest_cash": figures.cash.lowest,
        "lowest_cash_month": figures.cash.lowest_month,
        "most_money_in": figures.cash.most_money_in,
        "collateral_cover_lowest": held.cover_lowest if held else None,
        "largest_shortfall_if_sold": held.shortfall if held else None,
        "largest_shortfall_month": held.shortfall_month if held else None,
    }


def _cover(figures: Figures) -> Json:
    cover = figures.cover
    return {
        "debt_service_cover_project_by_year": {
            name: list(years) for name, years in cover.project.items()
        },
        "debt_service_cover_shop_by_year": None
        if cover.shop is None
        else {
            name: {
                "before_tax": list(years.before_tax),
                "after_tax_and_draw": list(years.after_tax_and_draw),
            }
            for name, years in cover.shop.items()
        },
        "lowest_debt_service_cover": cover.lowest,
    }


def _paying(figures: Figures) -> Json:
    paying = figures.paying
    return {
        "annual_percentage_rate": paying.annual_percentage_rate,
        "payment_per_month": paying.payment_per_month,
        "total_paid": paying.total_paid,
        "present_cost_of_financing": paying.present_cost,
        "lease_tests": _lease(figures.lease),
    }


def _lease(tests: LeaseTests | None) -> Json | None:
    if tests is None:
        return None
    return {
        "title_passes": tests.title_passes,
        "term_share": tests.term_share,
        "present_value_share": tests.present_value_share,
        "purchase_option": tests.option,
        "expected_worth": tests.expected_worth,
        "is_finance_lease": tests.is_finance_lease,
        "counts_as_rent_for_tax": tests.is_rent,
    }


def _months(times: dict[str, PaybackTime]) -> Json:
    return {name: time.months for name, time in times.items()}


def _times(crossing: Crossing, base: float) -> float | None:
    return None if crossing.value is None else crossing.value * base


def _print(one: PrintCost) -> Json:
    return {
        "product": one.product,
        "material": one.material,
        "full": one.full,
        "full_with_equipment": one.with_equipment,
        "parts": dict(one.parts),
        "area_only": one.area_only,
        "film_use": one.film_use,
        "price": one.price,
    }


def _notes(page: AnswerPage) -> Iterator[str]:
    if not page.verdict.has_buy_in_price:
        yield NOTHING_TO_COMPARE
    for answered in page.choices:
        for key, reason in answered.figures.reasons.items():
            yield f"{answered.choice.label}: {key}: {reason}"
    yield from every_doubt(page.scenario)


def figure_rows(document: Json) -> Iterator[tuple[str, str, str, str, Cell]]:
    """Equipment, warranty, financing, key and value of every figure, for a CSV."""
    for choice in document["choices"]:
        names = (choice["equipment"], choice["warranty"], choice["financing"])
        for key, value in flat("", choice["figures"]):
            yield (*names, key, value)
    for one in document["prints"]:
        for key, value in flat("", {k: v for k, v in one.items() if k != "product"}):
            yield (one["product"], "", "", f"print.{key}", value)
