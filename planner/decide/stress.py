"""The plan under stress: one change at a time, each of which anyone can repeat with ``--set``."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from planner.case import Case, Choice, choices
from planner.decide.breakeven import volume_lever
from planner.decide.cash import cash
from planner.decide.cover import cover
from planner.decide.evaluation import evaluations
from planner.decide.figures import PaybackTime
from planner.decide.written_out import machines_in, with_repairs, with_wear_parts, written_out
from planner.finance.series import net_present_value, payback
from planner.scenario.estimates import Estimate
from planner.scenario.schema import Repairs
from planner.scenario.units import factor, number_and_unit, readable
from planner.shop.repairs import expected_failures

LONGEST_DOWN: Final = 365.0  # day a failure, the most that a scenario takes
SHORTEST_LIFE: Final = 1.0  # month, the least that a scenario takes
LATE: Final = 3.0  # month


@dataclass(frozen=True)
class Outcome:
    """What the plan comes to: the same figures as in ``figures.json``.

    Payback and net present value [money] of the plan against buying in, before financing; the
    lowest bank balance [money] and its month; the lowest debt service cover of the plan against
    buying in by the lender's measure [-], None where no debt payments fall due.
    """

    payback: PaybackTime
    value: float
    lowest_cash: float
    lowest_cash_month: int
    lowest_cover: float | None


@dataclass(frozen=True)
class Change:
    """One input moved: its key, the text that ``--set`` takes and what it is worth.

    ``value`` is in the canonical unit [unit]. ``first`` writes out a table that the scenario
    leaves to its default, so that the key exists; empty where it does.
    """

    key: str
    text: str
    value: float
    first: str = ""


@dataclass(frozen=True)
class StressLine:
    """One line of the stress table.

    ``sets`` are the ``KEY=VALUE`` texts that repeat it, in their order; ``how`` says how it is
    modelled where the name does not. Without an outcome, ``why_not`` says why there is none.
    """

    name: str
    sets: tuple[str, ...]
    how: str
    outcome: Outcome | None
    why_not: str


def stress_lines(case: Case, choice: Choice) -> tuple[StressLine, ...]:
    """The choice as planned, under each change alone, and under all of them together."""
    found = [(shock, tuple(shock.changes(case, choice))) for shock in _SHOCKS]
    together = _together(change for _, changes in found for change in changes)
    return (
        StressLine("as planned", (), "", outcome_of(case, choice), ""),
        *(_line(case, choice, shock, changes) for shock, changes in (*found, (_ALL, together))),
    )


def outcome_of(case: Case, choice: Choice) -> Outcome:
    """The figures of one choice in one case."""
    (evaluation,) = evaluations(case, (choice,))
    headline = evaluation.headline
    time = payback(flows=headline.before_end)
    months = float(time.months[0])
    held = cash(evaluation)
    return Outcome(
        payback=PaybackTime(months if np.isfinite(months) else None, float(time.shortfall[0])),
        value=float(net_present_value(flows=headline.net, rate=np.ravel(case.hurdle))[0]),
        lowest_cash=held.lowest,
        lowest_cash_month=held.lowest_month,
        lowest_cover=cover(evaluation).lowest,
    )


def own_unit(estimate: Estimate, currency: str) -> tuple[str, float]:
    """The unit in which an input was written, and what one of it is in the canonical one [unit].

    An input without a unit of its own is shown in the canonical one; an effective rate, which is
    held as a nominal one, in ``%/year``.
    """
    texts = estimate.written.split(" / ")
    if estimate.written:
        unit = number_and_unit(texts[len(texts) // 2])[1]
        if unit and "effective" not in unit:
            return unit, factor(unit, estimate.unit, currency)
    shown = readable(estimate.unit, currency)
    return shown, 0.01 if estimate.unit.startswith("share") else 1.0


def _line(case: Case, choice: Choice, shock: _Shock, changes: tuple[Change, ...]) -> StressLine:
    if not changes:
        return StressLine(shock.name, (), "", None, shock.why_not(case, choice))
    outcome = outcome_of(*changed(case, choice, changes))
    return StressLine(shock.name, sets_of(changes), shock.how(changes), outcome, "")


def sets_of(changes: tuple[Change, ...]) -> tuple[str, ...]:
    """The ``KEY=VALUE`` texts of changes, tables that have to be there first."""
    tables = dict.fromkeys(change.first for change in changes if change.first)
    return (*tables, *(f"{change.key}={change.text}" for change in changes))


def changed(case: Case, choice: Choice, changes: tuple[Change, ...]) -> tuple[Case, Choice]:
    """The case with its inputs moved, and the same choice in it."""
    scenario, values = case.scenario, case.values
    if any(change.first for change in changes):
        scenario = written_out(case, choice.equipment)
    for change in changes:
        values = values.with_value(change.key, change.value)
    same = next(one for one in choices(scenario) if one.names == choice.names)
    return Case(scenario, values, case.levers), same


def _together(changes: Iterable[Change]) -> tuple[Change, ...]:
    """All changes at once; where two move the same input, the lower value counts."""
    kept: dict[str, Change] = {}
    for change in changes:
        before = kept.get(change.key)
        if before is None or change.value < before.value:
            kept[change.key] = change
    return tuple(kept.values())


# --- one input moved ----------------------------------------------------------------------------


def change_to(case: Case, estimate: Estimate, value: float, *, first: str = "") -> Change:
    """An input at a ``value`` [canonical unit], in the words and to the digits of ``--set``."""
    unit, scale = own_unit(estimate, case.scenario.currency)
    number = f"{value / scale:.12g}"
    return Change(estimate.key, f"{number} {unit}".strip(), float(number) * scale, first)


def _times(case: Case, estimate: Estimate | None, share: float) -> Iterator[Change]:
    if estimate is not None:
        yield change_to(case, estimate, case.values.scalar(estimate) * share)


def _more(case: Case, estimate: Estimate, amount: float) -> Change:
    return change_to(case, estimate, case.values.scalar(estimate) + amount)


# --- what moves in each line --------------------------------------------------------------------


def _volume(case: Case, choice: Choice) -> Iterator[Change]:
    for product in case.scenario.products:
        yield from _times(case, product.planned, 0.7)


def _prices(case: Case, choice: Choice) -> Iterator[Change]:
    for product in case.scenario.products:
        yield from _times(case, product.price, 0.9)


def _consumables(case: Case, choice: Choice) -> Iterator[Change]:
    if not _prints(choice):
        return
    scenario, own_film = case.scenario, choice.equipment.film
    ink = scenario.ink
    rolls = (scenario.film.roll_price, own_film.roll_price)
    for price in (ink.price, ink.white_price, ink.colour_price, *rolls, scenario.powder.price):
        yield from _times(case, price, 1.2)


def _buy_in(case: Case, choice: Choice) -> Iterator[Change]:
    today = case.scenario.today
    if today is not None:
        yield from _times(case, today.buy_in_price, 0.8)
        for step in today.price_breaks:
            yield from _times(case, step.price, 0.8)
    for product in case.scenario.products:
        yield from _times(case, product.buy_in, 0.8)


def _nothing_added(case: Case, choice: Choice) -> Iterator[Change]:
    """Today's pieces; nothing to move where none of this work is done today, or all of it."""
    today = [case.values.scalar(product.today) for product in case.scenario.products]
    if any(today) and volume_lever(case) == "added":
        for product, pieces in zip(case.scenario.products, today, strict=True):
            yield change_to(case, product.planned, pieces)


