"""Inputs that move together: what of it is read, what is refused, and where."""

from collections.abc import Callable

import pytest

from planner.scenario.correlated import normal_correlations
from planner.scenario.schema import Scenario

Faults = Callable[..., list[str]]
Load = Callable[..., Scenario]

RANGES = (
    (
        'wage = "18 USD/hour"',
        'wage = { low = "16 USD/hour", likely = "18 USD/hour", high = "21 USD/hour" }',
    ),
    ("price = 15", "price = { low = 13, likely = 15, high = 16 }"),
    (
        'price = "90 USD/L"',
        'price = { low = "80 USD/L", likely = "90 USD/L", high = "110 USD/L" }',
    ),
)
TOGETHER = """
[[together]]
inputs = ["shop.wage", "ink.price"]
rank_correlation = 0.5
"""
PRICE = """'products."Tee".price'"""
MUST_NAME = "must name inputs that have a range"
IMPOSSIBLE = "must hold rank correlations that can all be true at once"
NEARER = "bring them nearer to 0, or state those between the other inputs too"


def entry(inputs: str, rank: float) -> str:
    """One more entry."""
    return f"\n[[together]]\ninputs = [{inputs}]\nrank_correlation = {rank}\n"


def line_of(text: str, part: str) -> int:
    """The number of the last line that begins so."""
    return max(at for at, line in enumerate(text.split("\n"), start=1) if line.startswith(part))


@pytest.fixture
def ranged(shop: str, edit: Callable[..., str]) -> str:
    """The small scenario with three inputs that are not known exactly."""
    for old, new in RANGES:
        shop = edit(old, new, shop)
    return shop


def test_what_moves_together_is_read(loaded: Load, ranged: str) -> None:
    (group,) = loaded(ranged + TOGETHER).together
    assert group.inputs == ("shop.wage", "ink.price")
    assert group.rank_correlation.likely == 0.5


def test_an_input_is_found_however_its_key_is_quoted(loaded: Load, ranged: str) -> None:
    assert loaded(ranged + entry('"shop . wage", "products.Tee.price"', 0.2)).together
    assert loaded(ranged + entry(f'"shop.wage", {PRICE}', 0.2)).together


def test_measured_rates_move_together_where_there_are_several_prints(
    loaded: Load, faults: Faults, ranged: str, sheet: str
) -> None:
    text = ranged + entry('"test_prints.white", "test_prints.powder"', 0.6)
    more = sheet + "Badge,4,4,5,1.9,0.8,8.1,8.66\n"
    assert loaded(text, sheet=more).together
    lines = faults(text, sheet=sheet)  # one print has no interval
    assert [line.partition(MUST_NAME)[2] for line in lines] == [
        ' (got "test_prints.white"); one test print gives no range: print and weigh more',
        ' (got "test_prints.powder"); one test print gives no range: print and weigh more',
    ]


A_RANGE = "give it a range: { low = …, likely = …, high = … }"


@pytest.mark.parametrize(
    ("old", "new", "got"),
    [
        ('"ink.price"', '"ink.prise"', '"ink.prise"); did you mean "ink.price"?'),
        ('"ink.price"', '"ink price"', '"ink price"); did you mean "ink.price"?'),
        ('"ink.price"', "'products.\"Tea\".price'",
         '"products."Tea".price"); did you mean \'products."Tee".price\'?'),
        ('"ink.price"', '"growth.wages"', f'"growth.wages"); {A_RANGE}'),  # one value
        ('"ink.price"', '"film.roll"', '"film.roll")'),  # a table
    ],
)  # fmt: skip
def test_what_has_no_range_cannot_move(
    faults: Faults, ranged: str, old: str, new: str, got: str
) -> None:
    text = ranged + TOGETHER.replace(old, new)
    at = line_of(text, "inputs")
    assert faults(text) == [f"shop.toml:{at}: together[0].inputs: {MUST_NAME} (got {got}"]


@pytest.mark.parametrize("field", ["cost", "down_days_covered", "down_days_uncovered"])
def test_what_is_drawn_failure_by_failure_moves_with_nothing(
    faults: Faults, ranged: str, edit: Callable[..., str], field: str
) -> None:
    unit = "" if field == "cost" else " day"
    amounts = {"low": 1, "likely": 2, "high": 7}.items()
    ends = ", ".join(f'{end} = "{n}{unit}"' for end, n in amounts)
    law = f"repairs = {{ in_first_year = 1, cost = 200, {field} = {{ {ends} }} }}"
    law = law.replace("cost = 200, cost", "cost")
    text = edit('power = "5 kW"', f'power = "5 kW"\n{law}', ranged)
    key = f"equipment.Set.repairs.{field}"
    (line,) = faults(text + entry(f'"shop.wage", "{key}"', 0.5))
    assert line.endswith(f'{MUST_NAME} (got "{key}"); it is drawn failure by failure')


