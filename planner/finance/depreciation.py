"""Depreciation: how a price is deducted over tax years."""

from dataclasses import dataclass
from math import ceil
from typing import Literal, TypeAlias

import numpy as np

from .tax import calendar_month
from .types import Array, Number, by_draw

Convention: TypeAlias = Literal["half-year", "mid-quarter", "full-month", "full-year"]


@dataclass(frozen=True)
class StraightLine:
    """Equal shares a month from the first month of use.

    Attributes
    ----------
    life_months : float
        Months over which the price is deducted [month], above 0.
    """

    life_months: float


@dataclass(frozen=True)
class DecliningBalance:
    """A fixed share of what is left, changing to equal shares of it once these are larger.

    Attributes
    ----------
    life : float
        Recovery period [year], at least 1.
    factor : float
        Multiple of the straight-line share [-]; 2 is the 200 % method.
    convention : {"half-year", "mid-quarter", "full-month", "full-year"}
        How much of the first tax year counts.
    switch : bool
        Whether the change to equal shares is made.
    salvage : float
        Share of the price that is never deducted [-].
    """

    life: float
    factor: float
    convention: Convention
    switch: bool = True
    salvage: float = 0.0


@dataclass(frozen=True)
class SumOfYears:
    """Shares that fall by an equal step each year of use; the first tax year counts by its months.

    Attributes
    ----------
    life : int
        Years of use [year], at least 1.
    """

    life: int


@dataclass(frozen=True)
class UnitsOfProduction:
    """A share for each unit made, up to the number of units that the goods last.

    Attributes
    ----------
    life_units : float
        Units in the whole life [unit].
    """

    life_units: float


@dataclass(frozen=True)
class GivenShares:
    """A given share for each tax year.

    Attributes
    ----------
    shares : tuple of float
        Shares of the price, tax year by tax year [-]; their sum is 1.
    """

    shares: tuple[float, ...]

    def __post_init__(self) -> None:
        if abs(sum(self.shares) - 1.0) > 1e-9 or min(self.shares) < 0.0:
            raise ValueError(f"shares must be 0 or more and add up to 1, got {self.shares}")


Method: TypeAlias = StraightLine | DecliningBalance | SumOfYears | UnitsOfProduction | GivenShares


@dataclass(frozen=True)
class DepreciationRule:
    """A rule with where it comes from.

    Attributes
    ----------
    name : str
        How the rule is called.
    method : Method
        How shares are worked out.
    edition : str
        Edition or year of the source, empty where the rule is plain arithmetic.
    source : str
        Where the rule is published.
    from_memory : bool
        True where the source was not at hand when the rule was written down; such a rule is not to
        be a default.
    """

    name: str
    method: Method
    edition: str
    source: str
    from_memory: bool


_PUBLICATION = "IRS Publication 946, Appendix A"
_EDITION = "property placed in service after 1986"


def _us_rule(life: int, convention: Convention, table: str) -> DepreciationRule:
    name = f"US {life}-year" + (", mid-quarter" if convention == "mid-quarter" else "")
    method = DecliningBalance(life=life, factor=2.0, convention=convention)
    return DepreciationRule(name, method, _EDITION, f"{_PUBLICATION}, {table}", from_memory=False)


def _plain_rule(name: str, method: Method) -> DepreciationRule:
    return DepreciationRule(name, method, "", "plain arithmetic", from_memory=False)


def _pool_rule(name: str, *, share: float, convention: Convention, source: str) -> DepreciationRule:
    """A share of what is left each year, for as long as anything is [-]."""
    years = 200.0  # so long that less than a thousandth of a thousandth is left at any known share
    method = DecliningBalance(years, factor=share * years, convention=convention, switch=False)
    return DepreciationRule(name, method, "rate from memory, check it", source, from_memory=True)


