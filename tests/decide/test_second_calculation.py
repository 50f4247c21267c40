"""The package against a second calculation that shares no code with it, line by line.

Every mismatch of a scenario is listed at once, with what the second calculation says first.
"""

import numpy as np
import pytest
from helpers import ROOT, SHIPPED, row, shipped, shipped_answer
from second_calculation import calculate

from planner.decide.answer import answer
from planner.decide.buy_in_prices import buy_in_prices
from planner.decide.evaluation import COMPARISONS
from planner.decide.figures import needed_share
from planner.decide.months import months_of_work
from planner.decide.prints import print_costs
from planner.decide.solve import Outcome
from planner.decide.steady import weekly_hours
from planner.decide.supplies import supplies_by_quarter
from planner.decide.warranties import MARGIN, PRICE, best_of, warranty_costs
from planner.scenario.load import load

pytestmark = pytest.mark.long

# Lines of the second calculation and those of the ledger that stand for the same money.
SAME_MONEY = {
    ("sales",): ("sales",),
    ("lost_sales",): ("sales lost",),
    ("garments",): ("garments",),
    ("ink",): ("ink", "ink lost", "ink thrown away"),
    ("film",): ("film", "film ends"),
    ("powder",): ("powder",),
    ("bought_in",): ("transfers bought in", "transfers bought in a hurry"),
    ("delivery",): ("delivery of transfers",),
    ("labour",): ("labour",),
    ("overtime",): ("overtime",),
    ("energy",): ("energy",),
    ("payment_fees",): ("payment fees",),
    ("packing",): ("packing",),
    ("supplies",): ("supplies",),
    ("insurance",): ("insurance",),
    ("wear_parts",): ("wear parts",),
    ("repairs",): ("repairs",),
    ("overheads",): ("overheads",),
    ("equipment",): ("equipment",),
    ("sales_tax",): ("sales tax on equipment",),
    ("start_up",): ("start-up",),
    ("warranty",): ("warranty",),
    ("first_fill",): ("first fill",),
    ("stock",): ("opening stock",),
    ("replacements",): ("replacements",),
    ("debt_drawn",): ("loan paid out", "paid by the lessor"),
    ("fees",): ("fees",),
    ("principal",): ("principal", "debt settled"),
    ("interest",): ("interest",),
    ("lease_payments", "lease_purchase"): (
        "lease payments", "sales tax on lease payments", "purchase at lease end"
    ),
    ("deposit",): ("deposit",),
    ("receivables", "payables"): ("change in working capital",),
    ("tax",): ("income tax",),
    ("working_capital_returned",): ("working capital returned", "stock sold off"),
    ("resale",): ("resale",),
    ("tax_on_resale",): ("tax on resale",),
}  # fmt: skip


def crossing(found, times):
    """A crossing × what one of its units is; 0 where every value does, None where none does."""
    if found.outcome is Outcome.ALWAYS:
        return 0.0
    return None if found.value is None else found.value * times


def months(times):
    return {name: time.months for name, time in times.items()}


def figures_of(figures):
    """The package's figures under the second calculation's names."""
    even, make, need = figures.break_even, figures.make_or_buy, needed_share(figures.added_work)
    shop, paying, held = figures.cover.shop, figures.paying, figures.collateral
    pieces, area = figures.weekly_pieces, figures.weekly_area
    return {
        "payback_months": months(figures.payback),
        "discounted_payback_months": months(figures.discounted_payback),
        "payback_own_cash_months": months(figures.payback_own_cash),
        "net_present_value": figures.net_present_value,
        "net_present_value_financed": figures.net_present_value_financed,
        "internal_rates_of_return": figures.internal_rates_of_return,
        "modified_rate_of_return": figures.modified_rate_of_return,
        "profitability_index": figures.profitability_index,
        "added_work_needed": need,
        "margin_of_safety": None if need is None else 1 - need,
        "make_or_buy_area_per_week": make and crossing(make.by_cost, make.buyable_area),
        "lowest_cash": figures.cash.lowest,
        "lowest_cash_month": figures.cash.lowest_month,
        "most_money_in": figures.cash.most_money_in,
        "annual_percentage_rate": paying.annual_percentage_rate,
        "payment_per_month": paying.payment_per_month,
        "total_paid": paying.total_paid,
        "present_cost_of_financing": paying.present_cost,
        "break_even_pieces_per_week": crossing(even.monthly, pieces),
        "break_even_area_per_week": crossing(even.monthly, area),
        "lifetime_break_even_pieces_per_week": crossing(even.lifetime, pieces),
        "break_even_price_factor": crossing(even.price, 1.0),
        "debt_service_cover_project_by_year": figures.cover.project,
        "debt_service_cover_shop_by_year": shop and {
            "before_tax": {name: shop[name].before_tax for name in COMPARISONS},
            "after_tax_and_draw": {name: shop[name].after_tax_and_draw for name in COMPARISONS},
        },
        "lowest_debt_service_cover": figures.cover.lowest,
        "collateral_cover_lowest": held and held.cover_lowest,
        "largest_shortfall_if_sold": held and held.shortfall,
    }  # fmt: skip


