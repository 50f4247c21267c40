"""Inputs as a reader names them, and their values in the units in which they were written."""

from __future__ import annotations

import re
from typing import Final

from planner.decide.stress import own_unit
from planner.scenario.estimates import Estimate
from planner.scenario.key_paths import KEY_PART, unquoted
from planner.show.numbers import Numbers
from planner.taxes import MONTHS

_WRITTEN: Final = 12  # figures of a number as the user wrote it [-]
_MEASURED: Final = 3  # figures of one that was worked out [-]
_SMALL: Final = {"litre/metre**2": "mL", "kilogram/metre**2": "g"}  # what is measured by area
_FIELDS: Final = {
    "planned": "planned pieces",
    "today": "pieces today",
    "needs_machine": "added work that only the machine can do",
    "buy_in_price": "buy-in price",
    "buy_in": "buy-in price",
    "white": "white ink by area",
    "colour": "colour ink by area",
    "powder": "powder by area",
    "coverage": "ink and powder against the average test print",
    "filled": "share of the print that holds the picture",
}


def path_words(key: str) -> list[str]:
    """A key path part by part: names as the user wrote them, places in a list from 1, by month."""
    words: list[str] = []
    for part in re.findall(rf"{KEY_PART}|\[\d+\]", key):
        if part.startswith("["):
            place = int(part[1:-1])
            words[-1] += f" {MONTHS[place] if words[-1] == 'season' else place + 1}"
        else:
            words.append(unquoted(part) if part[0] in "\"'" else part.replace("_", " "))
    return words


def input_words(key: str) -> str:
    """An input as a reader names it: the entry that holds it, then what it says."""
    *holders, field = path_words(key)
    shown = _FIELDS.get(key.rpartition(".")[2], field)
    return f"{holders[-1]}: {shown}" if holders else shown


def shown_unit(estimate: Estimate, numbers: Numbers) -> tuple[str, float]:
    """The unit in which an input is shown, and what one of it is in the canonical unit."""
    if not estimate.written and estimate.unit in _SMALL:
        unit = f"{_SMALL[estimate.unit]}/{numbers.area_unit}"
        return unit, 0.001 / numbers.per_area_shown(1.0)
    unit, scale = own_unit(estimate, numbers.currency)
    return unit.replace("^2", "²"), scale


def shown_number(value: float, estimate: Estimate, *, scale: float, numbers: Numbers) -> str:
    """A value of an input in its shown unit, to the digits that were written."""
    figures = _WRITTEN if estimate.written else _MEASURED
    return numbers.plain(value / scale, figures=figures)


def value_words(estimate: Estimate, numbers: Numbers) -> tuple[str, str]:
    """Likely value with its unit in words, and its range; "one value" where there is none."""
    likely, low, high = (
        _amount(value, estimate, numbers)
        for value in (estimate.likely, estimate.low, estimate.high)
    )
    spread = f"{low[0]} to {high[0]}" if estimate.is_range else "one value"
    return "".join(likely), spread


def _amount(value: float, estimate: Estimate, numbers: Numbers) -> tuple[str, str]:
    """A number and the words after it: $15.50; 20%; 81 and "pieces a week"."""
    unit, scale = shown_unit(estimate, numbers)
    number = shown_number(value, estimate, scale=scale, numbers=numbers)
    if estimate.unit == "money":
        return numbers.money(value, cents=True), ""
    if unit.startswith("%"):
        return f"{number}%", unit.removeprefix("%").replace("/", " a ")
    counted, _, per = unit.partition("/")
    if counted.isalpha() and counted.islower() and len(counted) > 3:  # "min" stays as it is
        counted = counted.removesuffix("s") + ("" if number == "1" else "s")
    if per.isalpha():
        return number, f" {counted} {'an' if per[0] in 'aeoh' else 'a'} {per}"
    return number, f" {counted}/{per}" if per else f" {counted}".rstrip()
