"""One input as written: percentages, limits from both sides, ranges, where a number comes from."""

from typing import Any

import pytest
from pydantic_core import PydanticCustomError

from planner.scenario.reading import LARGEST, SMALLEST, Reads, repr_short
from planner.scenario.schema import Film

SHARE = Reads(unit="share", at_most=1.0)
MONEY = Reads(unit="money", plain=True)
SPEED = Reads(unit="metre**2/hour", above=0.0)
RATE = Reads(unit="share/year", at_most=5.0, nominal=True)
TERM = Reads(unit="month", single=True, whole=True, at_least=1, at_most=600)
BALANCE = Reads(unit="money", plain=True, at_least=None)


def refused(reads: Reads, value: Any) -> tuple[str, str, str]:
    """Must, got and suggestion of a value that is refused."""
    with pytest.raises(PydanticCustomError) as fault:
        reads.estimate(value, currency="USD")
    context = fault.value.context or {}
    return context["must"], context["got"], context["suggestion"]


def number(reads: Reads, value: Any) -> float:
    return reads.estimate(value, currency="USD").likely


@pytest.mark.parametrize(
    ("value", "suggestion"),
    [
        (0.05, 'if you mean 0.05 of the whole, write "5 %"'),
        ("0.05", 'if you mean 0.05 of the whole, write "5 %"'),
        (12, 'if you mean per cent, write "12 %"'),
        (100, 'if you mean per cent, write "100 %"'),
        (101, "101 is no share: as per cent it is more than 100 %"),
        (4523, "4523 is no share: as per cent it is more than 100 %"),
        ("12", 'if you mean per cent, write "12 %"'),
        (10**400, ""),
    ],
)
def test_a_percentage_without_its_sign_is_never_guessed(value: Any, suggestion: str) -> None:
    must, _, said = refused(SHARE, value)
    assert must == 'be a percentage such as "12 %"'
    assert said == suggestion


def test_nothing_is_nothing_in_any_unit() -> None:
    assert number(SHARE, 0) == 0
    assert number(Reads(unit="money/order"), 0) == 0
    assert refused(SPEED, 0)[0] == 'be a number and a unit such as "1 m^2/hour"'


@pytest.mark.parametrize(
    ("reads", "inside", "outside", "must"),
    [
        (SHARE, "100 %", "100.001 %", "be at most 100 %"),
        (SHARE, "0 %", "-0.001 %", "be at least 0 %"),
        (MONEY, 0, -0.01, "be at least 0 USD"),
        (MONEY, LARGEST, LARGEST * 1.001, "be at most 1000000000000 USD"),
        (BALANCE, -LARGEST, -LARGEST * 1.001, "be at least -1000000000000 USD"),
        (SPEED, f"{SMALLEST * 2} m^2/hour", f"{SMALLEST / 2} m^2/hour", "be more than 0 m^2/hour"),
        (RATE, "500 %/year", "500.1 %/year", "be at most 500 %/year"),
        (TERM, "1 month", "0 months", "be at least 1 month"),
        (TERM, "600 months", "601 months", "be at most 600 months"),
        (TERM, "50 years", "51 years", "be at most 600 months"),
        (TERM, "48 months", "48.5 months", "be a whole number of months"),
    ],
)
def test_both_sides_of_a_limit(reads: Reads, inside: Any, outside: Any, must: str) -> None:
    number(reads, inside)
    assert refused(reads, outside)[0] == must


@pytest.mark.parametrize(
    "value", [float("inf"), float("-inf"), float("nan"), "1e400 USD", 10**400, 1e400]
)
def test_numbers_must_be_finite(value: Any) -> None:
    assert refused(MONEY, value)[0] == "be a finite number"


@pytest.mark.parametrize("value", [True, False, None, [], [1], ("1",), object])
def test_other_things_are_no_number(value: Any) -> None:
    assert refused(MONEY, value)[0] == "be an amount of money in USD"


def test_a_number_and_its_unit_are_short_enough_to_be_shown() -> None:
    reads = Reads(unit="metre")
    longest = "0." + "3" * 56 + " m"
    assert len(longest) == 60
    assert reads.estimate(f"  {longest} ", currency="").written == longest
    with pytest.raises(PydanticCustomError) as error:
        reads.estimate("0." + "3" * 57 + " m", currency="")
    assert (error.value.context or {})["suggestion"] == "in at most 60 characters"


def test_money_may_be_plain_or_carry_the_currency() -> None:
    assert number(MONEY, 15.5) == number(MONEY, "15.5 USD") == number(MONEY, "15.5") == 15.5
    assert refused(MONEY, "15.5 EUR") == (
        "be in USD, the scenario's currency",
        '"15.5 EUR"',
        'convert it, or set currency = "EUR"',
    )


