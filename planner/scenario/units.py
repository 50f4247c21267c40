"""Units that a scenario may use, and the strict reading of ``number unit``.

The registry holds only the units of this trade, so that nothing is understood by accident.
Exact factors: NIST Special Publication 811, appendix B. Clock time (minutes of work) and calendar
time (days, months) are separate dimensions: a day of work is not 24 hours of it.
"""

from __future__ import annotations

import difflib
import re
from functools import cache
from typing import Any, Final

_DEFINITIONS: Final = """
metre = [length]
centimetre = 0.01 * metre
millimetre = 0.001 * metre
inch = 0.0254 * metre
foot = 0.3048 * metre
yard = 0.9144 * metre
mil = 2.54e-5 * metre
litre = [volume]
millilitre = 0.001 * litre
fluid_ounce = 0.0295735295625 * litre
gallon = 3.785411784 * litre
kilogram = [mass]
gram = 0.001 * kilogram
pound = 0.45359237 * kilogram
ounce = 0.028349523125 * kilogram
hour = [clock]
minute = hour / 60
second = hour / 3600
month = [calendar]
year = 12 * month
day = year / 365
week = 7 * day
kilowatt = [power]
watt = 0.001 * kilowatt
volt = [voltage]
kilowatt_hour = kilowatt * hour
share = [share]
percent = 0.01 * share
money = [money]
piece = [piece]
print = [print]
order = [order]
design = [design]
run = [run]
roll = [roll]
"""

_NAMES: Final[dict[str, str]] = {
    name: unit
    for unit, names in {
        "metre": "m metre metres meter meters",
        "centimetre": "cm",
        "millimetre": "mm",
        "inch": "in inch inches",
        "foot": "ft foot feet",
        "yard": "yd yard yards",
        "mil": "mil mils",
        "litre": "L l litre litres liter liters",
        "millilitre": "mL ml",
        "fluid_ounce": "fl_oz",
        "gallon": "gal gallon gallons",
        "kilogram": "kg",
        "gram": "g gram grams",
        "pound": "lb lbs",
        "ounce": "oz",
        "hour": "hour hours h hr",
        "minute": "min minute minutes",
        "second": "s sec second seconds",
        "month": "month months",
        "year": "year years",
        "day": "day days",
        "week": "week weeks",
        "kilowatt": "kW",
        "watt": "W",
        "volt": "V",
        "kilowatt_hour": "kWh",
        "percent": "%",
        "piece": "piece pieces",
        "print": "print prints",
        "order": "order orders",
        "design": "design designs",
        "run": "run runs",
        "roll": "roll rolls",
    }.items()
    for name in names.split()
}

NOT_A_QUANTITY: Final = "be a number and a unit"
_NO_SEPARATORS: Final = "use a point for decimals and nothing between thousands"

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_MIXED = re.compile(r"(?:(\d{1,6})\s+)?(\d{1,6})/(\d{1,6})(?=\s*[A-Za-z\"%])", re.ASCII)
_QUANTITY = re.compile(rf"({_NUMBER})\s*(.*)", re.DOTALL | re.ASCII)
_FACTOR = re.compile(r"([A-Za-z_%]+)(?:\^?(2))?")
_THOUSANDS = re.compile(r"[ '\u00a0\u2009\u202f\u2019_]?\d{3}\b|,")


class UnitError(ValueError):
    """A quantity that cannot be read; says why and, where sensible, what to write."""

    def __init__(self, why: str, suggestion: str = "") -> None:
        super().__init__(why)
        self.suggestion = suggestion


@cache
def _registry() -> Any:
    import pint

    registry: Any = pint.UnitRegistry(None)
    for line in _DEFINITIONS.split("\n"):
        if line:
            registry.define(line)
    return registry


def number_and_unit(text: str) -> tuple[float, str]:
    """Split ``"24 1/2 in"`` into 24.5 and ``"in"``; the unit may be empty.

    Raises ``UnitError`` for decimal commas, separators between thousands and anything else that
    is not one number followed by one unit.

    Examples
    --------
    >>> number_and_unit("24 1/2 in")
    (24.5, 'in')
    """
    text = text.strip().replace("\u00b2", "^2").replace("\u2033", '"')
    mixed = _MIXED.match(text)
    if mixed:
        whole, over, under = (int(part or 0) for part in mixed.groups())
        if not under or (whole and over >= under):
            raise UnitError(NOT_A_QUANTITY, 'write "24 1/2 in" or "24.5 in"')
        return whole + over / under, text[mixed.end() :].strip()
    found = _QUANTITY.fullmatch(text)
    if not found:
        raise UnitError(NOT_A_QUANTITY, _sign_first(text))
    number, unit = found.groups()
    if _THOUSANDS.match(text, found.end(1)):
        raise UnitError(_NO_SEPARATORS)
    if unit[:1].isdigit() or unit.startswith((".", "/", "-")):
        raise UnitError("be one number and one unit")
    return float(number), unit.strip()