def lines_of(answered):
    """The lines that stand beside the figures."""
    figures, evaluation = answered.figures, answered.evaluation
    paid = figures.every_hour_paid
    with_machine, bought_in = weekly_hours(evaluation.case, evaluation.plan)
    return {
        "every_hour_paid": {
            "payback_months": paid.payback_months,
            "net_present_value": paid.net_present_value,
        },
        "worth_more_from_area": figures.added_work.area,
        "hours_per_week": {"with": with_machine, "without": bought_in},
        "equivalent_monthly_cost": figures.equivalent_monthly_cost,
        "cash_balance": figures.cash.balance.tolist(),
        "busiest_station": {"month": figures.busiest.month, "share": figures.busiest.share},
        "by_month": months_by_key(evaluation),
    }


def months_by_key(evaluation):
    """Stations and pieces by month under the second calculation's names."""
    work = months_of_work(evaluation.case, evaluation.plan)
    return {
        "use": {name: use.tolist() for name, use in work.stations.items()},
        "made_share": work.made.tolist(),
        "lost_pieces": work.lost.tolist(),
        "hurried_pieces": work.hurried.tolist(),
        "overtime_hours": work.overtime.tolist(),
    }


def columns_of(ledger):
    """The ledger under the second calculation's names, and what these are added up from."""
    for theirs, ours in SAME_MONEY.items():
        yield theirs, sum(row(ledger.line(line)) for line in ours)
    yield ("net",), row(ledger.net)


def differences(path, expected, found):
    """Every place at which two trees of figures differ, in words."""
    if isinstance(found, dict):
        for key, value in found.items():
            yield from differences(f"{path}.{key}", expected[key], value)
    elif isinstance(expected, list | tuple):
        if len(expected) != len(found):
            yield f"{path}: {len(expected)} values, found {len(found)}"
        for at, pair in enumerate(zip(expected, found, strict=False)):
            yield from differences(f"{path}[{at}]", *pair)
    elif expected is None or found is None:
        if expected is not found:
            yield f"{path}: {expected}, found {found}"
    elif abs(expected - found) > tolerance(path, expected):
        yield f"{path}: {expected!r}, found {found!r}"


MONEY = ("net_present_value", "cash", "most_money", "payment", "total_paid", "present_cost",
         "shortfall", "monthly_cost", "ledger", "without.", "prints")  # fmt: skip


def tolerance(path, expected):
    """Half a cent for money, a millionth for months, areas and ratios."""
    is_money = any(word in path for word in MONEY) and "months" not in path
    return 0.005 if is_money else 1e-6 * max(1.0, abs(expected))


def ledger_differences(path, expected, ledger):
    for names, ours in columns_of(ledger):
        theirs = np.sum([expected[name] for name in names], axis=0)
        wrong = np.flatnonzero(np.abs(theirs - ours) > 0.005)
        if wrong.size:
            at = int(wrong[0])
            yield (f"{path}.{'+'.join(names)}: {wrong.size} months, "
                   f"the first {at}: {theirs[at]!r}, found {ours[at]!r}")  # fmt: skip


FILES = {
    path.stem: path
    for folder in ("scenarios", "tests/variants")
    for path in sorted((ROOT / folder).glob("*.toml"))
}


@pytest.fixture(scope="module", params=FILES)
def both(request):
    """The second calculation of a scenario and the package's answer."""
    path = FILES[request.param]
    page = shipped_answer(path.stem) if path.stem in SHIPPED else answer(load(path))
    return calculate(path), page


def pairs(both):
    second, page = both
    names = [choice["equipment"] for choice in second["choices"]]
    assert names == [answered.choice.equipment.name for answered in page.choices]
    return zip(second["choices"], page.choices, strict=True)


def test_every_figure_of_every_choice(both):
    wrong = [
        line
        for theirs, ours in pairs(both)
        for line in differences(ours.choice.label, theirs["figures"], figures_of(ours.figures))
    ]
    assert not wrong, "\n".join(wrong)


def test_every_line_beside_the_figures(both):
    wrong = [
        line
        for theirs, ours in pairs(both)
        for name, value in lines_of(ours).items()
        for line in differences(f"{ours.choice.label}.{name}", theirs["lines"][name], value)
    ]
    assert not wrong, "\n".join(wrong)


def test_every_line_of_every_ledger(both):
    wrong = [
        line
        for theirs, ours in pairs(both)
        for name, expected, ledger in (
            ("ledger", theirs["ledger"], ours.evaluation.plan.ledger),
            ("without", theirs["without"], ours.evaluation.without.ledger),
            (
                "before_financing",
                theirs["lines"]["before_financing"],
                ours.evaluation.plan.cash_ledger,
            ),
        )
        for line in ledger_differences(f"{ours.choice.label}.{name}", expected, ledger)
    ]
    assert not wrong, "\n".join(wrong)


