"""Scenario files in a folder of their own, loaded or refused."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from planner.scenario.faults import ScenarioError
from planner.scenario.load import load
from planner.scenario.schema import Scenario

# A small scenario in which every line has one job; tests replace single lines of it.
SHOP = """\
currency = "USD"
start = "2027-03"
horizon = "60 months"

[shop]
wage = "18 USD/hour"
electricity = "0.20 USD/kWh"
cash_at_start = 9000

[today]
buy_in_price = "3 USD/ft^2"

[[products]]
name = "Tee"
prints = ["10 in x 12 in"]
price = 15
garment = 3
today = "40 piece/week"
planned = "60 piece/week"

[ink]
price = "90 USD/L"

[film]
roll = "24 in x 100 m"
roll_price = 168

[powder]
price = "21 USD/kg"

[test_prints]
file = "prints.csv"

[[equipment]]
name = "Set"
price = 15000
print_speed = "30 ft^2/hour"
power = "5 kW"

[[financing]]
name = "Bank loan"
kind = "loan"
rate = "9 %/year"
term = "48 months"
"""

SHEET = """\
design,width [in],height [in],copies,white [mL],colour [mL],before powder [g],after powder [g]
Crest,10,12,2,5.5,2.5,20,21.6
"""


def line_of(text: str, part: str) -> int:
    """The number of the line that holds a text."""
    return next(at for at, line in enumerate(text.split("\n"), start=1) if part in line)


def with_line(old: str, new: str, text: str = SHOP) -> str:
    """The shop with one line replaced."""
    lines = text.split("\n")
    assert lines.count(old) == 1, f"{old!r} must stand once"
    return "\n".join(new if line == old else line for line in lines)


Load = Callable[..., Scenario]
Faults = Callable[..., list[str]]


@pytest.fixture
def shop() -> str:
    """The text of the small scenario."""
    return SHOP


@pytest.fixture
def sheet() -> str:
    """The text of its sheet of test prints."""
    return SHEET


@pytest.fixture
def edit() -> Callable[..., str]:
    """Replaces a line of the small scenario, or of another text."""
    return with_line


@pytest.fixture
def loaded(tmp_path: Path) -> Load:
    """Loads a text, with a sheet of test prints beside it."""

    def load_text(
        text: str | bytes = SHOP,
        *,
        sheet: str | bytes | None = SHEET,
        changes: Mapping[str, Any] | None = None,
    ) -> Scenario:
        for name, content in (("shop.toml", text), ("prints.csv", sheet)):
            if content is not None:
                raw = content.encode() if isinstance(content, str) else content
                (tmp_path / name).write_bytes(raw)
        return load(tmp_path / "shop.toml", changes=changes)

    return load_text


@pytest.fixture
def faults(loaded: Load) -> Faults:
    """The faults of a text as lines; empty when it loads."""

    def lines(*args: Any, **kwargs: Any) -> list[str]:
        try:
            loaded(*args, **kwargs)
        except ScenarioError as error:
            return str(error).split("\n")
        return []

    return lines
