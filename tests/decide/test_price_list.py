"""The price list: by hand, never lower at a smaller quantity, each price put back."""

from dataclasses import replace

import pytest
from helpers import MACHINE, ROOT, TEE, exactly, shipped_answer
from hypothesis import given
from hypothesis import strategies as st

from planner.case import Case
from planner.decide.answer import answer
from planner.decide.job import bench, costed
from planner.decide.price_list import price_list, sizes
from planner.scenario.estimates import Values
from planner.scenario.load import load
from planner.scenario.schema import Order, OrderLine

# Film alone costs: 1 a metre of a roll one metre wide.
FILM = {"film.roll_price": 100, f"{MACHINE}.price": 1e-9, "selling.margin": "50 %"}


def prices(bare, quantities, **changes):
    """Price of a print of half a metre, by quantity."""
    keys = FILM | {"price_list.quantities": quantities} | changes
    found = price_list(answer(bare(keys)))
    return {one.quantity: one for one in found if one.product is None}


def test_prices_by_hand(bare):
    # two lie across: 0.5 m for one or two, 1 m for three or four
    found = prices(bare, [1, 2, 4], **{"labour.artwork": "6 min/design"})
    assert {n: one.price for n, one in found.items()} == {
        1: exactly(2 * (0.5 + 2)),
        2: exactly(2 * (0.5 + 2) / 2),
        4: exactly(2 * (1 + 2) / 4),
    }
    assert [one.cost for one in found.values()] == [exactly(p.price / 2) for p in found.values()]
    assert {one.set_by for one in found.values()} == {"margin"}


def test_a_smaller_quantity_is_priced_like_a_larger_one_whose_rows_fill_worse(bare):
    found = prices(bare, [3, 2, 5])
    alone = {2: 2 * 0.5 / 2, 3: 2 * 1.0 / 3, 5: 2 * 1.5 / 5}
    assert [*found] == [2, 3, 5]
    assert found[5].price == exactly(alone[5])
    assert found[3].price == exactly(alone[3])
    assert found[2].price == exactly(alone[3])  # not 0.50
    assert (found[2].set_by, found[3].set_by) == ("larger quantity", "margin")
    assert found[2].cost == exactly(0.25)
    assert found[2].margin == exactly(1 - 0.25 / alone[3])


def test_the_minimum_order_is_spread_over_the_pieces(bare):
    found = prices(bare, [1, 4, 12], **{"selling.minimum_order": 4})
    assert [one.price for one in found.values()] == [exactly(4), exactly(1), exactly(0.5)]
    assert [one.set_by for one in found.values()] == ["minimum order", "minimum order", "margin"]


def test_no_price_where_the_margin_takes_the_whole(bare):
    found = prices(bare, [1], **{"selling.margin": "90 %", "selling.payment_fee": "10 %"})
    assert (found[1].price, found[1].margin, found[1].cost) == (None, None, exactly(0.5))


def test_sizes_are_those_of_the_products_once_unless_stated(bare):
    two = ["20 cm x 30 cm", "10 cm x 10 cm"]
    own = bare({f"{TEE}.prints": [*two, "200 mm x 0.3 m"]})
    assert [one.width.likely for one in sizes(own, Values())] == [exactly(0.2), exactly(0.1)]
    stated = bare({f"{TEE}.prints": two, "price_list.sizes": ["40 cm x 5 cm"]})
    assert [one.width.likely for one in sizes(stated, Values())] == [exactly(0.4)]


def test_a_product_comes_with_its_garment_and_a_size_without(bare):
    page = answer(bare(FILM | {f"{TEE}.garment": 3, "price_list.quantities": [2]}))
    by_size, by_product = price_list(page)
    assert (by_size.product, by_product.size) == (None, None)
    assert by_product.price - by_size.price == exactly(6)


@pytest.fixture(scope="module")
def page(bare):
    """A page of the bare shop."""
    return answer(bare(FILM))


@pytest.mark.long
@given(
    quantities=st.lists(st.integers(1, 300), min_size=1, max_size=8, unique=True),
    least=st.integers(0, 100),
)
def test_a_piece_never_costs_less_in_a_smaller_order(quantities, least, bare, page):
    own = {"price_list.quantities": quantities, "selling.minimum_order": least}
    page = replace(page, case=Case(bare(FILM | own)))  # the machine is the same
    for product in (None, "Tee"):
        column = [one.price for one in price_list(page) if one.product == product]
        assert len(column) == len(quantities)
        assert column == sorted(column, reverse=True)


@pytest.mark.parametrize("name", ["larkspur-lane", "shortest", "new-shop", "two-widths"])
def test_each_price_put_back_as_an_order_is_its_price(name):
    page = shipped_answer(name)
    own = bench(page.case, page.best.evaluation.plan)
    by_margin = [one for one in price_list(page) if one.set_by == "margin"]
    assert by_margin
    for one in by_margin:
        what = {"product": one.product} if one.product else {"prints": [one.size], "garment": 0}
        line = OrderLine.model_validate({"pieces": one.quantity, **what})
        found = costed(own, Order.model_validate({"name": "again", "lines": [line]}))
        assert found.asked.price == exactly(one.price * one.quantity)
        assert found.with_equipment == exactly(one.cost * one.quantity)
        assert found.margins(found.asked.price).with_equipment == exactly(one.margin)


@pytest.mark.long
def test_inches_or_centimetres_make_the_same_list():
    path = ROOT / "scenarios" / "larkspur-lane.toml"
    inch, metric = (
        price_list(answer(load(path, changes={"price_list.sizes": [size]})))
        for size in ("10 in x 12 in", "25.4 cm x 30.48 cm")
    )
    assert [one.price for one in inch] == exactly([one.price for one in metric])
