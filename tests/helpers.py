"""A shop in which nothing costs anything until a test says so, and short ways to ask about it.

The bare shop is open four weeks of five days in every month (48 weeks a year), prints 100 pieces of
a quarter of a square metre a month for nothing and sells them at 10; its machine costs 1,200, lasts
ten years and is worth nothing when sold. Its test print takes 20 mL of white and 10 mL of colour
ink and 10 g of powder a square metre. Its ink comes by the drop, so that none is thrown away.
"""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from planner.case import Case, Choice, choices
from planner.decide.answer import AnswerPage, answer
from planner.decide.evaluation import Evaluation, evaluations
from planner.deliver.document import figures_document
from planner.plan import Plan, plan
from planner.scenario.estimates import Array, Number, Values
from planner.scenario.load import load
from planner.scenario.schema import Scenario
from planner.shop.machine import Machine, Setting, machine

# What figures.json holds beside the choices, orders and current among it.
BESIDE = (
    "film",
    "make_or_buy_by_price",
    "orders",
    "price_list",
    "rush_surcharges_per_month",
    "warranties",
    "consumables",
    "current",
)
ROOT = Path(__file__).parent.parent
SHIPPED = tuple(sorted(path.stem for path in (ROOT / "scenarios").glob("*.toml")))

SHEET = """design,area [m^2],copies,white [mL],colour [mL],before powder [g],after powder [g]
Square,1,1,20,10,50,60
"""
BARE = """
currency = "USD"
start = "2027-01"
runs_from = "0 months"
horizon = "12 months"
hurdle_rate = "0 %/year"

[shop]
open_weeks = "48 week/year"
efficiency = "100 %"
staff_hours = "1000 hour/week"
wage = "20 USD/hour"
on_costs = "0 %"
electricity = "0 USD/kWh"
customers_pay_after = "0 day"
cash_at_start = 0

[[products]]
name = "Tee"
prints = ["50 cm x 50 cm"]
price = 10
garment = 0
planned = "25 piece/week"
pieces_per_order = 1

[ramp]
start_share = "100 %"
months = "0 months"
spoilage_at_start = "0 %"

[growth]

[test_prints]
file = "bare.csv"

[ink]
price = "0 USD/L"
pack = "0.001 mL"
keeps = "1200 months"
first_fill = "0 L"
daily_loss = "0 mL/day"
closed_day_loss = "0 mL/day"
long_stop = { after = "365 day", ink = "0 mL", time = "0 min" }

[film]
roll = "1 m x 100 m"
roll_price = 1e-9
margin = "0 cm"
gap = "0 cm"
run_ends = "0 m/run"
roll_ends = "0 m/roll"

[powder]
price = "0 USD/kg"
lost = "0 %"

[spoilage]
transfers = "0 %"
garments = "0 %"
redone = "0 %"

[labour]
artwork = "0 min/design"
order_setup = "0 min/order"
tending = "0 min/m^2"
cutting = "0 min/print"
pressing = "0 min/print"
daily = "0 min/day"
weekly = "0 min/week"

[selling]
payment_fee = "0 %"

[[equipment]]
name = "Set"
print_speed = "10 m^2/hour"
power = "0 kW"
dryer_on = "0 hour/day"
dryer_warm_up = "0 min/day"
press_power = "0 kW"
supplies = "0 USD/month"
insurance = "0 %/year"
start_up = []
wear_parts = []
repairs = { in_first_year = 0, cost = 0 }

  [[equipment.items]]
  name = "Machine"
  price = 1200
  life = "10 years"
  worth = { after = "36 months", share = "0 %" }

  [[equipment.warranty]]
  name = "Included"
  term = "12 months"
"""
SET = "equipment.Set"
MACHINE = "equipment.Set.items.Machine"
TEE = "products.Tee"


def money(expected: object) -> Any:
    """Equal to half a cent, for one amount or many."""
    return pytest.approx(expected, abs=0.005)


