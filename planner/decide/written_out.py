"""Defaults of a set of equipment as a user would write them, so that their keys exist."""

from __future__ import annotations

import numpy as np

from planner.case import Case
from planner.scenario.derived import (
    DOWN_DAYS_COVERED,
    DOWN_DAYS_UNCOVERED,
    REPAIRS_SHARE_A_YEAR,
    WEAR_MONTHS,
    WEAR_SHARE,
)
from planner.scenario.key_paths import quoted_name
from planner.scenario.schema import Equipment, Repairs, Scenario, WearPart
from planner.scenario.tree import keyed
from planner.shop.upkeep import equipment_price


def machines_in(case: Case, equipment: Equipment) -> int:
    """Equal machines that share the set's price; a press counts as one."""
    return case.values.whole(equipment.machines)


def _price_of_one(case: Case, equipment: Equipment) -> float:
    """Price of the set after discount, by machine [money]."""
    price = np.ravel(equipment_price(equipment=equipment, values=case.values))
    return float(price[0]) / machines_in(case, equipment)


def with_repairs(case: Case, equipment: Equipment) -> tuple[Equipment, str]:
    """The equipment with its failure law written out, and the ``--set`` that does it.

    The default, a share of the price a year after the warranty, is the law of one failure a year
    at that share.
    """
    if equipment.repairs is not None:
        return equipment, ""
    price = _price_of_one(case, equipment)
    words = (
        f"{{ in_first_year = 1, cost = {REPAIRS_SHARE_A_YEAR * price:.12g}, "
        f'down_days_covered = "{DOWN_DAYS_COVERED:g} day", '
        f'down_days_uncovered = "{DOWN_DAYS_UNCOVERED:g} day" }}'
    )
    return _named(written_out(case, equipment), equipment), f"{_key(equipment)}.repairs={words}"


def with_wear_parts(case: Case, equipment: Equipment) -> tuple[Equipment, str]:
    """The equipment with its wear parts written out, and the ``--set`` that does it."""
    if equipment.wear_parts is not None:
        return equipment, ""
    price = _price_of_one(case, equipment)
    words = (
        f'[{{ name = "Wear parts", price = {WEAR_SHARE * price:.12g}, '
        f'life_at_most = "{WEAR_MONTHS:g} months" }}]'
    )
    return _named(written_out(case, equipment), equipment), f"{_key(equipment)}.wear_parts={words}"


def written_out(case: Case, equipment: Equipment) -> Scenario:
    """The scenario with the equipment's default repairs and wear parts as a user would write them.

    What the plan comes to is the same: what is listed is that of each machine.
    """
    price = _price_of_one(case, equipment)
    repairs = equipment.repairs or Repairs.model_validate(
        {
            "in_first_year": 1,
            "cost": float(f"{REPAIRS_SHARE_A_YEAR * price:.12g}"),
            "down_days_covered": f"{DOWN_DAYS_COVERED:g} day",
            "down_days_uncovered": f"{DOWN_DAYS_UNCOVERED:g} day",
        }
    )
    parts = equipment.wear_parts
    if parts is None:
        part = {"name": "Wear parts", "price": float(f"{WEAR_SHARE * price:.12g}")}
        part_with_life = part | {"life_at_most": f"{WEAR_MONTHS:g} months"}
        parts = (WearPart.model_validate(part_with_life),)
    own = equipment.model_copy(update={"repairs": repairs, "wear_parts": parts})
    sets = tuple(own if one.name == equipment.name else one for one in case.scenario.equipment)
    prints = case.scenario.prints  # they have their keys, and there may be thousands
    without = case.scenario.model_copy(update={"equipment": sets, "prints": ()})
    return keyed(without).model_copy(update={"prints": prints})


def _named(scenario: Scenario, equipment: Equipment) -> Equipment:
    return next(one for one in scenario.equipment if one.name == equipment.name)


def _key(equipment: Equipment) -> str:
    return f"equipment.{quoted_name(equipment.name)}"
