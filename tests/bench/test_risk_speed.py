"""Many cases at once: how fast against single plans, in what memory, how it grows.

Not part of the suite: python -m pytest --override-ini addopts= -s tests/bench/test_risk_speed.py
Everything is compared within one run; nothing is asserted about time.
"""

from __future__ import annotations

import subprocess
import sys
import tomllib
from time import perf_counter

import numpy as np
import numpy_financial
import pytest
import pyxirr
from helpers import ROOT, shipped
from scipy.optimize import brentq

from planner.case import Case, choices
from planner.decide.evaluation import evaluations
from planner.decide.risk.draws import slices
from planner.decide.risk.outcomes import outcomes, outcomes_of
from planner.decide.risk.uncertain import uncertain_inputs
from planner.finance import RateStatus, internal_rate, net_present_value
from planner.scenario.estimates import Values
from planner.scenario.load import load

SHOP = "larkspur-lane"
FILE = ROOT / "scenarios" / f"{SHOP}.toml"
DRAWS = 16_384


def seconds(work):
    begun = perf_counter()
    work()
    return perf_counter() - begun


def told(benchmark, **facts):
    """Numbers beside the timing, in its record and on the screen."""
    benchmark.extra_info.update(facts)
    print("\n", *(f"  {name}: {value:.4g}" for name, value in facts.items()), sep="\n")


def cases_of(scenario, draws, wanted=None):
    """Every figure of every choice for many cases."""
    case = Case(scenario)
    parts = slices(
        scenario,
        uncertain_inputs(scenario),
        draws=draws,
        months=case.months,
        seed=0,
        values=case.values,
    )
    return outcomes(case, wanted or choices(scenario), parts)


def test_cases_at_once_against_single_plans(benchmark):
    scenario = shipped(SHOP)
    found = benchmark.pedantic(cases_of, args=(scenario, DRAWS), rounds=1)
    at_once = benchmark.stats.stats.min
    count = len(choices(scenario))
    assert len(found) == count
    assert all(len(one.at_cost_of_debt) == DRAWS for one in found.values())

    (part, *_) = slices(
        scenario, uncertain_inputs(scenario), draws=160, months=60, seed=0, values=Values()
    )
    drawn = part.values.drawn

    def one_by_one():
        for at in range(20):
            own = Values({key: float(value[at, 0]) for key, value in drawn.items()})
            for one in evaluations(Case(scenario, own)):
                outcomes_of(one, cases=1, replicate=0)

    single = seconds(one_by_one) / 20
    told(
        benchmark,
        seconds_a_choice=at_once / count,
        seconds_of_all_choices=at_once,
        milliseconds_of_one_plan_of_all_choices=1000 * single,
        times_faster=single * DRAWS / at_once,
    )


PEAK = """
import resource, sys
from planner.decide.answer import open_answer
from planner.decide.risk.answer import risk
page = open_answer(sys.argv[1])
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
found = risk(page, draws=int(sys.argv[2]), seed=0)
print(found.draws, before / 1024, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def test_memory_of_many_cases(benchmark):
    def peak(draws):
        command = [sys.executable, "-c", PEAK, str(FILE), str(draws)]
        done = subprocess.run(command, capture_output=True, check=True, text=True, cwd=ROOT)
        return [float(word) for word in done.stdout.split()]

    made, before, after = benchmark.pedantic(peak, args=(65_536,), rounds=1)
    assert made == 65_536
    told(
        benchmark,
        megabytes_before=before,
        megabytes_at_65_536=after,
        megabytes_at_16_384=peak(16_384)[2],
        seconds_at_65_536=benchmark.stats.stats.min,
    )


def test_ten_thousand_rates_of_return(benchmark):
    random = np.random.default_rng(0)
    flows = random.normal(600, 200, (10_000, 61))
    flows[:, 0] = -random.uniform(15_000, 30_000, 10_000)
    rates = benchmark.pedantic(internal_rate, kwargs={"flows": flows}, rounds=5)
    ours = benchmark.stats.stats.min

    def by_bisection(row):
        def value(rate):
            return float(net_present_value(flows=row, rate=rate))

        return brentq(value, -0.3, 1.0) if value(-0.3) * value(1.0) < 0 else None

    known = [at for at in range(0, 10_000, 10) if by_bisection(flows[at]) is not None]
    lost = [at for at in known if rates.status[at] == RateStatus.NONE]
    assert len(known) == 1000
    assert lost == []
    left = np.abs(net_present_value(flows=flows, rate=rates.value)) / -flows[:, 0]
    assert (left < 1e-6).all()
    told(
        benchmark,
        milliseconds=1000 * ours,
        times_faster_than_pyxirr=seconds(lambda: [pyxirr.irr(row) for row in flows]) / ours,
        times_faster_than_numpy_financial=20
        * seconds(lambda: [numpy_financial.irr(row) for row in flows[:500]])
        / ours,
        largest_value_left_over_outlay=left.max(),
    )


def products(times):
    """The shop's products and copies of them that share the same numbers of pieces."""
    own = tomllib.loads(FILE.read_text(encoding="utf-8"))["products"]
    return [one | {"name": f"{one['name']} {at}"} for at in range(times) for one in own]


@pytest.mark.parametrize(
    ("what", "sizes"),
    [("draws", (4096, 8192, 16_384)), ("months", (30, 60, 120)), ("products", (1, 2, 4))],
)
def test_cost_grows_in_step(benchmark, what, sizes):
    def work(size):
        changes = {"orders": []}
        if what == "months":
            changes["horizon"] = f"{size} months"
        if what == "products":
            changes["products"] = products(size)
        scenario = load(FILE, changes=changes)
        wanted = [one for one in choices(scenario) if one.financing.kind == "cash"][:1]
        draws = size if what == "draws" else 4096
        return lambda: cases_of(scenario, draws, wanted)

    first, *more = (min(seconds(work(size)) for _ in range(2)) for size in sizes[:-1])
    last = work(sizes[-1])
    (found,) = benchmark.pedantic(last, rounds=2).values()
    assert len(found.at_cost_of_debt) == (sizes[-1] if what == "draws" else 4096)
    told(
        benchmark,
        **{f"seconds_at_{sizes[0]}_{what}": first},
        **{
            f"times_that_at_{size}_{what}": time / first
            for size, time in zip(sizes[1:], (*more, benchmark.stats.stats.min), strict=True)
        },
    )
