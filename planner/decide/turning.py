"""What would have to change, alone, for a condition that fails to be met."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from planner.case import Case, Choice
from planner.decide.answer import Answered, AnswerPage
from planner.decide.breakeven import HIGHEST_PRICE_FACTOR, MOST_ADDED, slack, volume_lever
from planner.decide.cash import balance_by_month
from planner.decide.conditions import Condition
from planner.decide.cover import headline_cover
from planner.decide.evaluation import Evaluation, evaluations
from planner.decide.solve import FIRST_POINTS, Outcome, lasting_crossing
from planner.decide.steady import added_capacity_factor, capacity_factor
from planner.decide.stress import Change, change_to, changed, sets_of
from planner.finance.series import payback
from planner.paying import lent
from planner.plan import Plan
from planner.scenario.estimates import Array, Estimate, Values
from planner.scenario.schema import Equipment
from planner.shop.upkeep import equipment_price, items_of

LEAST_PRICE: Final = 0.01  # of the equipment's price, the lowest that is tried
BEYOND: Final = 5e-10  # of a change, so that what is given lies on the side that meets it
WRITTEN: Final = 2e-12  # of a factor: what is lost where it is written to twelve digits
HAIR: Final = 1e-6  # of a change, by which it is looked at just short of it
LEAP: Final = 1e-3  # of a limit, from which a figure jumps
LEAST_LEAP: Final = {"month": 0.01, "money": 0.5, "ratio": 0.001, "share": 0.005}


@dataclass(frozen=True, kw_only=True)
class Turning:
    """One lever alone, and where it has to stand for a condition to be met.

    ``factor`` [-] is on the added work, all work, selling prices or the equipment's price, as
    ``lever`` says; ``until`` is the factor up to which the condition then stays met, where it does
    not to the end of what is looked at. ``sets`` are the ``KEY=VALUE`` texts that repeat it and
    ``figure`` is what the condition's figure then is, in its unit; ``just_short`` is the figure a
    millionth of the change short of it, None where payback is not reached there; ``how`` says what
    moves with it. ``error`` is the factor's standard error where it comes from drawn cases. Without
    a factor, ``why_not`` says why there is none.
    """

    condition: Condition
    lever: str
    factor: float | None
    until: float | None = None
    error: float | None = None
    sets: tuple[str, ...] = ()
    figure: float | None = None
    just_short: float | None = None
    how: str
    why_not: str

    @property
    def jumps(self) -> bool:
        """Whether the figure jumps over the limit there, so that no change meets it just so."""
        if self.figure is None:
            return False
        least = max(LEAP * abs(self.condition.limit), LEAST_LEAP[self.condition.unit])
        return self.just_short is None or abs(self.figure - self.just_short) > least


@dataclass(frozen=True)
class Lever:
    """Inputs that one factor [-] moves: each is worth a fixed part and so much times the factor.

    The plan has the factor 1, and ``far`` is the one up to which a turning is looked for.
    """

    name: str
    moves: tuple[tuple[Estimate, float, float], ...]
    far: float
    how: str
    why_not: str

    @property
    def towards(self) -> float:
        """1 where the factor grows away from the plan, −1 where it falls [-]."""
        return 1.0 if self.far > 1 else -1.0


def turnings(page: AnswerPage, answered: Answered) -> tuple[Turning, ...]:
    """Every condition of a choice that fails, with each lever that could make it met.

    Volume, selling prices and the price of the equipment are moved, each alone, through the full
    plan. Where a condition turns more than once, it is the turn after which it stays met. The
    chance of payback is none of the plan's figures: see ``chance_turnings``.
    """
    case, own = page.case, answered.evaluation.plan
    failed = [one for one in answered.conditions if not one.met and one.condition in _MEASURES]
    return tuple(_turning(case, own, one, lever) for one in failed for lever in levers(case, own))


def levers(case: Case, own: Plan) -> tuple[Lever, Lever, Lever]:
    """Volume, selling prices and the price of the equipment."""
    return _volume(case, own), _prices(case), _equipment(case, own.choice)


# --- solving ------------------------------------------------------------------------------------


def _turning(case: Case, own: Plan, condition: Condition, lever: Lever) -> Turning:
    turning = Turning(
        condition=condition, lever=lever.name, factor=None, how=lever.how, why_not=lever.why_not
    )
    met = _met(case, own.choice, condition, lever)
    if met is None:
        return turning
    factor = on_the_side_that_meets(met[0], towards=lever.towards)
    changes = changes_by(case, lever, factor)
    short = changes_by(case, lever, factor - HAIR * (factor - 1))
    figure, just_short = (
        _figure(*changed(case, own.choice, moved), condition) for moved in (changes, short)
    )
    return replace(
        turning,
        factor=factor,
        until=None if met[1] == lever.far else met[1],
        sets=sets_of(changes),
        figure=figure,
        just_short=just_short,
        why_not="",
    )


def on_the_side_that_meets(factor: float, *, towards: float) -> float:
    """A ``factor`` [-] so little beyond where a condition turns that what is written meets it.

    ``towards`` is 1 where the factor grows away from the plan, −1 where it falls [-].
    """
    return factor + towards * max(BEYOND * abs(factor - 1), WRITTEN * abs(factor))


def changes_by(case: Case, lever: Lever, factor: float) -> tuple[Change, ...]:
    """What a lever changes at a ``factor`` [-]."""
    return tuple(change_to(case, one, base + factor * each) for one, base, each in lever.moves)


def _figure(case: Case, choice: Choice, condition: Condition) -> float | None:
    (evaluation,) = evaluations(case, (choice,))
    figure = float(_MEASURES[condition.condition].figure(evaluation)[0])
    return figure if np.isfinite(figure) else None


def _met(
    case: Case, choice: Choice, condition: Condition, lever: Lever
) -> tuple[float, float] | None:
    """The factors from which and to which the condition is met; None where it is nowhere.

    Where it fails at the far end, it is the stretch that lies farthest from the plan.
    """
    towards = lever.towards  # a search goes up: a factor that falls has a sign
    measure, end = _MEASURES[condition.condition], towards * lever.far

    def room(signed: Array) -> Array:
        moved = _moved(case, lever, towards * signed[:, np.newaxis])
        (evaluation,) = evaluations(moved, (choice,))
        return np.broadcast_to(measure.room(evaluation, condition.limit), signed.shape)

    found = lasting_crossing(room, low=towards, high=end)
    if found.outcome is Outcome.NEVER:
        grid = np.linspace(towards, end, FIRST_POINTS)
        within = grid[room(grid) >= 0]
        if not within.size:
            return None
        end = float(within[-1])
        found = lasting_crossing(room, low=towards, high=end)
    begin = towards if found.value is None else found.value
    return towards * begin, towards * end


def _moved(case: Case, lever: Lever, factors: Array) -> Case:
    drawn = {one.key: base + factors * each for one, base, each in lever.moves}
    return replace(case, values=Values({**case.values.drawn, **drawn}))


# --- what a condition asks of a plan ------------------------------------------------------------


@dataclass(frozen=True)
class _Measure:
    """The figure of a condition (draws,), and how much of it is left beyond its limit (draws,)."""

    figure: Callable[[Evaluation], Array]
    room: Callable[[Evaluation, float], Array]


def _months(evaluation: Evaluation) -> Array:
    return payback(flows=evaluation.headline.before_end).months


def _lowest_cash(evaluation: Evaluation) -> Array:
    return np.asarray(balance_by_month(evaluation).min(axis=-1))


def _lowest_cover(evaluation: Evaluation) -> Array:
    return np.asarray(np.nanmin(headline_cover(evaluation), axis=-1))


_MEASURES: Final[Mapping[str, _Measure]] = {
    "pays back within": _Measure(
        _months, lambda evaluation, limit: slack(evaluation.headline, within=limit)
    ),
    "cash never below": _Measure(
        _lowest_cash, lambda evaluation, limit: _lowest_cash(evaluation) - limit
    ),
    "debt service cover at least": _Measure(
        _lowest_cover, lambda evaluation, limit: _lowest_cover(evaluation) - limit
    ),
}


# --- the levers ---------------------------------------------------------------------------------


def _volume(case: Case, own: Plan) -> Lever:
    """The work beyond today's, or all of it where nothing is added, up to capacity."""
    values, products = case.values, case.scenario.products
    if volume_lever(case) == "added":
        name, how = "added work", "of the planned pieces; those sold today stay"
        top = added_capacity_factor(case, own.machine)
        today = [values.scalar(product.today) for product in products]
        moves = [
            (product.planned, base, values.scalar(product.planned) - base)
            for product, base in zip(products, today, strict=True)
            if values.scalar(product.planned) != base
        ]
    else:
        name, how = "all work", "planned and today's pieces alike"
        top = capacity_factor(case, own.machine)
        moves = [
            (one, 0.0, values.scalar(one))
            for product in products
            for one in (product.today, product.planned)
        ]
    full = "the planned work already fills the shop"
    why_not = "no volume within capacity" if top > 1 else full
    return Lever(name, tuple(moves), max(1.0, min(top, MOST_ADDED)), how, why_not)


