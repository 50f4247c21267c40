"""One choice put together: what the shop does each month, what it pays, what it is left with."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from planner.capital import Asset, Outlays, assets, outlays, replacements, resale_by_month
from planner.case import Case, Choice
from planner.finance.debt import DebtFlows, no_debt
from planner.ledger import Group, Ledger, monthly, once
from planner.paying import Payment, payment_for
from planner.scenario.estimates import Array, Number
from planner.shop.calendar import Calendar
from planner.shop.machine import Machine, machine
from planner.shop.month import Operations, operations_with, operations_without
from planner.taxes import Deductible, tax_lines, tax_on_running

Columns = dict[tuple[Group, str], Array]


@dataclass(frozen=True, eq=False)
class Plan:
    """A choice, month by month.

    ``ledger`` holds every line with its financing; ``cash_ledger`` the same machine bought for
    cash, with the tax it would then bear; ``resale`` what the equipment would fetch for the shop
    at each month's end (draws, months + 1) [money].
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
    resale: Array

    @property
    def debt(self) -> DebtFlows:
        """The flows of the financing."""
        return self.payment.debt


@dataclass(frozen=True, eq=False)
class Without:
    """A shop that signs nothing, month by month."""

    operations: Operations
    ledger: Ledger


def plan(case: Case, choice: Choice, *, payment: Payment | None = None) -> Plan:
    """Evaluate a choice; raises ``DoesNotFitError`` when a print is wider than the film.

    ``payment`` takes over the financing of the same choice in a case that only levers tell apart.
    """
    return _financed(_base(case, choice), choice, payment)


def plans(case: Case, wanted: tuple[Choice, ...]) -> Iterator[Plan]:
    """Evaluate choices; what does not depend on the financing is worked out once a machine."""
    bases: dict[tuple[str, str], _Base] = {}
    for choice in wanted:
        key = (choice.equipment.name, choice.warranty.name)
        if key not in bases:
            bases[key] = _base(case, choice)
        yield _financed(bases[key], choice, None)


def without(case: Case, machine: Machine) -> Without:
    """The shop that buys its transfers in; of the machine only the press counts."""
    operations = operations_without(case.setting(machine, case.calendar))
    columns = {
        **_running(operations, case),
        **_working_capital(operations, machine, case),
    }
    columns[Group.TAX, "income tax"] = tax_on_running(case, columns)
    return Without(operations, Ledger(columns, case.months))


@dataclass(frozen=True, eq=False)
class _Base:
    """What a machine under a warranty brings, however it is paid for."""

    case: Case
    choice: Choice
    machine: Machine
    operations: Operations
    outlays: Outlays
    assets: tuple[Asset, ...]
    columns: Columns
    cash_ledger: Ledger


def _base(case: Case, choice: Choice, until: int | None = None) -> _Base:
    made = machine(
        scenario=case.scenario,
        equipment=choice.equipment,
        warranty=choice.warranty,
        values=case.values,
    )
    calendar = case.calendar if until is None else _stopped(case.calendar, until)
    operations = operations_with(case.setting(made, calendar))
    paid = outlays(scenario=case.scenario, machine=made, values=case.values)
    items = assets(machine=made, calendar=calendar, values=case.values)
    columns = {
        **_capital(paid, items, case),
        **_running(operations, case),
        **_working_capital(operations, made, case),
        **_sold_at_end(paid, items, case),
    }
    shared = Ledger(columns, case.months).sums_of(Group.RUNNING, Group.WORKING_CAPITAL)
    empty = Ledger({}, case.months, shared)
    base = _Base(case, choice, made, operations, paid, items, columns, empty)
    return replace(base, cash_ledger=_ledger(base, Payment(debt=no_debt(months=case.months))))


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


def _running(operations: Operations, case: Case) -> Columns:
    return {
        (Group.RUNNING, name): monthly(flow, months=case.months)
        for name, flow in operations.lines.items()
    }


def _working_capital(operations: Operations, made: Machine, case: Case) -> Columns:
    """The change in what customers owe less what is owed to suppliers, and its return.

    Month 0 opens at the balance of a steady month of today's work.
    """
    shop, values, months = case.scenario.shop, case.values, case.months
    to_come = values(shop.customers_pay_after) * 12 / 365
    to_pay = values(shop.suppliers_paid_after) * 12 / 365
    today = operations_without(case.today().setting(made, case.steady))
    opening = today.sales * to_come - today.purchases * to_pay
    later = operations.sales * to_come - operations.purchases * to_pay
    balance = monthly(later, months=months) + once(opening, month=0, months=months)
    change = np.zeros_like(balance)
    change[:, 1:] = -np.diff(balance, axis=-1)
    returned = once(balance[:, -1], month=months, months=months)
    return {
        (Group.WORKING_CAPITAL, "change in working capital"): change,
        (Group.END, "working capital returned"): returned,
    }


def _sold_at_end(paid: Outlays, items: tuple[Asset, ...], case: Case) -> Columns:
    months = case.months
    worth = resale_by_month(items, months=months)[:, -1]
    return {
        (Group.END, "stock sold off"): once(paid.stock, month=months, months=months),
        (Group.END, "resale"): once(worth, month=months, months=months),
    }


def _financed(base: _Base, choice: Choice, payment: Payment | None) -> Plan:
    months, for_cash = base.case.months, base.cash_ledger
    payment = payment or payment_for(
        offer=choice.financing,
        outlays=base.outlays,
        assets=base.assets,
        months=months,
        values=base.case.values,
    )
    if payment.goes_back_after is not None and payment.goes_back_after < months:
        base = _base(base.case, choice, until=payment.goes_back_after)
    resale = resale_by_month(base.assets, months=months)
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
        resale=resale if payment.owned_from is not None else np.zeros_like(resale),
    )


def _ledger(base: _Base, payment: Payment) -> Ledger:
    months = base.case.months
    columns = base.columns | _financing(payment, months)
    if payment.untaxed:
        columns[Group.CAPITAL, "sales tax on equipment"] = np.zeros((1, months + 1))
    if payment.owned_from is None:
        columns[Group.END, "resale"] = np.zeros((1, months + 1))
    if base.case.scenario.tax is not None:
        columns |= tax_lines(
            case=base.case,
            columns=columns,
            payment=payment,
            deductible=Deductible(
                outlays=base.outlays,
                assets=base.assets,
                warranty=base.choice.warranty,
                printed=base.operations.area,
            ),
        )
    shared = base.cash_ledger.sums_of(Group.RUNNING, Group.WORKING_CAPITAL)
    return Ledger(columns, months, shared)


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