def _dearer(case: Case, choice: Choice) -> Iterator[Change]:
    if choice.financing.rate is not None:
        yield _more(case, choice.financing.rate, 0.02)


def _late(case: Case, choice: Choice) -> Iterator[Change]:
    later = _more(case, case.scenario.runs_from, LATE)
    if later.value < case.months:
        yield later
        yield _more(case, case.scenario.ramp.months, LATE)


def _hours_paid(case: Case, choice: Choice) -> Iterator[Change]:
    free = (case.scenario.shop.unpaid_hours, case.scenario.shop.hours_already_paid)
    if any(case.values.scalar(hours) for hours in free):
        yield from (change_to(case, hours, 0.0) for hours in free)


def _heads(case: Case, choice: Choice) -> Iterator[Change]:
    """Half the life of every wear part, in area and in age."""
    if not _prints(choice):
        return
    equipment, first = with_wear_parts(case, choice.equipment)
    for part in equipment.wear_parts or ():
        if part.life is not None:
            yield change_to(case, part.life, case.values.scalar(part.life) / 2, first=first)
        if part.life_at_most is not None:
            months = max(SHORTEST_LIFE, case.values.scalar(part.life_at_most) / 2)
            yield change_to(case, part.life_at_most, months, first=first)


def _down(case: Case, choice: Choice) -> Iterator[Change]:
    """One more month of open days down, spread over failures under the warranty, else later ones.

    Each expected failure takes so many days more that the expected days add up to the month; of
    several machines, to one month of one of them.
    """
    if not _prints(choice):
        return
    shop, values = case.scenario.shop, case.values
    equipment, first = with_repairs(case, choice.equipment)
    law = equipment.repairs
    assert law is not None
    open_days = values.scalar(shop.open_days) * values.scalar(shop.open_weeks) / 12
    covered, later = _failures(case, choice, law)
    for days, count in ((law.down_days_covered, covered), (law.down_days_uncovered, later)):
        all_of_them = machines_in(case, equipment) * count
        longer = values.scalar(days) + open_days / all_of_them if count > 0 else np.inf
        if longer <= LONGEST_DOWN:
            yield change_to(case, days, longer, first=first)
            return


