"""The cases that are drawn: evenly spread, repeatable, with errors that are what they say."""

from __future__ import annotations

import json

import numpy as np
import pytest
from helpers import equipment, exactly, write_bare
from scipy import stats
from scipy.optimize import brentq

from planner.case import Case, choices
from planner.decide.answer import answer
from planner.decide.risk.answer import LARGEST_SEED, risk
from planner.decide.risk.draws import REPLICATES, SLICE, draws_to_make, slices
from planner.decide.risk.outcomes import outcomes
from planner.decide.risk.spread import share_of, spread_of
from planner.decide.risk.uncertain import Uncertain, uncertain_inputs
from planner.scenario.estimates import DECILE, Estimate, Values
from planner.scenario.faults import PlannerError
from planner.scenario.load import load
from planner.scenario.shapes import value_at


def made_up(count, shape, half):
    """Inputs round 0 with a range of ± half."""

    def one(at):
        estimate = Estimate(likely=0, low=-half, high=half, shape=shape, unit="", key=f"x{at}")
        return Uncertain(estimate, lambda p: value_at(estimate, p))

    return [one(at) for at in range(count)]


def drawn(bare, uncertain, draws, seed=0):
    return tuple(slices(bare(), uncertain, draws=draws, months=1, seed=seed, values=Values()))


def by_case(bare, uncertain, draws, seed=0):
    """What each input is worth (cases, inputs), and the replicate of each case (cases,)."""
    parts = drawn(bare, uncertain, draws, seed)
    values = [np.hstack([part.values.drawn[one.key] for one in uncertain]) for part in parts]
    return np.concatenate(values), np.repeat(
        [part.replicate for part in parts], [len(part.points) for part in parts]
    )


# --- published sums ------------------------------------------------------------------------------

ROOT_3 = np.sqrt(3.0)  # half-width of a rectangle whose standard deviation is 1


def four_rectangles(outside):
    """The value beyond which a share of sums of four rectangles of unit deviation lies."""

    def below(y):  # the distribution of the sum of four numbers from 0 to 1 (Irwin and Hall)
        parts = (1, -4, 6, -4)
        terms = [sign * max(0.0, y - at) ** 4 for at, sign in enumerate(parts)]
        return sum(terms) / 24

    return (brentq(lambda y: below(y) - (1 - outside), 2, 4) - 2) * 2 * ROOT_3


@pytest.mark.parametrize(
    ("uncertain", "published", "exact"),
    [
        # JCGM 101:2008, 9.2.2: four standard normal quantities, 95 % within ±3.92
        (made_up(4, "normal", DECILE), 3.92, 2 * stats.norm.ppf(0.975)),
        # 9.2.3: four rectangles of unit standard deviation, ±3.88
        (made_up(4, "uniform", ROOT_3), 3.88, four_rectangles(0.025)),
        # 9.2.4: the same with one of standard deviation 10, ±17.0
        ([*made_up(3, "uniform", ROOT_3), *made_up(4, "uniform", 10 * ROOT_3)[3:]], 17.0, None),
    ],
)
def test_sums_that_are_published(bare, uncertain, published, exact):
    values, replicate = by_case(bare, uncertain, 65_536)
    total = values.sum(axis=1)
    ends = np.array(
        [np.quantile(total[replicate == one], (0.025, 0.975)) for one in range(REPLICATES)]
    )
    error = ends.std(axis=0, ddof=1) / np.sqrt(REPLICATES)
    assert (error < 0.006 * published).all()  # 65,536 draws tell the second decimal
    low, high = np.quantile(total, (0.025, 0.975))
    digit = 0.05 if published > 10 else 0.005  # half of the last one printed
    assert abs(low + published) <= digit + 4 * error[0]
    assert abs(high - published) <= digit + 4 * error[1]
    if exact is not None:
        assert abs(low + exact) <= 4 * error[0]
        assert abs(high - exact) <= 4 * error[1]


# --- the points ----------------------------------------------------------------------------------


def test_each_scramble_spreads_every_input_evenly(bare):
    # a scrambled net of 2^k points has exactly one in each of 2^k equal parts of every axis
    parts = drawn(bare, made_up(5, "uniform", 1), 8 * 2048)
    for replicate in range(REPLICATES):
        points = np.concatenate([one.points for one in parts if one.replicate == replicate])
        places = np.sort((points * 2048).astype(int), axis=0)
        assert (places == np.arange(2048)[:, None]).all()


