"""What is odd about the test prints once rates and layout are known; each doubt is one line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from planner.scenario.doubtful import rate_in_words
from planner.scenario.estimates import Values
from planner.scenario.notices import doubts
from planner.scenario.plausible import rounded
from planner.scenario.schema import Film, Scenario, TestPrint
from planner.scenario.units import convert
from planner.usage.designs import usable_width
from planner.usage.layout import DoesNotFitError, Piece, strip_length
from planner.usage.test_prints import (
    KINDS,
    WITHIN,
    Outlier,
    further_prints,
    measured_rates,
    outliers,
    precision,
    print_names,
)

BEYOND: Final = 0.15  # film fed off the layout rule [-]
MOST_NAMED: Final = 3


@dataclass(frozen=True, kw_only=True)
class FilmFed:
    """Film fed for all copies of a test print [m], and by the layout rule without run ends [m]."""

    name: str
    fed: float
    by_rule: float

    @property
    def off(self) -> float:
        """How much more was fed than the rule says [-]."""
        return self.fed / self.by_rule - 1


def every_doubt(scenario: Scenario) -> tuple[str, ...]:
    """What is doubtful about a scenario as it is written, then about what its prints measured."""
    return (*doubts(scenario), *print_doubts(scenario))


def print_doubts(scenario: Scenario) -> tuple[str, ...]:
    """Prints that lie apart, rates that are little known, film that the layout does not explain.

    Each line begins with its key.
    """
    return (
        *(_outlier(one, units=scenario.units) for one in outliers(scenario.prints)),
        *_little_known(scenario.prints),
        *_film(scenario),
    )


def film_fed(prints: Sequence[TestPrint], *, film: Film, values: Values) -> tuple[FilmFed, ...]:
    """Film fed against the layout rule, of every print that has a size and says what it fed.

    The copies of a row lie together, the way round that comes nearest to what was fed where the
    film lets them turn. A print that is wider than the film was printed on another one, and is left
    out.
    """
    found = []
    for name, row in zip(print_names(prints), prints, strict=True):
        if row.size is None or row.film_fed is None:
            continue
        fed = values.scalar(row.film_fed)
        by_rule = _strips(row, film=film, values=values)
        if by_rule:
            nearest = min(by_rule, key=lambda length: abs(length - fed))
            found.append(FilmFed(name=name, fed=fed, by_rule=nearest))
    return tuple(found)


def _strips(row: TestPrint, *, film: Film, values: Values) -> list[float]:
    """Lengths of the strip on which all copies of a row lie, by each way round that fits [m]."""
    assert row.size is not None
    upright = Piece(
        width=values.scalar(row.size.width),
        length=values.scalar(row.size.length),
        count=values.whole(row.copies),
    )
    usable, gap = usable_width(film=film, values=values), values.scalar(film.gap)
    lengths = []
    for way in (upright, upright.turned()) if film.may_turn else (upright,):
        try:
            lengths.append(strip_length([way], usable_width=usable, gap=gap, may_turn=False))
        except DoesNotFitError:
            continue
    return lengths


def _outlier(one: Outlier, *, units: str) -> str:
    own, low, high, pooled, without = (
        rate_in_words(rate, kind=one.kind, units=units)
        for rate in (one.own, one.low, one.high, one.pooled, one.without)
    )
    return (
        f'test_prints: "{one.name}": {KINDS[one.kind]} {own} lies outside the {low} to {high} that '
        f"the other prints lead one to expect (95 %); without it the mean is {without}, with it "
        f"{pooled}; look at the weighing or for a slip of units; it is not dropped"
    )


def _little_known(prints: Sequence[TestPrint]) -> Iterator[str]:
    wide = []
    for kind, rate in measured_rates(prints).by_kind.items():
        off, more = precision(rate), further_prints(rate)
        if off is not None and more:
            wide.append(f"{KINDS[kind]} to ±{off * 100:.0f} %, {more} more")
    if wide:
        yield (
            f"test_prints: rates are little known (95 %), and more prints like these would bring "
            f"them to ±{WITHIN * 100:.0f} %: {'; '.join(wide)}"
        )


def _film(scenario: Scenario) -> Iterator[str]:
    found = film_fed(scenario.prints, film=scenario.film, values=Values())
    apart = sorted((one for one in found if abs(one.off) > BEYOND), key=lambda one: -abs(one.off))
    if not apart:
        return
    fed, by_rule = sum(one.fed for one in found), sum(one.by_rule for one in found)
    named = ", ".join(
        f'"{one.name}" {_length(one.fed, scenario)} against {_length(one.by_rule, scenario)}'
        for one in apart[:MOST_NAMED]
    )
    rest = f" and {len(apart) - MOST_NAMED} more" if len(apart) > MOST_NAMED else ""
    yield (
        f"test_prints: film fed lies more than {BEYOND * 100:.0f} % off the layout rule: "
        f"{named}{rest}; in all {_length(fed, scenario)} against {_length(by_rule, scenario)}; "
        "the plan counts by the rule; look at film.margin and film.gap, or measure again"
    )


def _length(value: float, scenario: Scenario) -> str:
    name, unit = ("inch", "in") if scenario.units == "inch" else ("centimetre", "cm")
    return f"{rounded(convert(value=value, unit='metre', target=name))} {unit}"
