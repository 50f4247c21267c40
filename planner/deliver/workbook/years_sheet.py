"""The ledger by year from signing, and how often each year's cash flow covers its debts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from planner.decide.cover import other_debts
from planner.decide.evaluation import COMPARISONS
from planner.deliver.workbook.book import Sheet, Words
from planner.deliver.workbook.facts import Facts
from planner.deliver.workbook.grid import Grid, Heading, Line, Value
from planner.finance.cover import sums_by_year
from planner.ledger import Group
from planner.scenario.estimates import Array
from planner.show.words import COMPARISON_LETTERS, comparison_name

YEARS: Final = "Years"
_NONE: Final = "none"
_YEAR: Final = "SUMIF({{calendar.year.all}},{{year}},{{{}.all}})"


def years_sheet(facts: Facts) -> Sheet:
    """A column a year; year 0 is signing, a last year cut short by the horizon holds its months."""
    years = -(-facts.months // 12)
    grid = Grid(
        alias="years",
        axis="year",
        labels=tuple(float(year) for year in range(years + 1)),
        blocks=(*_ledger(facts), *_service(facts), *_covers(facts)),
    )
    sheet = Sheet(title=YEARS, frozen=(4, grid.margin))
    return sheet.add(
        Words(text=YEARS, style="title"),
        Words(
            text="Years from signing, not calendar or tax years; year 0 is signing. Cover is cash "
            "flow ÷ debt payments; purchase prices at the end of a lease are left out of it."
        ),
        grid,
    )


def _ledger(facts: Facts) -> Iterator[Line | Heading]:
    ledger, way = facts.plan.ledger, facts.way
    yield Heading("The choice, as it is paid for")
    groups = [group for group in Group if group is not Group.TAX or facts.scenario.tax]
    for group in groups:
        if group is Group.FINANCING and facts.is_cash:
            continue
        common = group in (Group.RUNNING, Group.WORKING_CAPITAL)
        key = group.name.lower() if common else f"{group.name.lower()}_{way}"
        yield _money(facts, key, group.value, ledger.total(group), f"months.{key}", is_sum=False)
    yield _money(facts, "net", "net", ledger.net, f"months.net_{way}", is_sum=True)


def _money(facts: Facts, key: str, label: str, flows: Array, source: str, *, is_sum: bool) -> Line:
    values: tuple[Value, ...] = (float(flows[0, 0]), *_by_year(flows))
    return Line(
        key=key,
        label=label,
        unit=facts.currency,
        values=values,
        formula=_YEAR.format(source),
        adds_up=True,
        is_sum=is_sum,
    )


def _by_year(flows: Array) -> tuple[float, ...]:
    return tuple(float(flow) for flow in sums_by_year(flows)[0])


def _service(facts: Facts) -> Iterator[Line | Heading]:
    yield Heading("Debt payments")
    service = _later(
        "service",
        "of the choice",
        facts.currency,
        _by_year(facts.plan.debt.service),
        _YEAR.format("compared.service"),
    )
    yield service
    if facts.scenario.shop.cash_flow_before is not None:
        yield _later(
            "other_debts",
            "of the shop's other debts",
            facts.currency,
            _by_year(other_debts(facts.case)),
            _YEAR.format("compared.other_debts"),
        )
        yield _later(
            "months_in_year",
            "months of the year",
            "count",
            [float(min(12, facts.months - first)) for first in range(0, facts.months, 12)],
            "COUNTIF({calendar.year.all},{year})",
        )


def _later(key: str, label: str, unit: str, values: Sequence[Value], formula: str) -> Line:
    return Line(key=key, label=label, unit=unit, values=(None, *values), formula=formula)


def _covers(facts: Facts) -> Iterator[Line | Heading]:
    cover = facts.answered.figures.cover
    taxed = "aftertax" if facts.scenario.tax is not None else "pretax"
    yield Heading("Debt service cover")
    for name in COMPARISONS:
        letter = COMPARISON_LETTERS[name]
        label = f"{letter}, {comparison_name(facts.page, name)}"
        yield _ratio(
            f"project_{letter}",
            f"{label}: the project alone",
            cover.project[name],
            _YEAR.format(f"compared.{taxed}_{letter}"),
            "{service}",
        )
        if cover.shop is None:
            continue
        draw = "" if facts.scenario.shop.owner_draw is None else "-shop_owner_draw"
        measures = {
            "before tax": ("pretax", cover.shop[name].before_tax, "shop_cash_flow_before"),
            "after tax and draw": (
                taxed,
                cover.shop[name].after_tax_and_draw,
                f"(shop_cash_flow_before{draw})",
            ),
        }
        for words, (flow, values, rest) in measures.items():
            yield _ratio(
                f"shop_{words.replace(' ', '_')}_{letter}",
                f"{label}: the whole shop, {words}",
                values,
                f"({_YEAR.format(f'compared.{flow}_{letter}')}+{rest}/12*{{months_in_year}})",
                "({service}+{other_debts})",
            )


def _ratio(
    key: str, label: str, values: Sequence[float | None], income: str, payments: str
) -> Line:
    shown = [_NONE if value is None else value for value in values]
    return _later(key, label, "cover", shown, f'IF({payments}>0,{income}/{payments},"{_NONE}")')
