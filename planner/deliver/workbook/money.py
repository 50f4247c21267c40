"""The ledger of a shop line by line: purchase, working capital, financing, tax, end and net."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from planner.deliver.workbook.facts import CASH, PAID, Facts, Side
from planner.deliver.workbook.grid import Heading, Line, total_of
from planner.deliver.workbook.months import Months
from planner.deliver.workbook.pieces import Blocks
from planner.deliver.workbook.running import key_of
from planner.ledger import Group, Ledger
from planner.scenario.estimates import Array
from planner.shop.costs import BOUGHT_LINES, MATERIAL_LINES

Formulas = Mapping[Group, Mapping[str, str]]

OUTLAYS: Final = {
    "equipment": "-equipment_total",
    "sales tax on equipment": "-equipment_tax",
    "start-up": "-start_up_total",
    "warranty": "-warranty_price",
    "first fill": "-first_fill_cost",
    "opening stock": "-stock_opening",
}
LOAN: Final = ("loan paid out", "principal", "interest", "fees")
FINANCING: Final[Mapping[str, Sequence[str]]] = {
    "loan": LOAN,
    "instalments": LOAN,
    "lease": (
        *("paid by the lessor", "lease payments", "fees", "sales tax on lease payments"),
        *("deposit", "purchase at lease end"),
    ),
}
NAMES: Final = {CASH: "bought for cash", PAID: "as it is paid for"}


def opening_balance(ledger: Ledger) -> float:
    """What customers owe less what is owed to suppliers at signing [money]."""
    returned = ledger.line("working capital returned")
    return float((_change(ledger) + returned).sum())


def _change(ledger: Ledger) -> Array:
    return ledger.columns[Group.WORKING_CAPITAL, "change in working capital"]


def working_capital_lines(facts: Facts, side: Side, formulas: Mapping[str, str]) -> Blocks:
    """What customers owe less what is owed to suppliers, and its change."""
    line, ledger = Months(facts.months).line, next(iter(side.ledgers.values()))
    change = _change(ledger)
    sales = [name for name in ("sales", "sales lost") if name in formulas]
    paid = [name for name in (*MATERIAL_LINES, *BOUGHT_LINES) if name in formulas]
    yield Heading("Working capital")
    yield line(
        "owed",
        "owed by customers less owed to suppliers",
        facts.currency,
        opening_balance(ledger) - np.cumsum(change, axis=-1),
        f"({_cells(sales)})*shop_customers_pay_after*12/365"
        f"+({_cells(paid)})*shop_suppliers_paid_after*12/365",
        first="opening_owed",
    )
    yield line(
        "working_capital",
        "change in working capital",
        facts.currency,
        change[:, 1:],
        "{owed.prev}-{owed}",
        adds_up=True,
    )


def _cells(names: Sequence[str]) -> str:
    return total_of([f"{{{key_of(name)}}}" for name in names])


def formulas_of_machine(facts: Facts, alias: str, way: str) -> Formulas:
    """Formulas of the ledger of a shop that owns or rents the machine, running lines left out."""
    is_lease = way == PAID and facts.plan.choice.financing.kind == "lease"
    names = FINANCING[facts.plan.choice.financing.kind] if way == PAID else ()
    outlays = dict(OUTLAYS)
    if is_lease:
        outlays["sales tax on equipment"] += "*(1-lease_is_taxed)"
    end = {
        "working capital returned": _at_end("{owed}"),
        "stock sold off": _at_end("stock_opening"),
        "resale": _at_end("{equipment.worth}" + ("*lease_is_owned" if is_lease else "")),
    }
    if names:
        end["debt settled"] = "{paying.debt_settled}"
    if facts.scenario.tax is not None:
        end["tax on resale"] = _at_end(f"sale_tax_{alias}_{way}")
    return {
        Group.CAPITAL: outlays | {"replacements": "{equipment.replacements}"},
        Group.FINANCING: {name: f"{{paying.{key_of(name)}}}" for name in names},
        Group.TAX: _tax(facts, alias, way),
        Group.END: end,
    }


def formulas_of_buying(facts: Facts, alias: str) -> Formulas:
    """Formulas of the ledger of a shop that signs nothing, running lines left out."""
    return {
        Group.TAX: _tax(facts, alias, CASH),
        Group.END: {"working capital returned": _at_end("{owed}")},
    }


def _tax(facts: Facts, alias: str, way: str) -> dict[str, str]:
    return {} if facts.scenario.tax is None else {"income tax": f"{{tax.{alias}_{way}}}"}


def _at_end(amount: str) -> str:
    return f"IF({{month}}=horizon,{amount},0)"


def ledger_lines(facts: Facts, side: Side, formulas: Formulas, way: str) -> Blocks:
    """The lines of a ledger by group, its net flow, and what comes before the horizon's end."""
    ledger = side.ledgers[way]
    groups = [group for group, lines in formulas.items() if lines]
    for group in groups:
        yield Heading(f"{group.value.capitalize()}, {NAMES[way]}")
        lines = formulas[group]
        if len(lines) > 1:
            for name, formula in lines.items():
                yield _line(facts, ledger, group, name, formula, way)
        yield _total(facts, ledger, group, lines, way)
    yield Heading(f"Net, {NAMES[way]}")
    yield from _net(facts, ledger, groups, way)


def _line(facts: Facts, ledger: Ledger, group: Group, name: str, formula: str, way: str) -> Line:
    months, flows = Months(facts.months), ledger.columns[group, name]
    key = f"{key_of(name)}_{way}"
    if name in OUTLAYS:
        return months.at_signing(key, name, facts.currency, flows[:, 0], formula)
    if group is not Group.FINANCING:
        flows = flows[:, 1:]
    return months.line(key, name, facts.currency, flows, formula, adds_up=True)


def _total(facts: Facts, ledger: Ledger, group: Group, lines: Mapping[str, str], way: str) -> Line:
    """The sum of a group; a group of one line is that line."""
    flows = ledger.total(group)
    cells = [f"{{{key_of(name)}_{way}}}" for name in lines]
    return Months(facts.months).line(
        f"{group.name.lower()}_{way}",
        group.value if len(lines) == 1 else f"{group.value}, in all",
        facts.currency,
        flows if group in (Group.CAPITAL, Group.FINANCING) else flows[:, 1:],
        total_of(cells) if len(lines) > 1 else next(iter(lines.values())),
        adds_up=True,
        is_sum=True,
    )


def _net(facts: Facts, ledger: Ledger, groups: Sequence[Group], way: str) -> Blocks:
    line = Months(facts.months).line
    before = [f"{{{group.name.lower()}_{way}}}" for group in groups if group is not Group.END]
    yield line(
        f"before_end_{way}",
        "net, without what only the end of the horizon brings",
        facts.currency,
        ledger.before_end,
        total_of([*before, "{running}", "{working_capital}"]),
        adds_up=True,
        is_sum=True,
    )
    yield line(
        f"net_{way}",
        "net",
        facts.currency,
        ledger.net,
        f"{{before_end_{way}}}+{{end_{way}}}",
        adds_up=True,
        is_sum=True,
    )
    yield line(
        f"cumulative_{way}",
        "cumulative",
        facts.currency,
        np.cumsum(ledger.net, axis=-1),
        f"{{cumulative_{way}.prev}}+{{net_{way}}}",
        first=f"{{net_{way}}}",
    )
