"""Failures as they fall: how many, what they cost, how long they take."""

from __future__ import annotations

import numpy as np
import pytest
from helpers import equipment, exactly, machine_of, row
from scipy import stats
from scipy.special import pdtr

from planner.case import Case, choices
from planner.decide.risk.uncertain import uncertain_inputs
from planner.ledger import Group
from planner.plan import plan
from planner.scenario.estimates import Values
from planner.shop.month import upsets_of
from planner.shop.repairs import Chances, poisson_at

CASES, MONTHS = 4096, 24
COST = {"low": 60, "likely": 100, "high": 260}  # PERT mean (60 + 400 + 260)/6 = 120
LAW = {
    "in_first_year": 2.4,
    "wear": 2,
    "cost": COST,
    "down_days_covered": "1 day",
    "down_days_uncovered": "4 day",
}
SET = "equipment.Set"
COUNTED = {"cost": 1, "down_days_covered": "0 day", "down_days_uncovered": "1 day"}


def shop(bare, law=None, **changes):
    """Two years of the bare shop with a machine that fails; the first year is under warranty."""
    return bare({f"{SET}.repairs": LAW | (law or {}), "horizon": f"{MONTHS} months"} | changes)


def counted(bare, **changes):
    """The same without warranty, each failure costing 1 and a day."""
    return shop(bare, law=COUNTED, **{f"{SET}.warranty.Included.term": "0 months"} | changes)


def fall(scenario, seed=(0,), values=None, cases=CASES):
    """Drawn repairs of the first machine under its first warranty."""
    case = Case(scenario, values or Values())
    chances = Chances(cases=cases, months=case.months, seed=seed)
    case = Case(scenario, case.values, chances=chances)
    return upsets_of(case.setting(machine_of(scenario), case.calendar))


def mean_of(scenario):
    case = Case(scenario)
    return upsets_of(case.setting(machine_of(scenario), case.calendar))


def within(drawn, expected, errors=4.0):
    """The mean of each column lies within four standard errors of what is expected."""
    error = drawn.std(axis=0, ddof=1) / np.sqrt(len(drawn))
    assert (np.abs(drawn.mean(axis=0) - expected) <= errors * error + 1e-12).all()


def failures_by_month(months=MONTHS):
    t = np.arange(1, months + 1)
    return 2.4 * (t**2 - (t - 1) ** 2) / 144


# --- how many ------------------------------------------------------------------------------------


MEANS = [0, 1e-9, 0.02, 0.3, 1, 3.7, 12, 19.9, 20.1, 90, 400, 700, 744, 746, 2e3, 3e4, 1e5]


@pytest.mark.parametrize("mean", MEANS)
def test_the_number_of_events_is_that_of_poisson(mean):
    p = np.append(np.random.default_rng(1).random(2000), [1e-12, 0.5, 1 - 1e-12])
    found = poisson_at(mean=mean, probability=p)
    assert (found == stats.poisson.ppf(p, mean)).all()


def test_small_and_large_means_side_by_side():
    # e^-746 is 0 in floating point
    means, p = np.array(MEANS)[:, None], np.linspace(0.01, 0.99, 99)
    found = poisson_at(mean=means, probability=p)
    assert (found == stats.poisson.ppf(p, means)).all()
    assert (poisson_at(mean=means, probability=np.zeros(1)) == 0).all()


def test_a_probability_next_to_one_is_a_number_of_events_still():
    # sums of chances end a little below 1
    means = np.linspace(0.05, 20, 400)[:, None]
    found = poisson_at(mean=means, probability=np.array([1 - 2.0**-53]))
    assert (stats.poisson.pmf(found, means) > 1e-19).all()


@pytest.mark.parametrize("mean", [21.0, 90.0, 746.0, 3e4, 1e5])
def test_the_number_of_events_is_the_least_that_reaches_the_probability(mean):
    around = np.round(mean + np.sqrt(mean) * np.linspace(-4, 4, 41))
    steps = pdtr(around, mean)  # where the number goes up
    p = np.concatenate([steps, np.nextafter(steps, 0), np.nextafter(steps, 1)])
    found = poisson_at(mean=mean, probability=p)
    assert (pdtr(found, mean) >= p).all()
    assert (pdtr(found - 1, mean) < p).all()


def test_limits_of_the_number_of_events():
    p = np.array([0.0, 0.3, 1 - 1e-12])
    assert (poisson_at(mean=0.0, probability=p) == 0).all()
    assert poisson_at(mean=2.0, probability=p)[0] == 0
    none = np.exp(-2.0)  # the chance of none at all
    around = poisson_at(mean=2.0, probability=np.array([none * (1 - 1e-9), none * (1 + 1e-9)]))
    assert around.tolist() == [0, 1]


def test_each_case_and_month_has_its_own_mean():
    means = np.array([[0.1, 2.0], [5.0, 0.0]])
    p = np.full((2, 2), 0.8)
    assert (poisson_at(mean=means, probability=p) == stats.poisson.ppf(p, means)).all()


