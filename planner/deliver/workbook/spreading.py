"""How the scenario's depreciation rule spreads a cost over the months: values and templates."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from planner.deliver.workbook.facts import Facts, Side
from planner.finance.depreciation import depreciation_by_month
from planner.scenario.estimates import Array
from planner.taxes import MONTHS, depreciation_of

Kind = Literal["life", "units", "shares"]


class Spreading:
    """The rule at work for one shop.

    ``kind`` says what a deduction follows: the months of a life or the area printed, by live
    formulas, or shares by tax year that the rule lays down and that are not live. ``progress`` is
    the template of the line that counts months or area.
    """

    def __init__(self, facts: Facts, side: Side, progress: str) -> None:
        tax = facts.scenario.tax
        assert tax is not None  # called where there is tax
        self._facts, self._chosen = facts, tax.depreciation
        self._area = np.atleast_2d(np.append(0.0, np.ravel(side.operations.area)))
        self._year_ends = MONTHS.index(tax.year_ends) + 1
        self.kind: Kind = "shares"
        if self._chosen.life is not None:
            self.kind = "units"
        elif self._chosen.rule == "straight line":
            self.kind = "life"
        self.progress = progress if self.kind == "units" else "month"

    def by_month(self, *, amount: float, life: float, first: int) -> Array:
        """What is deducted of an amount used from month ``first`` on (months + 1,) [money]."""
        return np.asarray(
            depreciation_by_month(
                rule=depreciation_of(self._facts.plan.case, life),
                base=amount,
                months=self._facts.months,
                start_month=self._facts.scenario.start.month,
                tax_year_end_month=self._year_ends,
                first_month=first,
                units_by_month=self._area,
            )[0]
        )

    def of_purchases(self, *, bought: str, life: str, shares: Sequence[tuple[int, str]]) -> str:
        """Template of the deductions of all purchases in the line ``bought``.

        Each counts from the month after its own. ``shares`` names, by month of purchase, the lines
        with the rule's shares.
        """
        if self.kind == "shares":
            return "+".join(f"{{{bought}[{month}]}}*{{{share}}}" for month, share in shares)
        now, before, all_ = (f"{{{self.progress}{which}}}" for which in ("", ".prev", ".all"))
        life = self._life(life)
        return (
            f"SUMPRODUCT({{{bought}.all}},({{month.all}}<{{month}})*(({now}-{before})"
            f"+ABS({before}-{all_}-{life})-ABS({now}-{all_}-{life})))/(2*{life})"
        )

    def of_one(self, *, amount: str, life: str, after: str, share: str) -> str:
        """Template of the deductions of one amount used after the month ``after``."""
        if self.kind == "shares":
            return f"{amount}*{{{share}}}"
        now, before, all_ = (f"{{{self.progress}{which}}}" for which in ("", ".prev", ".all"))
        life, begun = self._life(life), f"INDEX({all_},{after}+1)"
        used, used_before = (f"MIN(MAX({at}-{begun},0),{life})" for at in (now, before))
        return f"{amount}*({used}-{used_before})/{life}"

    def _life(self, life: str) -> str:
        return "depreciation_life" if self.kind == "units" else life
