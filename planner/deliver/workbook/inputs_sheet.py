"""Every numeric input of the plan as a named cell, in canonical units beside the user's text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, get_args

from planner.deliver.workbook.book import Entry, Listing, Origin, Sheet, Words
from planner.deliver.workbook.equipment_inputs import equipment_listings
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.given import Given, fallback
from planner.deliver.workbook.looks import serial
from planner.deliver.workbook.paying_inputs import paying_listings
from planner.deliver.workbook.products_sheet import products_origins
from planner.scenario.kinds import Month
from planner.scenario.schema import MonthName, Overtime, Shop, Tax
from planner.usage.materials import rate_estimates
from planner.usage.test_prints import measured_rates

INPUTS: Final = "Inputs"
SPARE: Final = 2  # empty cells for months that a user wants to shut
MONTHS: Final = get_args(MonthName)


def inputs_sheet(facts: Facts) -> Sheet:
    """All inputs but those of the products."""
    sheet = Sheet(title=INPUTS, frozen=(3, 1))
    sheet.add(
        Words(text="Inputs", style="title"),
        Words(
            text="Change the coloured cells; every sheet follows. Values stand in the units named "
            "beside them; products have a sheet of their own."
        ),
    ).gap()
    for listing in _listings(facts):
        sheet.add(listing).gap()
    return sheet


def _listings(facts: Facts) -> Iterator[Listing]:
    given = Given(facts.values, facts.currency, facts.months)
    yield from _shop(facts, given)
    yield from _buying_in(facts, given)
    yield products_origins(facts)
    yield _list("How the work arrives", *_arriving(facts, given))
    yield from _materials(facts, given)
    yield from _work(facts, given)
    yield from equipment_listings(facts, given)
    yield from paying_listings(facts, given)
    if facts.scenario.tax is not None:
        yield _tax(facts.scenario.tax, given)


def _tax(tax: Tax, given: Given) -> Listing:
    carried = float(tax.losses == "carried forward")
    life = tax.depreciation.life
    return _list(
        "Income tax",
        given.entry("tax_rate", tax.rate, label="rate"),
        _number(
            "tax_year_ends",
            "last month of the tax year",
            "1 to 12",
            MONTHS.index(tax.year_ends) + 1,
        ),
        _number(
            "losses_carried_forward",
            "losses carried forward, not set against other income",
            "1 or 0",
            carried,
        ),
        *(
            [given.entry("depreciation_life", life, label="area that is deducted over")]
            if life
            else []
        ),
    )


def _list(title: str, *entries: Entry, together: str = "") -> Listing:
    return Listing(title=title, entries=entries, together=together, with_origin=True)


def _number(name: str, label: str, unit: str, value: float | None) -> Entry:
    return Entry(
        name=name, label=label, unit=unit, value=value, is_input=True, origin=Origin(basis="stated")
    )


def _shop(facts: Facts, given: Given) -> Iterator[Listing]:
    scenario, shop = facts.scenario, facts.scenario.shop
    yield _list(
        "The plan",
        given.entry(
            "horizon",
            scenario.horizon,
            whole=True,
            is_input=False,
            note="as many months as the sheets have columns; to change it, run the program again",
        ),
        _number("start_year", "year of month 1", "year", scenario.start.year),
        _number("start_month", "calendar month of month 1", "1 to 12", scenario.start.month),
        given.entry("runs_from", scenario.runs_from, label="runs from, whole", whole=True),
        given.entry("hurdle_rate", scenario.hurdle_rate),
    )
    keys = (
        *("open_days", "open_hours", "open_weeks", "efficiency", "staff_hours", "wage", "on_costs"),
        *("unpaid_hours", "hours_already_paid", "electricity", "customers_pay_after"),
        *("suppliers_paid_after", "cash_at_start", "cash_flow_before", "owner_draw"),
    )
    yield _list("The shop", *given.entries(shop, keys, names="shop"))
    yield _list("Overtime", *_overtime(shop, given))
    yield _list("Season, on any scale", *_season(facts, given), together="season")
    yield from _own_seasons(facts, given)
    yield _list("Months shut", *_closed(facts), together="closed_months")
    debts = [
        entry
        for at, debt in enumerate(shop.debts, start=1)
        for entry in (
            given.entry(f"debt_{at}_payment", debt.payment, label=f"{debt.name}: payment"),
            _number(
                f"debt_{at}_last",
                f"{debt.name}: last payment",
                "month",
                debt.ends.since(scenario.start) + 1,
            ),
        )
    ]
    if debts:
        yield _list("Debts that the shop has", *debts)


def _season(facts: Facts, given: Given) -> tuple[Entry, ...]:
    season = facts.scenario.shop.season
    if season is None:
        return tuple(fallback(f"season_{name}", name, "sales", 1.0) for name in MONTHS)
    return tuple(
        given.entry(f"season_{name}", sales, label=name)
        for name, sales in zip(MONTHS, season, strict=True)
    )


def _own_seasons(facts: Facts, given: Given) -> Iterator[Listing]:
    for at, product in enumerate(facts.scenario.products, start=1):
        if product.season is not None:
            sales = [
                given.entry(f"season_{at}_{name}", month, label=name)
                for name, month in zip(MONTHS, product.season, strict=True)
            ]
            title = f"Season of {product.name}, on any scale"
            yield _list(title, *sales, together=f"season_{at}")


def _overtime(shop: Shop, given: Given) -> Iterator[Entry]:
    if shop.overtime is not None:
        yield from given.entries(shop.overtime, ("hours", "extra"), names="overtime")
        return
    extra = Overtime.model_validate({"hours": "0 hour/week"}).extra
    yield fallback("overtime_hours", "hours", "hour/week", 0.0)
    yield fallback("overtime_extra", "extra", "%", extra.likely)


def _closed(facts: Facts) -> tuple[Entry, ...]:
    closed = facts.scenario.shop.closed
    spare: tuple[Month | None, ...] = (*closed, *([None] * SPARE))
    return tuple(
        _number(f"closed_{at}", "first day of the month", "date", serial(month) if month else None)
        for at, month in enumerate(spare, start=1)
    )


def _buying_in(facts: Facts, given: Given) -> Iterator[Listing]:
    today = facts.scenario.today
    if today is None:
        return
    breaks = sorted(today.price_breaks, key=lambda one: facts.values.scalar(one.from_))
    nothing = Entry(
        name="buy_in_1_from",
        label="any order",
        unit="m²/order",
        value=0.0,
        origin=Origin(),
    )
    price = (
        given.entry("buy_in_1_price", today.buy_in_price, label="any order")
        if today.buy_in_price is not None
        else Entry(
            name="buy_in_1_price",
            label="any order",
            unit=f"{facts.currency}/m²",
            value=0.0,
            origin=Origin(),
            note="products are bought at a price a piece",
        )
    )
    numbered = list(enumerate(breaks, start=2))
    yield _list(
        "Bought-in transfers: sizes of orders, rising",
        nothing,
        *(
            given.entry(f"buy_in_{at}_from", step.from_, label="orders from")
            for at, step in numbered
        ),
        together="buy_in_from",
    )
    yield _list(
        "Bought-in transfers: price from each size",
        price,
        *(
            given.entry(f"buy_in_{at}_price", step.price, label="larger orders")
            for at, step in numbered
        ),
        together="buy_in_price",
    )
    keys = ("delivery", "delivery_free_from", "orders", "hurry_extra")
    yield _list("Bought-in transfers: orders", *given.entries(today, keys, names="buy_in"))


def _arriving(facts: Facts, given: Given) -> Iterator[Entry]:
    scenario = facts.scenario
    yield from given.entries(
        scenario.ramp, ("start_share", "months", "spoilage_at_start"), names="ramp", labels="ramp"
    )
    yield from given.entries(
        scenario.growth,
        ("volume", "prices", "costs", "wages", "buy_in"),
        names="growth",
        labels="growth",
    )


def _materials(facts: Facts, given: Given) -> Iterator[Listing]:
    scenario, film = facts.scenario, facts.machine.film
    ink, powder = scenario.ink, scenario.powder
    measured = rate_estimates(measured_rates(scenario.prints))
    yield _list(
        "Measured on test prints, a covered area",
        *(
            given.entry(f"rate_{name}", estimate, label=f"{name}, as measured")
            for name, estimate in zip(("white", "colour", "powder"), measured, strict=True)
        ),
    )
    prices = {"ink_white_price": ink.white_price, "ink_colour_price": ink.colour_price}
    keys = ("pack", "keeps", "first_fill", "daily_loss", "closed_day_loss")
    yield _list(
        "Ink",
        *(given.entry(name, one) for name, price in prices.items() if (one := price or ink.price)),
        given.entry("ink_colours", ink.colours, label="bottles of colour", whole=True),
        *given.entries(ink, keys, names="ink"),
        *given.entries(
            ink.long_stop, ("after", "ink", "time"), names="long_stop", labels="long stop"
        ),
    )
    yield _list(
        "Film and powder",
        given.entry(
            "film_width",
            film.roll.width,
            label="roll, width",
            is_input=False,
            note="prints are laid out on it by the program; not live",
        ),
        given.entry("film_length", film.roll.length, label="roll, length"),
        *given.entries(film, ("roll_price", "run_ends", "runs", "roll_ends"), names="film"),
        *given.entries(powder, ("price", "lost"), names="powder", labels="powder"),
    )


def _work(facts: Facts, given: Given) -> Iterator[Listing]:
    scenario = facts.scenario
    yield _list(
        "Spoilage",
        *given.entries(scenario.spoilage, ("transfers", "garments", "redone"), names="spoilage"),
    )
    keys = (
        *("artwork", "new_designs", "order_setup", "tending", "cutting", "pressing", "peel_wait"),
        *("daily", "weekly"),
    )
    yield _list("Labour", *given.entries(scenario.labour, keys, names="labour"))
    yield _list(
        "Selling",
        *given.entries(
            scenario.selling, ("payment_fee", "payment_fee_each", "packing"), names="selling"
        ),
    )
    overheads = [
        given.entry(
            f"overhead_{at}_cost",
            one.cost,
            label=one.name,
            note="already paid: with the machine and without it" if one.already_paid else "",
        )
        for at, one in enumerate(scenario.overheads, start=1)
    ]
    stock = given.entry("stock_opening", scenario.stock.opening, label="stock held from the start")
    yield _list("Overheads and stock", *overheads, stock)