def _prices(case: Case) -> Lever:
    prices = [product.price for product in case.scenario.products]
    return Lever(
        name="selling prices",
        moves=tuple((price, 0.0, case.values.scalar(price)) for price in prices),
        far=HIGHEST_PRICE_FACTOR,
        how="one factor on all",
        why_not=f"not even at {HIGHEST_PRICE_FACTOR:g} times the prices",
    )


def _equipment(case: Case, choice: Choice) -> Lever:
    prices = [item.price for item in items_of(choice.equipment)]
    offer, far = choice.financing, _least_share(case, choice.equipment)
    how = "one factor on every item; costs that are a share of the price follow"
    if offer.payment is not None:
        how += f", the stated payment of the {offer.kind} does not"
    return Lever(
        name="equipment price",
        moves=tuple((price, 0.0, case.values.scalar(price)) for price in prices),
        far=far,
        how=how,
        why_not=f"not even at {far:.0%} of its price".replace("%", " %"),
    )


def _least_share(case: Case, equipment: Equipment) -> float:
    """The share of the equipment's price down to which every offer still makes sense [-].

    A scenario in which an offer takes as much at signing as it pays for is refused.
    """
    price = float(np.ravel(equipment_price(equipment=equipment, values=case.values))[0])
    return max(LEAST_PRICE, *(1.001 * paid / price for paid in _at_signing(case, equipment)))


def _at_signing(case: Case, equipment: Equipment) -> Iterator[float]:
    """Least price of the equipment at which each offer for it pays for more than it takes."""
    values = case.values
    taxed = 1 + values.scalar(equipment.sales_tax)
    yield 0.0
    for offer in case.scenario.financing:
        if offer.equipment not in (None, equipment.name) or "equipment" not in offer.covers:
            continue
        if offer.kind == "lease":
            advance = values.whole(offer.advance_payments) if offer.advance_payments else 0
            payment = offer.payment.high if offer.payment else 0.0
            yield advance * payment + offer.document_fee.high
        elif offer.is_loan:
            # at a price below its amount a loan lends all of it
            share = np.ravel(lent(offer=offer, covered=1.0, values=values))[0]
            yield offer.fee.high / (taxed * float(share))
