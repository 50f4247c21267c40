"""One choice put together: what the shop does each month, what it pays, what it is left with."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from planner.capital import (
    Asset,
    Outlays,
    assets,
    outlays,
    replacements,
    resale_at,
    resale_by_month,
)
from planner.case import Case, Choice
from planner.finance.debt import DebtFlows, no_debt
from planner.ledger import Group, Ledger, monthly, once
from planner.paying import Payment, payment_for
from planner.scenario.estimates import Array, Number
from planner.scenario.schema import Equipment, Warranty
from planner.shop.calendar import Calendar
from planner.shop.machine import Machine, machine
from planner.shop.month import Operations, operations_with, operations_without
from planner.shop.stations import Floor
from planner.taxes import Deductible, tax_lines, tax_on

Columns = dict[tuple[Group, str], Array]


@dataclass(frozen=True, eq=False)
class Plan:
    """A choice, month by month.

    ``ledger`` holds every line with its financing; ``cash_ledger`` the same machine bought for
    cash, with the tax it would then bear.
    """

    case: Case
    choice: Choice
    machine: Machine
    operations: Operations
    outlays: Outlays
    assets: tuple[Asset, ...]
    payment: Payment
    ledger: Ledger
    cash_ledger: Ledger

    @property
    def debt(self) -> DebtFlows:
        """The flows of the financing."""
        return self.payment.debt

    @property
    def resale(self) -> Array:
        """What the equipment would fetch for the shop at month ends (draws, months + 1) [money]."""
        worth = resale_by_month(self.assets, months=self.case.months)
        return worth if self.payment.owned_from is not None else np.zeros_like(worth)


@dataclass(frozen=True, eq=False)
class Without:
    """A shop that signs nothing, month by month."""

    operations: Operations
    ledger: Ledger


@dataclass(frozen=True, eq=False)
class Shop:
    """A case with a set of equipment: what its warranties and ways to pay have in common.

    ``machine`` is the set under any of its warranties; ``opening`` the steady month of today's work
    without it, at whose balance month 0 opens.
    """

    case: Case
    machine: Machine
    opening: Operations

    @cached_property
    def floor(self) -> Floor:
        """What is asked of the shop and its stations."""
        return Floor(self.case.setting(self.machine, self.case.calendar))

    @cached_property
    def without(self) -> Without:
        """The shop that buys its transfers in; of the machine only the press counts."""
        operations = operations_without(self.floor.setting, self.floor)
        months, running = self.case.months, monthly(operations.net, months=self.case.months)
        other = _working_capital(operations, self)
        other[Group.TAX, "income tax"] = tax_on(self.case, running)
        return Without(operations, Ledger(other, months, operations, {Group.RUNNING: running}))

    def today(self) -> Shop:
        """The same shop with today's work only."""
        return replace(self, case=self.case.today())


def shop_with(case: Case, equipment: Equipment) -> Shop:
    """A shop that could sign a set; raises ``DoesNotFitError`` where a print is too wide for it."""
    made = machine(
        scenario=case.scenario,
        equipment=equipment,
        warranty=equipment.warranty[0],
        values=case.values,
    )
    return _shop(case, made)


def _shop(case: Case, machine: Machine) -> Shop:
    return Shop(case, machine, operations_without(case.today().setting(machine, case.steady)))


def plan(case: Case, choice: Choice, *, payment: Payment | None = None) -> Plan:
    """Evaluate a choice; raises ``DoesNotFitError`` when a print is wider than the film.

    ``payment`` takes over the financing of the same choice in a case that only levers tell apart.
    """
    base = machine_under(shop_with(case, choice.equipment), choice.warranty)
    return financed(base, choice, payment or payment_of(base, choice))


def without(case: Case, machine: Machine) -> Without:
    """The shop that buys its transfers in; of the machine only the press counts."""
    return _shop(case, machine).without


@dataclass(frozen=True, eq=False)
class Base:
    """What a machine under a warranty brings, however it is paid for.

    ``other`` are the ledger's lines beside the running ones, ``running`` the sum of these.
    """

    shop: Shop
    machine: Machine
    operations: Operations
    outlays: Outlays
    assets: tuple[Asset, ...]
    other: Columns
    running: Array

    @cached_property
    def cash_ledger(self) -> Ledger:
        """The machine bought for cash."""
        return _ledger(self, Payment(debt=no_debt(months=self.case.months)))

    @property
    def case(self) -> Case:
        """The scenario with its values."""
        return self.shop.case


def machine_under(shop: Shop, warranty: Warranty, until: int | None = None) -> Base:
    """The shop's machine under a warranty; ``until`` is the month after which it goes back."""
    case, made = shop.case, replace(shop.machine, warranty=warranty)
    calendar, floor = case.calendar, shop.floor
    if until is not None:
        calendar = _stopped(calendar, until)
        floor = Floor(case.setting(made, calendar))
    operations = operations_with(case.setting(made, calendar), floor)
    paid = outlays(scenario=case.scenario, machine=made, values=case.values)
    items = assets(machine=made, calendar=calendar, values=case.values)
    return Base(
        shop=shop,
        machine=made,
        operations=operations,
        outlays=paid,
        assets=items,
        other={
            **_capital(paid, items, case),
            **_working_capital(operations, shop),
            **_sold_at_end(paid, items, case),
        },
        running=monthly(operations.net, months=case.months),
    )


