"""Units: exact factors of NIST, the strict reading of a number and a unit, and what is refused."""

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.scenario.units import UnitError, convert, factor, number_and_unit, readable


@pytest.mark.parametrize(
    ("unit", "target", "expected"),
    [
        ("in", "metre", 0.0254),  # NIST SP 811, appendix B.8: inch, exact
        ("ft", "metre", 0.3048),  # NIST SP 811, appendix B.8: foot, exact
        ("ft^2", "metre**2", 0.09290304),  # NIST SP 811, appendix B.8: square foot, exact
        ("in^2", "metre**2", 6.4516e-4),  # NIST SP 811, appendix B.8: square inch, exact
        ("mil", "metre", 2.54e-5),  # NIST SP 811, appendix B.8: mil (0.001 in), exact
        ("lb", "kilogram", 0.45359237),  # NIST SP 811, appendix B.8: pound, exact
        ("yd", "metre", 0.9144),  # three feet
        ("min", "hour", 1 / 60),
        ("year", "month", 12),
        ("%", "share", 0.01),
        ("W", "kilowatt", 0.001),
        ("week/month", "week/year", 12),
        ("USD/ft^2", "money/metre**2", 1 / 0.09290304),  # NIST SP 811: square foot
        ("min/ft^2", "hour/metre**2", 1 / 60 / 0.09290304),  # NIST SP 811: square foot
    ],
)
def test_exact_factors(unit: str, target: str, expected: float) -> None:
    assert factor(unit, target, "USD") == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    ("unit", "target", "expected", "half_a_digit"),
    [
        ("oz", "kilogram", 0.02834952, 5e-9),  # NIST SP 811, appendix B.8: ounce, seven digits
        ("gal", "litre", 3.785412, 5e-7),  # NIST SP 811, appendix B.8: US gallon, seven digits
        ("fl oz", "litre", 0.02957353, 5e-9),  # NIST SP 811, appendix B.8: US fluid ounce
    ],
)
def test_factors_given_to_seven_digits(
    unit: str, target: str, expected: float, half_a_digit: float
) -> None:
    assert factor(unit, target, "") == pytest.approx(expected, abs=half_a_digit)


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("24 in", 24, "in"),
        ("  24in ", 24, "in"),
        ("24 1/2 in", 24.5, "in"),
        ("1/4 in", 0.25, "in"),
        ('24"', 24, '"'),
        ("24\u2033", 24, '"'),
        (".5 L", 0.5, "L"),
        ("5. L", 5, "L"),
        ("-3 %", -3, "%"),
        ("1.5e3 g", 1500, "g"),
        ("38 ft\u00b2/hour", 38, "ft^2/hour"),
        ("12", 12, ""),
    ],
)
def test_one_number_and_one_unit(text: str, number: float, unit: str) -> None:
    assert number_and_unit(text) == (number, unit)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1,5 m", "use a point for decimals and nothing between thousands"),
        ("15,000 USD", "use a point for decimals and nothing between thousands"),
        ("15 000 USD", "use a point for decimals and nothing between thousands"),
        ("15'000 USD", "use a point for decimals and nothing between thousands"),
        ("15\u202f000 USD", "use a point for decimals and nothing between thousands"),
        ("15_000 USD", "use a point for decimals and nothing between thousands"),
        ("1.234.567 USD", "be one number and one unit"),
        ("24-30 in", "be one number and one unit"),
        ("24 30 in", "be one number and one unit"),
        ("24 5/2 in", "be a number and a unit"),
        ("1/0 in", "be a number and a unit"),
        ("about 5 in", "be a number and a unit"),
        ("", "be a number and a unit"),
        ("in", "be a number and a unit"),
        ("\u0661\u0662 in", "be a number and a unit"),  # digits of another script
    ],
)
def test_anything_else_is_refused(text: str, why: str) -> None:
    with pytest.raises(UnitError) as refused:
        number_and_unit(text)
    assert str(refused.value) == why


def test_a_sign_of_currency_before_the_number_gets_a_suggestion() -> None:
    with pytest.raises(UnitError) as refused:
        number_and_unit("$15.50")
    assert refused.value.suggestion == 'write the number first, as in "15.50 USD"'


@pytest.mark.parametrize(
    ("unit", "target", "why", "suggestion"),
    [
        ("oz", "litre", 'be in a unit like "L"', 'fluid ounces are written "fl_oz"'),
        ("mil", "litre", 'be in a unit like "L"', ""),
        ("%", "share/year", 'be in a unit like "%/year"', 'say a year, as in "12 %/year"'),
        ("USD", "money/hour", 'be in a unit like "USD/hour"', ""),
        ("EUR/L", "money/litre", "be in USD, the scenario's currency", None),
        ("day", "metre", 'be in a unit like "m"', ""),
        ("day/month", "day/week", "be counted per week, as in day/week", ""),
        ("hour/week", "hour/day", "be counted per day, as in hour/day", ""),
        ("metr", "metre", 'use a known unit, not "metr"', 'did you mean "metre"?'),
        ("furlong", "metre", 'use a known unit, not "furlong"', ""),
        ("money", "money", 'use a known unit, not "money"', ""),
        ("share", "share", 'use a known unit, not "share"', None),
        ("m*m", "metre**2", 'use a known unit, not "m*m"', ""),
        ("m^3", "metre", 'use a known unit, not "m^3"', ""),
        ("", "metre", 'use a known unit, not ""', ""),
    ],
)
def test_units_that_do_not_belong(unit: str, target: str, why: str, suggestion: str | None) -> None:
    with pytest.raises(UnitError) as refused:
        factor(unit, target, "USD")
    assert str(refused.value) == why
    if suggestion is not None:
        assert refused.value.suggestion == suggestion


def test_a_mil_is_a_length_and_an_ounce_a_mass() -> None:
    assert factor("mil", "metre", "") * 1000 == pytest.approx(0.0254)  # a thousand make an inch
    assert factor("oz", "kilogram", "") * 16 == pytest.approx(0.45359237)  # sixteen make a pound


def test_without_a_currency_any_code_is_money() -> None:
    assert factor("EUR/hour", "money/hour", "") == 1.0


@pytest.mark.parametrize(
    ("target", "shown"),
    [
        ("money/metre**2", "EUR/m^2"),
        ("share/year", "%/year"),
        ("money/kilowatt_hour", "EUR/kWh"),
        ("hour/print", "hour/print"),
        ("", ""),
    ],
)
def test_units_are_shown_as_a_user_writes_them(target: str, shown: str) -> None:
    assert readable(target, "EUR") == shown


@given(st.floats(min_value=1e-6, max_value=1e6))
def test_inches_and_centimetres_are_the_same_length(inches: float) -> None:
    assert inches * factor("in", "metre", "") == pytest.approx(
        inches * 2.54 * factor("cm", "metre", ""), rel=1e-12
    )
    there = convert(value=inches, unit="inch", target="metre")
    assert convert(value=there, unit="metre", target="inch") == pytest.approx(inches, rel=1e-12)


@given(st.text(max_size=60))
def test_random_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(UnitError):
        number, unit = number_and_unit(text)
        assert not math.isnan(number)
        factor(unit, "metre", "USD")