def _failures(case: Case, choice: Choice, law: Repairs) -> tuple[float, float]:
    """Failures expected of one machine under the warranty and after it, up to the horizon [-]."""
    values = case.values
    running = float(max(0, case.months - values.whole(case.scenario.runs_from)))
    term = min(running, float(np.floor(values.scalar(choice.warranty.term))))
    begun = values.scalar(choice.equipment.age)
    at_start, at_term, at_end = (
        float(
            np.asarray(
                expected_failures(
                    in_first_year=values.scalar(law.in_first_year),
                    wear=values.scalar(law.wear),
                    age=(begun + months) / 12,
                )
            )
        )
        for months in (0.0, term, running)
    )
    return at_term - at_start, at_end - at_term


# --- the lines ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Shock:
    """A line: what it moves, why it may move nothing, and how it is modelled."""

    name: str
    changes: Callable[[Case, Choice], Iterator[Change]]
    why_not: Callable[[Case, Choice], str] = lambda case, choice: ""
    how: Callable[[tuple[Change, ...]], str] = lambda changes: ""


def _prints(choice: Choice) -> bool:
    """Whether the set has a printer, or only presses what is bought in."""
    return choice.equipment.print_speed is not None


def _always(reason: str) -> Callable[[Case, Choice], str]:
    return lambda case, choice: reason


def _of_printer(reason: str) -> Callable[[Case, Choice], str]:
    """A reason that holds for a set with a printer."""
    return lambda case, choice: reason if _prints(choice) else "the set has no printer"


def _why_nothing_is_added(case: Case, choice: Choice) -> str:
    if any(case.values.scalar(product.today) for product in case.scenario.products):
        return "nothing is added to today's work"
    return "none of this work is done today, so that no sales would be left"


def _how_down(changes: tuple[Change, ...]) -> str:
    return (
        "a month of open days more on which one printer stands still, spread over the failures "
        "expected under the warranty, or later ones: each takes "
        f"{changes[0].value:.1f} days"
    )


_SHOCKS: Final = (
    _Shock(
        "volume 30 % less", _volume, how=lambda _: "of the planned pieces; those sold today stay"
    ),
    _Shock("selling prices 10 % lower", _prices),
    _Shock(
        "consumables 20 % dearer", _consumables, _of_printer(""), lambda _: "ink, film and powder"
    ),
    _Shock(
        "buy-in price 20 % lower",
        _buy_in,
        _always("no price for bought-in transfers is stated"),
    ),
    _Shock(
        "no added sales",
        _nothing_added,
        _why_nothing_is_added,
        lambda _: "planned pieces as today",
    ),
    _Shock(
        "rate 2 points higher",
        _dearer,
        _always("no loan or lease with a rate of its own"),
        lambda _: "on the loan or lease; the payment rises with it",
    ),
    _Shock(
        "three months late",
        _late,
        _always("the plan would end before the first print"),
        lambda _: "both the first print and the full volume",
    ),
    _Shock(
        "the printer down for a month", _down, _of_printer("no failures are expected"), _how_down
    ),
    _Shock(
        "print heads twice as often",
        _heads,
        _of_printer("no parts that wear out are listed"),
        lambda _: "every wear part lasts half as long",
    ),
    _Shock(
        "every hour paid",
        _hours_paid,
        _always("every hour is paid already"),
        lambda _: "none unpaid or already paid for",
    ),
)
_ALL: Final = _Shock(
    "all together",
    lambda case, choice: iter(()),
    how=lambda _: "all of these at once; where two move one number, the lower counts",
)
