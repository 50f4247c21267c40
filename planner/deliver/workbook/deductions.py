"""What is deducted month by month: items by the scenario's rule, the warranty, the first fill."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from planner.capital import Asset
from planner.deliver.workbook.facts import CASH, PAID, Facts, Side, one
from planner.deliver.workbook.grid import Heading, Line, total_of
from planner.deliver.workbook.money import NAMES
from planner.deliver.workbook.months import Months
from planner.deliver.workbook.pieces import Blocks
from planner.deliver.workbook.spreading import Spreading
from planner.finance.depreciation import depreciation_by_month, depreciation_rule
from planner.scenario.estimates import Array

_BOUGHT_AT_LEASE_END: Final = (
    "lease_is_rented*lease_is_owned*lease_worth_at_end*(1+lease_sales_tax)"
)


class Deductions:
    """Deductions of a machine in one way of paying, as values and as lines.

    ``facts`` are those of the way of paying, ``side`` the shop that prints, ``key`` the end of the
    names of its lines, ``equipment`` the grid with its purchases.
    """

    def __init__(self, facts: Facts, side: Side, *, way: str, key: str, equipment: str) -> None:
        offer = facts.plan.choice.financing
        self._facts, self.key, self._equipment = facts, key, equipment
        self._months, self._assets = facts.months, facts.plan.assets
        self._is_lease = way == PAID and offer.kind == "lease"
        self._is_rented = self._is_lease and facts.plan.payment.rented
        self._is_untaxed = self._is_lease and facts.plan.payment.untaxed
        self._price = sum(one(asset.price) for asset in self._assets)
        self._words = f", {NAMES[way]}" if offer.kind == "lease" else ""
        self._rule, self._side = Spreading(facts, side, f"printed_{key}"), side

    def bought(self, asset: Asset) -> Array:
        """What of an item is to be deducted, in the month of its purchase (months + 1,) [money]."""
        amounts = np.zeros(self._months + 1)
        own = one(asset.price if self._is_untaxed else asset.cost)
        start_up = one(self._facts.plan.outlays.start_up) * one(asset.price) / self._price
        amounts[0] = start_up + (0.0 if self._is_rented else own)
        for month, growth in zip(asset.bought[1:], asset.growth[1:], strict=True):
            amounts[month] = one(asset.cost) * one(growth)
        return amounts

    def spread(self, asset: Asset) -> Array:
        """Deductions of all purchases of an item (months + 1,) [money]."""
        amounts = self.bought(asset)
        return np.asarray(
            sum(
                amounts[month] * self._rule.by_month(amount=1.0, life=asset.life, first=month + 1)
                for month in asset.bought
            )
        )

    def after_lease(self, asset: Asset) -> Array:
        """Deductions of an item's part of the price at a lease's end (months + 1,) [money]."""
        return self._amount_after_lease(asset) * self._share_after_lease(asset)

    def _amount_after_lease(self, asset: Asset) -> float:
        month = self._facts.plan.payment.owned_from
        if not self._is_rented or month is None:
            return 0.0
        bought = float(self._facts.plan.debt.lump_sums[0, month])
        return bought * one(asset.price) / self._price

    def _share_after_lease(self, asset: Asset) -> Array:
        month = self._facts.plan.payment.owned_from or 0
        life = max(1.0, asset.life - month)
        return self._rule.by_month(amount=1.0, life=life, first=month + 1)

    @property
    def total(self) -> Array:
        """All deductions (months + 1,) [money]."""
        parts = [self.spread(asset) + self.after_lease(asset) for asset in self._assets]
        return np.asarray(sum(parts, _warranty(self._facts) + _first_fill(self._facts)))

    @property
    def book(self) -> float:
        """What is not yet deducted at the horizon, of the warranty too [money]."""
        warranty = one(self._facts.plan.outlays.warranty) - float(_warranty(self._facts).sum())
        return warranty + sum(
            float(self.bought(asset).sum() - self.spread(asset).sum())
            + self._amount_after_lease(asset)
            - float(self.after_lease(asset).sum())
            for asset in self._assets
        )

    @property
    def book_formula(self) -> str:
        """The same as a template."""
        numbers = range(1, len(self._assets) + 1)
        bought = ["warranty_price"]
        bought += [f"SUM({{tax.bought_{at}_{self.key}.all}})" for at in numbers]
        taken = ["SUM({tax.warranty_spread.all})"]
        taken += [f"SUM({{tax.spread_{at}_{self.key}.all}})" for at in numbers]
        if self._is_lease:
            bought.append(_BOUGHT_AT_LEASE_END)
            taken += [f"SUM({{tax.after_lease_{at}_{self.key}.all}})" for at in numbers]
        return f"{total_of(bought)}-({total_of(taken)})"

    @property
    def lines(self) -> Blocks:
        """Lines of every item, and of all deductions."""
        line, numbers = Months(self._months).line, range(1, len(self._assets) + 1)
        if self._rule.kind == "units":
            printed = np.append(0.0, np.cumsum(np.ravel(self._side.operations.area)))
            yield line(
                f"printed_{self.key}",
                "area printed so far",
                "m²",
                printed,
                f"{{printed_{self.key}.prev}}+{{{self.key.rpartition('_')[0]}.area}}",
                first="0",
            )
        for at, asset in enumerate(self._assets, start=1):
            yield Heading(f"{asset.name}{self._words}")
            yield from self._item(at, asset)
        keys = [f"spread_{at}_{self.key}" for at in numbers]
        if self._is_lease:
            keys += [f"after_lease_{at}_{self.key}" for at in numbers]
        yield line(
            f"deducted_{self.key}",
            f"all deductions{self._words}",
            self._facts.currency,
            self.total[1:],
            total_of([f"{{{key}}}" for key in (*keys, "warranty_spread", "first_fill")]),
            adds_up=True,
            is_sum=True,
        )

    def _item(self, at: int, asset: Asset) -> Iterator[Line]:
        line, currency, key = Months(self._months).line, self._facts.currency, self.key
        share, taxed = f"item_{at}_total/equipment_total", "(1+equipment_sales_tax)"
        own = f"item_{at}_total*{taxed}"
        if self._is_lease:
            own = f"(1-lease_is_rented)*item_{at}_total*(1+equipment_sales_tax*(1-lease_is_taxed))"
        again = f"{{{self._equipment}.bought_{at}}}*{{{self._equipment}.price_{at}}}*{taxed}"
        yield line(
            f"bought_{at}_{key}",
            "bought, with its part of start-up",
            currency,
            self.bought(asset),
            again,
            first=f"start_up_total*{share}+{own}",
            adds_up=True,
        )
        shares = [(month, f"share_{at}_{month}_{key}") for month in asset.bought]
        for month, name in shares:
            yield from self._shares(name, f"bought in month {month}", asset.life, month + 1)
        yield line(
            f"spread_{at}_{key}",
            "deducted",
            currency,
            self.spread(asset)[1:],
            self._rule.of_purchases(
                bought=f"bought_{at}_{key}", life=f"item_{at}_life", shares=shares
            ),
            adds_up=True,
        )
        if self._is_lease:
            yield from self._after_lease(at, asset, share)

    def _after_lease(self, at: int, asset: Asset, share: str) -> Iterator[Line]:
        month, name = self._facts.plan.payment.owned_from or 0, f"share_{at}_after_{self.key}"
        life = max(1.0, asset.life - month)
        yield from self._shares(name, "bought at the lease's end", life, month + 1)
        yield Months(self._months).line(
            f"after_lease_{at}_{self.key}",
            "purchase at the lease's end, deducted",
            self._facts.currency,
            self.after_lease(asset)[1:],
            self._rule.of_one(
                amount=f"{_BOUGHT_AT_LEASE_END}*{share}",
                life=f"MAX(1,item_{at}_life-lease_last)",
                after="lease_last",
                share=name,
            ),
            adds_up=True,
        )

    def _shares(self, name: str, words: str, life: float, first: int) -> Iterator[Line]:
        """The shares that a rule by tax year lays down for a purchase."""
        if self._rule.kind == "shares":
            yield Months(self._months).line(
                name,
                f"share by the rule, {words}; not live",
                "%",
                self._rule.by_month(amount=1.0, life=life, first=first)[1:],
                "",
            )


def deductions(facts: Facts) -> dict[str, Deductions]:
    """Deductions of the plan and of today's work with the machine, by way of paying.

    They are the same for both, and for a loan the same as for cash, where nothing else decides:
    a rule by area printed, or a lease.
    """
    tax = facts.scenario.tax
    assert tax is not None  # called where there is tax
    found: dict[str, Deductions] = {}
    for way in (CASH, PAID):
        if way == PAID and facts.is_cash:
            continue
        own = facts.in_way(way)
        sides = {"months": own.with_machine, "months_today": own.today_with_machine}
        for grid, side in sides.items():
            alias = facts.alias(grid, way)
            key = f"{alias}_{way}"
            by_area = tax.depreciation.life is not None
            same = f"{facts.alias('months', way)}_{way}" if not by_area else key
            if way == PAID and facts.plan.choice.financing.kind != "lease":
                same = same.replace(PAID, CASH)
            if same in found:
                found[key] = found[same]
                continue
            found[key] = Deductions(
                own, side, way=way, key=key, equipment=facts.alias("equipment", way)
            )
    return found


def _warranty(facts: Facts) -> Array:
    """The warranty over its term from the first month of running on (months + 1,) [money]."""
    term = max(1.0, facts.values.scalar(facts.machine.warranty.term))
    return np.asarray(
        depreciation_by_month(
            rule=depreciation_rule("straight line", life_months=term),
            base=one(facts.plan.outlays.warranty),
            months=facts.months,
            start_month=1,
            tax_year_end_month=12,
            first_month=facts.values.whole(facts.scenario.runs_from) + 1,
        )[0]
    )


def _first_fill(facts: Facts) -> Array:
    amounts = np.zeros(facts.months + 1)
    amounts[1] = one(facts.plan.outlays.first_fill)
    return amounts


def other_deductions(facts: Facts) -> Blocks:
    """Deductions that are the same in every way of paying."""
    term = "MAX(1,warranty_term)"
    line = Months(facts.months).line
    yield Heading("Warranty and first fill")
    yield line(
        "warranty_spread",
        "warranty over its term",
        facts.currency,
        _warranty(facts)[1:],
        f"warranty_price*(MIN({{calendar.age}},{term})-MIN({{calendar.age.prev}},{term}))/{term}",
        adds_up=True,
    )
    yield line(
        "first_fill",
        "first fill",
        facts.currency,
        _first_fill(facts)[1:],
        "IF({month}=1,first_fill_cost,0)",
        adds_up=True,
    )
