"""Roots of many functions at once: each in its bracket, and all those of power series."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from .types import Array, Flags

STEPS = 200  # halving alone needs about 60 from any bracket; each second step at least halves
PRECISION = 4.0 * float(np.finfo(np.float64).eps)

NARROW = 1e-6
"""Roots closer together than this share of their size are taken as one [-]."""

DUST = 1e-12
"""Share of the sum of absolute terms below which a plain sum is rounding [-]."""

ZERO = 1e-9
"""Share of the sum of absolute terms below which a series counts as zero when put back [-]."""

_SPLIT = 0.4871  # not a half, so that no simple number falls between two cells


def bracketed_roots(*, function: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """One root of each function between its two ends.

    An end where the function is zero is the root. Ends of the same sign are the caller's fault
    and give an end or a point between, so that every root is to be put back by the caller.

    Parameters
    ----------
    function : callable
        Takes one point a row (rows,) [-], returns the value of each row's function there (rows,).
    low, high : Array
        Ends of each bracket (rows,), 0 or more [-].

    Returns
    -------
    Array
        The roots (rows,), to a relative precision of about 1e-15 [-].

    Notes
    -----
    Inverse quadratic interpolation where the last three points show it to be safe, halving
    elsewhere; it needs no slope and never leaves the bracket.

    References
    ----------
    T. R. Chandrupatla, "A new hybrid quadratic/bisection algorithm for finding the zero of a
    nonlinear function without using derivatives", Advances in Engineering Software 28 (1997).
    """
    near, far = low, high
    near_value, far_value = function(near), function(far)
    root, done = _better(near, near_value, far, far_value)
    share = np.full_like(low, 0.5)
    for _ in range(STEPS):
        if done.all():
            break
        point = near + share * (far - near)
        value = function(point)
        same = np.sign(value) == np.sign(near_value)
        third, third_value = np.where(same, near, far), np.where(same, near_value, far_value)
        far, far_value = np.where(same, far, near), np.where(same, far_value, near_value)
        near, near_value = point, value
        better, exact = _better(near, near_value, far, far_value)
        root = np.where(done, root, better)
        least, width = PRECISION * np.abs(better), np.abs(far - near)
        done = done | exact | (width <= 2.0 * least)
        share = _next_share(near, near_value, far, far_value, third, third_value)
        edge = least / np.where(done, 1.0, width)
        share = np.clip(share, edge, 1.0 - edge)
    return root


def _better(a: Array, fa: Array, b: Array, fb: Array) -> tuple[Array, Flags]:
    """The point with the smaller value, and whether that value is zero."""
    return np.where(np.abs(fa) < np.abs(fb), a, b), (fa == 0.0) | (fb == 0.0)


def _next_share(a: Array, fa: Array, b: Array, fb: Array, c: Array, fc: Array) -> Array:
    """How far to go from a towards b [-]: by interpolation where Chandrupatla's test allows."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        place, height = (a - b) / (c - b), (fa - fb) / (fc - fb)
        safe = (height**2 < place) & ((1.0 - height) ** 2 < 1.0 - place)
        share = fa / (fb - fa) * fc / (fb - fc)
        share = share + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
    return np.where(safe & np.isfinite(share), share, 0.5)


def series_roots(coefficients: Array) -> tuple[NDArray[np.intp], Array]:
    """Every root between 0 and 1, both excluded, of every row's sum of coefficient_t w^t.

    A double root, where a series touches zero without crossing it, is given once, and so are roots
    closer together than 1e-6; a touch of higher order may be lost in rounding.

    Parameters
    ----------
    coefficients : Array
        One series a row (rows, terms) [-].

    Returns
    -------
    tuple of Array of int and Array
        The row of each root and the root (roots,), rising within a row [-].

    Notes
    -----
    Written in Bernstein polynomials of an interval, a series has at most as many roots there as its
    coefficients have changes of sign, and differs from it by an even number. So an interval
    without a change holds no root and one with a single change exactly one; any other is split
    by de Casteljau's rule until it is one of the two, or so narrow that it holds a point of touch.
    So no crossing is missed, however close together two of them lie.

    References
    ----------
    J. M. Lane and R. F. Riesenfeld, "Bounds on a polynomial", BIT 21 (1981).
    """
    by_term = _from_first(_without_one(np.ascontiguousarray(coefficients.T)))
    crossed, touched = _isolate(by_term)
    row = np.concatenate([crossed[0], touched[0]])
    by_term = by_term.take(row, axis=1)  # unlike an index, keeps each term's rows together
    slopes = by_term[1:, crossed[0].size :] * np.arange(1.0, by_term.shape[0])[:, np.newaxis]
    crossings = _solve(by_term[:, : crossed[0].size], *crossed[1:])
    root = np.concatenate([crossings, _solve(slopes, *touched[1:])])
    holds = np.abs(_series(by_term, root)) < ZERO * _series(np.abs(by_term), root)
    return _distinct(row[holds], root[holds])


# From here to `_solve` coefficients are (terms, rows): sums along the first axis are fast.


