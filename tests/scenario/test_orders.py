"""Single orders and sizes of the price list: what in them is refused, and where."""

from collections.abc import Callable
from pathlib import Path

import pytest

from planner.scenario.load import load

Faults = Callable[..., list[str]]

ORDERS = """
[price_list]
sizes = ["10 in x 10 in"]

[[orders]]
name = "First"

  [[orders.lines]]
  product = "Tee"
  pieces = 3

  [[orders.lines]]
  prints = ["4 in x 4 in"]
  garment = 2
  pieces = 5
  design = "Crest"

[[orders]]
name = "Second"

  [[orders.lines]]
  prints = ["22 in x 10 ft"]
  pressed = false
  pieces = 1
"""


def line_of(text: str, part: str) -> int:
    """The number of the line that holds a text."""
    return next(at for at, line in enumerate(text.split("\n"), start=1) if part in line)


@pytest.fixture
def text(shop: str) -> str:
    """The small scenario with two orders."""
    return shop + ORDERS


def test_orders_are_read(loaded: Callable[..., object], text: str) -> None:
    scenario = loaded(text)
    first, second = scenario.orders  # type: ignore[attr-defined]
    assert [line.pieces.likely for line in first.lines] == [3, 5]
    assert second.lines[0].prints[0].length.likely == pytest.approx(3.048)


@pytest.mark.parametrize(("old", "new", "fault"), [
    ('product = "Tee"', 'product = "Te"',
     'orders."First".lines[0].product: must name a product of this file (got "Te"); '
     'did you mean "Tee"?'),
    ('product = "Tee"', 'product = "Hoodie"',
     'orders."First".lines[0].product: must name a product of this file (got "Hoodie"); '
     'there is "Tee"'),
    ('  prints = ["4 in x 4 in"]\n', "",
     'orders."First".lines[1]: must hold product, or prints (got neither)'),
    ("  garment = 2\n", "",
     'orders."First".lines[1].garment: must be given where no product is (got nothing); '
     "give what one costs, and pressed = false for prints sold loose"),
    ("  pressed = false\n", "  pressed = true\n",
     'orders."Second".lines[0].garment: must be given where no product is (got nothing); '
     "give what one costs, and pressed = false for prints sold loose"),
    ('"4 in x 4 in"', '"24 in x 4 in"',
     'orders."First".lines[1].prints[0]: must fit the usable width of the film, 23 in '
     '(got "24 in x 4 in"); may_turn = true turns it'),
    ('"10 in x 10 in"', '"30 in x 24 in"',
     "price_list.sizes[0]: must fit the usable width of the film, 23 in "
     '(got "30 in x 24 in")'),
    ('name = "Second"', 'name = "First"',
     'orders."First".name: must differ from other names of its list (got "First")'),
    ('design = "Crest"', 'design = "Crst"',
     'orders."First".lines[1].design: must name a test print of the sheet that used ink '
     '(got "Crst"); did you mean "Crest"?'),
    ("  pieces = 5", "  pieces = 5.5",
     'orders."First".lines[1].pieces: must be a whole number (got 5.5)'),
])  # fmt: skip
def test_a_wrong_order_is_one_fault_with_its_line(
    faults: Faults, text: str, old: str, new: str, fault: str
) -> None:
    assert text.count(old) == 1
    changed = text.replace(old, new)
    lines = [line for line in faults(changed) if line.split(": ", 1)[1] == fault]
    assert len(lines) == 1 + fault.startswith('orders."First".name')
    assert all(line.startswith("shop.toml:") for line in lines)
    if new and not fault.startswith('orders."First".name') and "nothing" not in fault:
        assert lines[0].startswith(f"shop.toml:{line_of(changed, new.strip())}: ")


def test_each_print_is_held_against_every_set(faults: Faults, text: str) -> None:
    narrow = '\n[[equipment]]\nname = "Narrow"\nprice = 9000\nprint_speed = "10 ft^2/hour"\n'
    narrow += 'power = "2 kW"\nfilm = { roll = "13 in x 100 m" }\n'
    found = faults(text + narrow)
    assert len(found) == 1
    assert (
        'orders."Second".lines[0].prints[0]: must fit the usable width of the film of '
        in (found[0])
    )


def test_a_design_that_used_no_ink_has_no_rates(faults: Faults, text: str, sheet: str) -> None:
    blank = sheet + "Blank,10,12,2,0,0,20,20\n"
    found = faults(text.replace('"Crest"', '"Blank"'), sheet=blank)
    assert found == [
        f'shop.toml:{line_of(text, "design =")}: orders."First".lines[1].design: must name a test '
        'print of the sheet that used ink (got "Blank")'
    ]


def test_designs_are_not_doubted_where_the_sheet_is_missing(faults: Faults, text: str) -> None:
    (fault,) = faults(text, sheet=None)
    assert "test_prints.file" in fault


def test_the_shipped_orders_are_read() -> None:
    scenario = load(Path(__file__).parents[2] / "scenarios" / "larkspur-lane.toml")
    assert len(scenario.orders) == 5
