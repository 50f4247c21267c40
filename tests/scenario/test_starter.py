"""The starter files: they load, they are complete, and they are found again in a scenario."""

import re
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from planner.scenario import starter
from planner.scenario.estimates import Estimate
from planner.scenario.fields import keys
from planner.scenario.load import load
from planner.scenario.notices import doubts
from planner.scenario.schema import Scenario
from planner.scenario.tree import leaves

Load = Callable[..., Scenario]
SHIPPED = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
NAME = "prints.csv"

_KEY = re.compile(r"\s*(#(?! )|# or: )?([a-z_]+\s*=.*)")


def uncommented(text: str) -> str:
    """The form with its defaults written out; the other ways stay comments."""
    return re.sub(r"(?m)^(\s*)#(?=[a-z_]+\s*=)", r"\1", text)


def keys_mentioned(text: str) -> Iterator[str]:
    """Path in the schema of every key that a line gives, is a default of, or is another way for."""
    table = ""
    for line in text.split("\n"):
        header = re.match(r"\s*\[\[?([a-z_.]+)\]\]?", line)
        found = _KEY.match(line)
        if header:
            table = header[1]
        elif found:
            for key in flat(tomllib.loads(found[2])):
                yield f"{table}.{key}" if table else key


def flat(tree: object) -> Iterator[str]:
    """Keys of nested tables; what a range holds is no key."""
    entries = tree if isinstance(tree, list) else [tree]
    for entry in entries:
        for key, value in entry.items() if isinstance(entry, dict) else ():
            yield key
            is_table = isinstance(value, dict) and not {"likely", "buy"} & set(value)
            is_list = isinstance(value, list) and any(isinstance(one, dict) for one in value)
            if is_table or is_list:
                yield from (f"{key}.{inner}" for inner in flat(value))


@pytest.mark.parametrize("form", [starter.short_form, starter.full_form])
def test_both_forms_load_without_fault(loaded: Load, form: Callable[[str], str]) -> None:
    scenario = loaded(form(NAME), sheet=starter.test_print_sheet())
    assert len(scenario.prints) >= 5
    outside = [line for line in doubts(scenario) if "outside the usual" in line]
    assert outside == []


def test_the_full_form_raises_no_doubt(loaded: Load) -> None:
    assert doubts(loaded(starter.full_form(NAME), sheet=starter.test_print_sheet())) == ()


def test_the_short_form_is_read_in_four_minutes() -> None:
    assert len(starter.short_form(NAME).split()) < 920  # at 230 words a minute
    lines = [line for line in starter.short_form(NAME).split("\n") if _KEY.match(line)]
    assert 40 < len(lines) <= 75


def test_the_full_form_mentions_every_key_of_the_schema() -> None:
    mentioned = set(keys_mentioned(starter.full_form(NAME)))
    wanted = {key.path for key in keys() if key.table is None}
    assert wanted - mentioned == set()
    assert mentioned - {key.path for key in keys()} == set()


@pytest.mark.parametrize("form", [starter.short_form, starter.full_form])
def test_every_number_of_a_form_has_a_comment(form: Callable[[str], str]) -> None:
    """On its own line or on the line above it."""
    lines = form(NAME).split("\n")
    bare = [
        line
        for above, line in zip(["", *lines], lines, strict=False)
        if _KEY.match(line)
        if not re.match(r"\s*#?(name|title|prepared_|currency|kind|basis|source|date)", line)
        if not re.search(r"\s#\?? \w", line) and not re.match(r"\s*# \w", above)
    ]
    assert bare == []


def test_the_defaults_shown_are_the_defaults(loaded: Load) -> None:
    text = starter.full_form(NAME)
    shown = loaded(uncommented(text), sheet=starter.test_print_sheet())
    plain = loaded(text, sheet=starter.test_print_sheet())
    after = {leaf.key: leaf.value for leaf in leaves(shown)}
    compared = 0
    for leaf in leaves(plain):
        if not leaf.is_default or leaf.value is None:
            continue
        written = after[leaf.key]
        if isinstance(leaf.value, Estimate):
            assert written.likely == leaf.value.likely, leaf.key
            compared += written.basis != "default"
        else:
            assert written == leaf.value, leaf.key
    assert compared > 60


def test_the_name_of_the_sheet_is_written_as_toml() -> None:
    for name in ('a "b".csv', "a\\b.csv", "ü ü.csv"):
        for form in (starter.short_form, starter.full_form):
            assert tomllib.loads(form(name))["test_prints"]["file"] == name


