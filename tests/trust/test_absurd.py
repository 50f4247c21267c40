"""Legal but absurd: worked out with a warning that names the key, or refused with the reason."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from trust.cases import Case, unspoilt
from trust.judge import complaints, say

from planner.scenario.faults import MOST_SHOWN, Fault, ScenarioError
from planner.scenario.kinds import MOST_ENTRIES
from planner.scenario.limits import MOST_CHOICES

FILES = unspoilt("scenarios/shortest")
TEXT = FILES["shop.toml"].decode("utf-8")
TEE = 'products."Full-front tee, dark cotton"'
SET = 'equipment."24-inch printer and shaker dryer"'
PRODUCT = TEXT[TEXT.index("[[products]]") : TEXT.index("[ink]")]
EQUIPMENT = TEXT[TEXT.index("[[equipment]]") : TEXT.index("[test_prints]")]


def changed(*edits: tuple[str, str]) -> str:
    """The shortest scenario with the values of keys replaced."""
    text = TEXT
    for key, value in edits:
        text, count = re.subn(rf"(?m)^({key}\s*= )[^#\n]*", rf"\g<1>{value} ", text, count=1)
        assert count, key
    return text


def with_key(table: str, line: str) -> str:
    """The shortest scenario with a line more in a table; at the top where it is named nothing."""
    return TEXT.replace(f"{table}\n", f"{table}\n{line}\n", 1) if table else f"{line}\n{TEXT}"


WORKED_OUT = {
    "a price of a trillion": (changed(("price", "1e12")), f"{TEE}.price: 1e+12 lies outside"),
    "cents for dollars": (changed(("price", "1550")), f"{TEE}.price: 1550 lies outside"),
    "a garment in cents": (changed(("garment", "340")), f"{TEE}.garment: 340 lies outside"),
    "a million a week": (changed(("planned", '"1e6 piece/week"')), f"{TEE}.planned: 1e6"),
    "a wage of a trillion": (changed(("wage", '"1e12 USD/hour"')), "shop.wage: 1e12 USD/hour"),
    "electricity in cents": (changed(("electricity", '"19 USD/kWh"')), "shop.electricity: 19 USD"),
    "hardly ever open": (
        with_key("[shop]", 'open_days = "0.00001 day/week"'),
        "shop.open_days: 0.00001 day/week lies outside",
    ),
    "a hundred years": (with_key("", 'horizon = "1200 months"'), "horizon: 1200 months lies"),
    "a month": (with_key("", 'horizon = "1 month"\nruns_from = "0 months"'), "horizon: 1 month"),
    "as slow as grass": (
        changed(("print_speed", '"0.001 ft^2/hour"')),
        f"{SET}.print_speed: 0.001 ft^2/hour lies outside",
    ),
    "faster than a press": (
        changed(("print_speed", '"1e6 ft^2/hour"')),
        f"{SET}.print_speed: 1e6 ft^2/hour lies outside",
    ),
    "a power station": (changed(("power", '"1000 kW"')), f"{SET}.power: 1000 kW lies outside"),
    "a printer for a penny": (
        TEXT.replace("15000 ", "0.01 "),
        f"{SET}.price: 0.01 lies outside",
    ),
    "a printer for a trillion": (
        TEXT.replace("15000 ", "1e12 "),
        f"{SET}.price: 1e+12 lies outside",
    ),
    "interest of 500 % a year": (changed(("rate", '"500 %/year"')), "rate: 500 %/year lies"),
    "ink like perfume": (
        TEXT.replace('"90 USD/L"', '"1e9 USD/L"'),
        "ink.price: 1e9 USD/L lies outside",
    ),
    "film like gold": (changed(("roll_price", "1e9")), "film.roll_price: 1000000000 lies"),
    "a stamp": (changed(("prints", '["0.01 in x 0.01 in"]')), f"{TEE}.prints[0].width: 0.01 in"),
}


def many(count: int, piece: str, name: str) -> str:
    """The shortest scenario with so many of a table."""
    pieces = [piece.replace(name, f"N{at}") for at in range(count)]
    return TEXT.replace(piece, "\n".join(pieces))


TEN_THOUSAND = "".join(
    f'[[products]]\nname="{at}"\nprints=["1 in x 1 in"]\nprice=1\ngarment=1\n'
    'planned="1 piece/week"\n'
    for at in range(10_000)
)
REFUSED = {
    "more than a trillion": (changed(("price", "1e13")), "must be at most 1000000000000 USD"),
    "a negative price": (changed(("price", "-1")), "must be at least 0 USD"),
    "ten million a week": (
        changed(("planned", '"1e7 piece/week"')),
        "must be at most 1000000 piece/week",
    ),
    "nothing planned": (changed(("planned", '"0 piece/week"')), "is planned at more than 0"),
    "never open": (
        with_key("[shop]", 'open_days = "0 day/week"'),
        'shop.open_days: must be more than 0 day/week (got "0 day/week")',
    ),
    "no week open": (
        with_key("[shop]", 'open_weeks = "0 week/year"'),
        'shop.open_weeks: must be more than 0 week/year (got "0 week/year")',
    ),
    "no hour open": (
        with_key("[shop]", 'open_hours = "0 hour/day"'),
        "shop.open_hours: must be more than 0 hour/day",
    ),
    "more than a hundred years": (
        with_key("", 'horizon = "1201 months"'),
        "horizon: must be at most 1200 months",
    ),
    "a printer for nothing": (TEXT.replace("15000 ", "0 "), f"{SET}.price: must be more than 0"),
    "wider than the film": (
        changed(("prints", '["900 m x 900 m"]')),
        "must fit",
    ),
    "one product too many": (
        many(MOST_ENTRIES + 1, PRODUCT, "Full-front tee, dark cotton"),
        "products: must hold at most 100 entries (got a list of 101); put alike ones together",
    ),
    "ten thousand products": (
        TEXT.replace(PRODUCT, TEN_THOUSAND),
        "products: must hold at most 100 entries (got a list of 10000)",
    ),
    "sets in every way": (
        many(MOST_CHOICES // 2 + 1, EQUIPMENT, "24-inch printer and shaker dryer"),
        "equipment: must be at most 100 choices, by warranties and ways to pay (got 102)",
    ),
}


def case_of(text: str) -> Case:
    """A case of the fuzzer, so that the same judge may look at it."""
    files = {**FILES, "shop.toml": text.encode()}
    return Case(number=0, source="", mutations=(), files=files, arguments=())


@pytest.mark.long
@pytest.mark.parametrize(("text", "warning"), WORKED_OUT.values(), ids=WORKED_OUT.keys())
def test_absurd_numbers_are_worked_out_with_a_warning_by_name(
    text: str, warning: str, tmp_path: Path
):
    case = case_of(text)
    scenario = str(case.write(tmp_path))
    checked, worked_out = say("check", scenario), say("figures", scenario, longest=60)
    assert (checked.code, worked_out.code) == (0, 0)
    assert not [*complaints(checked, case), *complaints(worked_out, case)]
    doubts = " ".join(checked.out.split("costs left out")[0].split())
    assert warning in doubts


@pytest.mark.long
@pytest.mark.parametrize(("text", "reason"), REFUSED.values(), ids=REFUSED.keys())
def test_what_cannot_be_worked_out_is_refused_with_the_reason(
    text: str, reason: str, tmp_path: Path
):
    case = case_of(text)
    said = say("check", str(case.write(tmp_path)))
    assert said.code == 2
    assert not list(complaints(said, case))
    assert reason in said.err
    assert said.err.count("\n") == 1


@pytest.mark.long
def test_a_hundred_products_and_choices_are_read(tmp_path: Path):
    for text in (
        many(MOST_ENTRIES, PRODUCT, "Full-front tee, dark cotton"),
        many(MOST_CHOICES // 2, EQUIPMENT, "24-inch printer and shaker dryer"),
    ):
        said = say("check", str(case_of(text).write(tmp_path)))
        assert (said.code, said.trouble, said.err) == (0, (), "")


def test_a_message_shows_a_hundred_faults_and_counts_the_rest():
    def message(count: int) -> list[str]:
        faults = [Fault(where=f"a.csv:{at}", key="k", must="be") for at in range(1, count + 1)]
        return str(ScenarioError(faults)).split("\n")

    assert len(message(MOST_SHOWN)) == MOST_SHOWN
    assert message(MOST_SHOWN)[-1] == "a.csv:100: k: must be"
    assert message(MOST_SHOWN + 20)[-2:] == ["a.csv:100: k: must be", "and 20 more"]


def test_a_sheet_of_thousands_of_faults_is_refused_in_a_page(tmp_path: Path):
    head, row, *_ = FILES["prints.csv"].decode().split("\n")
    sheet = "\n".join([head, *[row.replace(",2,", ",two,")] * 4_000])
    (tmp_path / "shop.toml").write_text(TEXT, encoding="utf-8")
    (tmp_path / "prints.csv").write_text(sheet, encoding="utf-8")
    said = say("check", str(tmp_path / "shop.toml"))
    assert said.code == 2
    assert said.err.endswith("and 3900 more\n")
    assert said.err.count("\n") == MOST_SHOWN + 1