def test_a_count_carries_no_unit() -> None:
    count = Reads(unit="", plain=True)
    assert number(count, "3") == 3
    assert refused(count, "3 pieces")[0] == "be a number without a unit"


def test_effective_and_nominal_rates() -> None:
    assert number(RATE, "12 %/year") == 0.12
    monthly = 1.12 ** (1 / 12) - 1  # twelve months of it compound to 12 %
    assert number(RATE, "12 %/year effective") == pytest.approx(12 * monthly, rel=1e-12)
    # OpenStax, Principles of Finance 8.4: 1.5 % a month is 19.562 % effective
    assert number(RATE, "19.562 %/year effective") == pytest.approx(12 * 0.015, abs=5e-6)
    assert number(RATE, "1 %/month") == pytest.approx(0.12)
    assert refused(Reads(unit="share/year"), "12 %/year effective")[0].startswith(
        "use a known unit"
    )


def test_a_range_keeps_its_parts_shape_and_origin() -> None:
    estimate = MONEY.estimate(
        {"low": 1, "likely": "2 USD", "high": 4, "shape": "uniform", "source": " invoices "},
        currency="USD",
    )
    assert (estimate.low, estimate.likely, estimate.high) == (1, 2, 4)
    assert (estimate.shape, estimate.source, estimate.basis) == ("uniform", "invoices", None)
    assert estimate.written == "1 / 2 USD / 4"


@pytest.mark.parametrize(
    ("table", "must"),
    [
        ({"low": 3, "likely": 2, "high": 4}, "have low ≤ likely ≤ high"),
        ({"low": 1, "likely": 5, "high": 4}, "have low ≤ likely ≤ high"),
        ({"low": 1, "high": 4}, 'hold at least "likely"'),
        ({"low": 1, "likely": 2}, 'hold both "low" and "high", or neither'),
        ({"likely": 2, "high": 4}, 'hold both "low" and "high", or neither'),
        ({}, 'hold at least "likely"'),
        ({"likely": 2, "most": 4}, "hold only low, likely, high, shape, source, date, basis"),
        ({"likely": 2, "shape": "flat"}, "have a shape that is one of"),
        ({"likely": 2, "basis": "guessed"}, "have a basis that is one of"),
        ({"likely": 2, "basis": "default"}, "have a basis that is one of"),
        ({"likely": 2, "basis": ""}, "have a basis that is one of"),
        ({"likely": 2, "source": 5}, "have a source in words, on one line"),
        ({"likely": 2, "source": "a\nb"}, "have a source in words, on one line"),
        ({"likely": 2, "date": [1]}, "have a date such as 2027-03-31"),
        ({"low": 0, "likely": 2, "high": 4, "shape": "lognormal"}, "be above zero throughout"),
        ({"likely": {"likely": 2}}, "be an amount of money in USD"),
        ({"low": -1, "likely": 2, "high": 4}, "be at least 0 USD"),
    ],
)
def test_ranges_that_make_no_sense(table: dict[str, Any], must: str) -> None:
    assert refused(MONEY, table)[0].startswith(must)


def test_a_range_that_may_not_stand_is_not_asked_for_its_likely_value() -> None:
    ends = {"low": "18 months", "high": "30 months"}
    assert refused(TERM, ends) == (
        "be one value; a range has no meaning here",
        "18 months / 30 months",
        "",
    )


def test_equal_ends_are_one_value_but_a_real_range_of_a_term_is_refused() -> None:
    same = {"low": "48 months", "likely": "48 months", "high": "48 months"}
    assert number(TERM, same) == 48
    wide = same | {"high": "60 months"}
    assert refused(TERM, wide) == (
        "be one value; a range has no meaning here",
        "48 months / 48 months / 60 months",
        "",
    )


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("x" * 100, '"' + "x" * 56 + "…"),
        ("a\nb", '"a\ufffdb"'),
        ({}, "an empty table"),
        ({"a": 1}, "a table"),
        ([], "an empty list"),
        ([1, 2], "a list of 2"),
        (True, "true"),
        (10**70, "a huge number"),
        (15.5, "15.5"),
    ],
)
def test_what_stands_in_the_file_is_shown_in_one_short_line(value: object, shown: str) -> None:
    assert repr_short(value) == shown


def test_a_size_is_two_lengths() -> None:
    film = Film.model_validate({"roll": "24 in x 100 m", "roll_price": 168})
    assert film.roll.width.likely == pytest.approx(0.6096)  # 24 × 0.0254 m
    assert film.roll.length.likely == 100
