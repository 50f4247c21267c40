"""Numbers as a reader sees them: known answers by hand, limits from both sides."""

import math

import pytest

from planner.show.numbers import Numbers, rounded

US = Numbers(locale="en_US", currency="USD", units="inch")
DE = Numbers(locale="de_DE", currency="EUR", units="metric")


@pytest.mark.parametrize(
    ("value", "whole", "cents"),
    [
        (0.0, "$0", "$0.00"),
        (-0.004, "$0", "$0.00"),  # never "-$0"
        (2.675, "$3", "$2.68"),  # half a cent goes up, although the float lies below it
        (-12345.5, "−$12,346", "−$12,345.50"),
        (1e12, "$1,000,000,000,000", "$1,000,000,000,000.00"),
    ],
)
def test_money(value: float, whole: str, cents: str) -> None:
    assert US.money(value) == whole
    assert US.money(value, cents=True) == cents


def test_money_follows_the_stated_locale_and_currency() -> None:
    assert DE.money(-12345.5, cents=True) == "−12.345,50\u00a0€"
    yen = Numbers(locale="en_US", currency="JPY", units="metric")
    assert yen.money(1234.5, cents=True) == "¥1,235"  # the yen has no smaller coin


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0.0, "0 months"),
        (1.0, "1 month"),
        (4.44, "4.4 months"),
        (9.94, "9.9 months"),
        (9.96, "10 months"),
        (19.4, "19 months"),
    ],
)
def test_months_have_a_decimal_only_below_ten(value: float, words: str) -> None:
    assert US.months(value) == words


def test_months_show_on_which_side_of_a_limit_they_lie() -> None:
    assert US.months(18.4, limit=18) == "18.4 months"
    assert US.months(18.0, limit=18) == "18 months"
    assert US.months(18.4, limit=24) == "18 months"


def test_percent() -> None:
    assert US.percent(0.095) == "9.5%"
    assert US.percent(0.12345) == "12%"
    assert US.percent(0.14673, digits=2) == "14.67%"
    assert DE.percent(1.2) == "120\u00a0%"


def test_sizes_are_the_same_in_both_units() -> None:
    """One foot is 0.3048 m by definition, one square foot 0.09290304 m²."""
    assert US.length(0.3048) == "12 in"
    assert US.length(3.048) == "10 ft"
    assert DE.length(0.3048) == "30,5 cm"
    assert DE.length(3.048) == "3,05 m"
    assert US.area_per_week(10 * 0.09290304) == "10 ft² a week"
    assert DE.area(10 * 0.09290304) == "0,929 m²"
    assert US.money_per_area(10.0 / 0.09290304) == "$10.00/ft²"


def test_pieces_and_plain_numbers() -> None:
    assert US.pieces_per_week(1.0) == "1 piece a week"
    assert US.pieces_per_week(4.44) == "4.4 pieces a week"
    assert US.pieces_per_week(73.5) == "74 pieces a week"
    assert US.plain(0.0) == "0"
    assert US.plain(12345.6) == "12,346"  # all whole digits, no more
    assert US.plain(0.012345) == "0.0123"


@pytest.mark.parametrize(
    "write",
    [
        US.money,
        US.money_per_area,
        US.months,
        US.percent,
        US.pieces_per_week,
        US.length,
        US.area,
        US.area_per_week,
        US.plain,
    ],
)
def test_a_figure_that_does_not_exist_is_a_word(write) -> None:  # type: ignore[no-untyped-def]
    assert write(None) == "none"
    assert write(None, missing="not stated") == "not stated"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_never_printed(value: float) -> None:
    with pytest.raises(ValueError, match="must be finite"):
        rounded(value, places=0)
    with pytest.raises(ValueError, match="must be finite"):
        US.money(value)
