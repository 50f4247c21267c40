"""Inputs that move together: rank correlations that a scenario states."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations
from typing import Final

import numpy as np

from planner.scenario.document import Document
from planner.scenario.estimates import Array, Estimate
from planner.scenario.faults import Fault
from planner.scenario.key_paths import split_key
from planner.scenario.reading import repr_short
from planner.scenario.schema import Scenario
from planner.scenario.tree import inputs

SMALLEST_EIGENVALUE: Final = 1e-9  # below it no set of numbers has these correlations
MEASURED: Final = ("test_prints.white", "test_prints.colour", "test_prints.powder")


def normal_correlations(scenario: Scenario, keys: Sequence[str]) -> Array | None:
    """Correlation matrix of normal scores (inputs, inputs) [-]; None where none is stated.

    Parameters
    ----------
    keys : sequence of str
        Inputs with a range, in the order of the matrix.

    Notes
    -----
    A rank correlation ρ of a Gaussian copula needs the correlation 2 sin(π ρ / 6) of its normal
    scores (Pearson 1907, from memory).
    """
    if not scenario.together:
        return None
    at = {tuple(split_key(key)): place for place, key in enumerate(keys)}
    matrix = np.eye(len(keys))
    for group in scenario.together:
        rank = group.rank_correlation.likely
        moving = [at[part] for part in map(_parts, group.inputs) if part in at]
        for i, j in combinations(moving, 2):
            matrix[i, j] = matrix[j, i] = 2 * math.sin(math.pi * rank / 6)
    return matrix


def together_faults(
    document: Document, scenario: Scenario, *, changed: Iterable[str] = ()
) -> Iterator[Fault]:
    """Inputs that cannot move together: unknown, without a range, stated twice, impossible.

    An input that was ``changed`` for one run may have lost its range by that; it does not move.
    """
    known = {tuple(split_key(one.key)) for one in inputs(scenario) if _may_move(one)}
    if len(scenario.prints) > 1:
        known |= {tuple(split_key(key)) for key in MEASURED}
    known |= {_parts(key) for key in changed}
    faults = list(_named_wrongly(document, scenario, known))
    yield from faults
    if scenario.together and not faults:
        yield from _impossible(document, scenario)


def _named_wrongly(
    document: Document, scenario: Scenario, known: set[tuple[str | int, ...]]
) -> Iterator[Fault]:
    seen: set[frozenset[tuple[str | int, ...]]] = set()
    for at, group in enumerate(scenario.together):
        path = ("together", at, "inputs")
        parts = [_parts(text) for text in group.inputs]
        for text, part in zip(group.inputs, parts, strict=True):
            if part not in known:
                yield document.fault(path, "name inputs that have a range", repr_short(text))
        if len(parts) < 2 or len(set(parts)) < len(parts):
            yield document.fault(path, "name at least two inputs, each once", f"{len(parts)}")
        for pair in map(frozenset, combinations(parts, 2)):
            if pair in seen:
                yield document.fault(path, "name no pair of inputs that another entry names")
            seen.add(pair)


def _may_move(one: Estimate) -> bool:
    return one.is_range and not one.enters_as_mean


def _parts(text: str) -> tuple[str | int, ...]:
    try:
        return tuple(split_key(text))
    except LookupError:
        return ()


def _impossible(document: Document, scenario: Scenario) -> Iterator[Fault]:
    """Correlations that no numbers can have at once."""
    named = dict.fromkeys(text for group in scenario.together for text in group.inputs)
    matrix = normal_correlations(scenario, list(named))
    assert matrix is not None
    lowest = float(np.linalg.eigvalsh(matrix)[0])
    if lowest < SMALLEST_EIGENVALUE:
        must = "hold rank correlations that can all be true at once"
        got = f"smallest eigenvalue {lowest:.3g}"
        hint = "bring them nearer to 0, or state those between the other inputs too"
        yield document.fault(("together",), must, got, hint)