def test_failures_a_month_have_the_mean_and_the_variance_of_poisson(bare):
    count, mean = fall(counted(bare)).cost, failures_by_month()
    within(count, mean)
    # the variance of a sample variance of Poisson numbers is (λ + 2λ²)/n
    error = np.sqrt((mean + 2 * mean**2) / CASES)
    assert (np.abs(count.var(axis=0, ddof=1) - mean) < 4 * error).all()


def test_each_number_of_failures_is_as_frequent_as_it_should_be(bare):
    count, mean = fall(counted(bare)).cost[:, -1], failures_by_month()[-1]
    for number in range(5):
        low, high = stats.binom.interval(0.9999, CASES, stats.poisson.pmf(number, mean))
        assert low <= (count == number).sum() <= high


def test_months_and_cases_fail_independently(bare):
    count = fall(counted(bare)).cost
    between = np.corrcoef(count.T)[np.triu_indices(MONTHS, 1)]
    assert np.abs(between).max() < 4.5 / np.sqrt(CASES)
    assert abs(np.corrcoef(count[:-1, -1], count[1:, -1])[0, 1]) < 4 / np.sqrt(CASES)


def test_a_drawn_law_of_failures_is_followed_case_by_case(bare):
    rates = np.where(np.arange(CASES) < CASES // 2, 0.0, 4.8)[:, None]
    values = Values({'equipment."Set".repairs.in_first_year': rates})
    count = fall(counted(bare), values=values).cost
    assert (count[: CASES // 2] == 0).all()
    within(count[CASES // 2 :], 2 * failures_by_month())


def test_nothing_fails_before_it_runs(bare):
    count = fall(counted(bare, runs_from="3 months")).cost
    assert (count[:, :3] == 0).all()
    within(count[:, 3:], failures_by_month(MONTHS - 3))


# --- what they cost and how long they take -------------------------------------------------------


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {f"{SET}.warranty.Included.deductible": 30},
        {f"{SET}.machines": 3},
        {f"{SET}.age": "18 months"},
        {f"{SET}.warranty.Included.term": "11.5 months"},
    ],
)
def test_the_mean_of_drawn_repairs_is_what_the_plan_expects(bare, changes):
    scenario = shop(bare, **changes)
    found, expected = fall(scenario), mean_of(scenario)
    within(found.cost, row(expected.cost))
    within(found.down_days, row(expected.down_days))


def test_ranges_of_days_are_drawn_failure_by_failure(bare):
    days = {
        "down_days_covered": {"low": "1 day", "likely": "2 day", "high": "6 day"},
        "down_days_uncovered": {"low": "2 day", "likely": "5 day", "high": "20 day"},
    }
    found = fall(shop(bare, law=days)).down_days
    each = np.where(np.arange(MONTHS) < 12, (1 + 8 + 6) / 6, (2 + 20 + 20) / 6)
    within(found, each * failures_by_month())
    one = found[:, 0][found[:, 0] > 0]
    assert one.min() >= 1
    assert len(np.unique(one)) == len(one)


def test_the_spread_of_what_repairs_cost(bare):
    # the variance of a sum of N costs is λ (mean² + variance) for a Poisson N; a PERT's variance is
    # (mean − a)(b − mean)/7
    found, mean = fall(shop(bare)).cost[:, -1], failures_by_month()[-1]
    variance = mean * (120**2 + (120 - 60) * (260 - 120) / 7)
    fourth = ((found - found.mean()) ** 4).mean()
    assert abs(found.var() - variance) < 4 * np.sqrt((fourth - variance**2) / CASES)


def test_failures_of_one_month_cost_and_last_what_they_do_independently(bare):
    # a uniform cost from 100 to 200 has the variance 100²/12, two of them twice that
    uniform = {"low": 100, "likely": 150, "high": 200, "shape": "uniform"}
    law = {"in_first_year": 12, "wear": 1, "cost": uniform, "down_days_uncovered": "1 day"}
    term = {f"{SET}.warranty.Included.term": "0 months"}
    found = fall(shop(bare, law=law, **term))
    both = found.cost[found.down_days == 2]
    variance, fourth = 2 * 100**2 / 12, ((both - 300) ** 4).mean()
    assert abs(both.var() - variance) < 4 * np.sqrt((fourth - variance**2) / len(both))

    days = {"low": "1 day", "likely": "2 day", "high": "3 day", "shape": "uniform"}
    found = fall(shop(bare, law=law | {"down_days_uncovered": days}, **term))
    alone = (found.cost > 0) & (found.cost < 200) & (found.down_days < 2)
    between = np.corrcoef(found.cost[alone], found.down_days[alone])[0, 1]
    assert abs(between) < 4 / np.sqrt(alone.sum())


def test_under_warranty_a_failure_costs_the_deductible_and_nothing_else(bare):
    assert (fall(shop(bare)).cost[:, :12] == 0).all()
    changes = {f"{SET}.warranty.Included.deductible": 30}
    covered = fall(shop(bare, **changes)).cost[:, :12]
    assert (covered == 30 * fall(shop(bare)).down_days[:, :12]).all()  # a day each
    assert covered.max() >= 60


def test_after_the_warranty_no_repair_is_cheaper_than_its_lowest_cost(bare):
    found = fall(shop(bare))
    count = found.down_days[:, 12:] / 4
    assert (count == count.round()).all()
    assert (found.cost[:, 12:] >= 60 * count).all()
    assert (found.cost[:, 12:] <= 260 * count).all()


def test_several_machines_fail_as_often_as_they_are_many(bare):
    found = fall(counted(bare, **{f"{SET}.machines": 3}))
    within(found.cost, 3 * failures_by_month())
    np.testing.assert_allclose(found.down_days, found.cost / 3)  # days of one machine


def test_a_machine_that_fails_a_thousand_times_a_month_fails_as_often_as_is_expected(bare):
    # beyond a hundred failures of a month the rest cost and last their mean
    often = shop(bare, law={"in_first_year": 100, "wear": 5}, **{f"{SET}.machines": 2})
    found, expected = fall(often, cases=64), mean_of(often)
    assert row(expected.cost)[-1] > 120 * 1000
    later = slice(8, None)  # before them hardly any of 64 machines fails
    within(found.cost[:, later], row(expected.cost)[later])
    within(found.down_days[:, later], row(expected.down_days)[later])


def test_what_is_drawn_failure_by_failure_is_none_of_the_uncertain_inputs(bare):
    days = {"low": "1 day", "likely": "2 day", "high": "6 day"}
    law = {"down_days_covered": days, "down_days_uncovered": days}
    rate = {"low": 1, "likely": 2, "high": 3}
    assert uncertain_inputs(shop(bare, law=law)) == ()
    (one,) = uncertain_inputs(shop(bare, law=law | {"in_first_year": rate}))
    assert one.key == 'equipment."Set".repairs.in_first_year'


def test_without_a_law_of_failures_every_case_stands_at_the_mean(bare):
    scenario = bare({"equipment": [equipment(repairs=None)], "horizon": "24 months"})
    found, expected = fall(scenario), mean_of(scenario)
    assert row(found.cost) == exactly(row(expected.cost))
    assert row(found.down_days) == exactly(row(expected.down_days))


# --- luck ----------------------------------------------------------------------------------------


def test_the_same_chances_bring_the_same_repairs(bare):
    scenario = shop(bare)
    first, again, other = fall(scenario), fall(scenario), fall(scenario, seed=(1,))
    assert (first.cost == again.cost).all()
    assert (first.down_days == again.down_days).all()
    assert not (first.cost == other.cost).all()


def test_every_choice_sees_the_same_luck(bare):
    # a longer warranty of the same machine; where neither covers, the same repairs at the same cost
    terms = [{"name": "Short", "term": "6 months"}, {"name": "Long", "term": "18 months"}]
    short, long = (fall(shop(bare, **{f"{SET}.warranty": [term]})) for term in terms)
    assert (short.cost[:, 18:] == long.cost[:, 18:]).all()
    assert (long.cost[:, 6:18] == 0).all()
    assert ((short.down_days > 0) == (long.down_days > 0)).all()


def test_a_more_reliable_machine_never_fails_more_often(bare):
    often, seldom = (
        fall(counted(bare, **{f"{SET}.repairs.in_first_year": n})).cost for n in (3, 1)
    )
    assert (seldom <= often).all()
    assert (seldom < often).any()


def ledger_line(scenario, chances, line, kind="cash"):
    case = Case(scenario, chances=chances)
    (choice,) = (one for one in choices(scenario) if one.financing.kind == kind)
    return plan(case, choice).ledger.columns[Group.RUNNING, line]


def test_repairs_stand_in_the_ledger_at_the_prices_of_their_month(bare):
    scenario = shop(bare, **{"growth.costs": "21 %/year"})
    chances = Chances(cases=50, months=MONTHS, seed=(0,))
    found = -ledger_line(scenario, chances, "repairs")[:, 1:]
    growth = 1.21 ** (np.arange(MONTHS) / 12)
    np.testing.assert_allclose(found, fall(scenario, cases=50).cost * growth)


def test_a_machine_that_went_back_to_the_lessor_fails_no_more(bare):
    lease = {
        "name": "Lease",
        "kind": "lease",
        "payment": "60 USD/month",
        "term": "12 months",
        "at_end": "return",
    }
    scenario = shop(bare, **{f"{SET}.warranty.Included.term": "0 months", "financing": [lease]})
    chances = Chances(cases=500, months=MONTHS, seed=(0,))
    found = ledger_line(scenario, chances, "repairs", kind="lease")
    assert (found[:, 1:13] < 0).any()
    assert (found[:, 13:] == 0).all()
