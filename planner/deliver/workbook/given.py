"""Inputs of the scenario as named figures of a list."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pydantic import BaseModel

from planner.deliver.workbook.book import Entry, Origin, origin_of, unit_of
from planner.scenario.estimates import Estimate, Values


@dataclass(frozen=True)
class Given:
    """Makes entries from inputs at what they are worth in one evaluation; ``horizon`` [month]."""

    values: Values
    currency: str
    horizon: int

    def entry(
        self,
        name: str,
        estimate: Estimate,
        *,
        label: str = "",
        whole: bool = False,
        is_input: bool = True,
        note: str = "",
    ) -> Entry:
        """One input in its canonical unit; ``whole`` for one that counts whole things."""
        value = self.values.whole(estimate) if whole else self.values.scalar(estimate)
        return Entry(
            name=name,
            label=label or name.replace("_", " "),
            unit=unit_of(estimate, self.currency),
            value=float(value),
            is_input=is_input,
            origin=origin_of(estimate),
            note=note,
        )

    def entries(
        self, table: BaseModel, keys: Iterable[str], *, names: str, labels: str = ""
    ) -> tuple[Entry, ...]:
        """The inputs of a table that are given, named after it and their keys.

        ``labels`` is what the user calls the table's entry.
        """
        found = ((key, getattr(table, key)) for key in keys)
        return tuple(
            self.entry(f"{names}_{key}", estimate, label=_label(labels, key))
            for key, estimate in found
            if estimate is not None
        )


def _label(table: str, key: str) -> str:
    words = key.replace("_", " ")
    return f"{table}: {words}" if table else words


def fallback(name: str, label: str, unit: str, value: float) -> Entry:
    """An input that the scenario leaves to the planner's own default."""
    return Entry(
        name=name,
        label=label,
        unit=unit,
        value=value,
        is_input=True,
        origin=Origin(basis="default"),
    )


def switch(name: str, label: str, is_on: bool, *, is_input: bool = True) -> Entry:
    """Something that is so, 1, or not, 0."""
    return Entry(
        name=name,
        label=label,
        unit="1 or 0",
        value=float(is_on),
        is_input=is_input,
        origin=Origin(),
    )
