"""Inputs that move together: what of it is read, what is refused, and where."""

from collections.abc import Callable

import pytest

from planner.scenario.schema import Scenario

Faults = Callable[..., list[str]]
Load = Callable[..., Scenario]

RANGES = {
    'wage = "18 USD/hour"': "wage = { low = 16, likely = 18, high = 21 }",
    "price = 15": "price = { low = 13, likely = 15, high = 16 }",
    'price = "90 USD/L"': "price = { low = 80, likely = 90, high = 110 }",
}
UNITS = {"wage": "USD/hour", "price = { low = 80": "USD/L"}
TOGETHER = """
[[together]]
inputs = ["shop.wage", "ink.price"]
rank_correlation = 0.5
"""
MUST_NAME = "must name inputs that have a range"
IMPOSSIBLE = "must hold rank correlations that can all be true at once"
NEARER = "bring them nearer to 0, or state those between the other inputs too"
PRICE = """'products."Tee".price'"""


def entry(inputs: str, rank: float) -> str:
    """One more entry of its own."""
    return f"\n[[together]]\ninputs = [{inputs}]\nrank_correlation = {rank}\n"


def line_of(text: str, part: str) -> int:
    """The number of the last line that begins with a text."""
    return max(at for at, line in enumerate(text.split("\n"), start=1) if line.startswith(part))


@pytest.fixture
def ranged(shop: str) -> str:
    """The small scenario with three inputs that are not known exactly."""
    for old, new in RANGES.items():
        for part, unit in UNITS.items():
            if new.startswith(part):
                new = new.replace(", likely", f' {unit}", likely').replace(
                    ", high", f' {unit}", high'
                )
                new = (
                    new.replace(" }", f' {unit}" }}').replace("= 1", '= "1').replace("= 8", '= "8')
                )
        assert shop.count(old) == 1
        shop = shop.replace(old, new)
    return shop