RULES: dict[str, DepreciationRule] = {
    rule.name: rule
    for rule in (
        _us_rule(5, "half-year", "Table A-1"),
        _us_rule(7, "half-year", "Table A-1"),
        _us_rule(5, "mid-quarter", "Tables A-2 to A-5"),
        _us_rule(7, "mid-quarter", "Tables A-2 to A-5"),
        _pool_rule(
            "UK writing-down allowance, main pool",
            share=0.18,
            convention="full-year",
            source="Capital Allowances Act 2001, part 2, from memory",
        ),
        _pool_rule(
            "Canadian class 8",
            share=0.20,
            convention="half-year",
            source="Income Tax Regulations, schedule II, half-year rule, from memory",
        ),
        DepreciationRule(
            "whole price in year one",
            GivenShares((1.0,)),
            "",
            "plain arithmetic",
            from_memory=False,
        ),
    )
}
"""Rules that need nothing but their name. Whether one may be used is for an accountant to say."""


def depreciation_rule(name: str, *, life_months: float) -> DepreciationRule:
    """The rule of a name: one of `RULES`, or a method that takes its life from the goods.

    Parameters
    ----------
    name : str
        A name in `RULES`, or "straight line", "declining balance 150 %", "declining balance 200 %"
        or "sum of years".
    life_months : float
        Life of the goods [month], above 0; `RULES` have their own. The sum of years takes it in
        whole years, rounded up.

    Returns
    -------
    DepreciationRule
        The rule; months count in full in the first tax year unless it says otherwise.

    Raises
    ------
    ValueError
        If no rule has the name.
    """
    life = life_months / 12.0
    methods: dict[str, Method] = {
        "straight line": StraightLine(life_months),
        "declining balance 150 %": DecliningBalance(life, factor=1.5, convention="full-month"),
        "declining balance 200 %": DecliningBalance(life, factor=2.0, convention="full-month"),
        "sum of years": SumOfYears(ceil(life)),
    }
    if name in RULES:
        return RULES[name]
    if name not in methods:
        raise ValueError(f'name must be one of {", ".join([*methods, *RULES])}, got "{name}"')
    return _plain_rule(name, methods[name])


def yearly_shares(
    *, rule: DepreciationRule, months_in_first_year: int = 12, units_by_year: Array | None = None
) -> Array:
    """Share of the price that each tax year deducts.

    Parameters
    ----------
    rule : DepreciationRule
        The rule.
    months_in_first_year : int
        Months of the first tax year from the first month of use on [month], 1 to 12.
    units_by_year : Array, optional
        Units made in each tax year (years,) [unit]; for units of production only.

    Returns
    -------
    Array
        Shares (tax years,) [-]. They add up to 1, save for a salvage share, for a declining balance
        that does not change to equal shares, and for units that are not all made.

    Raises
    ------
    ValueError
        If `months_in_first_year` is not 1 to 12, or units are needed and missing.
    """
    if not 1 <= months_in_first_year <= 12:
        raise ValueError(f"months_in_first_year must be 1 to 12, got {months_in_first_year}")
    match rule.method:
        case StraightLine(life_months):
            equal = _equal_shares(life_months)
            starts = np.arange(months_in_first_year, equal.size, 12)
            return np.asarray(np.add.reduceat(equal, np.concatenate([[0], starts])))
        case DecliningBalance() as method:
            return _declining(method, _first_year(method.convention, months_in_first_year))
        case SumOfYears(life):
            by_age = np.arange(life, 0, -1) / (life * (life + 1) / 2)
            first = months_in_first_year / 12.0
            shares = first * np.append(by_age, 0.0) + (1.0 - first) * np.append(0.0, by_age)
            return np.trim_zeros(shares, "b")
        case UnitsOfProduction(life_units):
            return _shares_by_use(_needed(units_by_year, "units_by_year"), life_units)
        case GivenShares(shares):
            return np.array(shares)


