"""How cells look: number formats by unit and currency, fonts and colours."""

from __future__ import annotations

import math
from datetime import date
from functools import cached_property
from typing import Any, Final

from babel.numbers import get_currency_precision

from planner.deliver.workbook.grid import Value
from planner.scenario.kinds import Month

INK, PALE, RULE, WARN = "#1A1A1A", "#EDEDED", "#A6A6A6", "#D55E00"
INPUT, INPUT_INK = "#FFF2CC", "#0072B2"
FONT: Final = {"font_name": "Arial", "font_size": 9, "font_color": INK, "valign": "top"}


def serial(month: Month) -> float:
    """The first day of a month as spreadsheets count days."""
    return float(date(month.year, month.month, 1).toordinal() - date(1899, 12, 30).toordinal())


class Looks:
    """Formats of one workbook, each made once."""

    def __init__(self, workbook: Any, currency: str) -> None:
        self._workbook, self._currency = workbook, currency
        self._made: dict[tuple[tuple[str, Any], ...], Any] = {}

    def of(self, **properties: Any) -> Any:
        """The format with these properties."""
        key = tuple(sorted(properties.items()))
        if key not in self._made:
            self._made[key] = self._workbook.add_format(FONT | properties)
        return self._made[key]

    def number(self, unit: str, value: Value, **properties: Any) -> Any:
        """The format of numbers in a unit, with digits that suit the value where it decides."""
        return self.of(num_format=self.pattern(unit, value), **properties)

    @cached_property
    def _money(self) -> str:
        places = get_currency_precision(self._currency)
        digits = "#,##0" + ("." + "0" * places if places else "")
        return f'{digits};[Red]-{digits};"–"'

    def pattern(self, unit: str, value: Value) -> str:
        """The number format of a unit; of one without a fixed form, by the size of the value."""
        if unit == self._currency:
            return self._money
        if unit.startswith("%"):
            return "0.00%"
        return _PATTERNS.get(unit) or _digits(value)


def _digits(value: Value) -> str:
    """Whole numbers as such, others to four significant digits or two decimals."""
    if not isinstance(value, float) or not value or value == round(value):
        return "#,##0"
    places = max(2, min(6, 3 - math.floor(math.log10(abs(value)))))
    return "#,##0." + "0" * places


_PATTERNS: Final = {
    "date": "mmm yyyy",
    "1 or 0": "0",
    "count": "0",
    "number": '#,##0.00;-#,##0.00;"–"',
    "-": "0.0000",
    "cover": "0.00",
    "piece": '#,##0.0;-#,##0.0;"–"',
    "hour": '#,##0.00;-#,##0.00;"–"',
    "m²": '#,##0.000;-#,##0.000;"–"',
    "m": '#,##0.00;-#,##0.00;"–"',
    "L": '#,##0.000;-#,##0.000;"–"',
    "kg": '#,##0.000;-#,##0.000;"–"',
    "kWh": '#,##0.0;-#,##0.0;"–"',
    "day": "0.00",
    "week": "0.00",
    "month": "0.0",
    "year": "0",
}