def exactly(expected: object) -> Any:
    """Equal but for rounding in the last digits."""
    return pytest.approx(expected, rel=1e-11, abs=1e-9)


def write_bare(folder: Path) -> Path:
    """Write the bare shop's file and sheet; the file's path."""
    (folder / "bare.csv").write_text(SHEET, encoding="utf-8")
    (folder / "bare.toml").write_text(BARE, encoding="utf-8")
    return folder / "bare.toml"


def product(name: str, **keys: Any) -> dict[str, Any]:
    """A product like the bare shop's, as a table of its file."""
    return _like("products", name=name, **keys)


def equipment(**keys: Any) -> dict[str, Any]:
    """A set of equipment like the bare shop's, as a table of its file; None leaves a key out."""
    return _like("equipment", **keys)


def _like(table: str, **keys: Any) -> dict[str, Any]:
    first = tomllib.loads(BARE)[table][0]
    return {key: value for key, value in (first | keys).items() if value is not None}


@functools.cache
def shipped(name: str) -> Scenario:
    """A scenario that comes with the program."""
    return load(ROOT / "scenarios" / f"{name}.toml")


@functools.cache
def shipped_answer(name: str) -> AnswerPage:
    """Its answer page."""
    return answer(shipped(name))


def machine_of(scenario: Scenario, drawn: Mapping[str, Number] | None = None) -> Machine:
    """The first set of equipment under its first warranty."""
    first = scenario.equipment[0]
    return machine(
        scenario=scenario,
        equipment=first,
        warranty=first.warranty[0],
        values=Values(drawn or {}),
    )


def setting_of(scenario: Scenario, *, steady: bool = False, **levers: Number) -> Setting:
    """The first machine at work over the horizon, or in the steady month."""
    case = Case(scenario).moved(**levers)
    return case.setting(machine_of(scenario), case.steady if steady else case.calendar)


def choice_of(scenario: Scenario, kind: str = "cash") -> Choice:
    """The first choice that is paid for in this way."""
    return next(choice for choice in choices(scenario) if choice.financing.kind == kind)


def plan_of(
    scenario: Scenario, kind: str = "cash", drawn: Mapping[str, Number] | None = None
) -> Plan:
    """The plan of that choice."""
    return plan(Case(scenario, Values(drawn or {})), choice_of(scenario, kind))


def evaluation_of(
    scenario: Scenario, kind: str = "cash", drawn: Mapping[str, Number] | None = None
) -> Evaluation:
    """That choice with its three comparisons."""
    case = Case(scenario, Values(drawn or {}))
    (evaluated,) = evaluations(case, (choice_of(scenario, kind),))
    return evaluated


def row(flows: Number) -> Array:
    """The first draw of flows by month."""
    return np.asarray(np.atleast_2d(flows)[0])


def numbers(page: AnswerPage) -> dict[str, object]:
    """Every figure of an answer page by its path: numbers, words, None where there is none."""
    found: dict[str, object] = {}
    for answered in page.choices:
        label = answered.choice.label
        _collect(f"{label}: figures", answered.figures, found)
        _collect(f"{label}: conditions", answered.conditions, found)
    for name in ("verdict", "prints", "hours_with", "hours_without"):
        _collect(name, getattr(page, name), found)
    document = figures_document(page)
    for key in BESIDE:
        _collect(key, document[key], found)
    return found


def _collect(path: str, node: Any, found: dict[str, object]) -> None:
    if is_dataclass(node):
        node = {field.name: getattr(node, field.name) for field in fields(node)}
    if isinstance(node, Enum):
        node = node.name
    if isinstance(node, np.ndarray):
        node = node.tolist()
    if isinstance(node, Mapping):
        for key, value in node.items():
            _collect(f"{path}.{key}", value, found)
    elif isinstance(node, list | tuple):
        for at, value in enumerate(node):
            _collect(f"{path}[{at}]", value, found)
    else:
        found[path] = node