def test_every_warranty_of_every_set(both):
    second, page = both
    costs = warranty_costs(page.case, [(one.evaluation, one.figures) for one in page.choices])
    theirs = [(one["equipment"], row) for one in second["sets"] for row in one["warranties"]]
    wrong = []
    for (equipment, expected), ours in zip(theirs, costs, strict=True):
        assert equipment == ours.equipment
        found = {
            "net_present_value": ours.value,
            "price_by_year": [-paid for paid in ours.years[PRICE]],
            "repairs_by_year": [-paid for paid in ours.years["repairs"]],
            "wear_parts_by_year": [-paid for paid in ours.years["wear parts"]],
            "margin_lost_to_days_down_by_year": list(ours.years[MARGIN]),
        }
        label = f"ledger of {ours.equipment}, {ours.warranty}"
        wrong += differences(label, expected, found)
    assert not wrong, "\n".join(wrong)
    for one in second["sets"]:
        best, named = best_of(costs, one["equipment"]), one["worth_most"]
        assert best.warranty.startswith(named)  # the second calculation names fewer of them


def test_consumables_of_every_quarter(both):
    wrong = []
    for theirs, ours in pairs(both):
        own = ours.evaluation.plan
        found = [
            {
                "white_litres": one.white,
                "colour_litres": one.colour,
                "powder_kilograms": one.powder,
                "film_rolls": one.rolls,
                "money": {
                    "ink": -one.ink_cost,
                    "powder": -one.powder_cost,
                    "film": -one.film_cost,
                },
            }
            for one in supplies_by_quarter(ours.evaluation.case, own)
        ]
        expected = theirs["lines"]["consumables_by_quarter"]
        wrong += differences(ours.choice.label, expected, found)
    assert not wrong, "\n".join(wrong)


def test_make_or_buy_at_other_prices(both):
    wrong = []
    for theirs, ours in pairs(both):
        case, own = ours.evaluation.case, ours.evaluation.plan
        asked = buy_in_prices(case, own, ours.figures.make_or_buy)
        expected = theirs["lines"]["make_or_buy_area_at_buy_in_times"]
        for factor, area in expected.items():
            rows = (
                [row for row in asked.rows if row.factor == pytest.approx(float(factor))]
                if (asked)
                else []
            )
            found = rows[0].area if rows else None
            if rows and rows[0].area is None and "any" in rows[0].reason:
                found = 0.0
            wrong += differences(f"{ours.choice.label}.{factor}", area, found)
    assert not wrong, "\n".join(wrong)


GROUPED = {  # parts of the second calculation and those of the package
    "ink": ("ink",),
    "powder": ("powder",),
    "film": ("film",),
    "garment": ("garment",),
    "labour": ("artwork and set-up", "printing", "cutting", "pressing"),
    "energy": ("energy",),
    "payment_fee": ("payment fee",),
    "packing": ("packing",),
    "overhead_share": ("upkeep and overheads",),
}


def test_every_part_of_what_a_print_costs(both):
    second, page = both
    first = next(one for one in page.choices if one.evaluation.plan.machine.count).evaluation
    found = [
        {
            "parts": {name: sum(cost.parts[p] for p in ours) for name, ours in GROUPED.items()},
            "material": cost.material,
            "full": cost.full,
            "full_with_equipment": cost.with_equipment,
        }
        for cost in print_costs(first.case, first.plan)
    ]
    expected = [{key: costs[key] for key in found[0]} for costs in second["prints"]]
    wrong = list(differences("prints", expected, found))
    assert not wrong, "\n".join(wrong)


def test_rates_and_prices_of_ink_and_powder(both):
    second, page = both
    rates, lines = page.choices[0].evaluation.plan.machine.rates, second["lines"]
    found = {
        "rates": {"white": rates.white, "colour": rates.colour},
        "ink_cost_per_area": rates.ink_cost,
        "powder_cost_per_area": rates.powder_cost,
        "liquid_price": rates.liquid_price,
    }
    expected = {key: lines[key] for key in found}
    expected["rates"] = {kind: lines["rates"][kind] for kind in ("white", "colour")}
    wrong = list(differences("rates", expected, found))
    assert not wrong, "\n".join(wrong)


def test_film_and_sheet_of_every_order(both):
    second, page = both
    layouts, scenario, wrong = iter(second["lines"]["layout"]), page.scenario, []
    for equipment in scenario.equipment:
        own = next(a for a in page.choices if a.choice.equipment == equipment).evaluation.plan
        for at, product in enumerate(scenario.products):
            layout, count = next(layouts), product.pieces_per_order.likely
            found = {"film_per_order": own.machine.uses[at].film * count}
            if scenario.today is not None and scenario.today.buy_in_by == "sheet":
                width = scenario.today.sheet_width.likely
                found["sheet_per_order"] = own.machine.bought[at] * count / width
            wrong += differences(product.name, {key: layout[key] for key in found}, found)
    assert not wrong, "\n".join(wrong)


def test_every_shipped_scenario_is_compared():
    assert {path.stem for path in (ROOT / "scenarios").glob("*.toml")} == set(SHIPPED)
    assert all(shipped(name).prints for name in SHIPPED)
