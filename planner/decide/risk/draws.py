"""Cases drawn together: scrambled Sobol points for the inputs, uniform numbers for failures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from planner.decide.risk.uncertain import Uncertain
from planner.scenario.correlated import mixing, normal_correlations
from planner.scenario.estimates import Array, Number, Values
from planner.scenario.schema import Scenario
from planner.scenario.shapes import SMALLEST, standard_normal_at
from planner.shop.repairs import Chances

REPLICATES: Final = 8  # independent scrambles, whose scatter gives the standard errors
SLICE: Final = 1024  # cases worked out at once: what they need stays in the processor's cache


@dataclass(frozen=True, eq=False)
class Slice:
    """Cases of one replicate that are worked out at once.

    ``points`` (cases, inputs) [-] say at which probability each input stands, ``chances`` decide on
    failures.
    """

    replicate: int
    uncertain: Sequence[Uncertain]
    points: Array
    others: Values
    chances: Chances

    @cached_property
    def values(self) -> Values:
        """What every input is worth, (cases, 1) arrays by key where it is uncertain."""
        columns: dict[str, Number] = {
            one.key: one.at(self.points[:, at : at + 1]) for at, one in enumerate(self.uncertain)
        }
        return Values({**self.others.drawn, **columns})


def draws_to_make(wanted: int) -> int:
    """The number of cases drawn: at least those wanted, as many in each replicate."""
    return REPLICATES * max(1, -(-wanted // REPLICATES))


def slices(
    scenario: Scenario,
    uncertain: Sequence[Uncertain],
    *,
    draws: int,
    months: int,
    seed: int,
    values: Values,
) -> Iterator[Slice]:
    """All cases, replicate by replicate, each the same whatever is asked of it.

    Parameters
    ----------
    draws : int
        Cases wanted [-], at least 1; see ``draws_to_make``.
    months : int
        Months to the horizon [month].
    seed : int
        The same seed draws the same cases; 0 is a seed.
    values : Values
        What other inputs are worth.
    """
    each = draws_to_make(draws) // REPLICATES
    for replicate in range(REPLICATES):
        points = _points(scenario, uncertain, count=each, seed=(seed, replicate))
        for begin in range(0, each, SLICE):
            rows = points[begin : begin + SLICE]
            part = 1 + begin // SLICE  # from 1: zeros at its end do not tell a seed from another
            yield Slice(
                replicate=replicate,
                uncertain=uncertain,
                points=rows,
                others=values,
                chances=Chances(cases=len(rows), months=months, seed=(seed, replicate, part)),
            )


def _points(
    scenario: Scenario, uncertain: Sequence[Uncertain], *, count: int, seed: tuple[int, int]
) -> Array:
    """Points in the unit cube (count, inputs), with the rank correlations that are stated."""
    if not uncertain:
        return np.empty((count, 0))
    import warnings

    from scipy.stats import qmc

    sampler = qmc.Sobol(len(uncertain), scramble=True, seed=np.random.default_rng(seed))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # a count that is no power of two will do
        points = sampler.random(count)
    keys = [one.key for one in uncertain]
    correlations = normal_correlations(scenario, keys)
    return points if correlations is None else _correlated(points, correlations)


def _correlated(points: Array, correlations: Array) -> Array:
    """The same points with correlated normal scores: a Gaussian copula."""
    from scipy.special import ndtr

    scores = standard_normal_at(np.clip(points, SMALLEST, 1 - SMALLEST))
    return np.asarray(ndtr(scores @ mixing(correlations).T))
