"""Make or buy at other buy-in prices: sentences, table, and the marks in the picture."""

from itertools import pairwise

import pytest
from helpers import exactly, product, shipped_answer
from matplotlib.text import Annotation

from planner.decide.answer import answer
from planner.decide.buy_in_prices import buy_in_prices
from planner.show.charts import Band, Picture, make_or_buy
from planner.show.labels import extent
from planner.show.numbers import Numbers
from planner.show.tables.buy_in_prices import buy_in_formats, buy_in_prices_table
from planner.show.words.buy_in_prices import buy_in_price_sentences

DE = Numbers(locale="de_DE", currency="EUR", units="metric")


def said(page):
    return " ".join(buy_in_price_sentences(page, page.best))


def test_crossings_and_the_price_in_balance_are_said(bare):
    # making costs 100 a month; 25 m² a month are planned, four weeks a month, at 8 a square metre
    page = answer(bare({"today": {"buy_in_price": "8 USD/m^2"}, "units": "metric"}))
    assert said(page) == (
        "At $6.40/m² buying stays cheaper up to 3.91 m² a week. "
        "At $9.60/m² buying stays cheaper up to 2.6 m² a week. "
        "At the planned 6.25 m² a week, making is cheaper as long as transfers cost more than "
        "$4.00/m²."
    )


def test_price_breaks_move_alike_and_that_is_said():
    for name, has_breaks in (("larkspur-lane", True), ("shortest", False)):
        assert ("the breaks move alike" in said(shipped_answer(name))) == has_breaks


def test_where_there_is_no_crossing_the_reason_is_said():
    words = said(shipped_answer("shortest"))
    assert "At $2.48/ft² buying stays cheaper up to capacity." in words


def test_a_plan_beyond_capacity_is_said_to_be_so(bare):
    full = {"equipment.Set.print_speed": f"{20 / 160} m^2/hour", "units": "metric"}
    page = answer(bare(full | {"today": {"buy_in_price": "8 USD/m^2"}}))
    assert "At 5 m² a week, which fill the shop, making is cheaper" in said(page)


def test_prices_a_piece_are_said_as_shares(bare):
    tee = product("Tee", planned="25 piece/week", buy_in=2)
    page = answer(bare({"products": [tee], "today": {}}))
    assert "as long as transfers cost more than 50% of the prices given." in said(page)
    frame = buy_in_prices_table(page, page.best)
    assert not any(column.startswith("price") for column in frame)


def test_nothing_is_said_without_a_price(bare):
    page = answer(bare())
    assert said(page) == ""
    assert buy_in_prices_table(page, page.best) is None


@pytest.mark.parametrize(("name", "has_reasons"), [("larkspur-lane", False), ("shortest", True)])
def test_the_table_holds_what_was_worked_out(name, has_reasons):
    page = shipped_answer(name)
    asked = buy_in_prices(page.case, page.best.evaluation.plan, page.best.figures.make_or_buy)
    frame = buy_in_prices_table(page, page.best)
    assert list(frame["bought-in transfers at"]) == [row.name for row in asked.rows]
    foot = 0.3048**2  # NIST SP 811, appendix B: exact
    assert list(frame["price [USD/ft²]"]) == exactly([row.price * foot for row in asked.rows])
    areas = frame["making stays cheaper from [ft²/week]"]
    for found, row in zip(areas, asked.rows, strict=True):
        assert row.area is None or found == exactly(row.area / foot)
    assert ("why none" in frame) == has_reasons
    assert set(buy_in_formats(page)) <= set(frame)


def drawn(crossing_low: float | None, crossing_high: float | None) -> Picture:
    """Made at 8 - x, bought at 5: the lines cross at 3, with the ends of the price at 4 and 2."""
    return make_or_buy(
        areas=[1.0, 2.0, 3.0, 4.0, 5.0],
        made=[7.0, 6.0, 5.0, 4.0, 3.0],
        bought=Band(4.0, 5.0, 6.0),
        crossing=3.0,
        planned=4.5,
        numbers=DE,
        crossing_low=crossing_low,
        crossing_high=crossing_high,
    )


def labels(picture: Picture) -> list[str]:
    return [text.get_text() for text in picture.figure.findobj(Annotation) if text.get_text()]


def points(picture: Picture) -> list[tuple[float, float, float]]:
    lines = picture.figure.axes[0].lines
    return [
        (float(line.get_xdata()[0]), float(line.get_ydata()[0]), float(line.get_markersize()))
        for line in lines
        if len(line.get_xdata()) == 1
    ]


def test_crossings_at_the_ends_of_the_price_are_marked_smaller():
    picture = drawn(4.0, 2.0)
    assert "low price: from\n4 m² a week" in labels(picture)
    assert "high price: from\n2 m² a week" in labels(picture)
    assert "low price: from 4 m² a week" in picture.alt
    (low, high, main) = sorted(points(picture), key=lambda point: point[2])
    assert {low[:2], high[:2]} == {(4.0, 4.0), (2.0, 6.0)}
    assert main[:2] == (3.0, 5.0)
    assert max(low[2], high[2]) < main[2]


def test_a_crossing_that_does_not_exist_or_lies_outside_is_not_marked():
    for low in (None, 5.1, 0.9):
        picture = drawn(low, 2.0)
        assert not any("low price" in text for text in labels(picture))
        assert any("high price" in text for text in labels(picture))
        assert len(points(picture)) == 2


def test_without_room_for_their_labels_the_ends_are_not_marked():
    scale = 1e9
    picture = make_or_buy(
        areas=[scale * x for x in (1.0, 2.0, 3.0, 4.0, 5.0)],
        made=[7.0, 6.0, 5.0, 4.0, 3.0],
        bought=Band(4.0, 5.0, 6.0),
        crossing=3.0 * scale,
        planned=4.5 * scale,
        numbers=DE,
        crossing_low=4.0 * scale,
        crossing_high=2.0 * scale,
    )
    assert not any("price: from" in text for text in labels(picture))
    assert "price: from" not in picture.alt


def test_the_labels_of_four_marks_do_not_touch():
    picture = drawn(4.0, 2.0)
    row = [text for text in picture.figure.findobj(Annotation) if "a week" in text.get_text()]
    tops = sorted((extent(text) for text in row if text.xycoords != "data"), key=lambda b: b.x0)
    assert len(tops) == 4
    assert all(one.x1 <= other.x0 for one, other in pairwise(tops))