def _sign_first(text: str) -> str:
    """What to write where the currency stands before the number."""
    found = re.fullmatch(rf"([^\d\s.+-]{{1,3}})\s*({_NUMBER})(.*)", text, re.ASCII)
    return f'write the number first, as in "{found.group(2)} USD"' if found else ""


def _expression(unit: str, currency: str) -> str:
    """The unit in the registry's words; refuses every name that is not of this trade."""
    unit = "in" if unit == '"' else unit
    unit = re.sub(r"\bper\b", "/", unit)
    unit = re.sub(r"\bfl\.?\s*oz\b", "fl_oz", unit)
    unit = re.sub(r"\bsq\s*(in|ft|m|yd)\b", r"\1^2", unit)
    return "/".join(_known(part.strip(), currency) for part in unit.split("/"))


def _known(part: str, currency: str) -> str:
    """One factor of a unit in the registry's words."""
    found = _FACTOR.fullmatch(part)
    if not found:
        raise UnitError(f'use a known unit, not "{part[:40]}"')
    name, power = found.groups()
    is_currency = re.fullmatch(r"[A-Z]{3}", name) is not None
    if name == currency or (is_currency and not currency):
        known = "money"
    elif name in _NAMES:
        known = _NAMES[name]
    elif is_currency:
        raise UnitError(
            f"be in {currency}, the scenario's currency",
            f'convert it, or set currency = "{name}"',
        )
    else:
        raise UnitError(f'use a known unit, not "{name[:40]}"', _nearest(name))
    return known + (f"**{power}" if power else "")


def _nearest(name: str) -> str:
    near = difflib.get_close_matches(name[:40], _NAMES, n=1, cutoff=0.7)
    return f'did you mean "{near[0]}"?' if near else ""


@cache
def factor(unit: str, target: str, currency: str) -> float:
    """Factor that turns a number in ``unit`` into one in ``target``.

    Money is in ``currency``; where that is empty, any currency code is understood. Rates per open
    day or per open week are counts on the shop's own calendar; they are never converted into each
    other. Raises ``UnitError`` when the dimension is wrong.

    Examples
    --------
    >>> factor("ft", "metre", "")  # NIST Special Publication 811, appendix B.8: exact
    0.3048
    """
    registry = _registry()
    expression = _expression(unit, currency)
    wanted = readable(target, currency)
    source, goal = registry.Unit(expression), registry.Unit(target)
    if source.dimensionality != goal.dimensionality:
        raise UnitError(f'be in a unit like "{wanted}"', _meant(expression, target, wanted))
    for per in ("day", "week"):
        if f"/{per}" in target and f"/{per}" not in expression:
            raise UnitError(f"be counted per {per}, as in {wanted}")
    return float(registry.convert(1.0, source, goal))


def _meant(expression: str, target: str, wanted: str) -> str:
    """What a unit of the wrong dimension may have meant."""
    if expression.startswith("ounce"):
        return 'fluid ounces are written "fl_oz"'
    if expression == "percent" and target == "share/year":
        return f'say a year, as in "12 {wanted}"'
    return ""


_SHORT: Final = {
    "metre": "m",
    "litre": "L",
    "kilogram": "kg",
    "kilowatt_hour": "kWh",
    "kilowatt": "kW",
    "volt": "V",
    "share": "%",
}


def readable(target: str, currency: str) -> str:
    """A target unit as a user would write it: ``money/metre**2`` → ``USD/m^2``."""
    text = target.replace("**", "^").replace("money", currency or "USD")
    for unit in sorted(_SHORT, key=len, reverse=True):
        text = re.sub(rf"\b{unit}\b", _SHORT[unit], text)
    return text


def convert(*, value: float, unit: str, target: str) -> float:
    """Convert between two units of the registry, for showing results [target unit]."""
    return float(_registry().convert(value, unit, target))
