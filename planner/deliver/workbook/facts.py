"""What the engine says of a choice, laid open down to the figures between orders and money."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from planner.case import Case
from planner.decide.answer import Answered, AnswerPage
from planner.decide.evaluation import Evaluation, evaluations
from planner.ledger import Ledger
from planner.plan import Plan, Without
from planner.scenario.estimates import Array, Number, Values
from planner.scenario.schema import Product, Scenario
from planner.shop import work
from planner.shop.calendar import Calendar
from planner.shop.capacity import Station
from planner.shop.labour import Hours
from planner.shop.machine import Machine, Setting
from planner.shop.month import (
    Operations,
    care_hours,
    pieces_asked,
    share_down,
    stations_for,
    upsets_of,
)
from planner.shop.repairs import Upsets
from planner.shop.stations import Floor
from planner.shop.volume import Volume, area_and_hours, volume_of

CASH, PAID = "cash", "paid"


@dataclass(frozen=True, eq=False)
class Side:
    """One shop month by month, in its setting.

    ``ledgers`` holds its ledger by way of paying; a shop that signs nothing has but one.
    """

    setting: Setting
    operations: Operations
    ledgers: dict[str, Ledger]

    @property
    def products(self) -> tuple[Product, ...]:
        """The products of the scenario."""
        return self.setting.products

    @cached_property
    def asked(self) -> list[Number]:
        """Pieces a month that customers ask for with the machine, product by product."""
        return pieces_asked(self.setting)

    @cached_property
    def could_buy(self) -> list[Number]:
        """Pieces a month that bought-in transfers could serve, before people and press limit."""
        return Floor(self.setting).without

    @cached_property
    def buyable(self) -> list[Number]:
        """Pieces a month that are not made and bought-in transfers could serve, by product."""
        return work.unmade(
            asked=self.asked,
            without=self.could_buy,
            served=self.operations.served,
            calendar=self.setting.calendar,
        )

    @cached_property
    def volumes(self) -> list[Volume]:
        """Transfers, pressed pieces and orders behind the pieces of each product."""
        return self._volumes(self.operations.works)

    def hours_of(self, works: Sequence[work.Work]) -> Hours:
        """Hours by step that the work of all products would take, without care."""
        return area_and_hours(self.setting, self._volumes(works), care=0.0)[1]

    def _volumes(self, works: Sequence[work.Work]) -> list[Volume]:
        return [
            volume_of(self.setting, product, done)
            for product, done in zip(self.products, works, strict=True)
        ]

    @cached_property
    def upsets(self) -> Upsets:
        """Mean repairs and days down of each month."""
        return upsets_of(self.setting)

    @cached_property
    def down(self) -> Array:
        """Share of each month's work that falls out on days down (1, months) [-]."""
        return np.atleast_2d(share_down(self.setting, self.upsets))

    @cached_property
    def stations(self) -> Mapping[str, Station]:
        """Hours of each station if all that is asked for were made, on the days up."""
        return stations_for(self.setting, [pieces * (1 - self.down) for pieces in self.asked])

    @cached_property
    def care(self) -> Number:
        """Daily, weekly and long-stop care of the machines [hour a month]."""
        return care_hours(self.setting)

    @cached_property
    def printing_days(self) -> Array:
        """Days of each month on which something is printed (1, months) [day]."""
        calendar = self.setting.calendar
        days = calendar.running * calendar.open_days * (1 - self.down)
        return np.where(np.asarray(self.operations.area) > 0, days, 0.0)


