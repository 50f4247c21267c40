"""The shop that signs nothing, month by month, and what today's work has it waiting for."""

from __future__ import annotations

from collections.abc import Mapping

from planner.deliver.workbook.book import Entry, Listing, Sheet
from planner.deliver.workbook.buying import usual_lines
from planner.deliver.workbook.facts import CASH, Facts, Side, one
from planner.deliver.workbook.grid import Heading
from planner.deliver.workbook.materials import hour_lines, order_lines
from planner.deliver.workbook.money import (
    formulas_of_buying,
    ledger_lines,
    opening_balance,
    working_capital_lines,
)
from planner.deliver.workbook.months import month_sheet
from planner.deliver.workbook.pieces import Blocks, could_buy_lines, span
from planner.deliver.workbook.running import formulas_without, running_lines
from planner.plan import steady_without
from planner.scenario.estimates import Number


def without_sheet(facts: Facts, side: Side, *, title: str, alias: str, added: bool) -> Sheet:
    """A shop that buys its transfers in; ``added`` counts work beyond today's."""
    work = "as much of the planned work as they can serve" if added else "today's work"
    about = f"Nothing is signed: {work}, with transfers bought in."
    if facts.scenario.today is None:
        about = "Nothing is signed and the work is not taken: no price for transfers was given."
    return month_sheet(
        facts,
        title=title,
        alias=alias,
        about=about,
        blocks=_blocks(facts, side, alias, added),
        below=() if added else (_opening(facts, side),),
    )


def _blocks(facts: Facts, side: Side, alias: str, added: bool) -> Blocks:
    yield Heading("Pieces sold, with transfers bought in")
    yield from could_buy_lines(facts, side, added=added, key="sold")
    yield from order_lines(facts, side)
    if facts.scenario.today is not None:
        yield from usual_lines(facts, side, pieces="sold")
    cut = f"SUMPRODUCT({span(facts, 'sold')},product_each,product_prints)*labour_cutting"
    yield from hour_lines(facts, side.operations.hours, {"cutting": cut})
    yield from running_lines(facts, side, formulas_without(facts))
    yield from working_capital_lines(facts, side, formulas_without(facts))
    yield from ledger_lines(facts, side, formulas_of_buying(facts, alias), CASH)


def _opening(facts: Facts, side: Side) -> Listing:
    """What customers owe less what is owed to suppliers in a steady month of today's work."""
    steady = steady_without(facts.case.today(), facts.machine).lines
    entries = [
        _figure(facts, "steady_sales", "sales", one(steady["sales"]), _today("product_price")),
        _figure(
            facts,
            "steady_garments",
            "garments",
            -one(steady["garments"]),
            _today("product_each", "product_garment"),
        ),
    ]
    purchases = "steady_garments"
    if facts.scenario.today is not None:
        entries += _transfers(facts, steady)
        purchases += "+steady_transfers+steady_delivery"
    owed = _figure(
        facts,
        "opening_owed",
        "owed by customers less owed to suppliers",
        opening_balance(side.ledgers[CASH]),
        "steady_sales*shop_customers_pay_after*12/365"
        f"-({purchases})*shop_suppliers_paid_after*12/365",
    )
    return Listing(
        title="A steady month of today's work, at month-1 prices", entries=(*entries, owed)
    )


def _figure(facts: Facts, name: str, label: str, value: float, formula: str) -> Entry:
    return Entry(name=name, label=label, unit=facts.currency, value=value, formula=formula)


def _today(*factors: str) -> str:
    columns = ",".join(("product_today", "product_can_buy", *factors))
    return f"SUMPRODUCT({columns})*shop_open_weeks/12"


def _transfers(facts: Facts, steady: Mapping[str, Number]) -> list[Entry]:
    values, today = facts.values, facts.scenario.today
    assert today is not None
    weeks = facts.case.steady.usual_weeks
    area = weeks * sum(
        values.scalar(product.today) * each * bought
        for product, each, bought in zip(
            facts.scenario.products, facts.transfers_each, facts.bought_areas, strict=True
        )
    )
    orders = values.scalar(today.orders) * weeks
    cost = "steady_area*LOOKUP(steady_area/steady_orders,buy_in_from,buy_in_price)"
    if any(product.buy_in for product in facts.scenario.products):
        cost += "+" + _today("product_each", "product_buy_in")
    charged = "IF(steady_transfers>0,1,0)"
    if today.delivery_free_from is not None:
        charged = f"{charged}*IF(steady_transfers/steady_orders<buy_in_delivery_free_from,1,0)"
    return [
        Entry(
            name="steady_area",
            label="area to buy",
            unit="m²",
            value=area,
            formula=_today("product_each", "product_bought_area"),
        ),
        Entry(
            name="steady_orders",
            label="orders",
            unit="order",
            value=orders,
            formula="buy_in_orders*shop_open_weeks/12",
        ),
        _figure(facts, "steady_transfers", "transfers", -one(steady["transfers bought in"]), cost),
        _figure(
            facts,
            "steady_delivery",
            "delivery",
            -one(steady["delivery of transfers"]),
            f"steady_orders*{charged}*buy_in_delivery",
        ),
    ]
