"""Paybacks, the bank balance, hours and stations read out."""

from __future__ import annotations

from collections.abc import Iterator

from planner.decide.answer import Answered, AnswerPage
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS
from planner.show.words.common import (
    COMPARISON_LETTERS,
    comparison_name,
    numbers_of,
    other_way,
    payback_clause,
    payback_words,
    tax_words,
)


def payback_sentences(page: AnswerPage, answered: Answered) -> Iterator[str]:
    """The three comparisons read out."""
    numbers, horizon = numbers_of(page.scenario), page.case.months
    before = tax_words(page.scenario)
    for name in COMPARISONS:
        time = answered.figures.payback[name]
        value = numbers.money(answered.figures.net_present_value[name])
        words = payback_words(time, horizon=horizon, numbers=numbers)
        label = comparison_name(page, name)
        clause = payback_clause(time, words)
        yield (
            f"{COMPARISON_LETTERS[name]}, {label}: it {clause}; worth {value} today over {horizon} "
            f"months, before financing and {before}."
        )


def own_cash_sentence(page: AnswerPage, answered: Answered) -> str:
    """Payback of own cash with the financing of the choice."""
    numbers, horizon = numbers_of(page.scenario), page.case.months
    time = answered.figures.payback_own_cash[AGAINST_BUYING_IN]
    words = payback_words(time, horizon=horizon, numbers=numbers)
    return (
        f"With {answered.choice.financing.name}, counting own cash only, the plan against "
        f"{other_way(page)} {payback_clause(time, words)}."
    )


def every_hour_sentence(page: AnswerPage, answered: Answered) -> str:
    """What the headline becomes when no hour is free."""
    numbers, horizon = numbers_of(page.scenario), page.case.months
    paid = answered.figures.every_hour_paid
    months = paid.payback_months[AGAINST_BUYING_IN]
    value = numbers.money(paid.net_present_value[AGAINST_BUYING_IN])
    back = (
        f"pays back in {numbers.months(months, limit=horizon)}"
        if months is not None
        else f"does not pay back within {horizon} months"
    )
    against = other_way(page)
    return f"With every hour of work paid for, the plan against {against} {back}, worth {value}."


def hours_sentence(page: AnswerPage) -> str:
    """Hours of work a week at full volume."""
    if not page.verdict.has_buy_in_price:
        return f"At full volume the work takes {page.hours_with:.1f} hours a week."
    made, bought = round(page.hours_with, 1), round(page.hours_without, 1)  # as they are read
    return (
        f"At full volume the work takes {made:.1f} hours a week with the machine and "
        f"{bought:.1f} with bought-in transfers, {abs(made - bought):.1f} "
        f"{'more' if made >= bought else 'fewer'}."
    )


def payback_heading(page: AnswerPage, answered: Answered) -> str:
    """The finding of the payback chart."""
    numbers, horizon = numbers_of(page.scenario), page.case.months
    time = answered.figures.payback[AGAINST_BUYING_IN]
    words = payback_words(time, horizon=horizon, numbers=numbers)
    return f"Against {other_way(page)} it {payback_clause(time, words)}"


def cash_heading(page: AnswerPage, answered: Answered) -> str:
    """The finding of the cash-flow chart."""
    cash, numbers = answered.figures.cash, numbers_of(page.scenario)
    floor = page.scenario.conditions.cash_never_below
    lowest = numbers.money(cash.lowest)
    aside = "" if _is_drawn(page) else ", with nothing drawn by the owner"
    if floor is None:
        return f"The bank balance is never below {lowest}{aside}"
    limit = page.case.values.scalar(floor)
    if cash.lowest >= limit:
        return (
            f"The bank balance stays above the {numbers.money(limit)} that the shop wants to keep"
            f"{aside}"
        )
    return f"The bank balance falls to {lowest}, under the {numbers.money(limit)} wanted{aside}"


def _is_drawn(page: AnswerPage) -> bool:
    """Whether the bank balance counts what the owner draws."""
    shop = page.scenario.shop
    return shop.cash_flow_before is not None and shop.owner_draw is not None


def cash_sentence(page: AnswerPage, answered: Answered) -> str:
    """The lowest bank balance and its month, and what the balance does not count."""
    cash, numbers = answered.figures.cash, numbers_of(page.scenario)
    when = "at signing" if cash.lowest_month == 0 else f"at the end of month {cash.lowest_month}"
    most_in = numbers.money(max(0.0, -cash.most_money_in))
    alone = page.scenario.shop.cash_flow_before is None
    aside = "It counts this work alone, and n" if alone else "N"
    aside = "" if _is_drawn(page) else f" {aside}othing is drawn by the owner."
    return (
        f"With {answered.choice.financing.name} the lowest balance is {numbers.money(cash.lowest)}"
        f", {when}; the most own money in the whole plan (C) is {most_in}.{aside}"
    )


def station_heading(page: AnswerPage, answered: Answered) -> str:
    """The finding of the chart of stations."""
    busiest = answered.figures.busiest
    numbers = numbers_of(page.scenario)
    share = numbers.percent(busiest.share)
    hours = f"{share} of the hours there are in month {busiest.month}"
    if busiest.share >= 1:
        return f"More than there are hours for: {busiest.station}, asked for {hours}"
    return f"Nearest to full: {busiest.station}, at {hours}"


def overflow_sentence(page: AnswerPage, answered: Answered) -> str:
    """What cannot be made: bought in a hurry and lost, over the horizon."""
    numbers, ledger = numbers_of(page.scenario), answered.evaluation.plan.ledger
    hurried = -float(ledger.line("transfers bought in a hurry").sum())
    lost = -float(ledger.line("sales lost").sum())
    return (
        f"Over {page.case.months} months, days down and months without hours enough make the shop "
        f"buy transfers for {numbers.money(hurried)} in a hurry and lose sales of "
        f"{numbers.money(lost)}."
    )