@dataclass(frozen=True, eq=False)
class Facts:
    """A choice with all that it is compared with.

    ``evaluation`` is the choice's own, or that of the same machine bought for cash.
    """

    page: AnswerPage
    answered: Answered
    evaluation: Evaluation

    @property
    def plan(self) -> Plan:
        """The plan of the choice."""
        return self.evaluation.plan

    @property
    def case(self) -> Case:
        """The scenario with its values."""
        return self.evaluation.case

    @property
    def scenario(self) -> Scenario:
        """The scenario."""
        return self.case.scenario

    @property
    def values(self) -> Values:
        """What each input is worth."""
        return self.case.values

    @property
    def machine(self) -> Machine:
        """The set of equipment that is bought."""
        return self.plan.machine

    @property
    def prints(self) -> bool:
        """Whether the set prints; one without a printer presses bought transfers only."""
        return self.machine.count > 0

    @property
    def months(self) -> int:
        """Months to the horizon."""
        return self.case.months

    @property
    def currency(self) -> str:
        """Code of the currency."""
        return self.scenario.currency

    @property
    def is_cash(self) -> bool:
        """Whether the choice is paid for from own money."""
        return self.plan.choice.financing.kind == "cash"

    @property
    def way(self) -> str:
        """The way in which the choice is paid for."""
        return CASH if self.is_cash else PAID

    @cached_property
    def for_cash(self) -> Facts | None:
        """The same machine bought for cash, where a lease takes it out of the shop again.

        Any other choice has the same months in both ways.
        """
        end = self.plan.choice.financing.at_end
        if end is None or end.kind != "return":
            return None
        (bought,) = evaluations(self.case, (self.plan.choice.for_cash(),))
        return replace(self, evaluation=bought)

    @property
    def ways(self) -> tuple[str, ...]:
        """The ways of paying whose months are the choice's own."""
        if self.is_cash or self.for_cash is not None:
            return (self.way,)
        return (PAID, CASH)

    def in_way(self, way: str) -> Facts:
        """The facts of one way of paying."""
        return self.for_cash if way == CASH and self.for_cash is not None else self

    def alias(self, grid: str, way: str) -> str:
        """The grid that holds the months of one way of paying."""
        return f"{grid}_{CASH}" if way == CASH and self.for_cash is not None else grid

    @cached_property
    def transfers_each(self) -> tuple[float, ...]:
        """Transfers and garments that one piece sold takes, product by product."""
        setting = self.with_machine.setting
        return tuple(
            one(volume_of(setting, product, work.work_without(pieces=1.0)).bought)
            for product in self.scenario.products
        )

    @cached_property
    def hours_each(self) -> tuple[Hours, ...]:
        """Hours that one piece sold takes with a transfer that is bought, product by product."""
        products = self.scenario.products
        return tuple(
            self.with_machine.hours_of(
                [work.work_without(pieces=float(product is own)) for product in products]
            )
            for own in products
        )

    @cached_property
    def bought_areas(self) -> tuple[float, ...]:
        """Area to buy for a piece [m²], 0 where it is not bought by area, product by product."""
        return tuple(
            0.0 if product.buy_in else area
            for product, area in zip(self.scenario.products, self.machine.bought, strict=True)
        )

    @cached_property
    def calendar(self) -> Calendar:
        """The months, the machine running until it goes back."""
        calendar, until = self.case.calendar, self.plan.payment.goes_back_after
        if until is None:
            return calendar
        held = np.asarray(np.arange(1, calendar.months + 1) <= until, dtype=float)
        return replace(calendar, held=held, running=calendar.running * held)

    @cached_property
    def with_machine(self) -> Side:
        """The plan with the machine."""
        return self._made(self.plan)

    @cached_property
    def today_with_machine(self) -> Side:
        """Today's work with the machine."""
        return self._made(self.evaluation.plan_today)

    @cached_property
    def without(self) -> Side:
        """The plan's work as far as bought-in transfers serve it."""
        return self._bought(self.case, self.evaluation.without)

    @cached_property
    def as_today(self) -> Side:
        """Today's work with transfers bought in."""
        return self._bought(self.case.today(), self.evaluation.today)

    def _made(self, plan: Plan) -> Side:
        setting = plan.case.setting(plan.machine, self.calendar)
        ledgers = {PAID: plan.ledger, CASH: plan.cash_ledger}
        return Side(setting, plan.operations, {way: ledgers[way] for way in self.ways})

    def _bought(self, case: Case, without: Without) -> Side:
        setting = case.setting(self.machine, self.case.calendar)
        return Side(setting, without.operations, {CASH: without.ledger})


def one(amount: Number) -> float:
    """The one value of a figure that was not drawn."""
    return float(np.ravel(np.asarray(amount))[0])


def by_month(flows: Number, *, months: int) -> Array:
    """The one row of flows that were not drawn (months,)."""
    return np.asarray(np.broadcast_to(np.atleast_2d(np.asarray(flows))[0], (months,)))