def _stopped(calendar: Calendar, until: int) -> Calendar:
    """The calendar of a machine that goes back after a month."""
    held = np.asarray(np.arange(1, calendar.months + 1) <= until, dtype=float)
    return replace(calendar, held=held, running=calendar.running * held)


def _capital(paid: Outlays, items: tuple[Asset, ...], case: Case) -> Columns:
    at_signing = {
        "equipment": paid.equipment,
        "sales tax on equipment": paid.sales_tax,
        "start-up": paid.start_up,
        "warranty": paid.warranty,
        "first fill": paid.first_fill,
        "opening stock": paid.stock,
    }
    columns: Columns = {
        (Group.CAPITAL, name): once(-1.0 * amount, month=0, months=case.months)
        for name, amount in at_signing.items()
    }
    columns[Group.CAPITAL, "replacements"] = replacements(items, months=case.months)
    return columns


def _working_capital(operations: Operations, shop: Shop) -> Columns:
    """The change in what customers owe less what is owed to suppliers, and its return.

    Month 0 opens at the balance of a steady month of today's work.
    """
    case, months = shop.case, shop.case.months
    balance = monthly(_owed_to_shop(operations, case), months=months)
    balance[:, :1] = _owed_to_shop(shop.opening, case)
    change = np.zeros_like(balance)
    np.subtract(balance[:, :-1], balance[:, 1:], out=change[:, 1:])
    returned = once(balance[:, -1], month=months, months=months)
    return {
        (Group.WORKING_CAPITAL, "change in working capital"): change,
        (Group.END, "working capital returned"): returned,
    }


def _owed_to_shop(operations: Operations, case: Case) -> Number:
    """What customers owe after a month's work less what is owed to suppliers [money]."""
    shop, values = case.scenario.shop, case.values
    to_come = values(shop.customers_pay_after) * 12 / 365
    to_pay = values(shop.suppliers_paid_after) * 12 / 365
    owed = operations.purchases * to_pay if np.any(to_pay) else 0.0
    return operations.sales * to_come - owed


def _sold_at_end(paid: Outlays, items: tuple[Asset, ...], case: Case) -> Columns:
    months = case.months
    worth = resale_at(items, month=months)
    return {
        (Group.END, "stock sold off"): once(paid.stock, month=months, months=months),
        (Group.END, "resale"): once(worth, month=months, months=months),
    }


def payment_of(base: Base, choice: Choice) -> Payment:
    """The choice's way to pay for the machine, the same whatever the levers."""
    return payment_for(
        offer=choice.financing,
        outlays=base.outlays,
        assets=base.assets,
        months=base.case.months,
        values=base.case.values,
    )


def financed(base: Base, choice: Choice, payment: Payment) -> Plan:
    """The machine with its way to pay."""
    months, for_cash = base.case.months, base.cash_ledger
    if payment.goes_back_after is not None and payment.goes_back_after < months:
        base = machine_under(base.shop, choice.warranty, until=payment.goes_back_after)
    return Plan(
        case=base.case,
        choice=choice,
        machine=base.machine,
        operations=base.operations,
        outlays=base.outlays,
        assets=base.assets,
        payment=payment,
        ledger=for_cash if payment.is_cash else _ledger(base, payment),
        cash_ledger=for_cash,
    )


def _ledger(base: Base, payment: Payment) -> Ledger:
    months = base.case.months
    other = base.other | _financing(payment, months)
    if payment.untaxed:
        other[Group.CAPITAL, "sales tax on equipment"] = np.zeros((1, months + 1))
    if payment.owned_from is None:
        other[Group.END, "resale"] = np.zeros((1, months + 1))
    if base.case.scenario.tax is not None:
        other |= tax_lines(
            case=base.case,
            running=base.running,
            resale=other[Group.END, "resale"],
            payment=payment,
            deductible=Deductible(
                outlays=base.outlays,
                assets=base.assets,
                warranty=base.machine.warranty,
                printed=base.operations.area,
            ),
        )
    return Ledger(other, months, base.operations, {Group.RUNNING: base.running})


def _financing(payment: Payment, months: int) -> Columns:
    debt = payment.debt
    return {
        (Group.FINANCING, "loan paid out"): debt.proceeds,
        (Group.FINANCING, "paid by the lessor"): once(
            payment.paid_for_shop, month=0, months=months
        ),
        (Group.FINANCING, "principal"): debt.principal,
        (Group.FINANCING, "interest"): debt.interest,
        (Group.FINANCING, "lease payments"): debt.rent,
        (Group.FINANCING, "fees"): debt.fees,
        (Group.FINANCING, "sales tax on lease payments"): debt.tax_on_payments,
        (Group.FINANCING, "deposit"): debt.deposit,
        (Group.FINANCING, "purchase at lease end"): debt.purchase,
        (Group.END, "debt settled"): debt.settlement,
    }


def steady_operations(case: Case, machine: Machine) -> Operations:
    """The steady month with the machine."""
    return operations_with(case.setting(machine, case.steady))


def steady_without(case: Case, machine: Machine) -> Operations:
    """The steady month with transfers bought in."""
    return operations_without(case.setting(machine, case.steady))


def value_of(amount: Number) -> float:
    """The one value of a figure that was not drawn."""
    return float(np.ravel(np.asarray(amount))[0])
