"""The schema: its defaults against the stated ones, its units, and what it never holds."""

import re
from typing import Any

import pytest
from pydantic_core import PydanticUndefined

from planner.scenario.fields import fields, keys, table_at
from planner.scenario.kinds import Month, month
from planner.scenario.reading import LARGEST
from planner.scenario.schema import Scenario, Table
from planner.scenario.units import convert

ALL = {key.path: key for key in keys()}

# The defaults as they are stated to a shop; each leans against the purchase.
DEFAULTS: dict[str, Any] = {
    "runs_from": "1 month",
    "horizon": "60 months",
    "hurdle_rate": "15 %/year",
    "shop.open_days": "5 day/week",
    "shop.open_hours": "8 hour/day",
    "shop.open_weeks": "48 week/year",
    "shop.efficiency": "60 %",
    "shop.staff_hours": "40 hour/week",
    "shop.on_costs": "12 %",
    "shop.unpaid_hours": "0 hour/week",
    "shop.hours_already_paid": "0 hour/week",
    "shop.closed": (),
    "shop.customers_pay_after": "14 day",
    "shop.suppliers_paid_after": "0 day",
    "today.sheet_width": "22 in",
    "today.sheet_gap": "0.25 in",
    "today.orders": "1 order/week",
    "today.hurry_extra": "30 %",
    "products.today": "0 piece/week",
    "products.pieces_per_order": 6,
    "products.coverage": "100 %",
    "products.filled": "100 %",
    "ramp.start_share": "0 %",
    "ramp.months": "9 months",
    "ramp.spoilage_at_start": "15 %",
    "growth.volume": "0 %/year",
    "growth.prices": "0 %/year",
    "growth.costs": "0 %/year",
    "growth.wages": "0 %/year",
    "growth.buy_in": "0 %/year",
    "ink.colours": 4,
    "ink.pack": "1 L",
    "ink.keeps": "6 months",
    "ink.first_fill": "1.5 L",
    "ink.daily_loss": "12 mL/day",
    "ink.closed_day_loss": "4 mL/day",
    "ink.long_stop.after": "5 day",
    "ink.long_stop.ink": "80 mL",
    "ink.long_stop.time": "60 min",
    "film.margin": "0.5 in",
    "film.gap": "0.3 in",
    "film.run_ends": "48 in/run",
    "film.runs": "1 run/day",
    "film.roll_ends": "3 m/roll",
    "film.may_turn": False,
    "powder.lost": "15 %",
    "spoilage.transfers": "5 %",
    "spoilage.garments": "1 %",
    "spoilage.redone": "1 %",
    "labour.artwork": "15 min/design",
    "labour.new_designs": "100 %",
    "labour.order_setup": "10 min/order",
    "labour.tending": "1 min/ft^2",
    "labour.cutting": "0.5 min/print",
    "labour.pressing": "1.25 min/print",
    "labour.peel_wait": "0 min/print",
    "labour.daily": "30 min/day",
    "labour.weekly": "45 min/week",
    "selling.payment_fee": "3 %",
    "selling.margin": "40 %",
    "shop.overtime.extra": "50 %",
    "orders.lines.new_designs": 1,
    "equipment.machines": 1,
    "equipment.dryer_warm_up": "30 min/day",
    "equipment.dryer_on": "3 hour/day",
    "equipment.press_power": "1.8 kW",
    "equipment.press_duty": "50 %",
    "equipment.presses": 1,
    "equipment.age": "0 months",
    "equipment.insurance": "2 %/year",
    "equipment.discount": "0 %",
    "equipment.sales_tax": "0 %",
    "equipment.items.quantity": 1,
    "equipment.items.life": "5 years",
    "equipment.items.worth.after": "36 months",
    "equipment.items.worth.share": "20 %",
    "equipment.wear_parts.count": 1,
    "equipment.repairs.wear": 1.0,
    "equipment.repairs.down_days_covered": "3 day",
    "equipment.repairs.down_days_uncovered": "6 day",
    "equipment.warranty.term": "12 months",
    "financing.sales_tax": "0 %",
    "lender.debt_service_cover_at_least": 1.25,
    "lender.counts": "50 %",
}


