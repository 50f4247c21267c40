"""What is deducted month by month: items over their lives, the warranty, the first fill."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planner.capital import Asset, straight_line
from planner.deliver.workbook.facts import CASH, PAID, Facts, one
from planner.deliver.workbook.grid import Heading, Line, total_of
from planner.deliver.workbook.months import Months
from planner.deliver.workbook.pieces import Blocks
from planner.scenario.estimates import Array


class Deductions:
    """Deductions of the choice in one way of paying, as values and as lines.

    A loan changes none of them, so that only a lease has deductions of its own. ``way`` names the
    lines.
    """

    def __init__(self, facts: Facts, way: str) -> None:
        self._facts, self.way = facts, way
        self._months, self._assets = facts.months, facts.plan.assets
        self._is_lease = way == PAID and facts.plan.choice.financing.kind == "lease"
        self._is_rented = self._is_lease and facts.plan.payment.rented
        self._is_untaxed = self._is_lease and facts.plan.payment.untaxed
        self._price = sum(one(asset.price) for asset in self._assets)

    def bought(self, asset: Asset) -> Array:
        """What of an item is to be deducted, in the month of its purchase (months + 1,) [money]."""
        amounts = np.zeros(self._months + 1)
        own = one(asset.price if self._is_untaxed else asset.cost)
        start_up = one(self._facts.plan.outlays.start_up) * one(asset.price) / self._price
        amounts[0] = start_up + (0.0 if self._is_rented else own)
        for month, growth in zip(asset.bought[1:], asset.growth[1:], strict=True):
            amounts[month] += one(asset.cost) * one(growth)
        return amounts

    def spread(self, asset: Asset) -> Array:
        """Equal deductions over the item's life after each purchase (months + 1,) [money]."""
        parts = [
            self._straight_line(amount, asset.life, month + 1)
            for month, amount in enumerate(self.bought(asset))
            if amount
        ]
        return np.asarray(sum(parts, np.zeros(self._months + 1)))

    def bought_at_lease_end(self, asset: Asset) -> float:
        """What of the purchase at the end of a lease falls on an item [money]."""
        month = self._facts.plan.payment.owned_from
        if not self._is_rented or month is None:
            return 0.0
        return -float(self._facts.plan.debt.purchase[0, month]) * one(asset.price) / self._price

    def spread_after_lease(self, asset: Asset) -> Array:
        """That amount over what is left of the item's life (months + 1,) [money]."""
        month = self._facts.plan.payment.owned_from or 0
        life = max(1.0, asset.life - month)
        return self._straight_line(self.bought_at_lease_end(asset), life, month + 1)

    def _straight_line(self, amount: float, life: float, first: int) -> Array:
        spread, _ = straight_line(cost=amount, life=life, first=first, months=self._months)
        return np.asarray(spread[0])

    @property
    def total(self) -> Array:
        """All deductions (months + 1,) [money]."""
        parts = [self.spread(asset) + self.spread_after_lease(asset) for asset in self._assets]
        return np.asarray(sum(parts, _warranty(self._facts) + _first_fill(self._facts)))

    @property
    def book(self) -> float:
        """What is not yet deducted at the horizon [money]."""
        return sum(
            float(self.bought(asset).sum() - self.spread(asset).sum())
            + self.bought_at_lease_end(asset)
            - float(self.spread_after_lease(asset).sum())
            for asset in self._assets
        )

    @property
    def book_formula(self) -> str:
        """The same as a template."""
        numbers, way = range(1, len(self._assets) + 1), self.way
        terms = [f"SUM({{tax.bought_{at}_{way}.all}})" for at in numbers]
        terms += [f"-SUM({{tax.spread_{at}_{way}.all}})" for at in numbers]
        if self._is_lease:
            terms.append("lease_is_rented*lease_is_owned*lease_worth_at_end")
            terms += [f"-SUM({{tax.after_lease_{at}.all}})" for at in numbers]
        return total_of(terms).replace("+-", "-")

    @property
    def lines(self) -> Blocks:
        """Lines of every item, and of all deductions."""
        for at, asset in enumerate(self._assets, start=1):
            yield Heading(asset.name)
            yield from self._item(at, asset)
        keys = [f"spread_{at}_{self.way}" for at in range(1, len(self._assets) + 1)]
        if self._is_lease:
            keys += [f"after_lease_{at}" for at in range(1, len(self._assets) + 1)]
        yield Months(self._months).line(
            f"deducted_{self.way}",
            "all deductions",
            self._facts.currency,
            self.total[1:],
            total_of([f"{{{key}}}" for key in (*keys, "warranty_spread", "first_fill")]),
            adds_up=True,
            is_sum=True,
        )

    def _item(self, at: int, asset: Asset) -> Iterator[Line]:
        line, currency, way = Months(self._months).line, self._facts.currency, self.way
        share = f"item_{at}_total/equipment_total"
        own = f"item_{at}_total*(1+equipment_sales_tax)"
        if self._is_lease:
            own = (
                f"(1-lease_is_rented)*item_{at}_total*(1+equipment_sales_tax*(1-lease_is_taxed))"
            )
        life, age = f"item_{at}_life", "({month}-{month.all})"
        yield line(
            f"bought_{at}_{way}",
            "bought, with its part of start-up",
            currency,
            self.bought(asset),
            f"{{equipment.bought_{at}}}*{{equipment.price_{at}}}*(1+equipment_sales_tax)",
            first=f"start_up_total*{share}+{own}",
            adds_up=True,
        )
        yield line(
            f"spread_{at}_{way}",
            "deducted over its life",
            currency,
            self.spread(asset)[1:],
            f"SUMPRODUCT({{bought_{at}_{way}.all}},({age}>=1)*({age}<={life})"
            f"+({age}>{life})*({age}-1<{life})*({life}-{age}+1))/{life}",
            adds_up=True,
        )
        if self._is_lease:
            left = f"MAX(1,{life}-lease_last)"
            yield line(
                f"after_lease_{at}",
                "purchase at the lease's end, deducted",
                currency,
                self.spread_after_lease(asset)[1:],
                f"lease_is_rented*lease_is_owned*lease_worth_at_end*{share}"
                f"*(MIN(MAX({{month}}-lease_last,0),{left})"
                f"-MIN(MAX({{month}}-lease_last-1,0),{left}))/{left}",
                adds_up=True,
            )


