"""A steady month of today's work with transfers bought in, and what it has the shop waiting for."""

from __future__ import annotations

from planner.deliver.workbook.book import Entry, Listing
from planner.deliver.workbook.buying import steady_transfers
from planner.deliver.workbook.facts import CASH, Facts, Side, one
from planner.deliver.workbook.money import opening_balance
from planner.plan import steady_without
from planner.scenario.estimates import Number
from planner.shop.capacity import served_share

_TODAY = "product_today,product_can_buy"
_WEEKS = "shop_open_weeks/12"
_OVERTIME = f"overtime_hours)*{_WEEKS}*shop_efficiency"


def opening(facts: Facts, side: Side) -> Listing:
    """What customers owe less what is owed to suppliers in a steady month of today's work."""
    steady = steady_without(facts.case.today(), facts.machine)
    entries = [
        *_served(facts),
        _money(facts, "sales", one(steady.sales), _month("product_price")),
        _money(
            facts,
            "garments",
            -one(steady.lines["garments"]),
            _month("product_garments", "product_garment"),
        ),
    ]
    purchases = "steady_garments"
    if facts.scenario.today is not None:
        entries += steady_transfers(
            facts,
            name="steady",
            pieces=[one(done.sold) for done in steady.works],
            weekly=_TODAY,
            served="*steady_served",
        )
        purchases += "+steady_transfers+steady_delivery"
    owed = Entry(
        name="opening_owed",
        label="owed by customers less owed to suppliers",
        unit=facts.currency,
        value=opening_balance(side.ledgers[CASH]),
        formula="steady_sales*shop_customers_pay_after*12/365"
        f"-({purchases})*shop_suppliers_paid_after*12/365",
    )
    return Listing(
        title="A steady month of today's work, at month-1 prices", entries=(*entries, owed)
    )


def _month(*factors: str) -> str:
    """A month's sum over what is served of today's pieces."""
    return f"SUMPRODUCT({','.join((_TODAY, *factors))})*{_WEEKS}*steady_served"


def _money(facts: Facts, name: str, value: Number, formula: str) -> Entry:
    return Entry(
        name=f"steady_{name}", label=name, unit=facts.currency, value=one(value), formula=formula
    )


def _served(facts: Facts) -> list[Entry]:
    """Hours of press and people, and the share of the work that they serve."""
    stations = steady_without(facts.case.today(), facts.machine).stations
    work = {
        "press": f"SUMPRODUCT({_TODAY},product_pressing)*{_WEEKS}/equipment_presses",
        "people": f"(SUMPRODUCT({_TODAY},product_ordering)+SUMPRODUCT({_TODAY},product_pressing)"
        f"+SUMPRODUCT({_TODAY},product_each,product_prints)*labour_cutting)*{_WEEKS}",
    }
    available = {
        "press": f"(shop_open_hours*shop_open_days+{_OVERTIME}",
        "people": f"(shop_staff_hours+{_OVERTIME}",
    }
    hours = [
        Entry(
            name=f"steady_{name}",
            label=f"hours of {name}",
            unit="hour",
            value=one(stations[name].work),
            formula=formula,
        )
        for name, formula in work.items()
    ]
    shares = [
        f"IF(steady_{key}>0,MIN(1,{there}/steady_{key}),1)" for key, there in available.items()
    ]
    served = Entry(
        name="steady_served",
        label="share that people and press serve",
        unit="%",
        value=one(served_share(stations=stations)),
        formula=f"MIN({','.join(shares)})",
    )
    return [*hours, served]