@pytest.mark.parametrize(("path", "value"), DEFAULTS.items(), ids=DEFAULTS.keys())
def test_defaults_are_the_stated_ones(path: str, value: Any) -> None:
    assert ALL[path].field.default == value


def test_every_number_with_a_default_is_among_the_stated_ones() -> None:
    unstated = {
        path
        for path, key in ALL.items()
        if key.reads is not None
        if key.field.default not in (None, PydanticUndefined, ())
        if path not in DEFAULTS
    }
    assert all(ALL[path].reads.unit.startswith("money") for path in unstated)  # type: ignore[union-attr]


def test_no_default_is_money() -> None:
    money = [
        key for key in ALL.values() if key.reads is not None and key.reads.unit.startswith("money")
    ]
    assert len(money) > 30
    for key in money:
        assert key.field.default in (0, None, PydanticUndefined), key.path


@pytest.mark.parametrize("key", ALL.values(), ids=ALL.keys())
def test_every_default_is_a_value_that_a_user_may_write(key: Any) -> None:
    if key.reads is None or key.field.default in (None, PydanticUndefined, ()):
        return
    estimate = key.reads.estimate(key.field.default, currency="USD")
    assert estimate.unit == key.reads.unit
    assert estimate.likely <= LARGEST


def test_every_number_has_a_unit_that_the_registry_knows() -> None:
    units = {key.reads.unit for key in ALL.values() if key.reads is not None}
    assert len(units) > 25
    for unit in units - {""}:
        assert convert(value=1.0, unit=unit, target=unit) == 1.0


def test_every_table_is_frozen_closed_and_says_what_it_is() -> None:
    tables: set[type[Table]] = {key.table for key in ALL.values() if key.table is not None}
    tables.add(Scenario)
    assert len(tables) > 25
    for table in tables:
        assert table.model_config["frozen"]
        assert table.model_config["extra"] == "forbid"
        assert table.__doc__
        assert table.__doc__.endswith(".")


def test_words_are_those_of_a_file() -> None:
    """Names of keys are lower case, British and hold no abbreviation of a unit."""
    for path in ALL:
        assert re.fullmatch(r"[a-z][a-z_]*(\.[a-z][a-z_]*)*", path)
        assert "color" not in path
        assert "labor." not in path
    assert "today.price_breaks.from" in ALL
    assert "prints" not in ALL  # the sheet is read, not written in the scenario


def test_tables_are_found_by_path() -> None:
    assert table_at(("equipment", 0, "items", 1, "worth")) is not None
    assert list(fields(table_at(("ramp",)) or Table)) == [
        "start_share",
        "months",
        "spoilage_at_start",
    ]
    assert table_at(("film", "roll")) is None  # a size is one value
    assert table_at(("nothing", "here")) is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [("1950-01", Month(1950, 1)), ("2200-12", Month(2200, 12)), ("2027-03", Month(2027, 3))],
)
def test_months_are_read(text: str, expected: Month) -> None:
    assert month(text) == expected
    assert str(expected) == text
    assert month(expected) is expected


@pytest.mark.parametrize("text", ["1949-12", "2201-01", "2027-00", "2027-13", "27-03", "2027-3", 5])
def test_other_months_are_refused(text: Any) -> None:
    with pytest.raises(ValueError, match="be a month from 1950 to 2200"):
        month(text)


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [("2027-03", 0, "2027-03"), ("2027-03", 10, "2028-01"), ("2027-03", -3, "2026-12")],
)
def test_months_are_counted_across_years(start: str, months: int, end: str) -> None:
    assert month(start).plus(months) == month(end)
    assert month(end).since(month(start)) == months
