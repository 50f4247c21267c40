"""Film read out and in tables: the figures that are said are those that were worked out."""

import pandas as pd
import pytest
from helpers import SHIPPED, equipment, exactly, product, shipped_answer

from planner.decide.answer import answer
from planner.decide.film import rolls
from planner.show.numbers import FOOT, INCH
from planner.show.pictures import layout_pictures
from planner.show.tables.film import film_formats, layout_table, rolls_table
from planner.show.words.film import film_heading, film_sentences


def test_what_layout_costs_is_said_of_the_work_planned_most():
    page = shipped_answer("larkspur-lane")
    # 10.5 × 12.5 in of a row of 12.75 in on a 24 in roll, two across: 86 %
    assert film_heading(page) == "86% of the film for Full-front tee, dark cotton is picture"
    said = " ".join(film_sentences(page))
    assert (
        "86% is picture: laid out, with rejects and redone work, film costs $0.29 a piece" in said
    )
    assert "by area only it would be $0.23." in said
    assert "takes 96.6 ft of the 24 in roll for $49.45, of which $9.77 are the blank ends" in said


def test_the_sheet_is_read_out_where_transfers_are_bought_by_the_sheet():
    # two of 10.5 in and a gap across 22 in, rows of 12.75 in: 93.6 % of the sheet; 3.10 ÷ 0.936
    assert (
        "Of the supplier's sheet, 22 in wide, Full-front tee, dark cotton fills 94%: $3.10/ft² of "
        "sheet are $3.31/ft² of picture."
    ) in list(film_sentences(shipped_answer("larkspur-lane")))
    for name in ("new-shop", "shortest", "two-widths"):
        assert "supplier's sheet" not in " ".join(film_sentences(shipped_answer(name)))


def test_roll_against_roll():
    said = list(film_sentences(shipped_answer("two-widths")))
    assert (
        "Of film alone, the planned work takes least on the 60 cm roll: €75.03 a week against "
        "€76.83 on the 30 cm roll."
    ) in said
    assert sum("takes least" in one for one in said) == 1
    assert "takes least" not in " ".join(film_sentences(shipped_answer("shortest")))


def test_rolls_as_wide_as_each_other_are_told_by_their_sets(bare):
    own = {"roll": "1 m x 50 m", "roll_price": 30}
    sets = [equipment(), equipment(name="Dear film", film=own)]
    changes = {"equipment": sets, "film.roll_price": 10, "units": "metric"}
    said = " ".join(film_sentences(answer(bare(changes))))
    # 12.5 m a week at 10 ÷ 100 and at 30 ÷ 50
    assert (
        "least on the 1 m roll of Set: $1.25 a week against $7.50 on the 1 m roll of Dear film"
        in (said)
    )


def test_a_set_that_only_presses_has_no_layout(bare):
    of_printer = ("print_speed", "power", "dryer_on", "dryer_warm_up")
    press = equipment(name="Press", **dict.fromkeys(of_printer))
    page = answer(bare({"equipment": [press], "today": {"buy_in_price": "8 USD/m^2"}}))
    assert film_heading(page) == "No film is used: nothing is printed here"
    assert list(film_sentences(page)) == []
    assert layout_pictures(page) == []
    assert layout_table(page).empty
    assert rolls_table(page).empty


@pytest.mark.parametrize("name", SHIPPED)
def test_the_layout_table_holds_what_was_worked_out(name):
    page = shipped_answer(name)
    unit, size = ("in", INCH) if page.scenario.units == "inch" else ("cm", 0.01)
    frame = layout_table(page)
    worked_out = [one for roll in rolls(page.case) for one in roll.products]
    assert list(frame["product"]) == [one.product for one in worked_out]
    currency = page.scenario.currency
    for column, expected in (
        (f"film a piece [{unit}]", [one.film / size for one in worked_out]),
        ("picture ÷ film", [one.film_use for one in worked_out]),
        (f"film a piece [{currency}]", [one.cost for one in worked_out]),
        (f"film by area only [{currency}]", [one.area_only for one in worked_out]),
    ):
        assert list(frame[column]) == exactly(expected)
    assert ("picture ÷ supplier's sheet" in frame) == (name == "larkspur-lane")


def test_side_by_side_is_said_of_every_print():
    assert list(layout_table(shipped_answer("larkspur-lane"))["side by side"]) == [
        "2",
        "5 and 2",
        "1",
    ]


def test_the_rolls_table_in_feet_and_in_metres():
    feet, metres = (rolls_table(shipped_answer(name)) for name in ("shortest", "two-widths"))
    (roll,) = rolls(shipped_answer("shortest").case)
    assert feet["film a week [ft]"][0] == exactly(roll.weeks[0].fed / FOOT)
    assert list(dict.fromkeys(metres["roll"])) == ["60 cm", "30 cm"]
    assert (metres["film a week [EUR]"] > metres["of it ends of runs and rolls [EUR]"]).all()


@pytest.mark.parametrize("name", SHIPPED)
def test_every_format_is_of_a_column(name):
    page = shipped_answer(name)
    columns = pd.concat([layout_table(page), rolls_table(page)]).columns
    formats = film_formats(page)
    assert set(formats) - set(columns) <= {"picture ÷ supplier's sheet"}
    for column, write in formats.items():
        assert write(0.5)
        assert "[" not in column or page.scenario.currency in column


def test_a_product_priced_by_the_piece_has_no_sheet(bare):
    today = {"buy_in_price": "8 USD/m^2", "buy_in_by": "sheet"}
    products = [product("Tee", buy_in=3, planned="99 piece/week"), product("Cap")]
    page = answer(bare({"products": products, "today": today}))
    assert "sheet" not in " ".join(film_sentences(page))
    sheets = layout_table(page)["picture ÷ supplier's sheet"]
    assert [pd.isna(value) for value in sheets] == [True, False]
