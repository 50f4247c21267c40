"""Comments behind keys."""

from collections.abc import Callable

import pytest

from planner.scenario.comments import comments, origins
from planner.scenario.schema import Scenario
from planner.scenario.starter import full_form, short_form


@pytest.mark.parametrize(
    ("line", "comment"),
    [
        ("wage = 3", ""),
        ("wage = 3 # bill", "bill"),
        ("wage = 3#bill  of\tMay ", "bill of May"),
        ("wage = 3 ## bill # of May", "bill # of May"),
        ('wage = "3 # 4"', ""),
        ('wage = "3 \\" # 4" # bill', "bill"),
        ("wage = 'it''s # 4' # bill", "bill"),
        ('wage = "it\'s" # bill', "bill"),
        ("wage = 3 #", ""),
        ('wage = "ü" # Rechnung über 3 €', "Rechnung über 3 €"),
    ],
)
def test_what_stands_behind_a_key(line: str, comment: str) -> None:
    assert comments(line) == {("wage",): comment}


def test_each_key_has_its_own() -> None:
    text = """\
# above
[shop]  # of the table
wage = 3  # payslip
season = [1,  # first line
  2]  # second line
[[products]]
name = "Tee"
price = 4  # invoice
[[products]]
price = 5
"""
    found = comments(text)
    assert found["shop", "wage"] == "payslip"
    assert found["shop", "season"] == "first line"
    assert found["products", 0, "price"] == "invoice"
    assert found["products", 1, "price"] == ""
    assert found[("shop",)] == "of the table"


def test_no_text_has_none() -> None:
    assert comments("") == {}


BASIS_OF = {
    "accounts": (
        "bill of May", "invoice 117", "invoices: a piece, after discounts", "Supplier's invoices",
        "payslip of 31 October", "receipt", "bank statement", "accounts 2026", "the ledger",
        "order book", "invoice, without sales tax",
    ),
    "quoted": (
        "quote of 10 November", "quote of 10 November: 18 to 30", "my quote", "Quoted by phone",
        "offer of 12 November", "bank's offer", "loan offer", "supplier\u2019s price list: each",
        "lease contract, page 2", "price list", "dealer's data sheet", "datasheet",
        "brochure says 40", "type plates of both", "e-mail of 3 May", "quote by the invoice",
    ),
    "measured": (
        "measured on 3 May", "test prints", "stopwatch", "ruler", "timed, not the brochure",
    ),
    "estimated": (
        "my estimate, no quote yet", "a guess from last year's invoices", "owner's word: weeding",
        "electrician's estimate", "quote of May, the rest a guess", "the dealer said so",
    ),
    "": (
        "", "from signing", "before sales tax", "no quote yet", "not the brochure",
        "without a quote", "not yet measured", "to be measured", "quoteless", "billing",
        "what it pays, payslip to come", "quotes are pending", "invoices missing",
        "? payslip: gross pay for an hour", "?bank's offer", "? quote",
    ),
}  # fmt: skip


@pytest.mark.parametrize(
    ("comment", "basis"), [(said, basis) for basis, ones in BASIS_OF.items() for said in ones]
)
def test_a_comment_that_names_a_document_is_an_origin(comment: str, basis: str) -> None:
    said = {"basis": basis, "source": comment} if basis else None
    assert origins(f"wage = 3 # {comment}").get(("wage",)) == said
    assert origins(f"wage = 3 #{comment.upper()}").get(("wage",), {}).get("basis", "") == basis
    assert origins(f"[shop] # {comment}\nwage = 3") == {}  # of no key


def test_a_source_is_short_and_steers_nothing() -> None:
    (said,) = origins("wage = 3 # bill \u202e" + "of May " * 100).values()
    assert said["source"].startswith("bill \ufffdof May of May")
    assert len(said["source"]) == 200


FORMS = (short_form("-"), full_form("-"))
ASKS = sorted(
    {line.rpartition("#? ")[2] for form in FORMS for line in form.split("\n")[9:] if "#? " in line}
)


def test_starters_claim_no_origin_by_comments() -> None:
    for form in FORMS:
        assert origins(form) == {}


@pytest.mark.parametrize("comment", ASKS)
def test_what_a_starter_asks_is_a_source_once_its_question_mark_is_gone(comment: str) -> None:
    assert origins(f"wage = 3 #? {comment}") == {}
    assert set(origins(f"wage = 3 # {comment}")) == {("wage",)}


Load = Callable[..., Scenario]


def test_an_input_without_an_origin_takes_that_of_its_comment(loaded: Load, shop: str) -> None:
    def of(line: str, **changes: object) -> tuple[str | None, str]:
        price = loaded(shop.replace("price = 15000", line), **changes).equipment[0].price
        assert price is not None
        return price.basis, price.source

    said = "# quote of 10 November"
    assert of(f"price = 15000 {said}") == ("quoted", "quote of 10 November")
    assert of("price = 15000") == ("estimated", "")
    assert of(f'price = {{ likely = 15000, basis = "accounts" }} {said}') == ("accounts", "")
    assert of(f'price = {{ likely = 15000, source = "mail" }} {said}') == ("estimated", "mail")
    given = {"changes": {'equipment."Set".price': 14000}}
    assert of(f"price = 15000 {said}", **given) == ("estimated", "")


def test_what_a_table_says_of_its_inputs_goes_before_a_comment(loaded: Load, shop: str) -> None:
    step = '[[equipment.start_up]]\nname = "Circuit"\nbasis = "accounts"\n'
    text = shop.replace("[[financing]]", f"{step}cost = 700 # quote of 3 May\n\n[[financing]]", 1)
    (made,) = loaded(text).equipment[0].start_up or ()
    assert made.cost is not None
    assert (made.cost.basis, made.cost.source) == ("accounts", "")


def test_all_parts_of_a_value_take_the_origin_of_its_line(loaded: Load, shop: str) -> None:
    season = "season = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12] # invoices of last year"
    text = shop.replace("[shop]\n", f"[shop]\n{season}\n")
    found = loaded(text).shop.season
    assert found is not None
    assert {month.basis for month in found} == {"accounts"}
