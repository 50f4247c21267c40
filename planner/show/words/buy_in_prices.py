"""Make or buy at other prices of bought-in transfers, read out."""

from __future__ import annotations

from collections.abc import Iterator

from planner.decide.answer import Answered, AnswerPage
from planner.decide.buy_in_prices import AtPrice, Balance, buy_in_prices
from planner.show.numbers import Numbers
from planner.show.words.common import numbers_of


def buy_in_price_sentences(page: AnswerPage, answered: Answered) -> Iterator[str]:
    """The crossing at the lowest and the highest price asked about, and the price in balance.

    None where make or buy cannot be judged; ``make_or_buy_sentence`` says why.
    """
    numbers = numbers_of(page.scenario)
    asked = buy_in_prices(page.case, answered.evaluation.plan, answered.figures.make_or_buy)
    if asked is None:
        return
    lowest, highest = asked.rows[0], asked.rows[-1]
    yield f"{_crossing(lowest, numbers)}. {_crossing(highest, numbers)}."
    yield _in_balance(asked.balance, numbers)
    today = page.scenario.today
    if today is not None and today.price_breaks:
        yield "Prices are those of orders below the first price break; the breaks move alike."


def _crossing(row: AtPrice, numbers: Numbers) -> str:
    at = f"At {_priced(row.price, row.factor, numbers)}"
    if row.area is None:
        return f"{at} {row.reason}"
    return f"{at} buying stays cheaper up to {numbers.area_per_week(row.area)}"


def _in_balance(found: Balance, numbers: Numbers) -> str:
    area = numbers.area_per_week(found.area)
    what = f"At the planned {area}," if found.is_planned else f"At {area}, which fill the shop,"
    if found.factor is None:
        return f"{what} {found.reason}."
    limit = _priced(found.price, found.factor, numbers)
    return f"{what} making is cheaper as long as transfers cost more than {limit}."


def _priced(price: float | None, factor: float, numbers: Numbers) -> str:
    """A price by area; a share of the prices given where only pieces have one."""
    if price is None:
        return f"{numbers.percent(factor)} of the prices given"
    return numbers.money_per_area(price)