def test_an_untouched_starter_is_left_whole(loaded: Load) -> None:
    scenario = loaded(starter.short_form(NAME), sheet=starter.test_print_sheet())
    left = starter.starter_values_left(scenario)
    assert len(left) == 44  # names and month, lines of the form that hold a number, and the sheet
    assert left[-1] == "test_prints.file"
    assert starter.starter_sentence(scenario) == (
        "44 of 44 inputs still hold what the starter file held"
    )


def test_the_short_form_shows_what_is_rarer_in_lines_to_be_uncommented(loaded: Load) -> None:
    scenario = loaded(put_on(starter.short_form(NAME)), sheet=starter.test_print_sheet())
    plain = loaded(starter.short_form(NAME), sheet=starter.test_print_sheet())
    more, before = (
        {leaf.path for leaf in leaves(one) if not leaf.is_default} for one in (scenario, plain)
    )
    assert more - before == {
        "equipment.in_place",
        "financing.payment",
        "financing.advance_payments",
        "financing.document_fee",
        "financing.sales_tax",
        "financing.at_end.kind",
        "financing.at_end.share",
        "shop.hours_already_paid",
        "shop.cash_flow_before",
        "shop.owner_draw",
        "today.buy_in_price",
        "equipment.supplies",
        "equipment.warranty.term",
        "equipment.warranty.price",
    }


def test_the_short_form_asks_for_what_a_quote_and_two_offers_say(loaded: Load) -> None:
    scenario = loaded(put_on(starter.short_form(NAME)), sheet=starter.test_print_sheet())
    assert [offer.kind for offer in scenario.financing] == ["loan", "lease", "cash"]
    given = {leaf.path for leaf in leaves(scenario) if not leaf.is_default}
    assert {
        "ramp.months",
        "products.needs_machine",
        "financing.fee",
        "financing.down_payment",
        "financing.advance_payments",
        "financing.document_fee",
        "financing.sales_tax",
        "products.buy_in",
        "products.pieces_per_order",
        "today.orders",
        "shop.open_weeks",
        "film.margin",
        "labour.pressing",
        "labour.cutting",
        "equipment.start_up.cost",
        "equipment.start_up.hours",
        "equipment.wear_parts.price",
        "equipment.wear_parts.life_at_most",
        "conditions.cash_never_below",
        "tax.rate",
        "prepared_for",
        "prepared_by",
        "equipment.in_place",
        "shop.season",
    } <= given


def put_on(short: str) -> str:
    """The short form with its rarer lines put on."""
    return re.sub(r"(?m)^#( *\[\[|[ a-z]+\w* *=)", r"\1", short)


def test_an_offer_put_on_and_left_as_it_was_is_the_starters(loaded: Load) -> None:
    text = put_on(starter.short_form(NAME))
    left = starter.starter_values_left(loaded(text, sheet=starter.test_print_sheet()), text=text)
    lease = 'financing."Lease, 42 months"'
    assert {f"{lease}.payment", f"{lease}.at_end", f"{lease}.sales_tax"} <= set(left)
    assert "shop.owner_draw" in left


SAID = [
    ("wage          = ", "? payslip: gross pay for an hour of help", "payslip of May", "shop.wage"),
    ("term         = ", "? bank's offer", "the same at our bank",
     'financing."Loan, 45 months".term'),
    ("prints           = ", "? ruler: width x length, round the artwork", "measured on the press",
     'products."Club shirt, front".prints[0]'),
    ("at_end           = ", '? lessor\'s offer: of the price; or { buy = 1 }, "return"',
     "as offered", 'financing."Lease, 42 months".at_end'),
]  # fmt: skip


@pytest.mark.parametrize(("begins", "theirs", "ours", "key"), SAID, ids=[key for *_, key in SAID])
def test_a_comment_of_ones_own_makes_the_same_number_ones_own(
    loaded: Load, begins: str, theirs: str, ours: str, key: str
) -> None:
    lines = put_on(starter.short_form(NAME)).split("\n")
    at = next(n for n, line in enumerate(lines) if line.startswith(begins) and theirs in line)

    def left(comment: str) -> set[str]:
        line = lines[at].replace(f"#{theirs}", f"#{comment}")
        changed = "\n".join([*lines[:at], line, *lines[at + 1 :]])
        scenario = loaded(changed, sheet=starter.test_print_sheet())
        return set(starter.starter_values_left(scenario, text=changed))

    assert key in left(theirs)
    assert key in left(f" {theirs}   ")  # spaces say nothing
    assert key in left("")  # nor does a comment that was taken away
    assert key in left(f"{theirs}, monthly")  # nor one that still asks
    assert left(theirs) - left(ours) == {key}
    assert left(theirs) - left(theirs.removeprefix("? ")) == {key}


