"""The plan as a workbook with live formulas, for an accountant to check and to play with."""

from __future__ import annotations

from pathlib import Path

from planner.decide.answer import Answered, AnswerPage
from planner.decide.risk.answer import Risk
from planner.deliver.files import write_bytes


def write_workbook(
    page: AnswerPage, answered: Answered, to: Path, found: Risk | None = None
) -> None:
    """Write the workbook of one choice, whole or not at all; the same bytes each time.

    Every formula carries the program's own value, so that the workbook reads the same before and
    after it is worked out anew. With ``found`` a sheet holds what drawn cases say.
    """
    from planner.deliver.workbook.build import build
    from planner.deliver.workbook.drawing import drawn
    from planner.deliver.workbook.facts import Facts

    scenario = page.scenario
    content = drawn(
        build(Facts(page, answered, answered.evaluation), found),
        currency=scenario.currency,
        is_metric=scenario.units == "metric",
        title=scenario.title,
    )
    write_bytes(to, content)


__all__ = ["write_workbook"]
