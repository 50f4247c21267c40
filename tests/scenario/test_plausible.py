"""Usual ranges: both ends of each, in the user's own unit, and which inputs have one."""

from dataclasses import replace

import pytest

from planner.scenario.estimates import Estimate
from planner.scenario.fields import keys
from planner.scenario.plausible import LIKE_THE_DOLLAR, USUAL, implausible
from planner.scenario.units import factor

READS = {key.path: key.reads for key in keys() if key.reads is not None}

# Numbers that have no usual range: they depend on the shop alone.
OF_THE_SHOP = {
    "products.needs_machine",
    "shop.season",
    "products.season",
    "together.rank_correlation",
    "shop.cash_at_start",
    "shop.cash_flow_before",
    "shop.owner_draw",
    "shop.debts.balance",
    "shop.debts.payment",
    "conditions.cash_never_below",
}
SIZES = {
    "film.roll",
    "equipment.film.roll",
    "products.prints",
    "price_list.sizes",
    "orders.lines.prints",
}
# Written as one value or measured, so that the schema holds no number under the path.
WITHOUT_READS = {
    *(f"{size}.{side}" for size in SIZES for side in ("width", "length")),
    "financing.at_end.share",
    "financing.at_end.sum",
    "financing.at_end.payment",
    "tax.depreciation.life",
    "test_prints.white",
    "test_prints.colour",
    "test_prints.powder",
}


def estimate(path: str, number: float, *, high: float | None = None) -> Estimate:
    """An input written in the unit of its usual range, as the schema would hold it."""
    usual = USUAL[path]
    unit = usual.unit.replace("money", "USD") if usual.unit != "money" else "USD"
    canonical = READS[path].unit if path in READS else _canonical(usual.unit)
    scale = factor(unit, canonical, "USD") if unit else 1.0
    top = number if high is None else high
    shown = " / ".join(f"{n!r} {unit}".strip() for n in (number, number, top)[: 3 if high else 1])
    return Estimate(
        likely=number * scale, low=number * scale, high=top * scale, unit=canonical, written=shown
    )


def _canonical(unit: str) -> str:
    return {
        "in": "metre",
        "m": "metre",
        "%": "share",
        "money": "money",
        "money/month": "money/month",
        "ft^2": "metre**2",
        "mL/m^2": "litre/metre**2",
        "g/m^2": "kilogram/metre**2",
    }[unit]


@pytest.mark.parametrize("path", USUAL)
def test_both_ends_of_every_range(path: str) -> None:
    usual = USUAL[path]
    step = 1e-6 * max(abs(usual.low), abs(usual.high))
    for inside in (usual.low, usual.high):
        assert implausible(path, estimate(path, inside), currency="USD") == ""
    for outside in (usual.low - step, usual.high + step):
        said = implausible(path, estimate(path, outside), currency="USD")
        assert "lies outside the usual" in said
        assert said.endswith(f"({usual.basis})")


@pytest.mark.parametrize("path", USUAL)
def test_every_range_belongs_to_a_key_and_allows_something(path: str) -> None:
    assert path in READS or path in WITHOUT_READS
    assert USUAL[path].low < USUAL[path].high
    assert USUAL[path].basis


def test_every_number_of_the_schema_has_a_usual_range_or_is_the_shops_own() -> None:
    assert set(READS) - set(USUAL) == OF_THE_SHOP


@pytest.mark.parametrize("path", [path for path in USUAL if path in READS])
def test_defaults_are_usual_and_what_is_refused_is_not_usual(path: str) -> None:
    key = next(key for key in keys() if key.path == path)
    reads, usual = READS[path], USUAL[path]
    if isinstance(key.field.default, (str, int, float)):
        value = reads.estimate(key.field.default, currency="USD")
        assert implausible(path, value, currency="USD") == ""
    scale = factor(usual.unit, reads.unit, "money") if usual.unit else 1.0
    assert usual.high * scale <= reads.at_most * (1 + 1e-12)
    assert usual.low * scale >= (reads.at_least or 0.0) - 1e-12 or reads.at_least is None


def test_either_end_of_the_users_range_may_be_unusual() -> None:
    wide = estimate("labour.pressing", 1.0, high=60.0)
    said = implausible("labour.pressing", wide, currency="USD")
    assert said == (
        "1.0 min/print / 1.0 min/print / 60.0 min/print lies outside the usual "
        "0.2 to 6 min/print (common practice, no source)"
    )


@pytest.mark.parametrize(("likely", "is_doubtful"), [(1.0, False), (0.1, True), (0.0, True)])
def test_what_may_not_be_needed_may_cost_nothing(likely: float, is_doubtful: bool) -> None:
    value = replace(estimate("labour.pressing", likely), low=0.0)
    assert bool(implausible("labour.pressing", value, currency="USD")) == is_doubtful


@pytest.mark.parametrize(
    ("written", "canonical", "limits"),
    [
        ("900 s/print", 0.25, "12 to 360 s/print"),
        ("0.25 hour/print", 0.25, "0.003333 to 0.1 hour/print"),
        ("", 0.25, "0.003333 to 0.1 hour/print"),  # measured or made up by the program
    ],
)
def test_limits_are_said_in_the_users_own_unit(written: str, canonical: float, limits: str) -> None:
    value = Estimate(likely=canonical, unit="hour/print", written=written)
    assert limits in implausible("labour.pressing", value, currency="USD")


def test_an_effective_rate_is_compared_by_its_nominal_one() -> None:
    dear = Estimate(likely=0.5, unit="share/year", written="63 %/year effective")
    assert implausible("financing.rate", dear, currency="USD") == (
        "63 %/year effective lies outside the usual 0 to 40 %/year (common practice, no source)"
    )


def test_amounts_are_compared_only_in_currencies_like_the_dollar() -> None:
    wage = Estimate(likely=2000.0, unit="money/hour", written="2000 JPY/hour")
    assert "JPY" not in LIKE_THE_DOLLAR
    assert implausible("shop.wage", wage, currency="JPY") == ""
    same = Estimate(likely=2000.0, unit="money/hour", written="2000 EUR/hour")
    assert implausible("shop.wage", same, currency="EUR").startswith(
        "2000 EUR/hour lies outside the usual 6 to 80 EUR/hour"
    )
    speed = Estimate(likely=1e4, unit="metre**2/hour", written="10000 m^2/hour")
    assert implausible("equipment.print_speed", speed, currency="JPY")


def test_what_has_no_usual_range_is_never_doubted() -> None:
    assert implausible("shop.cash_at_start", estimate_of_cash(1e11), currency="USD") == ""


def estimate_of_cash(amount: float) -> Estimate:
    return Estimate(likely=amount, unit="money", written=f"{amount:g}")
