"""What every table of a scenario has in common."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, model_validator

from planner.scenario.estimates import Estimate
from planner.scenario.kinds import Size
from planner.scenario.reading import dated, fault, sourced


class Table(BaseModel):
    """Base of every table: frozen, nothing unknown, defaults read like what a user writes.

    ``written_as_value`` marks a table that a user writes as one value, not key by key.
    """

    model_config = ConfigDict(
        frozen=True, extra="forbid", validate_default=True, arbitrary_types_allowed=True
    )
    written_as_value: ClassVar[bool] = False


class Origin(Table):
    """A table whose inputs share a basis, source and date."""

    basis: Literal["measured", "accounts", "quoted", "estimated"] | None = None
    source: Annotated[str, BeforeValidator(sourced)] = ""
    date: Annotated[str, BeforeValidator(dated)] = ""


class Rectangle(Table):
    """Width and length of a print or a roll [m], written ``"10.5 in x 12.5 in"``."""

    written_as_value: ClassVar[bool] = True

    width: Size
    length: Size

    @model_validator(mode="before")
    @classmethod
    def _split(cls, value: Any) -> Any:
        if isinstance(value, Mapping) and all(isinstance(v, Estimate) for v in value.values()):
            return value
        must = 'be width x length, such as "10.5 in x 12.5 in"'
        parts = re.split(r"\s*[xX\u00d7]\s*", value.strip()) if isinstance(value, str) else []
        if len(parts) != 2:
            raise fault(must, value)
        if any(re.fullmatch(r"[\d.]+", part) for part in parts):
            raise fault(must, value, "give a unit on both sides of the x")
        return {"width": parts[0], "length": parts[1]}
