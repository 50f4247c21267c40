"""Comments behind keys."""

import pytest

from planner.scenario.comments import comments


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