@pytest.mark.parametrize("inputs", ['"shop.wage"', '"shop.wage", "shop.wage"'])
def test_one_input_does_not_move_together_with_itself(
    faults: Faults, ranged: str, inputs: str
) -> None:
    text = ranged + entry(inputs, 0.5)
    (line,) = faults(text)
    where = f"shop.toml:{line_of(text, 'inputs')}: together[0].inputs"
    assert line.startswith(f"{where}: must name at least two inputs, each once")


@pytest.mark.parametrize(
    "again", ['"shop.wage", "ink.price"', f'{PRICE}, "ink.price", "shop.wage"']
)
def test_a_pair_is_named_once(faults: Faults, ranged: str, again: str) -> None:
    text = ranged + TOGETHER + entry(again, 0.1)
    must = "must name no pair of inputs that another entry names"
    at = line_of(text, "inputs")
    assert faults(text) == [f"shop.toml:{at}: together[1].inputs: {must}"]


def test_every_wrong_name_is_said_at_once(faults: Faults, ranged: str) -> None:
    text = ranged + entry('"a.b", "shop.wage"', 0.5) + entry('"shop.wage", "c.d"', 0.5)
    first, last = faults(text)
    assert first.endswith('together[0].inputs: must name inputs that have a range (got "a.b")')
    assert last.endswith('together[1].inputs: must name inputs that have a range (got "c.d")')


# r = 2 sin(π ρ / 6) for normal scores. Each of three pairs at ρ = −0.6: r = −0.618 and the smallest
# eigenvalue 1 + 2 r = −0.236. Two pairs at 0.9 and the third at −0.9: r = ±0.908, 1 − 2 · 0.908 =
# −0.816. Two pairs at 0.8 and the third left at 0: r = 0.8135, 1 − √2 · 0.8135 = −0.15.
@pytest.mark.parametrize(
    ("entries", "lowest"),
    [
        (entry(f'"shop.wage", "ink.price", {PRICE}', -0.6), "-0.236"),
        (
            entry('"shop.wage", "ink.price"', 0.9)
            + entry(f'"ink.price", {PRICE}', 0.9)
            + entry(f'"shop.wage", {PRICE}', -0.9),
            "-0.816",
        ),
        (entry('"shop.wage", "ink.price"', 0.8) + entry(f'"ink.price", {PRICE}', 0.8), "-0.15"),
    ],
)
def test_correlations_that_no_numbers_have(
    faults: Faults, ranged: str, entries: str, lowest: str
) -> None:
    text = ranged + entries
    begins = text.split("\n").index("[[together]]") + 1
    assert faults(text) == [
        f"shop.toml:{begins}: together: {IMPOSSIBLE} (got smallest eigenvalue {lowest}); {NEARER}"
    ]


def test_three_inputs_may_be_against_each_other_as_far_as_there_is_room(
    loaded: Load, faults: Faults, ranged: str
) -> None:
    # 1 + 2 r ≥ 0 needs r ≥ −1/2: a rank correlation of 6 ÷ π · arcsin(−1/4) = −0.4826 at least
    three = f'"shop.wage", "ink.price", {PRICE}'
    assert loaded(ranged + entry(three, -0.482)).together
    assert IMPOSSIBLE in faults(ranged + entry(three, -0.483))[0]


@pytest.mark.parametrize("rank", [1, -1])
def test_two_inputs_may_follow_from_each_other(loaded: Load, ranged: str, rank: int) -> None:
    (group,) = loaded(ranged + TOGETHER.replace("0.5", str(rank))).together
    assert group.rank_correlation.likely == rank


def test_three_inputs_cannot_each_be_against_the_others_in_full(
    faults: Faults, ranged: str
) -> None:
    # 1 + 2 · (−1) = −1
    (line,) = faults(ranged + entry(f'"shop.wage", "ink.price", {PRICE}', -1))
    assert f"{IMPOSSIBLE} (got smallest eigenvalue -1)" in line


@pytest.mark.parametrize(
    ("rank", "must"),
    [
        (1.2, "rank_correlation: must be at most 1 (got 1.2)"),
        (-1.2, "rank_correlation: must be at least -1 (got -1.2)"),
        ('"50 %"', 'rank_correlation: must be a number without a unit (got "50 %")'),
        (
            "{ low = 0.1, likely = 0.2, high = 0.3 }",
            "rank_correlation: must be one value; a range has no meaning here",
        ),
    ],
)
def test_a_rank_correlation_is_one_number_from_minus_one_to_one(
    faults: Faults, ranged: str, rank: object, must: str
) -> None:
    text = ranged + TOGETHER.replace("0.5", str(rank))
    (line,) = faults(text)
    at = line_of(text, "rank_correlation")
    assert line.startswith(f"shop.toml:{at}: together[0].{must}")


def test_an_input_that_a_change_leaves_without_a_range_does_not_move(
    loaded: Load, ranged: str
) -> None:
    one = loaded(ranged + TOGETHER, changes={"shop.wage": "20 USD/hour"})
    assert not one.shop.wage.is_range
    assert normal_correlations(one, ["ink.price"]).tolist() == [[1.0]]
