"""Failures as a power law of age, and what warranty changes."""

import numpy as np
import pytest
from helpers import equipment, exactly, money, row, setting_of

from planner.shop.month import operations_with, upsets_of
from planner.shop.repairs import expected_failures

# NIST/SEMATECH e-Handbook 8.4.5.2: failures at these hours of a test of 1,500 hours
FAILURES = [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478]
A, B = 0.2913003, 0.483506


def test_the_published_law_is_that_of_the_listed_failures():
    # there: b = (n − 1) / Σ ln(T / t), the modified maximum-likelihood estimate, and a = n / T^b
    count = len(FAILURES)
    wear = (count - 1) / np.log(1500 / np.array(FAILURES)).sum()
    assert wear == pytest.approx(B, abs=5e-7)
    a_unit = expected_failures(in_first_year=1.0, wear=wear, age=1500.0)
    assert count / a_unit == pytest.approx(A, abs=5e-7)


def by_hours(age):
    """M(t) = a·t^b with t in hours: λ is what is expected up to age one, whatever its unit."""
    return expected_failures(in_first_year=A, wear=B, age=age)


def test_the_power_law_gives_the_published_number_of_failures():
    assert by_hours(1500.0) == pytest.approx(len(FAILURES), abs=5e-4)


def test_the_power_law_gives_the_published_time_between_failures():
    # MTBF at T is 1 ÷ M'(T): 310.234 hours
    slope = (by_hours(1500.5) - by_hours(1499.5)) / 1.0
    assert 1 / slope == pytest.approx(310.234, abs=5e-4)


def test_a_year_instead_of_an_hour_only_changes_lambda():
    hours = 8760.0
    a_year = expected_failures(in_first_year=A * hours**B, wear=B, age=1500 / hours)
    assert a_year == exactly(by_hours(1500.0))


@pytest.mark.parametrize(
    ("expected", "age", "wear"),
    [(0, 0, 1.3), (0.6, 1, 1.3), (1.8, 3, 1.0), (0.6 * 3**1.3, 3, 1.3)],
)
def test_limits_of_the_power_law(expected, age, wear):
    assert expected_failures(in_first_year=0.6, wear=wear, age=age) == exactly(expected)


LAW = {
    "in_first_year": 2.4,
    "wear": 2,
    "cost": {"low": 60, "likely": 100, "high": 260},  # PERT mean (60 + 400 + 260)/6 = 120
    "down_days_covered": "1 day",
    "down_days_uncovered": "4 day",
}


def repairs(bare, **changes):
    return bare({"equipment.Set.repairs": LAW, "horizon": "24 months"} | changes)


def monthly_failures(months, ahead=0):
    t = np.arange(1, months + 1) + ahead
    return 2.4 * (t**2 - (t - 1) ** 2) / 144


def test_repairs_by_month_by_hand(bare):
    # under warranty nothing, after it the mean cost of a repair
    upsets = upsets_of(setting_of(repairs(bare)))
    failures = monthly_failures(24)
    covered = np.arange(1, 25) <= 12
    assert row(upsets.cost) == exactly(np.where(covered, 0, 120 * failures))
    assert row(upsets.down_days) == exactly(np.where(covered, 1, 4) * failures)


@pytest.mark.parametrize(("last_covered", "term"), [(12, "12 months"), (11, "11.5 months")])
def test_the_boundary_of_the_warranty(bare, last_covered, term):
    cost = row(upsets_of(setting_of(
        repairs(bare, **{"equipment.Set.warranty.Included.term": term}))).cost)  # fmt: skip
    assert cost[last_covered - 1] == 0
    assert cost[last_covered] > 0


def test_a_failure_under_warranty_costs_the_deductible(bare):
    scenario = repairs(bare, **{"equipment.Set.warranty.Included.deductible": 30})
    cost = row(upsets_of(setting_of(scenario)).cost)
    assert cost[:12] == exactly(30 * monthly_failures(12))


def test_a_late_start_moves_age_and_warranty(bare):
    upsets = upsets_of(setting_of(repairs(bare, runs_from="2 months")))
    failures = monthly_failures(22)
    expected = np.where(np.arange(1, 23) <= 12, 0, 120 * failures)
    assert row(upsets.cost) == exactly([0, 0, *expected])


def test_a_second_hand_machine_starts_at_its_age(bare):
    scenario = repairs(bare, **{"equipment.Set.age": "36 months"})
    cost = row(upsets_of(setting_of(scenario)).cost)
    assert cost[12:] == exactly(120 * monthly_failures(24, ahead=36)[12:])


def test_the_steady_month_stands_at_the_mean_over_the_horizon(bare):
    scenario = repairs(bare, runs_from="2 months")
    steady = upsets_of(setting_of(scenario, steady=True))
    months = upsets_of(setting_of(scenario))
    assert row(steady.cost)[0] == exactly(row(months.cost).sum() / 24)
    assert row(steady.down_days)[0] == exactly(row(months.down_days).sum() / 24)


def test_without_failure_data_a_share_of_the_price_a_year(bare):
    # defaults: 6 % of 1,200 a year after 12 months; 3 covered and 6 uncovered days a year
    scenario = bare({"horizon": "24 months", "equipment": [equipment(repairs=None)]})
    upsets = upsets_of(setting_of(scenario))
    assert row(upsets.cost) == exactly([0] * 12 + [6] * 12)
    assert row(upsets.down_days) == exactly([0.25] * 12 + [0.5] * 12)


def test_ten_failures_a_year(bare):
    # ten twelfths of a failure a month at 100 and 6 days each: 83.33 and 5 of 20 days, a quarter
    # of 1,000 of sales
    ten = {"in_first_year": 10, "cost": 100, "down_days_uncovered": "6 day"}
    scenario = bare(
        {"equipment.Set.repairs": ten, "equipment.Set.warranty.Included.term": "0 months"}
    )
    lines = operations_with(setting_of(scenario)).lines
    assert row(lines["repairs"]) == money([-1000 / 12] * 12)
    assert row(lines["sales lost"]) == money([-250] * 12)


def test_repairs_rise_with_other_costs(bare):
    scenario = repairs(bare, **{"growth.costs": "21 %/year"})
    flows = -row(operations_with(setting_of(scenario)).lines["repairs"])
    assert flows[18] == exactly(120 * monthly_failures(24)[18] * 1.1 * 1.21)
