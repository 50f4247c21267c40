"""A, B and C stand in this order wherever they stand together, each in its own look."""

import re

import pytest
from helpers import SHIPPED, shipped_answer

from planner.show import tables, words
from planner.show.pictures import payback_picture
from planner.show.style import stroke


@pytest.mark.parametrize("name", SHIPPED)
def test_tables_and_sentences_stand_in_the_order_of_the_letters(name: str) -> None:
    page = shipped_answer(name)
    compared = list(tables.comparison_table(page, page.best)["compared"])
    assert [row[:2] for row in compared] == ["A ", "B ", "C "]
    assert [row for row in compared if row.endswith(" (the headline)")] == [compared[1]]
    assert [said[:2] for said in words.payback_sentences(page, page.best)] == ["A,", "B,", "C,"]
    covers = list(tables.cover_table(page.best)["cover"])
    assert covers == sorted(covers, key=lambda row: row[0])
    returns = [row[0] for row in tables.returns_table(page, page.best)["figure"] if "every" in row]
    assert returns == ["A", "B", "C"]


def test_the_picture_names_them_in_order_and_b_has_the_first_look() -> None:
    page = shipped_answer("larkspur-lane")
    picture = payback_picture(page, page.best)
    named = re.findall(r"(?:; |: )([ABC]) (?=today|the)", picture.alt)
    assert named == ["A", "B", "C"]
    (axes,) = picture.figure.axes
    curves = [line for line in axes.lines if len(line.get_xdata()) == page.case.months + 1]
    assert [line.get_color() for line in curves] == [stroke(place).colour for place in (1, 0, 2)]


def test_b_and_c_are_one_line_where_nothing_else_is_done_today() -> None:
    page = shipped_answer("new-shop")
    alt = payback_picture(page, page.best).alt
    assert alt.index("A today's work only") < alt.index("B and C, against not taking the work")


@pytest.mark.parametrize("name", SHIPPED)
def test_a_way_to_pay_has_no_row_that_its_kind_does_not_take(name: str) -> None:
    page = shipped_answer(name)
    shown = list(tables.inputs_table(page, prefix=("financing",))["input"])
    for offer in page.scenario.financing:
        fields = {
            key.split(".")[2] for key in shown if key.startswith(f'financing."{offer.name}".')
        }
        if offer.kind == "cash":
            assert fields == set()
        else:
            assert "term" in fields
            assert ("deposit" in fields) == (offer.kind == "lease")
