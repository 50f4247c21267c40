"""A set of equipment under a warranty, and the setting in which it works."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from planner.scenario.estimates import Estimate, Number, Values
from planner.scenario.schema import Equipment, Film, Product, Scenario, Warranty
from planner.shop import upkeep, work
from planner.shop.calendar import Calendar, Levers
from planner.shop.repairs import Chances
from planner.usage.materials import PieceUse, Rates, bought_area, film_of, piece_use, rates
from planner.usage.test_prints import measured_rates


@dataclass(frozen=True, kw_only=True)
class Machine:
    """A set of equipment with all that does not change from month to month.

    ``uses`` and ``bought`` [m² a piece, 0 where no price stands] are in the order of products;
    ``price`` is that of the whole set before sales tax [money]; ``count`` how many equal machines
    print, 0 in a set that only presses.
    """

    equipment: Equipment
    warranty: Warranty
    film: Film
    rates: Rates
    uses: tuple[PieceUse, ...]
    bought: tuple[float, ...]
    price: Number
    count: int

    def printing_hours(self, printed: Number, values: Values) -> Number:
        """Hours that one printer takes for ``printed`` area [m²]; 0 in a set that only presses."""
        return _hours(printed, self.equipment.print_speed, values)

    def drying_hours(self, printed: Number, values: Values) -> Number:
        """Hours that one dryer takes for what is ``printed`` [m²], else at the printer's speed."""
        return _hours(printed, self.equipment.dryer_speed or self.equipment.print_speed, values)


def _hours(printed: Number, speed: Estimate | None, values: Values) -> Number:
    return 0.0 * printed if speed is None else printed / values(speed)


def machine(
    *, scenario: Scenario, equipment: Equipment, warranty: Warranty, values: Values
) -> Machine:
    """Lay out the prints on this set's film and price what they use."""
    film = film_of(scenario.film, equipment)
    return Machine(
        equipment=equipment,
        warranty=warranty,
        film=film,
        rates=rates(
            ink=scenario.ink,
            powder=scenario.powder,
            film=film,
            measured=measured_rates(scenario.prints),
            values=values,
        ),
        uses=tuple(piece_use(product=p, film=film, values=values) for p in scenario.products),
        bought=tuple(_bought(scenario, product, values) for product in scenario.products),
        price=upkeep.equipment_price(equipment=equipment, values=values),
        count=values.whole(equipment.machines) if equipment.print_speed else 0,
    )


def _bought(scenario: Scenario, product: Product, values: Values) -> float:
    today = scenario.today
    if today is None or not work.can_buy_in(product=product, today=today):
        return 0.0
    return bought_area(product=product, today=today, values=values)


@dataclass(frozen=True, kw_only=True)
class Setting:
    """A machine in a shop over some months, with the values and levers of one evaluation.

    With ``chances`` failures fall as drawn, else at their mean.
    """

    scenario: Scenario
    machine: Machine
    calendar: Calendar
    values: Values
    levers: Levers
    chances: Chances | None = None

    def alone(self, at: int) -> Setting:
        """The same setting with one of its products, that in place ``at``."""
        scenario = self.scenario.model_copy(update={"products": (self.products[at],)})
        machine = replace(
            self.machine, uses=(self.machine.uses[at],), bought=(self.machine.bought[at],)
        )
        return replace(self, scenario=scenario, machine=machine)

    @cached_property
    def accepted(self) -> Number:
        """Share of the transfers printed that can be used; it rises through the ramp [-]."""
        start = self.values(self.scenario.ramp.spoilage_at_start)
        later = self.values(self.scenario.spoilage.transfers)
        return 1 - later - np.maximum(0.0, start - later) * (1 - self.calendar.ramp)

    @property
    def again(self) -> Number:
        """Pieces made for each one sold, for some are redone [-]."""
        return 1 + self.values(self.scenario.spoilage.redone)

    def transfers_each(self, product: Product) -> Number:
        """Transfers used for a piece sold: a garment spoiled takes its transfer with it [-]."""
        spoiled = self.values(self.scenario.spoilage.garments) if product.pressed else 0.0
        return self.again / (1 - spoiled)

    @property
    def products(self) -> tuple[Product, ...]:
        """The products of the scenario."""
        return self.scenario.products

    @property
    def equipment(self) -> Equipment:
        """The set of equipment."""
        return self.machine.equipment
