"""Inputs of the way to pay: loan or lease; nothing where own money pays."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, get_args

from planner.deliver.workbook.book import Entry, Listing
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.given import Given, fallback, switch
from planner.paying import NOMINAL_PURCHASE
from planner.scenario import derived
from planner.scenario.schema import Financing, Part

PARTS: Final = get_args(Part)
START, END = "start", "end"


def paying_listings(facts: Facts, given: Given) -> Iterator[Listing]:
    """The list of the offer's inputs."""
    offer = facts.plan.choice.financing
    match offer.kind:
        case "loan":
            entries = (*_loan(offer, given), *_covers(offer))
        case "lease":
            entries = (*_lease(offer, given), *_covers(offer))
        case _:
            return
    yield Listing(title=f"Way to pay: {offer.name}", entries=entries, with_origin=True)


def covers_name(part: str) -> str:
    """The name of the cell that says whether an offer covers a part of the outlays."""
    return f"covers_{part.replace(' ', '_').replace('-', '_')}"


def _covers(offer: Financing) -> Iterator[Entry]:
    for part in PARTS:
        yield switch(covers_name(part), f"covers {part}", part in offer.covers)


def _loan(offer: Financing, given: Given) -> Iterator[Entry]:
    assert offer.term is not None
    yield from given.entries(offer, ("rate", "payment"), names="loan")
    yield given.entry("loan_term", offer.term, whole=True)
    if offer.down_payment is None:
        yield fallback("loan_down_payment", "loan down payment", "%", derived.LOAN_DOWN_PAYMENT)
    yield from given.entries(offer, ("down_payment", "fee"), names="loan")


def _lease(offer: Financing, given: Given) -> Iterator[Entry]:
    assert offer.term is not None
    yield from given.entries(offer, ("payment",), names="lease")
    yield given.entry("lease_term", offer.term, whole=True)
    yield switch("lease_in_advance", "payments at the start of the month", offer.due == "start")
    if offer.advance_payments is not None:
        yield given.entry("lease_advance_payments", offer.advance_payments, whole=True)
    yield from given.entries(offer, ("deposit", "document_fee", "sales_tax"), names="lease")
    end = offer.at_end
    if end is not None and end.share is not None:
        yield given.entry("lease_purchase_share", end.share, label="purchase, share of the price")
    if end is not None and end.sum is not None:
        yield given.entry("lease_purchase_sum", end.sum, label="purchase, sum before tax")
    if end is not None and end.kind == "buy":
        yield fallback(
            "lease_nominal_share",
            "a purchase for tax where its price is at most this share of resale",
            "%",
            NOMINAL_PURCHASE,
        )
