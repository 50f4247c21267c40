"""The inputs that are not known exactly, and what each is worth at a probability."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from planner.scenario.correlated import drawn_once
from planner.scenario.estimates import Array, Estimate
from planner.scenario.schema import Scenario
from planner.scenario.shapes import SMALLEST, value_at
from planner.usage.materials import rate_ranges
from planner.usage.test_prints import KINDS, Ratio, measured_rates


@dataclass(frozen=True)
class Uncertain:
    """One input with a range: ``estimate`` says what it is, ``at`` its value at a probability."""

    estimate: Estimate
    at: Callable[[Array], Array]

    @property
    def key(self) -> str:
        """The key under which the plan asks for it."""
        return self.estimate.key


def uncertain_inputs(scenario: Scenario) -> tuple[Uncertain, ...]:
    """Inputs with a range in the order of the schema, then measured rates with an interval.

    What is drawn failure by failure is not among them.
    """
    return (*(given(one) for one in drawn_once(scenario)), *_measured(scenario))


def halved(one: Uncertain, scenario: Scenario) -> Uncertain:
    """The same input with half its range on either side of its likely value."""
    ratio = _ratios(scenario).get(one.key)
    if ratio is not None:
        return _rate(one.estimate, replace(ratio, standard_error=ratio.standard_error / 2))
    likely = one.estimate.likely
    return given(
        replace(
            one.estimate,
            low=(one.estimate.low + likely) / 2,
            high=(one.estimate.high + likely) / 2,
        )
    )


def rate_at(ratio: Ratio, probability: Array) -> Array:
    """A measured rate: R + s·t with n − 1 degrees of freedom [unit of the rate].

    ``probability`` is the share of cases below it [-]. It is cut just above 0, so that rates that
    are all cut keep their measured ratio.
    """
    from scipy.special import stdtrit

    p = np.clip(probability, SMALLEST, 1 - SMALLEST)
    rate = ratio.rate + ratio.standard_error * stdtrit(ratio.prints - 1, p)
    return np.maximum(SMALLEST * ratio.rate, rate)


def given(estimate: Estimate) -> Uncertain:
    """An input with a range as the scenario states it."""
    return Uncertain(estimate, lambda probability: value_at(estimate, probability))


def _measured(scenario: Scenario) -> tuple[Uncertain, ...]:
    ratios = _ratios(scenario)
    ranges = rate_ranges(measured_rates(scenario.prints))
    return tuple(_rate(one, ratios[one.key]) for one in ranges if one.is_range)


def _rate(estimate: Estimate, ratio: Ratio) -> Uncertain:
    return Uncertain(estimate, lambda probability: rate_at(ratio, probability))


def _ratios(scenario: Scenario) -> dict[str, Ratio]:
    measured = measured_rates(scenario.prints)
    return {f"test_prints.{kind}": getattr(measured, kind) for kind in KINDS}
