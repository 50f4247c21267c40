"""What a plan rests on: its assumptions, where they come from, and which of them matter most."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from planner.case import Choice
from planner.decide.evaluation import Evaluation
from planner.decide.figures import PaybackTime
from planner.decide.sensitivity import influences, without_range
from planner.decide.stress import outcome_of
from planner.scenario.checks import KEYS_OF_KIND
from planner.scenario.estimates import Estimate
from planner.scenario.key_paths import quoted_name
from planner.scenario.notices import defaults_in_words
from planner.scenario.schema import Financing, Scenario
from planner.scenario.tree import Leaf, inputs, leaves
from planner.usage.materials import rate_ranges
from planner.usage.test_prints import measured_rates

_NO_CHOICE: Final = (
    "title", "prepared_for", "prepared_by", "locale", "units", "name", "basis", "source", "date",
    "secured_by", "guarantors", "attached", "missing",
)  # fmt: skip
# Single orders, the price list and what only prices these: no figure of the plan depends on them.
_NOT_OF_THE_PLAN: Final = (
    "orders.", "price_list.", "selling.margin", "selling.minimum_order", "selling.rush.",
)  # fmt: skip
BASES: Final = ("measured", "accounts", "quoted", "estimated", "default")


@dataclass(frozen=True)
class Influential:
    """One of the inputs that matter most, and what moving it alone to its ends does.

    Payback of the plan against buying in, and its lowest debt service cover [-]. ``has_range`` is
    False where the scenario gives one value and the ends lie a fifth below and above it.
    """

    estimate: Estimate
    has_range: bool
    payback_at_low: PaybackTime
    payback_at_high: PaybackTime
    cover_at_low: float | None
    cover_at_high: float | None


@dataclass(frozen=True)
class Bases:
    """How many inputs the plan rests on, by basis.

    ``by_seller`` counts the quotes of whoever prepared the file if that is the seller; None where
    it is not, or the scenario does not say.
    """

    counts: Mapping[str, int]
    by_seller: int | None

    @property
    def total(self) -> int:
        """All inputs."""
        return sum(self.counts.values())


def assumptions(scenario: Scenario, choice: Choice) -> tuple[Estimate, ...]:
    """Every number that the choice rests on, in the order of the schema.

    What belongs to another machine, warranty or way to pay is left out, and so are single orders
    and the price list; the test prints stand as the three rates that are measured from them, with
    their 95 % intervals.
    """
    elsewhere = tuple(_elsewhere(scenario, choice))
    own = [
        estimate
        for estimate in inputs(scenario)
        if not estimate.key.startswith(("prints[", *elsewhere))
    ]
    return (*own, *rate_ranges(measured_rates(scenario.prints)))


def choices_made(scenario: Scenario, choice: Choice) -> tuple[Leaf, ...]:
    """Every word that the choice rests on, such as a method or a date, in the order of the schema.

    Names, sources and what only says how results are shown are left out.
    """
    elsewhere = tuple(_elsewhere(scenario, choice))
    return tuple(
        leaf
        for leaf in leaves(scenario)
        if not isinstance(leaf.value, Estimate)
        and leaf.value not in (None, "", ())
        and leaf.path.rpartition(".")[2] not in _NO_CHOICE
        and not leaf.key.startswith(elsewhere)
    )


def followed(scenario: Scenario, choice: Choice) -> tuple[str, ...]:
    """Defaults that follow from another input and so have no number of their own, in words."""
    known = tuple(f"{leaf.key}: " for leaf in leaves(scenario) if leaf.value not in (None, ()))
    lines = of_choice(defaults_in_words(scenario), scenario, choice)
    return tuple(line for line in lines if not line.startswith(known))


def of_choice(lines: Iterable[str], scenario: Scenario, choice: Choice) -> tuple[str, ...]:
    """Lines that begin with a key, without those of keys that the choice does not rest on."""
    elsewhere = tuple(_elsewhere(scenario, choice))
    return tuple(line for line in lines if not line.startswith(elsewhere))


def _elsewhere(scenario: Scenario, choice: Choice) -> Iterator[str]:
    """How keys begin, or lines that speak of them, that the choice does not rest on."""
    yield from _NOT_OF_THE_PLAN
    machine, warranty, paid = choice.equipment, choice.warranty, choice.financing
    key = f"equipment.{quoted_name(machine.name)}"
    for equipment in scenario.equipment:
        if equipment.name != machine.name:
            yield from (f"equipment.{quoted_name(equipment.name)}{after}" for after in ".:")
    for other in machine.warranty:
        if other.name != warranty.name:
            yield f"{key}.warranty.{quoted_name(other.name)}."
    for offer in scenario.financing:
        base = f"financing.{quoted_name(offer.name or '')}."
        if offer.name != paid.name:
            yield base
    yield from idle_keys(paid)


def idle_keys(offer: Financing) -> Iterator[str]:
    """How the keys of a way to pay begin that its kind does not take, and that are nothing."""
    own = f"financing.{quoted_name(offer.name or '')}."
    fields = type(offer).model_fields
    yield from (f"{own}{name}" for name in fields if name not in KEYS_OF_KIND[offer.kind])


def bases(scenario: Scenario, choice: Choice, *, is_seller: bool) -> Bases:
    """Count the assumptions by basis; what follows from another input counts as a default.

    A quote is the preparer's where it names no other source or names the preparer.
    """
    estimates = assumptions(scenario, choice)
    found = Counter(str(estimate.basis) for estimate in estimates)
    found["default"] += len(followed(scenario, choice))
    own = [
        one
        for one in estimates
        if one.basis == "quoted" and (not one.source or scenario.prepared_by in one.source)
    ]
    return Bases(
        counts={name: found[name] for name in BASES},
        by_seller=len(own) if is_seller else None,
    )


def most_influential(evaluation: Evaluation, *, most: int = 3) -> Iterator[Influential]:
    """The inputs that move the plan against buying in most, the first one first.

    Each moves over its range; a default or an estimate without one by a fifth down and up.
    """
    case, choice = evaluation.case, evaluation.choice
    ranged, guessed = influences(case, evaluation.plan), without_range(case, evaluation.plan)
    for one in sorted((*ranged, *guessed), key=lambda each: -each.swing)[:most]:
        low, high = (
            outcome_of(
                case.with_value(one.estimate.key, end),
                choice,
            )
            for end in (one.estimate.low, one.estimate.high)
        )
        yield Influential(
            estimate=one.estimate,
            has_range=one in ranged,
            payback_at_low=low.payback,
            payback_at_high=high.payback,
            cover_at_low=low.lowest_cover,
            cover_at_high=high.lowest_cover,
        )
