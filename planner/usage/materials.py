"""What one piece of a product uses: ink, powder, film, or bought-in sheet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from planner.scenario.estimates import Estimate, Number, Values
from planner.scenario.schema import Equipment, Film, Ink, Powder, Product, Today
from planner.usage.layout import Piece, strip_length
from planner.usage.test_prints import MeasuredRates, interval


@dataclass(frozen=True, kw_only=True)
class Rates:
    """Use per printed area at full coverage and its prices.

    Ink [L/m²] with prices [money/L], powder bought [kg/m²] with its price [money/kg]; film a metre
    fed with its part of the roll's ends [money/m], an area of it [money/m²] and the share of the
    roll that its ends are [-].
    """

    white: Number
    colour: Number
    powder: Number
    white_price: Number
    colour_price: Number
    powder_price: Number
    film_price: Number
    film_area_price: Number
    in_roll_ends: Number

    @property
    def ink_cost(self) -> Number:
        """Ink per covered area [money/m²]."""
        return self.white * self.white_price + self.colour * self.colour_price

    @property
    def powder_cost(self) -> Number:
        """Powder per covered area, what is lost included [money/m²]."""
        return self.powder * self.powder_price

    @property
    def liquid_price(self) -> Number:
        """Ink that belongs to no print, at the measured white : colour ratio [money/L]."""
        return self.ink_cost / (self.white + self.colour)

    @property
    def plain_cost(self) -> Number:
        """Ink, powder and film of an area printed without layout, as in practice [money/m²]."""
        return self.ink_cost + self.powder_cost + self.film_area_price


def film_of(film: Film, equipment: Equipment) -> Film:
    """The film that this set of equipment takes."""
    own = {
        name: getattr(equipment.film, name)
        for name in type(equipment.film).model_fields
        if getattr(equipment.film, name) is not None
    }
    return film.model_copy(update=own) if own else film


_RATE_UNITS: Final = {
    "white": "litre/metre**2",
    "colour": "litre/metre**2",
    "powder": "kilogram/metre**2",
}


def rate_estimates(measured: MeasuredRates) -> tuple[Estimate, ...]:
    """White ink, colour ink and powder as inputs that can be moved or drawn like any other."""
    return tuple(
        Estimate(
            likely=getattr(measured, name).rate,
            unit=unit,
            basis="measured",
            key=f"test_prints.{name}",
        )
        for name, unit in _RATE_UNITS.items()
    )


def rate_ranges(measured: MeasuredRates) -> tuple[Estimate, ...]:
    """The same with their 95 % intervals as ranges; without a range where one print has none."""
    ranges = {name: interval(getattr(measured, name)) for name in _RATE_UNITS}
    return tuple(
        replace(estimate, low=found[0], high=found[1]) if found else estimate
        for estimate, found in zip(rate_estimates(measured), ranges.values(), strict=True)
    )


def rates(
    *, ink: Ink, powder: Powder, film: Film, measured: MeasuredRates, values: Values
) -> Rates:
    """Measured rates with the scenario's prices; a roll's ends are spread over its length."""
    white, colour, on_film = (values(estimate) for estimate in rate_estimates(measured))
    white_price, colour_price = ink.white_price or ink.price, ink.colour_price or ink.price
    assert white_price is not None  # the scenario's checks see to both
    assert colour_price is not None
    roll_length = values.scalar(film.roll.length)
    price = values(film.roll_price)
    return Rates(
        white=white,
        colour=colour,
        powder=on_film / (1 - values(powder.lost)),
        white_price=values(white_price),
        colour_price=values(colour_price),
        powder_price=values(powder.price),
        film_price=price / (roll_length - values(film.roll_ends)),
        film_area_price=price / (roll_length * values.scalar(film.roll.width)),
        in_roll_ends=values(film.roll_ends) / roll_length,
    )


@dataclass(frozen=True, kw_only=True)
class PieceUse:
    """What one piece of a product takes.

    ``area`` printed and ``covered`` with ink [m²], ``prints`` [-], ``film`` fed [m] when an
    average order is laid out together.
    """

    area: float
    covered: Number
    prints: int
    film: float


def piece_use(*, product: Product, film: Film, values: Values) -> PieceUse:
    """Areas and film of one piece; raises ``DoesNotFitError`` for a print wider than the film."""
    area = product_area(product=product, values=values)
    usable = values.scalar(film.roll.width) - 2 * values.scalar(film.margin)
    length = order_length(
        product=product,
        usable_width=usable,
        gap=values.scalar(film.gap),
        may_turn=film.may_turn,
        values=values,
    )
    return PieceUse(
        area=area,
        covered=area * values(product.filled) * values(product.coverage),
        prints=len(product.prints),
        film=length / values.whole(product.pieces_per_order),
    )


def product_area(*, product: Product, values: Values) -> float:
    """Area of all prints of one piece [m²]."""
    return sum(values.scalar(size.width) * values.scalar(size.length) for size in product.prints)


def order_length(
    *, product: Product, usable_width: float, gap: float, may_turn: bool, values: Values
) -> float:
    """Strip length of an average order on film of ``usable_width`` with a ``gap`` [m]."""
    pieces = [
        Piece(
            width=values.scalar(size.width),
            length=values.scalar(size.length),
            count=values.whole(product.pieces_per_order),
        )
        for size in product.prints
    ]
    return strip_length(pieces, usable_width=usable_width, gap=gap, may_turn=may_turn)


def bought_area(*, product: Product, today: Today, values: Values) -> float:
    """Area of transfers to buy for one piece, as the supplier counts it [m²]."""
    if today.buy_in_by == "picture":
        return product_area(product=product, values=values)
    width = values.scalar(today.sheet_width)
    length = order_length(
        product=product,
        usable_width=width,
        gap=values.scalar(today.sheet_gap),
        may_turn=True,
        values=values,
    )
    return width * length / values.whole(product.pieces_per_order)
