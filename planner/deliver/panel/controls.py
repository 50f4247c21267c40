"""What a control is: a slider that moves inputs of a scenario, in the unit they are written in."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from planner.decide.stress import own_unit
from planner.deliver.errors import DeliveryError
from planner.scenario.estimates import Estimate

Value = float | str
Settings = Mapping[str, Value]  # what each control stands at, by its name

FIGURES: Final = 6  # significant digits of an input that was moved
MARKS: Final = 60  # steps that a slider has at least
NO_SOURCE: Final = ("estimated", "default")  # bases that claim nothing
SOURCE: Final = "tried out"


class ControlError(DeliveryError):
    """A control set to what it does not offer."""


@dataclass(frozen=True)
class Moved:
    """An input that a slider moves: it stands at ``base + slope × value`` in canonical units."""

    estimate: Estimate
    slope: float
    base: float = 0.0

    def at(self, value: float) -> float:
        """The input where the slider stands at a value."""
        return self.base + self.slope * value


@dataclass(frozen=True, kw_only=True)
class Slider:
    """A number that can be moved from ``low`` to ``high`` in ``step``s, all in ``unit``.

    ``has_range`` says whether the bounds are the file's own. ``equipment`` names the sets and
    ``financing`` the way to pay to which it belongs; None where it belongs to every one.
    """

    name: str
    label: str
    unit: str
    start: float
    low: float
    high: float
    step: float
    has_range: bool
    moved: tuple[Moved, ...]
    equipment: frozenset[str] | None = None
    financing: str | None = None

    @property
    def decimals(self) -> int:
        """Decimals that tell one step from the next."""
        shown = max(0, -math.floor(math.log10(self.step) + 1e-9))
        return max(shown, len(f"{self.start:.{FIGURES}g}".partition(".")[2].rstrip("0")))

    def shown(self, value: float) -> str:
        """A value with its unit."""
        return f"{value:.{self.decimals}f} {self.unit}"

    def concerns(self, settings: Settings) -> bool:
        """Whether it belongs to the equipment and the way to pay that are chosen."""
        has_set = self.equipment is None or settings["equipment"] in self.equipment
        return has_set and self.financing in (None, settings["financing"])

    def snapped(self, value: Value) -> float:
        """A value as a number without the noise of a screen; its start where it is that.

        Raises ``ControlError`` for what is no number or out of bounds.
        """
        if isinstance(value, str):
            raise ControlError(f'{self.label}: must be a number (got "{value}")')
        slack = 1e-9 * max(abs(self.low), abs(self.high))
        if not self.low - slack <= value <= self.high + slack:
            bounds = f"{self.low:.{self.decimals}f} to {self.shown(self.high)}"
            raise ControlError(f"{self.label}: must be from {bounds} (got {value:.12g})")
        return self.start if abs(value - self.start) <= slack else float(f"{value:.9g}")

    def changes(self, value: Value, *, currency: str) -> Iterator[tuple[str, str]]:
        """The key and the text of each input that is moved, as ``--set`` takes them.

        Nothing where the slider stands at its start. Raises ``ControlError`` like ``snapped``.
        """
        number = self.snapped(value)
        if number != self.start:
            for one in self.moved:
                yield one.estimate.key, input_text(one.estimate, one.at(number), currency=currency)


def slider(
    name: str,
    label: str,
    moved: Sequence[Moved],
    *,
    unit: str,
    start: float,
    span: tuple[float, float],
    whole: bool = False,
) -> Slider:
    """A slider bounded by the ranges of its inputs, else by ``span``; steps meet its start."""
    low, high = _range_of(moved)
    has_range = low < high and low <= start <= high
    if not has_range:
        low, high = min(span[0], start), max(span[1], start)
    step = _step(high - low, whole=whole)
    below, above = (math.floor(room / step + 1e-6) for room in (start - low, high - start))
    return Slider(
        name=name,
        label=label,
        unit=unit.replace("^2", "²"),
        start=start,
        low=float(f"{start - below * step:.12g}"),
        high=float(f"{start + above * step:.12g}"),
        step=step,
        has_range=has_range,
        moved=tuple(moved),
    )


def _range_of(moved: Sequence[Moved]) -> tuple[float, float]:
    """Values between which every input that has a range stays in it; nothing between without."""
    low, high = -math.inf, math.inf
    for one in moved:
        if one.estimate.is_range and one.slope:
            ends = ((end - one.base) / one.slope for end in (one.estimate.low, one.estimate.high))
            least, most = sorted(ends)
            low, high = max(low, least), min(high, most)
    return (low, high) if math.isfinite(low) else (math.inf, -math.inf)


def _step(span: float, *, whole: bool) -> float:
    """The roundest step of which a span holds ``MARKS`` or more."""
    wanted = span / MARKS
    size = 10.0 ** math.floor(math.log10(wanted))
    step = next(part * size for part in (5.0, 2.0, 1.0) if part * size <= wanted * (1 + 1e-9))
    return max(1.0, math.floor(step)) if whole else float(f"{step:.3g}")


def input_text(estimate: Estimate, value: float, *, currency: str) -> str:
    """An input moved to a value in its canonical unit, as TOML writes it.

    A range keeps its ends, or gives way to a value beyond them. What was measured, quoted or taken
    from accounts is so no longer: it becomes an estimate, and says so.
    """
    unit, scale = own_unit(estimate, currency)
    likely = float(f"{value / scale:.{FIGURES}g}")

    def text(number: float) -> str:
        shown = f"{number:.12g}"
        return shown if estimate.unit == "money" else f'"{shown} {unit}"'

    if not estimate.is_range and estimate.basis in NO_SOURCE and not estimate.source:
        return text(likely)
    parts = {"likely": text(likely)}
    if estimate.is_range:
        low, high = min(estimate.low / scale, likely), max(estimate.high / scale, likely)
        parts = {"low": text(low), **parts, "high": text(high)}
        parts |= {} if estimate.shape == "pert" else {"shape": f'"{estimate.shape}"'}
    parts |= {"basis": '"estimated"', "source": f'"{SOURCE}"'}
    return "{ " + ", ".join(f"{name} = {part}" for name, part in parts.items()) + " }"
