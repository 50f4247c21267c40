"""Chances and ranges of drawn cases in words, to no more digits than sampling allows."""

from __future__ import annotations

import math
from typing import Final

from planner.decide.risk.spread import Share, Spread
from planner.show.numbers import Numbers, with_minus

TOO_FEW: Final = "No chance is stated: too few inputs have a range"
MONTH_STEP: Final = 0.1  # [month] the finest that a payback is shown to
RATIO_STEP: Final = 0.01  # [-] the finest that a cover is shown to
COIN: Final = 1.0  # [currency] the finest that a sum over many months is shown to
_COARSE: Final = 0.1  # [-] a chance known no better than this is said in tenths alone
_EXACT: Final = 1e-9
_NONE, _ALL = "no case drawn", "every case drawn"


def chance_words(chance: Share) -> str:
    """A chance: "about 7 in 10", near the ends "about 3 in 100"; none and all in words."""
    share = chance.share
    if share <= 0:
        return _NONE
    if share >= 1:
        return _ALL
    if 0.095 <= share < 0.905:
        return f"about {math.floor(10 * share + 0.5)} in 10"
    few = min(share, 1 - share)
    if few >= 0.005:
        return f"about {math.floor(100 * share + 0.5)} in 100"
    at_most = _up(100 * (few + chance.reach))
    return f"fewer than {at_most} in 100" if share < 0.5 else f"more than {100 - at_most} in 100"


def chance_with_error(chance: Share, numbers: Numbers) -> str:
    """The same with the share in percent, and with what sampling leaves open beside it.

    The true share lies within the error in 95 of 100 such draws; an error of a tenth or more
    leaves the percentage out. Of none or all of the cases it says how many there still may be.
    """
    words, reach = chance_words(chance), chance.reach
    if words == _NONE:
        return f"{words} (at most {_in_so_many(reach, numbers)})"
    if words == _ALL:
        return f"{words} (all but {_in_so_many(reach, numbers)} at most)"
    if reach >= _COARSE:
        return f"{words} (give or take {_up(10 * reach)} in 10)"
    if not words.startswith("about"):
        return words
    give = f"give or take {_up(100 * reach)} in 100"
    if words.endswith("in 10"):
        give = f"{share_in_percent(chance.share, numbers)}, {give}"
    return f"{words} ({give})"


def _in_so_many(share: float, numbers: Numbers) -> str:
    """A small share rounded up: 2 in 10, 3 in 100, 3 in 1,000."""
    many = 10 ** max(1, math.ceil(-math.log10(share) - _EXACT))
    return f"{_up(many * share)} in {numbers.plain(many)}"


def _up(value: float) -> int:
    """Rounded up, but for rounding errors; at least 1."""
    return max(1, math.ceil(value - _EXACT))


def share_in_percent(share: float, numbers: Numbers) -> str:
    """A share of cases in whole percent; what is nearly none or nearly all is said so."""
    if 0 < share < 0.005:
        return f"under {numbers.percent(0.01, digits=0)}"
    if 0.995 <= share < 1:  # halves are rounded up
        return f"over {numbers.percent(0.99, digits=0)}"
    return numbers.percent(share, digits=0)


def to_error(value: float, *, error: float, finest: float) -> float:
    """A figure rounded to the first digit of its standard error.

    Parameters
    ----------
    value, error : float
        The figure and its standard error, in one unit; an infinite error rounds to whole numbers.
    finest : float
        The finest step that is shown, in the same unit, > 0.
    """
    step = 10.0 ** math.floor(math.log10(error)) if 0 < error < math.inf else finest
    step = max(step, finest, 1.0 if error == math.inf else 0.0)
    return round(value / step) * step


def payback_range(spread: Spread, *, horizon: int, numbers: Numbers) -> str:
    """How long it takes to pay back in 8 of 10 cases, as a clause.

    What so many cases do not reach is "not within" the horizon [month].
    """
    never = f"not within {numbers.months(horizon)}"
    low, middle, high = payback_ends(spread, horizon=horizon, numbers=numbers)
    if spread.high == 0:
        return "9 of 10 cases or more need no payback: no money is in"
    if math.isinf(spread.low):
        return f"9 of 10 cases or more do not pay back {never.removeprefix('not ')}"
    if math.isinf(spread.middle):
        return f"1 of 10 cases pays back within {low}, and half of them or more {never}"
    if math.isinf(spread.high):
        return (
            f"1 of 10 cases pays back within {low} and 5 of 10 within {middle}, and 1 of 10 or "
            f"more {never}"
        )
    if low == high:
        return f"payback takes {low} in 8 of 10 cases"
    first, last = (words.partition(" ")[0] for words in (low, middle))
    return f"payback takes between {first} and {high} in 8 of 10 cases, {last} in the middle case"


def payback_ends(spread: Spread, *, horizon: int, numbers: Numbers) -> tuple[str, str, str]:
    """Low, middle and high payback in words."""

    def words(months: float, error: float) -> str:
        if math.isinf(months):
            return f"not within {numbers.months(horizon)}"
        return numbers.months(to_error(months, error=error, finest=MONTH_STEP), limit=horizon)

    return (
        words(spread.low, spread.low_error),
        words(spread.middle, spread.middle_error),
        words(spread.high, spread.high_error),
    )


def money_range(spread: Spread, numbers: Numbers, *, when: str = "") -> str:
    """An amount in 8 of 10 cases, ``when`` after the sums, and the middle case."""
    low, middle, high = money_ends(spread, numbers)
    if low == high:
        return f"{low}{when} in 8 of 10 cases"
    return f"between {low} and {high}{when} in 8 of 10 cases, {middle} in the middle case"


def money_ends(spread: Spread, numbers: Numbers) -> tuple[str, str, str]:
    """Low, middle and high amount in words."""
    return (
        numbers.money(to_error(spread.low, error=spread.low_error, finest=COIN)),
        numbers.money(to_error(spread.middle, error=spread.middle_error, finest=COIN)),
        numbers.money(to_error(spread.high, error=spread.high_error, finest=COIN)),
    )


def ratio_ends(spread: Spread) -> tuple[str, str, str]:
    """Low, middle and high ratio [-] to two decimals, or fewer."""

    def words(value: float, error: float) -> str:
        shown = to_error(value, error=error, finest=RATIO_STEP)
        return with_minus(f"{shown:.{1 if RATIO_STEP * 10 <= error < math.inf else 2}f}")

    return (
        words(spread.low, spread.low_error),
        words(spread.middle, spread.middle_error),
        words(spread.high, spread.high_error),
    )