def _without_one(by_term: Array) -> Array:
    """Series divided by 1 - w as often as they have the root 1: the quotient is the running sum."""
    while (ends_at_one := sums_to_zero(by_term.T)).any():
        by_term = np.where(ends_at_one, np.cumsum(by_term, axis=0), by_term)
    return by_term


def _from_first(by_term: Array) -> Array:
    """Series moved so that each begins with a coefficient other than zero; the roots stay."""
    first = np.argmax(by_term != 0.0, axis=0)
    if not first.any():
        return by_term
    places = np.arange(by_term.shape[0])[:, np.newaxis] + first
    padded = np.concatenate([by_term, np.zeros_like(by_term)])
    return np.take_along_axis(padded, places, axis=0)


_Cells = tuple[NDArray[np.intp], Array, Array]  # row, low end, high end


def _isolate(by_term: Array) -> tuple[_Cells, _Cells]:
    """Cells that hold one crossing each, and narrow cells that may hold a touch."""
    terms, rows = by_term.shape
    row, low, high = np.arange(rows), np.zeros(rows), np.ones(rows)
    bernstein = _to_bernstein(terms) @ by_term
    crossed: list[_Cells] = []
    touched: list[_Cells] = []
    while row.size:
        changes = sign_changes(bernstein.T)
        single, narrow = changes == 1, (changes > 1) & (high - low <= NARROW * high)
        crossed.append((row[single], low[single], high[single]))
        touched.append((row[narrow], low[narrow], high[narrow]))
        split = (changes > 1) & ~narrow
        row, low, high = row[split], low[split], high[split]
        middle = low + _SPLIT * (high - low)
        bernstein = np.concatenate(_halves(bernstein.compress(split, axis=1)), axis=1)
        row = np.tile(row, 2)
        low, high = np.concatenate([low, middle]), np.concatenate([middle, high])
    return _joined(crossed), _joined(touched)


def _joined(cells: list[_Cells]) -> _Cells:
    row, low, high = (np.concatenate(parts) for parts in zip(*cells, strict=True))
    return row, low, high


def _to_bernstein(terms: int) -> Array:
    """Matrix from coefficients of 1, w, w^2, ... to Bernstein coefficients on 0 to 1.

    Entry (j, t) is C(j, t) / C(n, t): none is negative, so nothing cancels.
    """
    degree = terms - 1
    drawn = np.arange(degree)
    ratios = np.maximum(np.arange(terms)[:, np.newaxis] - drawn, 0.0) / (degree - drawn)
    return np.cumprod(np.concatenate([np.ones((terms, 1)), ratios], axis=1), axis=1)


def _halves(bernstein: Array) -> tuple[Array, Array]:
    """Bernstein coefficients on the two parts of each interval (de Casteljau)."""
    left, right = np.empty_like(bernstein), bernstein.copy()
    for term in range(left.shape[0]):
        left[term] = right[0]
        size = left.shape[0] - term
        right[: size - 1] += _SPLIT * (right[1:size] - right[: size - 1])
    return left, right


def _series(by_term: Array, w: Array) -> Array:
    """The sum of each series at one point a series."""
    total = np.zeros_like(w)
    for coefficient in by_term[::-1]:
        total *= w
        total += coefficient
    return total


def _solve(by_term: Array, low: Array, high: Array) -> Array:
    """The root of each series in its cell."""
    return bracketed_roots(function=lambda w: _series(by_term, w), low=low, high=high)


def _distinct(row: NDArray[np.intp], root: Array) -> tuple[NDArray[np.intp], Array]:
    """Roots in rising order by row, those that two neighbouring cells found left out once."""
    order = np.lexsort((root, row))
    row, root = row[order], root[order]
    again = (np.diff(row) == 0) & (np.diff(root) <= 2.0 * NARROW * root[1:])
    keep = np.concatenate([np.ones(min(row.size, 1), dtype=np.bool_), ~again])
    return row[keep], root[keep]


def sums_to_zero(values: Array) -> Flags:
    """Whether each row that is not all zero adds up to zero, but for rounding.

    Parameters
    ----------
    values : Array
        Any numbers (rows, terms) [-].

    Returns
    -------
    Array of bool
        One answer a row (rows,).
    """
    size = np.abs(values).sum(axis=-1)
    return np.asarray((np.abs(values.sum(axis=-1)) <= DUST * size) & (size > 0.0))


def sign_changes(values: Array) -> NDArray[np.int_]:
    """How often the sign changes along the last axis, zeros left out.

    Parameters
    ----------
    values : Array
        Any numbers (..., terms) [-].

    Returns
    -------
    Array of int
        Number of changes (...) [-].
    """
    signs = np.ascontiguousarray(np.moveaxis(np.sign(values), -1, 0).astype(np.int8))
    count = np.zeros(signs.shape[1:], dtype=np.int_)
    last = signs[0]
    for sign in signs[1:]:
        count += sign * last < 0
        last = np.where(sign == 0, last, sign)
    return count
