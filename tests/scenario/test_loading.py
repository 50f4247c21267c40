"""A scenario file as a whole: loaded or refused, whatever it holds and in whatever units."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.scenario.checks import OF_PRINTER
from planner.scenario.document import parse
from planner.scenario.estimates import Estimate
from planner.scenario.faults import Fault, ScenarioError
from planner.scenario.key_paths import split_key
from planner.scenario.load import LARGEST_SCENARIO, load
from planner.scenario.schema import Equipment, Scenario
from planner.scenario.tree import inputs, leaves
from planner.scenario.units import factor

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SHIPPED = sorted(SCENARIOS.glob("*.toml"))
Load = Callable[..., Scenario]
Faults = Callable[..., list[str]]

relaxed = settings(
    deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60
)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_the_shipped_scenarios_load(path: Path) -> None:
    scenario = load(path)
    assert scenario.prints
    assert scenario == load(str(path))  # the same every time


def test_the_shortest_scenario_has_at_most_forty_lines() -> None:
    assert len((SCENARIOS / "shortest.toml").read_text(encoding="utf-8").splitlines()) <= 40


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"", "shop.toml:1: currency: must be given (got nothing)"),
        (b"\0" * 10, "shop.toml:1: (file): must be valid TOML"),
        (
            "title = 'x'\n".encode("utf-16"),
            "shop.toml:1: (file): must be saved as UTF-8 text (got UTF-16)",
        ),
        (
            b"a = 1\ntitle = '\xfc'\n",
            "shop.toml:2: (file): must be saved as UTF-8 text (got another encoding)",
        ),
        (b"#" * (LARGEST_SCENARIO + 1), "shop.toml:1: (file): must be at most 1 MB"),
    ],
    ids=["empty", "zeros", "UTF-16", "Latin-1", "too large"],
)
def test_files_that_are_no_scenario(faults: Faults, raw: bytes, said: str) -> None:
    assert faults(raw)[0].startswith(said)


def test_the_largest_file_is_still_read(faults: Faults, shop: str) -> None:
    text = shop + "#" * (LARGEST_SCENARIO - len(shop))
    assert faults(text) == []


@pytest.mark.parametrize("ends", ["\r\n", "\r"])
def test_line_ends_of_other_systems_keep_their_lines(faults: Faults, shop: str, ends: str) -> None:
    text = shop.replace("garment = 3", "garment = true").replace("\n", ends)
    (line,) = faults(b"\xef\xbb\xbf" + text.encode())
    assert line.startswith('shop.toml:17: products."Tee".garment: must be ')


def test_a_path_that_leads_to_no_file(tmp_path: Path) -> None:
    def said(path: str | Path) -> str:
        with pytest.raises(ScenarioError) as error:
            load(path)
        return str(error.value)

    (tmp_path / "shop.toml").write_text("", encoding="utf-8")
    assert said(tmp_path / "shop.tml") == (
        "shop.tml:1: (file): must be a file that can be read (got no such file or directory); "
        "did you mean shop.toml?"
    )
    assert "must be a file (got a folder)" in said(tmp_path)
    assert "must be the name of a file" in said("a\0b")
    assert "file name too long" in said("x" * 300)
    os.mkfifo(tmp_path / "pipe")
    assert "must be a file (got something else)" in said(tmp_path / "pipe")


METRIC = {
    '"3 USD/ft^2"': f'"{3 / 0.09290304!r} USD/m^2"',  # NIST SP 811: square foot, exact
    '"10 in x 12 in"': '"25.4 cm x 304.8 mm"',
    '"24 in x 100 m"': '"60.96 cm x 10000 cm"',
    '"90 USD/L"': '"0.09 USD/mL"',
    '"21 USD/kg"': '"0.021 USD/g"',
    '"30 ft^2/hour"': f'"{30 * 0.09290304 / 60!r} m^2/min"',
    '"5 kW"': '"5000 W"',
    '"48 months"': '"4 years"',
    '"60 months"': '"5 years"',
    '"18 USD/hour"': '"0.3 USD/min"',
}


def test_inches_or_metres_are_the_same_scenario(loaded: Load, shop: str, sheet: str) -> None:
    metric = shop
    for inch, metre in METRIC.items():
        assert inch in metric
        metric = metric.replace(inch, metre)
    cells = sheet.replace("[in]", "[mm]").replace("10,12", "254,304.8")
    cells = cells.replace("[mL]", "[L]").replace("5.5,2.5", "0.0055,0.0025")
    one, other = loaded(), loaded(metric, sheet=cells)
    for mine, yours in zip(inputs(one), inputs(other), strict=True):
        assert mine.key == yours.key
        assert mine.unit == yours.unit
        assert yours.likely == pytest.approx(mine.likely, rel=1e-12), mine.key


def _of_no_printer(table: object, path: str) -> bool:
    """Whether a key belongs to the printer of a set that has none."""
    presses_alone = isinstance(table, Equipment) and table.print_speed is None
    return presses_alone and path.rpartition(".")[2] in OF_PRINTER


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_input_can_be_set_by_its_key(path: Path) -> None:
    """``--set`` with the key and the value that are shown changes nothing but the basis."""
    scenario = load(path)
    given_values = {
        leaf.key: leaf.value
        for leaf in leaves(scenario)
        if isinstance(leaf.value, Estimate)
        if not leaf.table.written_as_value
        if _may_be_set(leaf.path, scenario)
        if not _of_no_printer(leaf.table, leaf.path)
    }
    assert len(given_values) > 90
    changes = {key: _as_written(estimate) for key, estimate in given_values.items()}
    again = load(path, changes=changes)
    after = {estimate.key: estimate for estimate in inputs(again)}
    for key, before in given_values.items():
        assert after[key].likely == before.likely
        assert (after[key].low, after[key].high) == (before.low, before.high)
        assert after[key].basis != "default"


def _may_be_set(path: str, scenario: Scenario) -> bool:
    """Keys of a lease stand on no loan, so the zeros that a loan has of them cannot be written."""
    return not path.startswith("financing") or path.endswith((".rate", ".term", ".payment"))


def _as_written(estimate: Estimate) -> Any:
    if not estimate.is_range:
        return estimate.written
    low, likely, high = estimate.written.split(" / ")
    return {"low": low, "likely": likely, "high": high, "shape": estimate.shape}


@pytest.mark.parametrize(
    ("key", "value", "expected"),
    [
        ('products."Tee".planned', "80 piece/week", 80),
        ("products[0].planned", "80 piece/week", 80),
        ('products."Tee".price', "{ low = 12, likely = 14, high = 17 }", 14),
        ("ramp.months", "3 months", 3),  # a table that the file does not write
        ('financing."Bank loan".rate', "12 %/year", 0.12),
        ('equipment."Set".warranty."Included, 12 months".term', "24 months", 24),  # implied
    ],
)
def test_one_change(loaded: Load, key: str, value: str, expected: float) -> None:
    scenario = loaded(changes={key: value})
    name = split_key(key)[-1]
    found = [e for e in inputs(scenario) if split_key(e.key)[-1] == name if e.likely == expected]
    assert len(found) == 1
    assert found[0].basis == "estimated"


def test_a_name_that_follows_from_a_term_follows_its_change(loaded: Load, shop: str) -> None:
    text = shop.replace('name = "Bank loan"\n', "")
    assert [offer.name for offer in loaded(text).financing] == ["Loan, 48 months", "Cash"]
    later = loaded(text, changes={'financing."Loan, 48 months".term': "36 months"})
    assert [offer.name for offer in later.financing] == ["Loan, 36 months", "Cash"]


def test_cash_is_always_a_way_to_pay(loaded: Load, shop: str) -> None:
    bare = shop[: shop.index("[[financing]]")]
    assert [offer.kind for offer in loaded(bare).financing] == ["cash"]
    named = loaded(bare + '[[financing]]\nkind = "cash"\nname = "Savings"\n')
    assert [offer.name for offer in named.financing] == ["Savings"]


@pytest.mark.parametrize(
    ("warranty", "name"),
    [
        ("", "Included, 12 months"),
        ("[[equipment.warranty]]", "Included, 12 months"),
        ('[[equipment.warranty]]\nterm = "2 years"', "Included, 24 months"),
        ('[[equipment.warranty]]\nterm = "3 years"\nprice = 900', "Extended, 36 months"),
        ('[[equipment.warranty]]\nterm = "1 month"', "Included, 1 month"),
        ('[[equipment.warranty]]\nname = "Plus"', "Plus"),
    ],
)
def test_a_warranty_is_named_by_its_term(loaded: Load, shop: str, warranty: str, name: str) -> None:
    scenario = loaded(shop.replace('power = "5 kW"', f'power = "5 kW"\n{warranty}'))
    assert scenario.equipment[0].warranty[0].name == name


def test_what_is_not_written_has_basis_default(loaded: Load) -> None:
    scenario = loaded(changes={"film.gap": "0.3 in", "ramp.months": "9 months"})
    keys = {one.key for one in inputs(scenario) if one.basis == "default"}
    assert {"film.margin", "ramp.start_share", "labour.pressing"} <= keys
    assert not {"film.gap", "ramp.months", "shop.wage", "film.roll.width"} & keys


ITEM = """
[[equipment.items]]
name = "Printer"
price = 900
basis = "quoted"
source = "offer 7"
date = 2027-01-31
life = { likely = "4 years", basis = "estimated" }
"""


def test_origin_of_a_table_is_that_of_its_numbers_unless_they_have_their_own(
    loaded: Load, shop: str
) -> None:
    scenario = loaded(
        shop.replace("price = 15000\n", "").replace('power = "5 kW"', f'power = "5 kW"\n{ITEM}')
    )
    (printer,) = scenario.equipment[0].items or ()
    assert (printer.price.basis, printer.price.source) == ("quoted", "offer 7")
    assert printer.price.date == "2027-01-31"
    assert (printer.life.basis, printer.life.source) == ("estimated", "offer 7")
    assert printer.quantity.basis == "default"


def test_inputs_are_frozen(loaded: Load) -> None:
    scenario = loaded()
    with pytest.raises(Exception, match="frozen"):
        scenario.shop.wage = scenario.shop.wage
    with pytest.raises(AttributeError):
        scenario.shop.wage.likely = 5.0  # type: ignore[misc]


def test_the_form_of_a_fault() -> None:
    bare = Fault(where="s.toml:3", key="shop.wage", must="be given")
    assert str(bare) == "s.toml:3: shop.wage: must be given"
    full = Fault(where="--set", key="a", must="be b", got="c", suggestion="d")
    assert str(full) == "--set: a: must be b (got c); d"
    assert [bare.place, full.place] == [("s.toml", 3), ("--set", 0)]
    tenth = Fault(where="s.toml:10", key="a", must="be b")
    assert ScenarioError([tenth, bare, full, bare]).faults == (full, bare, tenth)


def refused_or_loaded(load_text: Load, text: str | bytes, **more: Any) -> None:
    """Nothing but a ``ScenarioError`` comes out, each fault on one line."""
    found: tuple[Fault, ...] | None = None
    try:
        load_text(text, **more)
    except ScenarioError as error:
        found = error.faults
    assert found != ()
    assert all(str(fault).isprintable() for fault in found or ())


@relaxed
@given(st.text(max_size=300) | st.binary(max_size=300))
def test_random_text_is_refused(loaded: Load, text: str | bytes) -> None:
    raw = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    refused_or_loaded(loaded, raw)


@relaxed
@given(data=st.data())
def test_a_line_replaced_at_random_is_refused_or_loaded(loaded: Load, shop: str, data: Any) -> None:
    lines = shop.split("\n")
    at = data.draw(st.integers(0, len(lines) - 1))
    lines[at] = data.draw(st.text(max_size=40) | st.sampled_from(lines) | _assignments(lines[at]))
    refused_or_loaded(loaded, "\n".join(lines).encode("utf-8", "surrogatepass"))


JUNK = (
    *("0", "-1", "inf", "nan", "1e400", "true", "2027-03-01", '""', '"5"', '"0 %"', '"5 %"'),
    *("[]", "[[]]", "{}", "[{}]", '["5 in x 5 in"]', "{ likely = 1 }", '"1/0 in"', '"cash"'),
    *('"1e-300 m x 1e300 m"', '"5 EUR"', '"0 USD/month"', '"0 months"', '"\\u202e"'),
    "0x" + "f" * 999,
)


def _assignments(line: str) -> st.SearchStrategy[str]:
    """The key of a line with other values."""
    key = line.split("=")[0] if "=" in line else "x"
    return st.sampled_from(JUNK).map(lambda value: f"{key}= {value}")


values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text(max_size=5) | st.just("likely"), inner, max_size=3)
    ),
    max_leaves=6,
)


@relaxed
@given(data=st.data())
def test_random_changes_are_refused_or_made(loaded: Load, shop: str, data: Any) -> None:
    known = [estimate.key for estimate in inputs(loaded())]
    keys = st.sampled_from([*known, "shop", "products", "today", "financing", "equipment[0]"])
    changes = data.draw(st.dictionaries(keys | st.text(max_size=20), values, max_size=3))
    refused_or_loaded(loaded, shop, changes=changes)


@given(st.dictionaries(st.text(max_size=10), values.filter(lambda v: v is not None), max_size=4))
def test_where_and_key_answer_for_any_path(tree: dict[str, Any]) -> None:
    document = parse("", name="s.toml")
    for path in ((), ("a", 0, "b"), *((key,) for key in tree)):
        assert document.where(path) == "s.toml:1"
        assert document.key(path).isprintable()


def test_money_a_month_and_a_year_are_the_same(loaded: Load) -> None:
    yearly = loaded(changes={"shop.owner_draw": "2000 USD/month"})
    assert yearly.shop.owner_draw is not None
    assert yearly.shop.owner_draw.likely == pytest.approx(24_000)
    assert factor("USD/month", "money/year", "USD") == pytest.approx(12)
