"""TOML as a tree: the line of each key, key paths, changes beside the file."""

import datetime
import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.scenario.document import as_value, changed, parse, parse_changes
from planner.scenario.faults import ScenarioError
from planner.scenario.key_paths import quoted_name, split_key

TEXT = '''\
title = "a"  # first line
[shop]
wage = "18 USD/hour"
season = [
  1, 2,
  3,
]
note = """
[not a table]
price = 3
"""
hours."open late" = 5

[[products]]
name = "Tee"   # its name
prints = ["4 in x 4 in"]
[[products]]
name = "Hood.ie [x]"
  [products.worth]
  share = 1
[[products.parts]]
name = "Zip"
[[products.parts]]
name = 'Cord'
"quoted key" = { price = 3, next = { x = 1 } }
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("title",), 1),
        (("shop",), 2),
        (("shop", "wage"), 3),
        (("shop", "season"), 4),
        (("shop", "season", 2), 4),  # the list begins there
        (("shop", "note"), 8),
        (("shop", "hours", "open late"), 12),
        (("products",), 14),
        (("products", 0, "prints"), 16),
        (("products", 1, "name"), 18),
        (("products", 1, "worth", "share"), 20),
        (("products", 1, "parts", 1, "name"), 24),
        (("products", 1, "parts", 1, "quoted key", "next", "x"), 25),
        (("shop", "missing"), 2),
        (("missing",), 1),
    ],
)
def test_a_key_is_found_on_its_line(path: tuple[str | int, ...], line: int) -> None:
    assert parse(TEXT, name="s.toml").where(path) == f"s.toml:{line}"


@pytest.mark.parametrize(
    ("path", "key"),
    [
        (("shop", "hours", "open late"), 'shop.hours."open late"'),
        (("products", 0, "prints", 0), 'products."Tee".prints[0]'),
        (("products", 1, "parts", 0, "name"), 'products."Hood.ie [x]".parts."Zip".name'),
        (("products", 7), "products[7]"),
        ((), "(file)"),
    ],
)
def test_entries_of_lists_are_called_by_name(path: tuple[str | int, ...], key: str) -> None:
    assert parse(TEXT, name="s.toml").key(path) == key


@pytest.mark.parametrize(
    ("text", "line", "why"),
    [
        ("a = 1\nb = \n", 2, "Invalid value"),
        ("a = 1\na = 2\n", 2, "Cannot overwrite a value"),
        ("start = 2027-03\n", 1, "Expected newline"),
        ('a = 1\nb = "x', 2, "Unterminated string"),
        ("a = 1\n\n\n[b", 4, "Expected"),
        ("a = " + "[" * 5000, 1, "brackets too deep"),
        ("a = " + "9" * 5000, 1, "a number too long"),
        ("a = 1\nb = 2\nc = " + "9" * 5000, 3, "a number too long"),
        ("\0", 1, "Invalid statement"),
    ],
)
def test_what_is_no_toml_is_refused_with_its_line(text: str, line: int, why: str) -> None:
    with pytest.raises(ScenarioError) as error:
        parse(text, name="s.toml")
    said = str(error.value)
    assert said.startswith(f"s.toml:{line}: (file): must be valid TOML (got {why}")
    assert "\n" not in said


@pytest.mark.parametrize("text", ["a = " + "[" * 20 + "]" * 20, ".".join("a" * 500) + " = 1"])
def test_tables_may_not_lie_too_deep(text: str) -> None:
    with pytest.raises(ScenarioError, match="must hold at most 20 tables within each other"):
        parse(text, name="s.toml")


@pytest.mark.parametrize(
    "key",
    [
        ".".join("a" * 200_000),
        " . ".join(['"a b"'] * 100_000),
        ".".join(["'a.b'"] * 100_000),
        f"[{'.'.join('a' * 200_000)}",
    ],
    ids=["bare", "quoted", "literal", "header"],
)
def test_a_key_of_very_many_parts_is_refused_on_its_line_before_it_is_read(
    key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tomllib, "loads", lambda text: pytest.fail("the parser's time has no end"))
    with pytest.raises(ScenarioError, match=r"^s\.toml:2: \(file\): must hold at most 20 tables"):
        parse(f"x = 1\n{key} = 1", name="s.toml")


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 18 + "]" * 18,
        ".".join("a" * 19) + " = 1",
        f"a = [{'1.5, ' * 200}]",
        f"a = 1  # {'.' * 200} and {'so on. ' * 50}",
    ],
    ids=["lists", "parts", "decimals", "dots in a comment"],
)
def test_what_is_not_too_deep_is_read(text: str) -> None:
    assert parse(text, name="s.toml").tree["a"]


def test_a_message_holds_no_more_than_two_hundred_characters_of_a_key() -> None:
    assert parse("", name="s.toml").key(("k" * 5_000,)) == "k" * 200


@pytest.mark.parametrize(
    ("key", "parts"),
    [
        ("shop.wage", ["shop", "wage"]),
        ('products."Full tee, dark".planned', ["products", "Full tee, dark", "planned"]),
        ("products.'a.b'.x", ["products", "a.b", "x"]),
        ("products[0].prints[12]", ["products", 0, "prints", 12]),
        (r'"a\"b\\".c', ['a"b\\', "c"]),
        (" shop . wage ", ["shop", "wage"]),
    ],
)
def test_key_paths(key: str, parts: list[str | int]) -> None:
    assert split_key(key) == parts


@pytest.mark.parametrize(
    "key", ["", " ", ".", "shop.", ".shop", 'a."b', "Full tee.price", "a[x]", "a[-1]", '"\\x"', "ü"]
)
def test_what_is_no_key_path(key: str) -> None:
    with pytest.raises(LookupError):
        split_key(key)


@given(st.text(min_size=1, max_size=40))
def test_any_name_can_stand_in_a_key_path(name: str) -> None:
    if not any("\ud800" <= c <= "\udfff" for c in name):  # TOML holds no lone surrogates
        shown = quoted_name(name)
        assert shown.isprintable()
        assert split_key(f"products.{shown}.price") == ["products", name, "price"]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("80 piece/week", "80 piece/week"),
        ("5", 5),
        ("0.5", 0.5),
        ('"5"', "5"),
        ("true", True),
        ("[1, 2]", [1, 2]),
        ('{ low = 1, likely = "2" }', {"low": 1, "likely": "2"}),
        ("2027-03", "2027-03"),
        ("2027-03-01", datetime.date(2027, 3, 1)),
        ("", ""),
        ("Tee # 5", "Tee # 5"),
        ("1\nother = 2", "1\nother = 2"),  # one value, not two keys
        ("9" * 5000, "9" * 5000),
        ("[" * 5000, "[" * 5000),
        (7.5, 7.5),
    ],
)
def test_the_value_of_a_change_is_read_as_toml_else_as_words(text: Any, value: Any) -> None:
    assert as_value(text) == value


def test_changes_are_parted_at_the_first_equals_sign_outside_quotes() -> None:
    given_texts = ['products."a=b".price = 5', "shop.note=x=y", "ramp={months='1 month'}"]
    assert parse_changes(given_texts) == {
        'products."a=b".price': "5",
        "shop.note": "x=y",
        "ramp": "{months='1 month'}",
    }


def test_every_bad_change_is_said_at_once() -> None:
    with pytest.raises(ScenarioError) as error:
        parse_changes(["nothing", "=5", "shop.wage=1", "shop.wage=2", 'a."b=3'])
    assert [str(fault) for fault in error.value.faults] == [
        "--set: =5: must be KEY=VALUE",
        '--set: a."b=3: must be KEY=VALUE',
        "--set: nothing: must be KEY=VALUE",
        "--set: shop.wage: must be given once",
    ]


def test_a_change_replaces_adds_and_leaves_the_file_alone() -> None:
    before = parse(TEXT, name="s.toml")
    after = changed(
        before, {'products."Tee".price': "5", "shop.wage": "2", "ramp.months": "3 months"}
    )
    assert after.tree["products"][0]["price"] == 5
    assert after.tree["ramp"] == {"months": "3 months"}
    assert "price" not in before.tree["products"][0]
    assert after.where(("shop", "wage")) == "--set"
    assert after.where(("ramp",)) == "--set"  # the table stands only there
    assert after.where(("shop", "season")) == "s.toml:4"


def test_lines_of_a_table_that_a_change_replaces_are_gone() -> None:
    after = changed(parse(TEXT, name="s.toml"), {"shop": {"wage": 5}})
    assert after.where(("shop", "wage")) == "--set"
    assert after.where(("title",)) == "s.toml:1"


@pytest.mark.parametrize(
    ("key", "got"),
    [
        ('products."Teee".price', '(got Teee); did you mean "Tee"?'),
        ("products[2].price", '(got 2); did you mean "Tee"?'),
        ("shop.wage.x", "(got x); wage holds a value, not a table"),
        ("shop[0]", "(got 0); shop holds a value, not a table"),
        ("", '--set: "": must lead'),
        ('a."b', '(got "b); write names that hold spaces or dots in double quotes'),
        (".".join("a" * 30), "(got a)"),
    ],
)
def test_a_change_that_leads_nowhere(key: str, got: str) -> None:
    with pytest.raises(ScenarioError) as error:
        changed(parse(TEXT, name="s.toml"), {key: "1"})
    assert got in str(error.value)
    assert "must lead to an input of the scenario" in str(error.value)


def test_a_change_needs_a_value() -> None:
    for nothing in (None, {"a": None}, [None]):
        with pytest.raises(ScenarioError, match=r"\(got nothing\); give a value"):
            changed(parse(TEXT, name="s.toml"), {"shop.wage": nothing})
