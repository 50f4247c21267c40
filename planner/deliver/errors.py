"""What can go wrong on the way out.

PlannerError
└── DeliveryError
    ├── CheckFailed       a notebook's own checks do not hold
    ├── ParameterError    parameters do not fit the notebooks
    ├── KernelError       this Python cannot run notebooks
    └── PageError         a page would ask for something from outside itself
"""

from collections.abc import Sequence

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
