"""Numbers as a reader sees them: money, months, shares and sizes, in one stated locale.

Nothing here reads the locale of the process. A figure that does not exist is None and comes out in
words; one that is not finite is an error, never printed. Halves are rounded away from zero.
"""

import math
import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from babel.core import Locale
from babel.numbers import (
    format_currency,
    format_decimal,
    format_percent,
    get_currency_precision,
)

INCH = 0.0254  # [m], exact
FOOT = 12 * INCH  # [m]
SQUARE_FOOT = FOOT**2  # [m^2]
FEET_FROM = 10 * FOOT  # [m] lengths from here on are read in feet
METRES_FROM = 1.0  # [m] lengths from here on are read in metres


@dataclass(frozen=True)
class Numbers:
    """How numbers are written for one scenario. Sizes go in as [m] and [m^2] whatever is shown.

    Parameters
    ----------
    locale : str
        Such as "en_US": signs, grouping, and where the currency stands. An unknown one raises
        babel's UnknownLocaleError at the first use.
    currency : str
        ISO 4217 code, such as "USD".
    units : "inch" or "metric"
        Inches, feet and square feet; or centimetres, metres and square metres.
    """

    locale: str
    currency: str
    units: Literal["inch", "metric"]

    def money(self, value: float | None, *, cents: bool = False, missing: str = "none") -> str:
        """An amount [currency] in whole units, or down to the currency's smallest coin."""
        if value is None:
            return missing
        places = get_currency_precision(self.currency) if cents else 0
        pattern = Locale.parse(self.locale).currency_formats["standard"].pattern
        return with_minus(
            format_currency(
                rounded(value, places=places),
                self.currency,
                format=re.sub(r"\.0+", "." + "0" * places if places else "", pattern),
                locale=self.locale,
                currency_digits=False,
            )
        )

    def money_per_area(self, value: float | None, *, missing: str = "none") -> str:
        """A price by area [currency/m^2], such as "$3.10/ft²"."""
        if value is None:
            return missing
        return f"{self.money(self.per_area_shown(value), cents=True)}/{self.area_unit}"

    def months(
        self, value: float | None, *, limit: float | None = None, missing: str = "none"
    ) -> str:
        """A duration [month], such as "19 months".

        One decimal only where it means something: below ten months, or where whole months would
        read like `limit` [month] although the value is not the limit.
        """
        if value is None:
            return missing
        whole = rounded(value, places=0)
        alike = limit is not None and whole == rounded(limit, places=0) and value != limit
        shown = rounded(value, places=1) if abs(value) < 9.95 or alike else whole
        return f"{self._decimal(shown)} {'month' if shown == 1 else 'months'}"

    def percent(
        self, share: float | None, *, digits: int | None = None, missing: str = "none"
    ) -> str:
        """A share [-] in percent: whole, one decimal below 10 %, or the digits asked for."""
        if share is None:
            return missing
        places = digits if digits is not None else int(abs(share) < 0.0995)
        value = rounded(share, places=places + 2)
        return with_minus(
            str(format_percent(value, locale=self.locale, decimal_quantization=False))
        )

    def pieces_per_week(self, value: float | None, *, missing: str = "none") -> str:
        """A volume [piece/week], whole from ten up, such as "74 pieces a week"."""
        if value is None:
            return missing
        shown = rounded(value, places=int(abs(value) < 9.95))
        return f"{self._decimal(shown)} {'piece' if shown == 1 else 'pieces'} a week"

    def length(self, value: float | None, *, missing: str = "none") -> str:
        """A length [m] to three figures: inches, from ten feet up feet; or centimetres, metres."""
        if value is None:
            return missing
        if self.units == "inch":
            unit, size = ("ft", FOOT) if abs(value) >= FEET_FROM else ("in", INCH)
        else:
            unit, size = ("m", 1.0) if abs(value) >= METRES_FROM else ("cm", 0.01)
        return f"{self.plain(value / size)} {unit}"

    def area(self, value: float | None, *, missing: str = "none") -> str:
        """An area [m^2] to three figures, in square feet or square metres."""
        if value is None:
            return missing
        return f"{self.plain(self.area_shown(value))} {self.area_unit}"

    def area_per_week(self, value: float | None, *, missing: str = "none") -> str:
        """An area a week [m^2/week], such as "38.5 ft² a week"."""
        return missing if value is None else f"{self.area(value)} a week"

    def plain(self, value: float | None, *, figures: int = 3, missing: str = "none") -> str:
        """A number to so many significant figures [-]; whole numbers keep all their digits."""
        if value is None:
            return missing
        size = math.floor(math.log10(abs(value))) if value else 0
        return self._decimal(rounded(value, places=max(0, figures - 1 - size)))

    @property
    def area_unit(self) -> str:
        """The unit in which areas are shown."""
        return "ft²" if self.units == "inch" else "m²"

    def area_shown(self, value: float) -> float:
        """An area [m^2] as a number of the shown unit [ft^2 or m^2]."""
        return value / SQUARE_FOOT if self.units == "inch" else value

    def per_area_shown(self, value: float) -> float:
        """A price by area [currency/m^2] as one by the shown unit [currency/ft^2 or /m^2]."""
        return value * SQUARE_FOOT if self.units == "inch" else value

    def _decimal(self, value: Decimal) -> str:
        """At most the decimals that `value` carries, trailing zeros dropped."""
        return with_minus(
            str(format_decimal(value, locale=self.locale, decimal_quantization=False))
        )


def with_minus(number: str) -> str:
    """A number with a minus sign where the locale writes a hyphen."""
    return number.replace("-", "\N{MINUS SIGN}")


def rounded(value: float, *, places: int) -> Decimal:
    """Value to so many decimals [-], halves away from zero, never a negative zero.

    What is rounded is the shortest decimal that reads back as the number, so 2.675 gives 2.68.
    Raises ValueError if value is not finite.
    """
    if not math.isfinite(value):
        raise ValueError(f"number to show: must be finite (got {value})")
    result = Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    return result if result else Decimal(0)
