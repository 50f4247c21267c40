"""The equipment by age: care, repairs, replacement and resale, and what it takes to buy it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from planner.capital import Asset, replacements, resale_by_month
from planner.deliver.workbook.book import Entry, Listing, Sheet
from planner.deliver.workbook.facts import Facts, one
from planner.deliver.workbook.grid import Heading, Line, total_of
from planner.deliver.workbook.months import Months, month_sheet
from planner.scenario.schema import Equipment
from planner.shop.energy import powers
from planner.shop.month import upsets_of
from planner.shop.upkeep import WEAR_SHARE, insurance_cost, items_of, supplies_cost

EQUIPMENT: Final = "Equipment"
_COVERED: Final = "{calendar.age}<=warranty_term"


def equipment_sheet(facts: Facts) -> Sheet:
    """Monthly lines that do not depend on the volume of work, and the outlays at signing."""
    return month_sheet(
        facts.months,
        title=EQUIPMENT,
        alias="equipment",
        about="What follows from the age of the equipment, whatever the volume; in month-1 prices "
        "where nothing else is said.",
        blocks=(
            Months(facts.months).line(
                "date", "date", "date", _dates(facts), "{calendar.date}"
            ),
            *_care(facts),
            *_repairs(facts),
            *_items(facts),
        ),
        below=(_outlays(facts), _running(facts)),
    )


def _dates(facts: Facts) -> None: ...
