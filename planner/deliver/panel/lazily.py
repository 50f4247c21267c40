"""Frozen results whose parts are worked out only when somebody reads them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from typing import Any, TypeVar

T = TypeVar("T")


def lazily(kind: type[T], /, **parts: Callable[[], object]) -> T:
    """An instance of a frozen dataclass, each field worked out when it is first read.

    Raises ``TypeError`` unless every field has its part and no other is given. What a part raises
    comes out where the field is read.

    Examples
    --------
    >>> from planner.decide.figures import PaybackTime
    >>> lazily(PaybackTime, months=lambda: 12.0, short=lambda: 1 / 0).months
    12.0
    """
    named = {field.name for field in fields(kind)}  # type: ignore[arg-type]
    if named != set(parts):
        odd = ", ".join(sorted(named ^ set(parts)))
        raise TypeError(f"parts of {kind.__name__}: must be its fields (differs in {odd})")
    made: T = object.__new__(type(kind.__name__, (_Lazy, kind), {}))
    made.__dict__["_parts"] = parts
    return made


class _Lazy:
    def __getattr__(self, name: str) -> Any:
        parts = self.__dict__.get("_parts", {})
        if name not in parts:
            raise AttributeError(name)
        value = self.__dict__[name] = parts[name]()
        return value
