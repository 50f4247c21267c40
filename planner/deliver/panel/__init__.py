"""The live panel: controls of a scenario beside what they come to."""

from planner.deliver.panel.view import show

__all__ = ["show"]