def _equal_shares(life_months: float) -> Array:
    """Shares by month, the last one smaller where the life is not whole months."""
    return np.diff(np.minimum(np.arange(ceil(life_months) + 1) / life_months, 1.0))


def _first_year(convention: Convention, months: int) -> float:
    """How much of a full year the first tax year counts [-]."""
    if convention == "half-year":
        return 0.5
    if convention == "full-month":
        return months / 12.0
    if convention == "full-year":
        return 1.0
    quarter = (12 - months) // 3  # 0 for the first
    return 0.875 - 0.25 * quarter


def _declining(method: DecliningBalance, first_year: float) -> Array:
    """Shares by tax year; the year in which the life ends takes all that is left if it switches."""
    shares: list[float] = []
    left, life_left, part = 1.0, method.life, first_year
    while life_left > 1e-9:
        part = min(part, life_left)
        share = left * part * method.factor / method.life
        if method.switch:
            share = max(share, (left - method.salvage) * part / life_left)
        share = max(min(share, left - method.salvage), 0.0)
        shares.append(share)
        left, life_left, part = left - share, life_left - part, 1.0
    return np.array(shares)


def _shares_by_use(units: Array, life_units: float) -> Array:
    """Shares by units made, until the life's units are used up."""
    used = np.minimum(np.cumsum(units, axis=-1) / life_units, 1.0)
    return np.asarray(np.diff(used, axis=-1, prepend=0.0))


def _needed(units: Array | None, name: str) -> Array:
    if units is None:
        raise ValueError(f"{name} must be given for units of production")
    return np.asarray(units, dtype=np.float64)


def depreciation_by_month(
    *,
    rule: DepreciationRule,
    base: Number,
    months: int,
    start_month: int,
    tax_year_end_month: int,
    first_month: int = 1,
    units_by_month: Array | None = None,
) -> Array:
    """What is deducted month by month.

    A tax year's share is spread evenly over its months from the first month of use on. What the
    months do not reach is the book value that is left at their end.

    Parameters
    ----------
    rule : DepreciationRule
        The rule.
    base : float or Array
        Price to deduct [money].
    months : int
        Months of the plan [month], at least 1.
    start_month : int
        Calendar month of month 1, 1 to 12 [-].
    tax_year_end_month : int
        Calendar month in which the tax year ends, 1 to 12 [-].
    first_month : int
        First month of use [month], 1 or more; goods paid at the end of month t are used from
        month t + 1 on.
    units_by_month : Array, optional
        Units made (draws, months + 1) [unit]; for units of production only.

    Returns
    -------
    Array
        Deductions as positive amounts (draws, months + 1) [money]; nothing before `first_month`.

    Raises
    ------
    ValueError
        If `first_month` is below 1, or units are needed and missing.
    """
    if first_month < 1:
        raise ValueError(f"first_month must be at least 1, got {first_month}")
    if isinstance(rule.method, UnitsOfProduction):
        units = np.atleast_2d(_needed(units_by_month, "units_by_month")).copy()
        units[:, :first_month] = 0.0
        return by_draw(base)[:, np.newaxis] * _shares_by_use(units, rule.method.life_units)
    calendar = calendar_month(month=first_month, start_month=start_month)
    shares = _monthly_shares(rule, (tax_year_end_month - calendar) % 12 + 1)
    by_month = np.concatenate([np.zeros(first_month), shares, np.zeros(months)])[: months + 1]
    return np.asarray(by_draw(base)[:, np.newaxis] * by_month)


def _monthly_shares(rule: DepreciationRule, months_in_first_year: int) -> Array:
    """Shares by month from the first month of use on."""
    if isinstance(rule.method, StraightLine):
        return _equal_shares(rule.method.life_months)
    shares = yearly_shares(rule=rule, months_in_first_year=months_in_first_year)
    lengths = np.full(shares.size, 12)
    lengths[0] = months_in_first_year
    return np.asarray(np.repeat(shares / lengths, lengths))