def deductions(facts: Facts) -> dict[str, Deductions]:
    """Deductions by way of paying; a loan leaves them as they are for cash."""
    for_cash = Deductions(facts, CASH)
    if facts.plan.choice.financing.kind != "lease":
        return dict.fromkeys(facts.ways, for_cash)
    return {CASH: for_cash, PAID: Deductions(facts, PAID)}


def _warranty(facts: Facts) -> Array:
    """The warranty over its term from the first month of running on (months + 1,) [money]."""
    term = facts.values.scalar(facts.machine.warranty.term)
    if term <= 0:
        return np.zeros(facts.months + 1)
    spread, _ = straight_line(
        cost=one(facts.plan.outlays.warranty),
        life=term,
        first=facts.values.whole(facts.scenario.runs_from) + 1,
        months=facts.months,
    )
    return np.asarray(spread[0])


def _first_fill(facts: Facts) -> Array:
    amounts = np.zeros(facts.months + 1)
    amounts[1] = one(facts.plan.outlays.first_fill)
    return amounts


def other_deductions(facts: Facts) -> Blocks:
    """Deductions that are the same in every way of paying."""
    line = Months(facts.months).line
    yield Heading("Warranty and first fill")
    yield line(
        "warranty_spread",
        "warranty over its term",
        facts.currency,
        _warranty(facts)[1:],
        "IF(warranty_term>0,warranty_price*(MIN({calendar.age},warranty_term)"
        "-MIN({calendar.age.prev},warranty_term))/warranty_term,0)",
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
