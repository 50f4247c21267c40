"""Inputs that move together: rank correlations that a scenario states."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations
from typing import Final

import numpy as np

from planner.scenario.document import Document
from planner.scenario.estimates import Array, Estimate
from planner.scenario.faults import Fault
from planner.scenario.key_paths import Path, split_key
from planner.scenario.reading import repr_short
from planner.scenario.schema import Scenario
from planner.scenario.tree import inputs

SMALLEST_EIGENVALUE: Final = -1e-9  # below it no set of numbers has these correlations
NOTHING: Final = 1e-12  # of a variance: what is left of an input that follows from others
_AS_A_RANGE: Final = "give it a range: { low = …, likely = …, high = … }"
MEASURED: Final = ("test_prints.white", "test_prints.colour", "test_prints.powder")


def drawn_once(scenario: Scenario) -> tuple[Estimate, ...]:
    """Inputs of the file with a range that have one value in each case, in the schema's order.

    The cost and the days of a repair are not among them: they are drawn failure by failure.
    """
    laws = [one.repairs for one in scenario.equipment if one.repairs is not None]
    each = [part for law in laws for part in (law.cost, law.down_days_covered,
                                              law.down_days_uncovered)]  # fmt: skip
    anew = {one.key for one in each}
    return tuple(one for one in inputs(scenario) if one.is_range and one.key not in anew)


def mixing(correlations: Array) -> Array:
    """Lower triangle that gives independent normal scores these correlations (inputs, inputs).

    An input that follows from those before it, as at a rank correlation of 1, has no part of its
    own: its column is 0.

    Notes
    -----
    Cholesky's factor L, L·Lᵀ = R, of a matrix without negative eigenvalues.
    """
    lower = np.zeros_like(correlations)
    for at in range(len(correlations)):
        left = correlations[at:, at] - lower[at:, :at] @ lower[at, :at]
        if left[0] > NOTHING:
            lower[at:, at] = left / math.sqrt(left[0])
    return lower


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
    if not scenario.together:
        return
    known = {tuple(split_key(one.key)): one.key for one in drawn_once(scenario)}
    if len(scenario.prints) > 1:
        known |= {tuple(split_key(key)): key for key in MEASURED}
    known |= {_parts(key): key for key in changed}
    faults = list(_named_wrongly(document, scenario, known))
    yield from faults
    if not faults:
        yield from _impossible(document, scenario)


def _named_wrongly(
    document: Document, scenario: Scenario, known: Mapping[Path, str]
) -> Iterator[Fault]:
    seen: set[frozenset[Path]] = set()
    for at, group in enumerate(scenario.together):
        path = ("together", at, "inputs")
        parts = [_parts(text) for text in group.inputs]
        for text, part in zip(group.inputs, parts, strict=True):
            if part not in known:
                hint = _hint(scenario, text, part, known)
                yield document.fault(path, "name inputs that have a range", repr_short(text), hint)
        if len(parts) < 2 or len(set(parts)) < len(parts):
            yield document.fault(path, "name at least two inputs, each once", f"{len(parts)}")
        for pair in map(frozenset, combinations(parts, 2)):
            if pair in seen:
                yield document.fault(path, "name no pair of inputs that another entry names")
            seen.add(pair)


def _hint(scenario: Scenario, text: str, part: Path, known: Mapping[Path, str]) -> str:
    """What to do about a name: it is misspelt, or it names what cannot move with others."""
    if text in MEASURED:
        return "one test print gives no range: print and weigh more"
    there = {tuple(split_key(one.key)): one for one in inputs(scenario)}
    if part in there:
        is_range = there[part].is_range
        return "it is drawn failure by failure" if is_range else _AS_A_RANGE
    spelt = {".".join(map(str, parts)): key for parts, key in known.items()}
    near = difflib.get_close_matches(".".join(map(str, part)) or text, spelt, n=1)
    return f"did you mean {_as_toml(spelt[near[0]])}?" if near else ""


def _as_toml(key: str) -> str:
    """A key as a string of the file, in which a name may stand in double quotes."""
    return f"'{key}'" if '"' in key and "'" not in key else repr_short(key)


def _parts(text: str) -> Path:
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
