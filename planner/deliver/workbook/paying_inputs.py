"""Inputs of the way to pay: loan or lease; nothing where own money pays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final, get_args

from planner.deliver.workbook.book import Entry, Listing
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.given import Given, fallback, switch
from planner.paying import NOMINAL_PURCHASE
from planner.scenario import derived
from planner.scenario.schema import Financing, Part

PARTS: Final = get_args(Part)


def paying_listings(facts: Facts, given: Given) -> Iterator[Listing]:
    """The list of the offer's inputs."""
    offer = facts.plan.choice.financing
    match offer.kind:
        case "loan" | "instalments":
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


def _term(offer: Financing, given: Given, name: str) -> Entry:
    """The term, which may be as long as the schedule has rows."""
    assert offer.term is not None
    most = max(given.horizon, given.values.whole(offer.term))
    entry = given.entry(name, offer.term, label="term", whole=True)
    return replace(entry, most=most, note=f"at most {most} months; longer needs the program")


def _loan(offer: Financing, given: Given) -> Iterator[Entry]:
    yield from given.entries(offer, ("rate", "payment"), names="loan")
    yield _term(offer, given, "loan_term")
    if offer.amount is not None:
        yield given.entry("loan_offered", offer.amount, label="amount, never more than is covered")
    elif offer.down_payment is None:
        yield fallback("loan_down_payment", "down payment", "%", derived.LOAN_DOWN_PAYMENT)
    yield from given.entries(offer, ("down_payment", "fee"), names="loan")
    yield switch("loan_fee_financed", "fee added to the debt", offer.fee_financed)
    months = {
        "interest_only": (offer.interest_only, 0.0),
        "first_payment_after": (offer.first_payment_after, 1.0),
    }
    for key, (stated, usual) in months.items():
        words = key.replace("_", " ")
        yield (
            given.entry(f"loan_{key}", stated, label=words, whole=True)
            if stated is not None
            else fallback(f"loan_{key}", words, "month", usual)
        )
    if offer.step is not None:
        yield given.entry(
            "loan_step_every", offer.step.every, label="payments change every", whole=True
        )
        yield given.entry("loan_step_change", offer.step.change, label="by")
    amounts = {"balloon": given.currency, "early_repayment_charge": "%"}
    for key, unit in amounts.items():
        yield from given.entries(offer, (key,), names="loan")
        if getattr(offer, key) is None:
            yield fallback(f"loan_{key}", key.replace("_", " "), unit, 0.0)


def _lease(offer: Financing, given: Given) -> Iterator[Entry]:
    yield from given.entries(offer, ("rate", "payment"), names="lease")
    yield _term(offer, given, "lease_term")
    yield switch("lease_in_advance", "payments at the start of the month", offer.due == "start")
    if offer.advance_payments is not None:
        yield given.entry(
            "lease_advance_payments", offer.advance_payments, label="advance payments", whole=True
        )
    yield from given.entries(offer, ("deposit", "document_fee", "sales_tax"), names="lease")
    end = offer.at_end
    assert end is not None  # the scenario's checks see to it
    if end.share is not None:
        yield given.entry("lease_purchase_share", end.share, label="purchase, share of the price")
    if end.sum is not None:
        yield given.entry("lease_purchase_sum", end.sum, label="purchase, sum before tax")
    if end.payment is not None:
        yield given.entry("lease_renewed_payment", end.payment, label="payment after the term")
    if end.kind == "buy" and offer.counts_as is None:
        yield fallback(
            "lease_nominal_share",
            "a purchase for tax where its price is at most this share of resale",
            "%",
            NOMINAL_PURCHASE,
        )
