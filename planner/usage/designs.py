"""What each measured design costs to print at the size wanted, from its own rates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.scenario.estimates import Number, Values
from planner.scenario.schema import Film, Powder, Rectangle, Spoilage, TestPrint
from planner.usage.layout import DoesNotFitError, Piece, across, strip_length
from planner.usage.materials import Rates
from planner.usage.test_prints import own_rates, print_names


@dataclass(frozen=True, kw_only=True)
class DesignCost:
    """Materials of one good print [money], what is spoiled on the way included.

    ``area_only`` is the ink, powder and film of the printed area alone, with nothing spoiled.
    """

    ink: Number
    powder: Number
    film: Number
    area_only: Number

    @property
    def laid_out(self) -> Number:
        """Ink, powder and film of its place on the roll [money]."""
        return self.ink + self.powder + self.film


@dataclass(frozen=True, kw_only=True)
class Design:
    """A design at the size wanted [m], or as measured where none is.

    ``cost`` is None where the print does not fit the film.
    """

    name: str
    width: float
    length: float
    is_wanted: bool
    cost: DesignCost | None


def designs(
    prints: Sequence[TestPrint],
    *,
    rates: Rates,
    film: Film,
    powder: Powder,
    spoilage: Spoilage,
    values: Values,
) -> tuple[Design, ...]:
    """Each design with the cost of its ink, powder and film at the size wanted.

    A design takes its own ink and powder by area whatever its size. Film is that of rows filled
    with the design and nothing else; what the ends of a run and of a roll take is not in it.
    Transfers rejected, garments spoiled with their transfer and redone work are, so that the cost
    stands beside that of the material of a product at full volume. A row given by area has no size
    and is left out unless one is wanted.

    Parameters
    ----------
    prints : sequence of TestPrint
        Rows of the sheet.
    rates : Rates
        Prices of ink, powder and film; the rates in it are those of all prints and not used.
    film, powder, spoilage : Film, Powder, Spoilage
        What is printed on, and what is lost.
    values : Values
        What every input is worth.
    """
    made = prints_made(spoilage=spoilage, values=values)
    lost = values(powder.lost)
    return tuple(
        _design(
            name=name,
            size=size,
            is_wanted=row.wanted is not None,
            rates=_rates_of(row, rates=rates, lost=lost),
            film=film,
            made=made,
            values=values,
        )
        for name, row in zip(print_names(prints), prints, strict=True)
        if (size := row.wanted or row.size) is not None
    )


def prints_made(*, spoilage: Spoilage, values: Values) -> Number:
    """Prints made for one pressed and sold, rejects, spoiled garments and redone work in it [-]."""
    good = (1 - values(spoilage.transfers)) * (1 - values(spoilage.garments))
    return (1 + values(spoilage.redone)) / good


def _rates_of(row: TestPrint, *, rates: Rates, lost: Number) -> Rates:
    """The prices with the print's own ink and powder; of what is bought the share ``lost``."""
    own = own_rates(row)
    return replace(
        rates, white=own["white"], colour=own["colour"], powder=own["powder"] / (1 - lost)
    )


def _design(
    *,
    name: str,
    size: Rectangle,
    is_wanted: bool,
    rates: Rates,
    film: Film,
    made: Number,
    values: Values,
) -> Design:
    width, length = values.scalar(size.width), values.scalar(size.length)
    area = width * length
    cost = None
    fed = film_in_full_rows(width=width, length=length, film=film, values=values)
    if fed is not None:
        cost = DesignCost(
            ink=made * area * rates.ink_cost,
            powder=made * area * rates.powder_cost,
            film=made * fed * rates.film_price * (1 - rates.in_roll_ends),
            area_only=area * rates.plain_cost,
        )
    return Design(name=name, width=width, length=length, is_wanted=is_wanted, cost=cost)


def film_in_full_rows(*, width: float, length: float, film: Film, values: Values) -> float | None:
    """Film fed for one print in rows filled with it, the shorter way round where it may turn [m].

    None for a print that is wider than the film.

    Parameters
    ----------
    width, length : float
        Size of the print, across and along the roll [m], > 0.
    """
    usable, gap = usable_width(film=film, values=values), values.scalar(film.gap)
    upright, turned = (
        max(1, across(width=side, usable_width=usable, gap=gap)) for side in (width, length)
    )
    piece = Piece(width=width, length=length, count=upright * turned)  # fills rows both ways
    try:
        strip = strip_length([piece], usable_width=usable, gap=gap, may_turn=film.may_turn)
    except DoesNotFitError:
        return None
    return strip / piece.count


def usable_width(*, film: Film, values: Values) -> float:
    """Width between the margins [m]."""
    return values.scalar(film.roll.width) - 2 * values.scalar(film.margin)


def average_cost(found: Sequence[Design]) -> DesignCost | None:
    """The mean of one print of each design that has a cost; None where none has."""
    costs = [one.cost for one in found if one.cost is not None]
    if not costs:
        return None
    return DesignCost(
        ink=sum(cost.ink for cost in costs) / len(costs),
        powder=sum(cost.powder for cost in costs) / len(costs),
        film=sum(cost.film for cost in costs) / len(costs),
        area_only=sum(cost.area_only for cost in costs) / len(costs),
    )
