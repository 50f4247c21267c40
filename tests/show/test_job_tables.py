"""Tables, words and documents of single orders, also where there is nothing to show."""

from __future__ import annotations

import json
from dataclasses import replace

import pandas as pd
import pytest
from helpers import SET, TEE, equipment, exactly, shipped_answer

from planner.decide.answer import answer
from planner.decide.identities import job_checks
from planner.decide.job import jobs
from planner.decide.price_list import price_list
from planner.deliver.files import json_text
from planner.deliver.job_report import orders_document, price_list_document
from planner.show.numbers import Numbers
from planner.show.tables import jobs as job_tables
from planner.show.words import jobs as words

ORDER = {"name": "Ours", "lines": [{"product": "Tee", "pieces": 4}]}
PRESS_ONLY = {
    SET: equipment(
        name="Press", print_speed=None, power=None, dryer_on=None, dryer_warm_up=None
    ),
    "today": {"buy_in_price": "1 USD/m^2"},
    "orders": [ORDER],
}  # fmt: skip


@pytest.fixture(scope="module")
def larkspur():
    return shipped_answer("larkspur-lane")


def test_the_table_of_orders_holds_the_figures_of_the_orders(larkspur):
    frame, found = job_tables.orders_table(larkspur), jobs(larkspur)
    assert list(frame["order"]) == [job.name for job in found]
    assert list(frame["full cost [USD]"]) == exactly([job.full for job in found])
    assert list(frame["price to ask [USD]"]) == exactly([job.asked.price for job in found])
    assert frame["offered [USD]"].notna().sum() == 1
    formats = job_tables.order_formats(larkspur)
    assert set(formats) <= set(frame.columns)
    assert formats["full cost [USD]"](1234.567) == "$1,234.57"
    assert formats["price to ask [USD]"](10.001) == "$10.01"


def test_the_table_of_parts_adds_up(larkspur):
    frame = job_tables.parts_table(larkspur)
    assert list(frame.columns[1:]) == list(job_tables.parts_formats(larkspur))
    sums = frame.drop(columns="part").sum()
    assert list(sums) == exactly([job.full for job in jobs(larkspur)])


def test_the_price_list_has_a_row_a_size_or_product_and_a_column_a_quantity(larkspur):
    frame = job_tables.price_list_table(larkspur)
    assert list(frame.columns[1:]) == list(job_tables.price_list_formats(larkspur))
    assert len(frame) == 3 + 3
    assert list(frame["a piece of"][:2]) == ["4 in x 4 in", "10.5 in x 12.5 in"]
    single = [one.price for one in price_list(larkspur)]
    assert frame.drop(columns="a piece of").to_numpy().ravel().tolist() == exactly(single)


def test_sizes_that_read_alike_keep_rows_of_their_own(bare):
    two = ["20 cm x 20 cm", "20.001 cm x 20 cm"]
    page = answer(bare({"price_list.sizes": two, "price_list.quantities": [1]}))
    assert len(job_tables.price_list_table(page)) == 3


@pytest.mark.parametrize(("changes", "said"), [
    ({}, "No single orders are given."),
    (PRESS_ONLY, "Single orders are not costed: the set spoken of only presses."),
])  # fmt: skip
def test_nothing_to_show_is_said_and_breaks_nothing(bare, changes, said):
    page = answer(bare(changes))
    assert words.orders_sentence(page) == said
    assert len(job_tables.orders_table(page)) == 0
    assert "order" in job_tables.orders_table(page).columns
    assert len(job_tables.parts_table(page)) == 0
    assert orders_document(page) == []
    assert isinstance(job_tables.price_list_table(page), pd.DataFrame)
    assert (price_list_document(page) == []) == bool(changes)
    if changes:
        assert words.price_list_sentence(page).startswith("There is no price list")


def test_documents_are_json_with_a_reason_for_each_null(larkspur, bare):
    for order in json.loads(json_text(orders_document(larkspur))):
        missing = {key for key, value in order.items() if value is None}
        offers = {"offered", "offered_margin", "offered_margin_over_full"}
        assert missing == {"artwork"} | (set() if order["offered"] else offers)
    page = answer(
        bare({"selling.margin": "90 %", "selling.payment_fee": "20 %", "orders": [ORDER]})
    )
    (order,) = orders_document(page)
    assert (order["price"], order["price_set_by"], order["margin"]) == (None, None, None)
    assert {one["price"] for one in price_list_document(page)} == {None}
    assert words.price_words(0.1 + 0.2, Numbers("en_US", "USD", "inch")) == "$0.30"
    assert words.price_words(12.001, Numbers("en_US", "JPY", "inch")) == "¥13"


def test_an_offer_below_cost_is_said_to_lose(bare):
    changes = {f"{TEE}.garment": 3, "orders": [ORDER | {"price": 6}]}
    page = answer(bare(changes))
    (job,) = jobs(page)
    numbers = Numbers("en_US", "USD", "inch")
    last = list(words.price_sentences(job, page.scenario.selling, numbers))[-1]
    assert last.startswith("At the price offered, $6.00, $1.50 a piece, the order loses $")
    free = replace(job, offered=0.0)
    last = list(words.price_sentences(free, page.scenario.selling, numbers))[-1]
    assert last.startswith("A price of nothing has no margin")


def test_checks_hold_and_fail_when_a_price_is_wrong(larkspur, monkeypatch):
    checks = job_checks(larkspur)
    assert len(checks) == 5 + 6
    assert all(ok for _, ok, _ in checks)
    rising = [replace(one, price=float(one.quantity)) for one in price_list(larkspur)]
    monkeypatch.setattr("planner.decide.identities.price_list", lambda page: rising)
    wrong = [replace(job, equipment=job.equipment + 1) for job in jobs(larkspur)]
    monkeypatch.setattr("planner.decide.identities.jobs", lambda page: wrong)
    assert not any(ok for _, ok, _ in job_checks(larkspur))


def test_words_of_an_order_by_its_lines(bare):
    lines = [
        {"product": "Tee", "pieces": 2, "garment_supplied": True, "new_designs": 2},
        {"prints": ["20 cm x 30 cm", "5 cm x 5 cm"], "pieces": 1, "pressed": False,
         "filled": "75 %", "coverage": "120 %", "new_designs": 0},
    ]  # fmt: skip
    order = {"name": "Two", "rush": True, "lines": lines}
    page = answer(bare({"units": "metric", "orders": [order]}))
    (job,) = jobs(page)
    assert words.order_sentence(page, job) == (
        "Two: 2 pieces of Tee, the customer's own, with a print of 50 cm x 50 cm; "
        "1 piece sold loose, 20 cm x 30 cm and 5 cm x 5 cm, 75% of it filled, "
        "ink and powder at 120% of the rates; 2 new designs to draw; in a hurry."
    )
