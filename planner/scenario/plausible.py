"""The usual range of each input, to warn of slips: a wrong unit, a misplaced point.

None of these ranges limits what is accepted. They are wide, and every one is common practice of
the trade without a source unless its basis says otherwise. Amounts of money are compared only in
currencies of about the size of the dollar.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from planner.scenario.estimates import Estimate
from planner.scenario.units import factor, number_and_unit, readable

PRACTICE: Final = "common practice, no source"
LIKE_THE_DOLLAR: Final = ("AUD", "CAD", "CHF", "EUR", "GBP", "NZD", "SGD", "USD")


@dataclass(frozen=True)
class Usual:
    """The usual range of an input, ends included, in ``unit``; ``basis`` says who says so."""

    unit: str
    low: float
    high: float
    basis: str = PRACTICE


def _usual() -> Iterator[tuple[str, Usual]]:
    """Ranges by table: key, unit, low, high."""
    for table, ranges in _RANGES.items():
        for key, unit, low, high in ranges:
            yield f"{table}.{key}" if table else key, Usual(unit, low, high)


_FILM: Final = (
    ("roll.width", "in", 8, 70),
    ("roll.length", "m", 10, 400),
    ("roll_price", "money", 12, 1200),
    ("margin", "in", 0.1, 2),
    ("gap", "in", 0.1, 1.5),
    ("run_ends", "in/run", 4, 120),
    ("runs", "run/day", 0.2, 12),
    ("roll_ends", "m/roll", 0.2, 12),
)

_RANGES: Final[Mapping[str, tuple[tuple[str, str, float, float], ...]]] = {
    "": (
        ("runs_from", "months", 0, 12),
        ("horizon", "months", 24, 120),
        ("hurdle_rate", "%/year", 3, 40),
    ),
    "shop": (
        ("open_days", "day/week", 2, 7),
        ("open_hours", "hour/day", 3, 24),
        ("open_weeks", "week/year", 36, 52),
        ("efficiency", "%", 35, 95),
        ("staff_hours", "hour/week", 4, 600),
        ("overtime.hours", "hour/week", 1, 120),
        ("overtime.extra", "%", 10, 150),
        ("wage", "money/hour", 6, 80),
        ("on_costs", "%", 4, 70),
        ("unpaid_hours", "hour/week", 0, 60),
        ("hours_already_paid", "hour/week", 0, 200),
        ("electricity", "money/kWh", 0.04, 0.8),
        ("voltage", "V", 100, 480),
        ("customers_pay_after", "day", 0, 90),
        ("suppliers_paid_after", "day", 0, 90),
    ),
    "today": (
        ("buy_in_price", "money/ft^2", 0.7, 15),
        ("sheet_width", "in", 10, 70),
        ("sheet_gap", "in", 0.05, 1),
        ("price_breaks.from", "ft^2/order", 1, 5000),
        ("price_breaks.price", "money/ft^2", 0.5, 15),
        ("delivery", "money/order", 0, 80),
        ("delivery_free_from", "money", 10, 1500),
        ("orders", "order/week", 0.1, 30),
        ("hurry_extra", "%", 5, 150),
    ),
    "products": (
        ("prints.width", "in", 0.5, 60),
        ("prints.length", "in", 0.5, 240),
        ("price", "money", 0.5, 500),
        ("garment", "money", 0, 200),
        ("today", "piece/week", 0, 5000),
        ("planned", "piece/week", 0, 5000),
        ("buy_in", "money", 0.2, 60),
        ("pieces_per_order", "", 1, 1000),
        ("coverage", "%", 15, 200),
        ("filled", "%", 25, 100),
    ),
    "ramp": (
        ("start_share", "%", 0, 80),
        ("months", "months", 0, 48),
        ("spoilage_at_start", "%", 2, 50),
    ),
    "growth": tuple(
        (key, "%/year", -10, 20) for key in ("volume", "prices", "costs", "wages", "buy_in")
    ),
    "ink": (
        ("price", "money/L", 20, 400),
        ("white_price", "money/L", 20, 400),
        ("colour_price", "money/L", 20, 400),
        ("colours", "", 3, 12),
        ("pack", "mL", 100, 10_000),
        ("keeps", "months", 2, 36),
        ("first_fill", "mL", 50, 10_000),
        ("daily_loss", "mL/day", 1, 150),
        ("closed_day_loss", "mL/day", 0, 60),
        ("long_stop.after", "day", 1, 30),
        ("long_stop.ink", "mL", 5, 2000),
        ("long_stop.time", "min", 5, 480),
    ),
    "film": _FILM,
    "equipment.film": _FILM,
    "powder": (("price", "money/kg", 5, 120), ("lost", "%", 1, 50)),
    "spoilage": (
        ("transfers", "%", 0.3, 25),
        ("garments", "%", 0.1, 10),
        ("redone", "%", 0.1, 10),
    ),
    "labour": (
        ("artwork", "min/design", 1, 240),
        ("new_designs", "%", 2, 100),
        ("order_setup", "min/order", 1, 90),
        ("tending", "min/ft^2", 0.05, 6),
        ("cutting", "min/print", 0.05, 4),
        ("pressing", "min/print", 0.2, 6),
        ("peel_wait", "min/print", 0, 4),
        ("daily", "min/day", 3, 180),
        ("weekly", "min/week", 5, 300),
    ),
    "selling": (
        ("payment_fee", "%", 0, 8),
        ("payment_fee_each", "money/order", 0, 1.5),
        ("packing", "money/order", 0, 30),
        ("margin", "%", 10, 80),
        ("minimum_order", "money", 0, 500),
        ("rush.share", "%", 0, 60),
        ("rush.extra", "%", 5, 150),
    ),
    "price_list": (
        ("sizes.width", "in", 0.5, 60),
        ("sizes.length", "in", 0.5, 240),
        ("quantities", "", 1, 5000),
    ),
    "orders": (
        ("price", "money", 1, 100_000),
        ("lines.pieces", "", 1, 10_000),
        ("lines.prints.width", "in", 0.5, 60),
        ("lines.prints.length", "in", 0.5, 240),
        ("lines.garment", "money", 0, 200),
        ("lines.coverage", "%", 15, 200),
        ("lines.filled", "%", 25, 100),
        ("lines.new_designs", "", 0, 100),
    ),
    "overheads": (("cost", "money/month", 1, 10_000),),
    "stock": (("opening", "money", 0, 20_000),),
    "equipment": (
        ("price", "money", 1000, 400_000),
        ("power", "kW", 0.5, 60),
        ("print_speed", "ft^2/hour", 4, 600),
        ("machines", "", 1, 6),
        ("dryer_speed", "ft^2/hour", 4, 600),
        ("printer_power", "kW", 0.05, 15),
        ("dryer_power", "kW", 0.4, 45),
        ("dryer_warm_up", "min/day", 2, 120),
        ("dryer_on", "hour/day", 0.3, 24),
        ("idle_power", "kW", 0.002, 2),
        ("press_power", "kW", 0.6, 12),
        ("press_duty", "%", 10, 100),
        ("presses", "", 1, 12),
        ("age", "months", 0, 120),
        ("supplies", "money/month", 3, 1500),
        ("insurance", "%/year", 0.2, 8),
        ("discount", "%", 0, 40),
        ("sales_tax", "%", 0, 27),
    ),
    "equipment.items": (
        ("price", "money", 30, 400_000),
        ("quantity", "", 1, 12),
        ("life", "months", 18, 180),
        ("worth.after", "months", 6, 120),
        ("worth.share", "%", 2, 80),
    ),
    "equipment.start_up": (
        ("cost", "money", 10, 50_000),
        ("hours", "hour", 1, 400),
        ("practice", "ft^2", 2, 3000),
    ),
    "equipment.wear_parts": (
        ("count", "", 1, 24),
        ("price", "money", 2, 8000),
        ("life", "ft^2", 300, 500_000),
        ("life_at_most", "months", 1, 84),
    ),
    "equipment.repairs": (
        ("in_first_year", "", 0.03, 8),
        ("wear", "", 0.6, 3),
        ("cost", "money", 20, 10_000),
        ("down_days_covered", "day", 0, 25),
        ("down_days_uncovered", "day", 0, 45),
    ),
    "equipment.warranty": (
        ("term", "months", 0, 84),
        ("price", "money", 0, 20_000),
        ("deductible", "money", 0, 2000),
    ),
    "financing": (
        ("rate", "%/year", 0, 40),
        ("payment", "money/month", 10, 15_000),
        ("term", "months", 6, 120),
        ("amount", "money", 100, 500_000),
        ("down_payment", "%", 0, 60),
        ("fee", "money", 0, 5000),
        ("balloon", "money", 0, 200_000),
        ("interest_only", "months", 0, 24),
        ("first_payment_after", "months", 1, 6),
        ("step.every", "months", 1, 24),
        ("step.change", "%", -40, 40),
        ("early_repayment_charge", "%", 0, 10),
        ("advance_payments", "", 0, 6),
        ("deposit", "money", 0, 10_000),
        ("document_fee", "money", 0, 2000),
        ("sales_tax", "%", 0, 27),
        ("at_end.share", "%", 0, 60),
        ("at_end.sum", "money", 0, 100_000),
        ("at_end.payment", "money/month", 5, 15_000),
        ("notice", "months", 0, 12),
    ),
    "tax": (("rate", "%", 5, 60), ("depreciation.life", "ft^2", 3000, 5_000_000)),
    "lender": (("debt_service_cover_at_least", "", 1, 3), ("counts", "%", 10, 100)),
    "conditions": (
        ("pays_back_within", "months", 3, 120),
        ("chance_of_payback.within", "months", 3, 120),
        ("chance_of_payback.at_least", "%", 50, 99.9),
    ),
    "test_prints": (
        ("white", "mL/m^2", 5, 120),
        ("colour", "mL/m^2", 1, 90),
        ("powder", "g/m^2", 1, 90),
    ),
}

USUAL: Final[Mapping[str, Usual]] = dict(_usual())


def implausible(path: str, estimate: Estimate, *, currency: str) -> str:
    """What is unusual about an input, in its own unit; empty where nothing is.

    ``path`` is the input's place in the schema. The ends of a range are compared as well, but for
    a low end of nothing: what may not be needed may cost nothing.
    """
    usual = USUAL.get(path)
    if usual is None or ("money" in usual.unit and currency not in LIKE_THE_DOLLAR):
        return ""
    scale = factor(usual.unit, estimate.unit, "money") if usual.unit else 1.0
    low, high = usual.low * scale, usual.high * scale
    slack = 1e-9 * max(abs(low), abs(high))
    lowest = estimate.low or estimate.likely
    if low - slack <= lowest and estimate.high <= high + slack:
        return ""
    own, unit = own_unit_of(estimate, currency)
    limits = f"{rounded(low / own)} to {rounded(high / own)} {unit}".strip()
    got = estimate.written or f"{rounded(estimate.likely / own)} {unit}"
    return f"{got} lies outside the usual {limits} ({usual.basis})"


def own_unit_of(estimate: Estimate, currency: str) -> tuple[float, str]:
    """Canonical units in the unit in which an input is written, and that unit."""
    if estimate.written:
        unit = (
            number_and_unit(estimate.written.split(" / ")[0])[1].removesuffix("effective").strip()
        )
        if unit:
            return factor(unit, estimate.unit, currency), unit
    if estimate.unit.startswith("share"):
        return 0.01, readable(estimate.unit, currency)
    return 1.0, readable(estimate.unit, currency)


def rounded(value: float) -> str:
    """Four digits, without an exponent."""
    return f"{float(f'{value:.4g}'):.12g}"
