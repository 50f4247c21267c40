"""What can go wrong on the way out.

PlannerError
└── DeliveryError
    ├── CheckFailed       a notebook's own checks do not hold
    ├── ParameterError    parameters do not fit the notebooks
    ├── KernelError       this Python cannot run notebooks
    ├── PageError         a page would ask for something from outside itself
    ├── InUseError        another run writes to the folder
    ├── LinkError         a folder of the results leads elsewhere
    └── FontError         a font of the printed reports is not there
"""

from collections.abc import Sequence
from pathlib import Path

from planner.scenario.faults import PlannerError


class DeliveryError(PlannerError):
    """Base of every error of this room."""


class CheckFailed(DeliveryError):  # noqa: N818 - it reads as what happened
    """Checks of a notebook that do not hold; `names` lists them."""

    def __init__(self, notebook: str, names: Sequence[str]) -> None:
        super().__init__(f"{notebook}: checks: must all hold (failed: {'; '.join(names)})")
        self.names = tuple(names)


class ParameterError(DeliveryError):
    """Parameters that do not fit the notebooks, one line a fault."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = tuple(faults)


class KernelError(DeliveryError):
    """This Python cannot run notebooks."""


class PageError(DeliveryError):
    """A page that is not whole in itself."""


class InUseError(DeliveryError):
    """A folder to which another run writes."""

    def __init__(self, folder: Path) -> None:
        hint = "wait for it, or name another folder by --to"
        super().__init__(f"{folder}: must be free (got another planner run in it); {hint}")


class LinkError(DeliveryError):
    """A folder among the results that is a link: what is written there would land elsewhere."""

    def __init__(self, link: Path) -> None:
        super().__init__(f"{link}: must be a folder (got a link to {link.resolve()})")


class FontError(DeliveryError):
    """A font that is not where it was installed; the typesetter would quietly take another."""

    def __init__(self, font: Path) -> None:
        hint = "install matplotlib again, which brings it"
        super().__init__(f"{font}: must be there to set the report in; {hint}")
