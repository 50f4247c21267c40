"""What choices have in common is worked out once, and comes to the same as each alone."""

import numpy as np
import pytest
from helpers import shipped

from planner.case import Case, choices
from planner.decide.evaluation import AGAINST_BUYING_IN, COMPARISONS
from planner.decide.risk.draws import slices
from planner.decide.risk.outcomes import headlines, outcomes
from planner.decide.risk.uncertain import uncertain_inputs

SCENARIOS = ("larkspur-lane", "two-widths")  # several warranties; several sets
DRAWS = 64


@pytest.fixture(params=SCENARIOS)
def case(request):
    return Case(shipped(request.param))


def parts(case):
    return slices(
        case.scenario,
        uncertain_inputs(case.scenario),
        draws=DRAWS,
        months=case.months,
        seed=0,
        values=case.values,
    )


@pytest.mark.long
def test_choices_together_come_to_what_each_comes_to_alone(case):
    wanted = choices(case.scenario)
    together = outcomes(case, wanted, parts(case))
    mixed = outcomes(case, sorted(wanted, key=lambda one: one.financing.name), parts(case))
    for choice in wanted:
        (alone,) = outcomes(case, (choice,), parts(case)).values()
        for found in (together[choice.label], mixed[choice.label]):
            assert (found.at_cost_of_debt == alone.at_cost_of_debt).all()
            assert (found.lowest_cash == alone.lowest_cash).all()
            assert (found.total == alone.total).all()
            np.testing.assert_array_equal(found.cover, alone.cover)
            for name in COMPARISONS:
                assert (found.value[name] == alone.value[name]).all()
                assert (found.payback[name] == alone.payback[name]).all()


@pytest.mark.long
def test_payback_and_value_alone_are_those_of_all_figures(case):
    wanted = choices(case.scenario)
    found = outcomes(case, wanted, parts(case))
    for choice in wanted:
        months, values = headlines(case, choice, parts(case))
        assert months.shape == values.shape == (DRAWS,)
        assert (months == found[choice.label].payback[AGAINST_BUYING_IN]).all()
        assert (values == found[choice.label].value[AGAINST_BUYING_IN]).all()


def test_flows_by_month_are_kept_of_one_choice(case):
    wanted = choices(case.scenario)
    kept = outcomes(case, wanted, parts(case), months_of=wanted[1])
    assert [kept[one.label].total.shape[1] for one in wanted] == [
        case.months + 1 if one is wanted[1] else 0 for one in wanted
    ]