def test_a_source_makes_the_same_number_ones_own(loaded: Load) -> None:
    text, sheet = starter.short_form(NAME), starter.test_print_sheet()

    def left(value: object) -> bool:
        scenario = loaded(text, sheet=sheet, changes={"shop.wage": value})
        return "shop.wage" in starter.starter_values_left(scenario, text=text)

    assert left({"likely": "17.40 USD/hour"})
    assert not left({"likely": "17.40 USD/hour", "source": "payslip of May"})


def test_the_source_that_the_full_form_gives_is_no_ones_own(loaded: Load) -> None:
    text, sheet = starter.full_form(NAME), starter.test_print_sheet()
    key = 'equipment."Printer, shaker and dryer".items."Printer"'

    def left(source: str) -> bool:
        scenario = loaded(text, sheet=sheet, changes={f"{key}.source": source})
        return f"{key}.price" in starter.starter_values_left(scenario, text=text)

    assert left("dealer's quote")
    assert left("")
    assert not left("quote of 3 May")


def test_what_is_changed_is_no_longer_left(loaded: Load) -> None:
    text, sheet = starter.short_form(NAME), starter.test_print_sheet()
    before = starter.starter_values_left(loaded(text, sheet=sheet))
    changed = loaded(
        text.replace('"Club shirt, front"', '"Our own tee"'),
        sheet=sheet,
        changes={
            "shop.wage": "17.39 USD/hour",
            'products."Our own tee".prints[0]': "10 in x 11.5 in",
            "shop.season[3]": 46,
        },
    )
    after = starter.starter_values_left(changed)
    # The name is the shop's own now, the numbers under it are still the starter's.
    renamed = {key.replace("Club shirt, front", "Our own tee") for key in before}
    assert renamed - set(after) == {
        "shop.wage",
        "shop.season",
        'products."Our own tee".prints[0]',
    }


def test_the_invented_shops_name_is_asked_about(loaded: Load) -> None:
    heads = {"title", "prepared_for"}
    for form in (starter.short_form, starter.full_form):
        text = form(NAME)
        left = set(starter.starter_values_left(loaded(text, sheet=starter.test_print_sheet())))
        assert heads <= left
        own = text.replace("Foxglove Garment Print", "Ours")
        renamed = loaded(own, sheet=starter.test_print_sheet())
        assert left - set(starter.starter_values_left(renamed)) == heads


def test_the_same_number_in_another_unit_is_still_the_starters(loaded: Load) -> None:
    text = starter.short_form(NAME)
    changes = {"shop.wage": "0.29 USD/min"}  # 17.40 an hour
    scenario = loaded(text, sheet=starter.test_print_sheet(), changes=changes)
    assert "shop.wage" in starter.starter_values_left(scenario)


def test_a_sheet_is_left_as_long_as_a_row_is(loaded: Load) -> None:
    text, rows = starter.short_form(NAME), starter.test_print_sheet().strip().split("\n")
    own = "Crest,10,12,2,5.5,2.5,20,21.6,12.4"
    with_one = "\n".join([rows[0], own, rows[1].replace("Bird on a branch", "Ours")])
    assert "test_prints.file" in starter.starter_values_left(loaded(text, sheet=with_one))
    without = "\n".join([rows[0], own])
    assert "test_prints.file" not in starter.starter_values_left(loaded(text, sheet=without))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_no_other_scenario_holds_the_starters_values(path: Path) -> None:
    assert starter.starter_values_left(load(path)) == ()
    assert starter.starter_sentence(load(path)) == ""


def test_what_only_the_other_starter_holds_is_the_shops_own(loaded: Load) -> None:
    # a voltage stands in the full form alone
    sheet = starter.test_print_sheet()
    changes = {"shop.voltage": "208 V"}
    short = loaded(starter.short_form(NAME), sheet=sheet, changes=changes)
    left = starter.starter_values_left(short)
    assert "shop.voltage" not in left
    assert "shop.wage" in left
    full = starter.starter_values_left(loaded(starter.full_form(NAME), sheet=sheet))
    assert {"shop.voltage", "shop.wage"} <= set(full)


def test_one_input_left_is_said_as_one(loaded: Load) -> None:
    text = 'wage = "17.40 USD/hour"'
    scenario = loaded(changes={"shop.wage": "17.40 USD/hour"})
    left = starter.starter_values_left(scenario, text=f"[shop]\n{text}")
    assert left == ("shop.wage",)
    assert starter.starter_sentence(scenario).endswith(
        "inputs still holds what the starter file held"
    )


def test_the_starter_is_an_invented_shop() -> None:
    for form in (starter.short_form, starter.full_form):
        assert "Foxglove Garment Print is invented" in form(NAME)
