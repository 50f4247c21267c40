"""Sales and running costs of a month, line by line as in the ledger."""

from __future__ import annotations

from collections.abc import Mapping

from planner.deliver.workbook.buying import delivery_formula, transfers_formula
from planner.deliver.workbook.facts import Facts, Side
from planner.deliver.workbook.grid import Heading, total_of
from planner.deliver.workbook.materials import PRESS_ENERGY
from planner.deliver.workbook.months import Months
from planner.deliver.workbook.pieces import Blocks, span
from planner.deliver.workbook.wear import wear_cost_formula

_COSTS = "*{calendar.costs}"
_LABOUR = (
    "-MAX(0,{hours}-(shop_unpaid_hours+shop_hours_already_paid)*shop_open_weeks/12)"
    "*full_wage*{calendar.wages}"
)
_OVERTIME = "-{overtime_worked}*full_wage*overtime_extra*{calendar.wages}"
_FEES = (
    f"-(({{sales}}+{{sales_lost}})*selling_payment_fee+selling_payment_fee_each*{{orders}}{_COSTS})"
)
_PACKING = f"-selling_packing*{{handled}}{_COSTS}"
_MATERIALS = {
    "ink": f"-({{white}}*ink_white_price+{{colour}}*ink_colour_price){_COSTS}",
    "film": f"-{{film_fed}}*film_price{_COSTS}",
    "powder": f"-{{powder_used}}*powder_price{_COSTS}",
    "ink lost": f"-{{equipment.ink_lost}}*liquid_price{_COSTS}",
    "ink thrown away": "-({white_thrown}*ink_white_price+{colour_thrown}*ink_colour_price)"
    + _COSTS,
    "film ends": f"-{{film_at_ends}}*film_price{_COSTS}",
}


def key_of(name: str) -> str:
    """The key of a ledger line."""
    return name.replace(" ", "_").replace("-", "_")


def formulas_with_machine(facts: Facts) -> dict[str, str]:
    """Formulas of the lines of a shop that owns the machine, by the names of the ledger."""
    runs = "{calendar.running}"
    return {
        **_sales(facts),
        **(_MATERIALS if facts.prints else {}),
        **_bought(facts, {"buy": "bought"} | ({"hurry": "hurried"} if facts.prints else {})),
        "labour": _LABOUR,
        "overtime": _OVERTIME,
        "energy": f"-{{energy_used}}*shop_electricity{_COSTS}",
        "supplies": f"-{runs}*supplies_month{_COSTS}",
        "insurance": f"-insurance_month*{{calendar.held}}{_COSTS}",
        "wear parts": f"-({wear_cost_formula(facts)}){_COSTS}",
        "repairs": f"-{{equipment.repair_cost}}*{runs}{_COSTS}",
        "overheads": _overheads(facts, has_machine=True),
        "payment fees": _FEES,
        "packing": _PACKING,
    }


def formulas_without(facts: Facts) -> dict[str, str]:
    """Formulas of the lines of a shop that signs nothing."""
    return {
        **_sales(facts),
        **_bought(facts, {"buy": "sold"}),
        "labour": _LABOUR,
        "overtime": _OVERTIME,
        "energy": f"-{PRESS_ENERGY}*shop_electricity{_COSTS}",
        "overheads": _overheads(facts, has_machine=False),
        "payment fees": _FEES,
        "packing": _PACKING,
    }


def _sales(facts: Facts) -> dict[str, str]:
    """Sales asked for, what of them is lost, and the garments of what is sold."""
    sold, lost = span(facts, "sold"), span(facts, "lost")
    both = f"SUMPRODUCT({sold},product_price)+SUMPRODUCT({lost},product_price)"
    return {
        "sales": f"({both})*{{calendar.prices}}",
        "sales lost": f"-SUMPRODUCT({lost},product_price)*{{calendar.prices}}",
        "garments": f"-SUMPRODUCT({sold},product_garments,product_garment){_COSTS}",
    }


def _bought(facts: Facts, pieces_by_key: Mapping[str, str]) -> dict[str, str]:
    if facts.scenario.today is None:
        return {}
    lines = {"buy": "transfers bought in", "hurry": "transfers bought in a hurry"}
    transfers = {
        lines[key]: f"-{transfers_formula(facts, pieces=pieces, key=key)}"
        for key, pieces in pieces_by_key.items()
    }
    deliveries = [
        delivery_formula(facts, cost=f"-{{{key_of(lines[key])}}}", key=key) for key in pieces_by_key
    ]
    return transfers | {"delivery of transfers": f"-({total_of(deliveries)})"}


def _overheads(facts: Facts, *, has_machine: bool) -> str:
    both = [at for at, one in enumerate(facts.scenario.overheads, start=1) if one.already_paid]
    own = [at for at, one in enumerate(facts.scenario.overheads, start=1) if not one.already_paid]
    costs = [f"overhead_{at}_cost" for at in both]
    if has_machine:
        costs += [f"overhead_{at}_cost*{{calendar.held}}" for at in own]
    return f"-({total_of(costs)}){_COSTS}"


def running_lines(facts: Facts, side: Side, formulas: Mapping[str, str]) -> Blocks:
    """The running lines with their sum; money in is positive."""
    line = Months(facts.months).line
    yield Heading("Running: money in is positive, money out negative")
    for name, formula in formulas.items():
        yield line(
            key_of(name), name, facts.currency, side.operations.lines[name], formula, adds_up=True
        )
    yield line(
        "running",
        "running, in all",
        facts.currency,
        sum(side.operations.lines.values()),
        total_of([f"{{{key_of(name)}}}" for name in formulas]),
        adds_up=True,
        is_sum=True,
    )
