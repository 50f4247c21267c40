"""An input as the planner holds it: one value or a range, with where it comes from."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Number = float | Array
Basis = Literal["measured", "accounts", "quoted", "estimated", "default"]
Shape = Literal["pert", "triangular", "uniform", "normal", "lognormal"]

BASES: Final = ("measured", "accounts", "quoted", "estimated")
SHAPES: Final = ("pert", "triangular", "uniform", "normal", "lognormal")
DECILE: Final = 1.2815515655446004  # standard normal quantile at 90 %


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """One numeric input in its canonical ``unit``.

    ``low`` and ``high`` equal ``likely`` where one value was given. For normal and lognormal
    shapes they are the values below and above which one case in ten lies. ``written`` is the
    user's own text; ``key`` the path by which the input is addressed. ``enters_as_mean`` marks an
    expected value, such as the cost of a repair. ``least`` and ``most`` are what the key allows.
    """

    likely: float
    unit: str
    low: float = field(default=math.nan)
    high: float = field(default=math.nan)
    shape: Shape = "pert"
    basis: Basis | None = None
    source: str = ""
    date: str = ""
    written: str = ""
    key: str = ""
    enters_as_mean: bool = False
    least: float = -math.inf
    most: float = math.inf

    def __post_init__(self) -> None:
        for name in ("low", "high"):
            if math.isnan(getattr(self, name)):
                object.__setattr__(self, name, self.likely)

    @property
    def is_range(self) -> bool:
        """Whether a range was given."""
        return self.low < self.high

    @property
    def at_plan(self) -> float:
        """What the plan takes: the likely value, or the mean of an expected value."""
        return self.mean if self.enters_as_mean else self.likely

    @property
    def mean(self) -> float:
        """Expected value in ``unit``: (a + 4m + b)/6 for PERT, (a + m + b)/3 for triangular."""
        if not self.is_range:
            return self.likely
        match self.shape:
            case "pert":
                return (self.low + 4 * self.likely + self.high) / 6
            case "triangular":
                return (self.low + self.likely + self.high) / 3
            case "uniform":
                return (self.low + self.high) / 2
            case "normal":
                return self.likely
            case "lognormal":
                sigma = math.log(self.high / self.low) / (2 * DECILE)
                return self.likely * math.exp(sigma**2 / 2)


@dataclass(frozen=True)
class Values:
    """What every input is worth in one evaluation.

    An input has its value of the plan unless ``drawn`` gives another under its key: one number, or
    an array of shape (draws, 1) that broadcasts against (draws, months).
    """

    drawn: Mapping[str, Number] = field(default_factory=dict)

    def __call__(self, estimate: Estimate) -> Number:
        return self.drawn.get(estimate.key, estimate.at_plan)

    def whole(self, estimate: Estimate) -> int:
        """An input that counts whole things or months; part of a month counts as one."""
        value = self.drawn.get(estimate.key, estimate.likely)
        return math.ceil(float(value) - 1e-9)

    def scalar(self, estimate: Estimate) -> float:
        """An input that is one number in every case, such as a size."""
        return float(self(estimate))

    def with_value(self, key: str, value: Number) -> Values:
        """The same values with one more of them moved."""
        return Values({**self.drawn, key: value})