def test_no_two_scrambles_share_a_point(bare):
    parts = drawn(bare, made_up(2, "uniform", 1), 8 * 1024)
    points = np.concatenate([one.points for one in parts])
    assert len(np.unique(points, axis=0)) == len(points)


@pytest.mark.parametrize(
    ("wanted", "made"),
    [(1, 8), (7, 8), (8, 8), (9, 16), (1000, 1000), (1001, 1008), (16384, 16384)],
)
def test_as_many_cases_in_each_scramble(bare, wanted, made):
    assert draws_to_make(wanted) == made
    parts = drawn(bare, made_up(1, "uniform", 1), wanted)
    assert max(len(one.points) for one in parts) <= SLICE
    each = [sum(len(one.points) for one in parts if one.replicate == r) for r in range(REPLICATES)]
    assert each == [made // REPLICATES] * REPLICATES
    assert all(one.chances.cases == len(one.points) for one in parts)


def test_other_values_stand_as_they_were(bare):
    values = Values({"shop.wage": 33.0, "x0": 5.0})
    (one, *_) = slices(bare(), made_up(1, "uniform", 1), draws=8, months=1, seed=0, values=values)
    assert one.values.drawn["shop.wage"] == 33.0
    assert np.shape(one.values.drawn["x0"]) == (1, 1)


def test_no_two_streams_of_random_numbers_are_the_same(bare, monkeypatch):
    begun = []
    make = np.random.default_rng

    def noted(seed):
        begun.append(tuple(np.random.SeedSequence(seed).generate_state(4)))
        return make(seed)

    monkeypatch.setattr(np.random, "default_rng", noted)
    for seed in (0, 1):
        for part in drawn(bare, made_up(1, "uniform", 1), 8 * SLICE + 8, seed):
            for what in ((0,), (1, 0), (2, 0), (1, 1), (2, 1)):
                part.chances.numbers(*what)
    assert len(begun) == 2 * (REPLICATES + 2 * REPLICATES * 5)
    assert len(set(begun)) == len(begun)


# --- the same again ------------------------------------------------------------------------------

RANGES = {
    "products.Tee.price": {"low": 8, "likely": 10, "high": 13},
    "products.Tee.planned": {
        "low": "15 piece/week", "likely": "25 piece/week", "high": "30 piece/week"},
    "products.Tee.garment": {"low": 2, "likely": 3, "high": 6, "shape": "triangular"},
}  # fmt: skip
LAW = {"in_first_year": 6, "cost": {"low": 60, "likely": 100, "high": 260}}


@pytest.fixture(scope="module")
def uncertain_shop(bare):
    return bare(RANGES | {"equipment": [equipment(repairs=LAW)]})


def outcomes_of(scenario, draws=512, seed=0):
    case = Case(scenario)
    parts = slices(
        scenario,
        uncertain_inputs(scenario),
        draws=draws,
        months=case.months,
        seed=seed,
        values=case.values,
    )
    return outcomes(case, choices(scenario), parts)


def as_text(found):
    """Every figure of every choice to its last digit."""

    def plain(node):
        if isinstance(node, np.ndarray):
            return [repr(float(one)) for one in np.ravel(node)]
        return {name: plain(one) for name, one in node.items()}

    return json.dumps({label: plain(vars(one)) for label, one in found.items()})


def test_the_same_seed_gives_the_same_answer_to_the_last_digit(uncertain_shop):
    assert as_text(outcomes_of(uncertain_shop)) == as_text(outcomes_of(uncertain_shop))


def test_another_seed_gives_another_answer_and_nought_is_a_seed(uncertain_shop):
    texts = {as_text(outcomes_of(uncertain_shop, draws=64, seed=seed)) for seed in (0, 1, 2, 77)}
    assert len(texts) == 4


@pytest.mark.parametrize("workers", [1, 3, 8])
def test_how_many_slices_are_worked_out_at_once_changes_nothing(
    uncertain_shop, monkeypatch, workers
):
    plain = as_text(outcomes_of(uncertain_shop))
    monkeypatch.setattr("planner.decide.risk.outcomes.WORKERS", workers)
    assert as_text(outcomes_of(uncertain_shop)) == plain


def test_other_choices_beside_it_change_no_choice(bare):
    one = bare(RANGES | {"equipment": [equipment(repairs=LAW)]})
    two = bare(
        RANGES | {"equipment": [equipment(repairs=LAW), equipment(name="More", repairs=LAW)]}
    )
    alone, beside = outcomes_of(one, draws=64), outcomes_of(two, draws=64)
    assert len(beside) == 2 * len(alone)
    assert as_text(alone) == as_text({label: beside[label] for label in alone})
    # and what differs in name only has the same luck
    renamed = {
        label.replace("More", "Set"): one for label, one in beside.items() if "More" in label
    }
    assert as_text(renamed) == as_text(alone)


def test_a_range_that_reaches_below_nought_gives_an_answer(bare):
    wide = {name: f"{n} m^2/hour" for name, n in (("low", 1), ("likely", 3), ("high", 9))}
    (found,) = outcomes_of(bare({"equipment.Set.print_speed": wide | {"shape": "normal"}})).values()
    value = found.value["against_buying_in"]
    assert np.isfinite(value).all()
    assert value.min() == pytest.approx(-1200, abs=0.01)  # a machine that prints nothing


def test_two_test_prints_far_apart_give_an_answer(tmp_path):
    # one degree of freedom: in many cases every rate is cut
    path = write_bare(tmp_path)
    with (tmp_path / "bare.csv").open("a", encoding="utf-8") as sheet:
        sheet.write("Other,1,1,40,1,50,75\n")
    (found,) = outcomes_of(load(path, changes={"ink.price": "90 USD/L"})).values()
    value = found.value["against_buying_in"]
    assert np.isfinite(value).all()
    assert value.max() == pytest.approx(10_800, abs=0.01)  # no ink at all


def test_progress_is_told_slice_by_slice(uncertain_shop):
    told = []
    page = answer(uncertain_shop)
    risk(page, draws=16, seed=0, progress=told.append)
    assert told == list(range(1, 9))


# --- standard errors -----------------------------------------------------------------------------

SEEDS = 40
SQUARES = 7 * SEEDS  # degrees of freedom of the mean of 40 stated variances of 8 scrambles each


@pytest.fixture(scope="module")
def sums(bare):
    """x + y for two numbers from −1 to 1, by seed, with the replicate of each case."""
    found = [by_case(bare, made_up(2, "uniform", 1), 2048, seed) for seed in range(SEEDS)]
    return [(values.sum(axis=1), replicate) for values, replicate in found]


def judged(figures, errors, truth):
    """Scatter over seeds ÷ stated variance within the limits of F, and no bias."""
    scatter, stated = np.var(figures, ddof=1), np.mean(np.square(errors))
    low, high = stats.f(SEEDS - 1, SQUARES).ppf((0.0005, 0.9995))
    assert low < scatter / stated < high
    assert abs(np.mean(figures) - truth) < 4 * np.sqrt(stated / SEEDS)


def test_the_stated_error_of_a_chance_is_its_scatter_over_seeds(sums):
    # x + y > 1 holds on an eighth of the square
    found = [share_of(total > 1, replicate) for total, replicate in sums]
    judged([one.share for one in found], [one.error for one in found], 1 / 8)


@pytest.mark.parametrize(
    ("name", "truth"), [("low", np.sqrt(0.8) - 2), ("middle", 0.0), ("high", 2 - np.sqrt(0.8))]
)
def test_the_stated_error_of_a_percentile_is_its_scatter_over_seeds(sums, name, truth):
    # the corner beyond t is (2 − t)²/8 of the square: a tenth at 2 − √0.8
    found = [spread_of(total, replicate) for total, replicate in sums]
    values = [getattr(one, name) for one in found]
    judged(values, [getattr(one, f"{name}_error") for one in found], truth)


def test_more_draws_bring_smaller_errors(bare):
    few, many = (
        share_of(np.sum(values, axis=1) > 1, replicate).error
        for values, replicate in (
            by_case(bare, made_up(2, "uniform", 1), draws) for draws in (256, 65_536)
        )
    )
    assert many < few / 8  # half of √256 at least: no worse than draws by chance


def test_what_so_many_cases_do_not_reach_is_infinite():
    months = np.repeat([[10.0, 20.0, np.inf, np.inf]], REPLICATES, axis=0).ravel()
    found = spread_of(months, np.repeat(np.arange(REPLICATES), 4))
    assert (found.low, found.middle, found.high) == (10, 20, np.inf)
    assert (found.low_error, found.high_error) == (0.0, np.inf)
    assert share_of(months <= 60, np.repeat(np.arange(REPLICATES), 4)).share == 0.5


def test_the_error_of_a_share_by_hand():
    # eight scrambles, four with every case and four with none: s = √(8 · ¼ ÷ 7), over √8
    replicate = np.repeat(np.arange(REPLICATES), 5)
    found = share_of(replicate < 4, replicate)
    assert (found.share, found.error) == exactly((0.5, np.sqrt(2 / 7 / 8)))


@pytest.mark.parametrize("cases", [40, 1024, 16_384])
@pytest.mark.parametrize("all_of_them", [False, True])
def test_where_all_cases_agree_the_rule_of_three_says_how_much_may_be_hidden(cases, all_of_them):
    found = share_of(np.full(cases, all_of_them), np.arange(cases) % REPLICATES)
    assert found.share == float(all_of_them)
    assert found.reach == exactly(3 / cases)
    # of what happens so often, no case is drawn in 5 of 100 draws at most
    assert 0.04 < stats.binom.pmf(0, cases, found.reach) < 0.05


def test_no_error_of_a_share_is_less_than_one_case_makes():
    # in each scramble 3 of 10
    found = share_of(np.arange(80) % 10 < 3, np.arange(80) // 10)
    assert (found.share, found.error) == exactly((0.3, 1 / 80))


def test_no_error_of_a_percentile_is_less_than_its_neighbours_tell():
    # the same ten values in each scramble
    replicate, part = (
        np.repeat(np.arange(REPLICATES), 10),
        np.tile(np.arange(1.0, 11.0), REPLICATES),
    )
    even = spread_of(part, replicate)
    assert (even.low, even.middle, even.high) == (1, 5, 9)
    # 8 cases at each value: the eighth has a 1 before it and a 2 after it
    assert (even.low_error, even.middle_error, even.high_error) == exactly((0.5, 0.5, 0.5))
    alike = spread_of(np.full(80, 7.0), replicate)
    assert (alike.low, alike.low_error, alike.high_error) == (7, 0, 0)


def test_a_percentile_next_to_what_is_never_reached_is_not_known():
    months = np.repeat([10.0, np.inf], 40)
    found = spread_of(months, np.tile(np.arange(REPLICATES), 10))
    assert (found.low, found.low_error) == (10, 0)
    assert (found.middle, found.middle_error) == (10, np.inf)
    assert (found.high, found.high_error) == (np.inf, np.inf)


# --- seeds ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", [-1, LARGEST_SEED + 1, 2**64])
def test_a_seed_whose_cases_would_be_those_of_another_is_refused(uncertain_shop, seed):
    with pytest.raises(PlannerError) as refused:
        risk(answer(uncertain_shop), draws=8, seed=seed)
    assert str(refused.value) == f"seed: must be from 0 to 4294967295 (got {seed})"


def test_the_largest_seed_draws_cases_of_its_own(uncertain_shop):
    page = answer(uncertain_shop)
    last, before = (risk(page, draws=64, seed=seed) for seed in (LARGEST_SEED, LARGEST_SEED - 1))
    assert last.seed == LARGEST_SEED
    assert last.best.value != before.best.value


def words_of(seed):
    """The words that numpy seeds a stream with; zeros at the end make no difference to it."""
    words = [word for part in seed for word in _in_words(part)]
    while words and not words[-1]:
        words.pop()
    return tuple(words)


def _in_words(number):
    return [number & 0xFFFFFFFF, *(_in_words(number >> 32) if number >> 32 else ())]


def test_no_accepted_seed_shares_random_numbers_with_another(bare, monkeypatch):
    begun = []
    make = np.random.default_rng

    def noted(seed):
        begun.append(words_of(seed))
        return make(seed)

    monkeypatch.setattr(np.random, "default_rng", noted)
    for seed in (0, 1, 5, 2**31, LARGEST_SEED - 1, LARGEST_SEED):
        for part in drawn(bare, made_up(1, "uniform", 1), 8 * SLICE + 8, seed):
            for what in ((0,), (1, 0), (2, 0), (1, 1), (2, 1)):
                part.chances.numbers(*what)
    assert len(set(begun)) == len(begun)
    # beyond it, they would: 5 + 2³² begins as 5 does in its scramble 1
    assert words_of((5 + 2**32, 3)) == words_of((5, 1, 3))
