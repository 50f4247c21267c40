"""What matters most, the busiest station, and ways to pay in their order."""

import pytest
from helpers import MACHINE, ROOT, SHIPPED, TEE, exactly, money, product, shipped, shipped_answer

from planner.case import Case, choices
from planner.decide.answer import answer
from planner.decide.breakeven import headline_value
from planner.decide.ranking import cheapest, easiest, same_machine
from planner.decide.sensitivity import defaults_that_matter, influences, without_range
from planner.plan import plan
from planner.scenario.estimates import Values
from planner.scenario.fields import reads_at
from planner.scenario.load import load
from planner.scenario.tree import leaves

FILES = sorted(
    [*(ROOT / "scenarios").glob("*.toml"), *(ROOT / "tests" / "variants").glob("*.toml")]
)


def test_an_input_alone_at_both_its_ends(bare):
    # 12 months of 100 pieces, 1,200 of machine: each dollar of price is 1,200
    scenario = bare(
        {
            f"{TEE}.price": {"low": 8, "likely": 10, "high": 11},
            f"{TEE}.garment": {"low": 0, "likely": 2, "high": 7},
        }
    )
    found = influences(Case(scenario), answer(scenario).best.evaluation.plan)
    table = [  # key, at low, at high: the widest first
        ('products."Tee".garment', 10 * 1200 - 1200, 3 * 1200 - 1200),
        ('products."Tee".price', 6 * 1200 - 1200, 9 * 1200 - 1200),
    ]
    assert [one.estimate.key for one in found] == [key for key, _, _ in table]
    for one, (_, low, high) in zip(found, table, strict=True):
        assert (one.at_low, one.at_high) == money((low, high))
        assert one.swing == money(abs(high - low))


def test_no_ranges_no_influences(bare):
    scenario = bare()
    assert influences(Case(scenario), answer(scenario).best.evaluation.plan) == ()


@pytest.mark.parametrize("name", SHIPPED)
def test_ends_worked_out_together_are_the_single_ones(name):
    page = shipped_answer(name)
    for one in page.influences:
        for end, expected in ((one.estimate.low, one.at_low), (one.estimate.high, one.at_high)):
            case = Case(shipped(name), Values({one.estimate.key: end}))
            assert headline_value(case, page.best.choice)[0] == exactly(expected)


# ---------------------------------------------------------------- inputs without a range
def untested(scenario):
    """What moving each input without a range does, by key."""
    own = answer(scenario).best.evaluation.plan
    return {one.estimate.key: one for one in without_range(Case(scenario), own)}


def test_an_input_without_a_range_moves_by_a_fifth(bare):
    # 12 months of 100 pieces at 10, 1,200 of machine
    found = untested(bare())
    table = {
        'products."Tee".price': (0.8 * 12000 - 1200, 1.2 * 12000 - 1200),
        'products."Tee".planned': (0.8 * 12000 - 1200, 1.2 * 12000 - 1200),
        'equipment."Set".items."Machine".price': (12000 - 960, 12000 - 1440),
    }
    assert set(found) == set(table)
    for key, (low, high) in table.items():
        assert (found[key].at_low, found[key].at_high) == money((low, high))
    machine = found['equipment."Set".items."Machine".price'].estimate
    assert (machine.low, machine.high) == exactly((960, 1440))


def test_a_share_moves_up_to_the_whole(bare):
    # transfers at 5 a piece could serve a tenth; a fifth more than 90 % would be more than all
    scenario = bare({"today": {"buy_in_price": "20 USD/m^2"}, f"{TEE}.needs_machine": "90 %"})
    found = untested(scenario)['products."Tee".needs_machine']
    assert (found.estimate.low, found.estimate.high) == exactly((0.72, 1.0))
    bought = [(1 - share) * 1200 * 5 for share in (0.72, 1.0)]
    assert (found.at_low, found.at_high) == money([10800 - cost for cost in bought])


def test_what_falls_moves_down_and_up_too(bare):
    found = untested(bare({"growth.prices": "-10 %/year"}))["growth.prices"]
    assert (found.estimate.low, found.estimate.high) == exactly((-0.12, -0.08))
    assert found.at_low < found.at_high


ORDERS = {
    "products": [product("Tee", pieces_per_order=None)],
    "selling.payment_fee_each": "10 USD/order",
}


def test_a_default_that_counts_moves_by_a_fifth_to_whole_pieces(bare):
    # 100 pieces a month; of each order 10 goes to the card processor: 6 pieces an order, 5 or 7
    found = untested(bare(ORDERS))
    orders = found['products."Tee".pieces_per_order']
    assert (orders.estimate.low, orders.estimate.high) == (5.0, 7.0)
    paid = [1200 / 5 * 10, 1200 / 7 * 10]
    assert (orders.at_low, orders.at_high) == money([10800 - cost for cost in paid])
    given = ORDERS | {f"{TEE}.pieces_per_order": 6}
    assert 'products."Tee".pieces_per_order' not in untested(bare(given))


def test_a_count_of_one_has_no_fifth_and_is_not_worked_out(bare, monkeypatch):
    worked_out = []

    def counted(case, choice):
        worked_out.append(case.values.drawn)
        return headline_value(case, choice)

    scenario = bare(ORDERS)
    own = answer(scenario).best.evaluation.plan
    monkeypatch.setattr("planner.decide.sensitivity.headline_value", counted)
    without_range(Case(scenario), own)
    alone = [set(drawn) for drawn in worked_out if len(drawn) == 1]
    assert alone == [{'products."Tee".pieces_per_order'}] * 2 + [{"ink.colours"}] * 2


def test_only_so_many_counts_are_tried(bare, monkeypatch):
    scenario = bare(ORDERS)
    key = 'products."Tee".pieces_per_order'
    assert key in untested(scenario)
    monkeypatch.setattr("planner.decide.sensitivity.MOST_COUNTED", 0)
    assert key not in untested(scenario)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_defaults_that_matter_are_those_of_the_machine_spoken_of(name):
    page = shipped_answer(name)
    found = without_range(page.case, page.best.evaluation.plan)
    expected = [one for one in found if one.estimate.basis == "default"]
    assert list(defaults_that_matter(shipped(name))) == expected
    assert expected


def test_what_is_known_or_has_a_range_is_not_among_them(bare):
    known = {f"{TEE}.price": {"likely": 10, "basis": "accounts"}}
    ranged = {f"{MACHINE}.price": {"low": 1000, "likely": 1200, "high": 1500}}
    assert set(untested(bare(known | ranged))) == {'products."Tee".planned'}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_inputs_without_a_range_are_moved_within_their_limits(path):
    scenario = load(path)
    places = {leaf.key: leaf.path for leaf in leaves(scenario)}
    for choice in choices(scenario):
        found = without_range(Case(scenario), plan(Case(scenario), choice))
        assert found
        assert [one.swing for one in found] == sorted((one.swing for one in found), reverse=True)
        for one in found:
            reads = reads_at(places[one.estimate.key].split("."))
            is_count = reads.whole and one.estimate.basis == "default"
            assert is_count or not reads.single
            assert one.estimate.basis in ("default", "estimated")
            assert one.estimate.key != "hurdle_rate"  # what the owner asks for
            assert one.estimate.high <= reads.at_most
            assert reads.at_least is None or one.estimate.low >= reads.at_least


@pytest.mark.parametrize("name", SHIPPED)
def test_inputs_moved_together_are_moved_alone(name):
    page = shipped_answer(name)
    for one in without_range(page.case, page.best.evaluation.plan)[:10]:
        for end, expected in ((one.estimate.low, one.at_low), (one.estimate.high, one.at_high)):
            case = Case(shipped(name), Values({one.estimate.key: end}))
            assert headline_value(case, page.best.choice)[0] == exactly(expected)


# ---------------------------------------------------------------- stations and ways to pay
def test_the_busiest_station_and_its_month(bare):
    # 25 m² a month in 160 hours; in the season's peak, March, twice as much
    season = [1, 1, 2, 1, 1, 1, 1, 1, 1, 1, 1, 0.0001]
    speed = {"equipment.Set.print_speed": f"{25 / 80} m^2/hour", "shop.season": season}
    busiest = answer(bare(speed)).best.figures.busiest
    assert busiest.month == 3
    assert busiest.station in ("printer", "dryer")  # they run equally long
    assert busiest.share == exactly(0.5 * 2 * 12 / sum(season))


OFFERS = [
    {"name": "Dear", "kind": "loan", "rate": "12 %/year", "term": "12 months", "fee": 100},
    {"name": "Cheap", "kind": "loan", "rate": "12 %/year", "term": "24 months", "fee": 5},
]


def test_ways_to_pay_in_their_order(bare):
    # at 1 % a month a loan costs what cash costs, and its fee; the longer one is easier on cash
    worth = {f"{MACHINE}.worth": {"after": "12 months", "share": "25 %"}}
    page = answer(bare(worth | {"financing": OFFERS, "shop.cash_at_start": 2000}))
    ways = same_machine(page.choices, page.best)
    first, gap, is_clear = cheapest(ways)
    assert len(ways) == 3
    assert (first.choice.financing.kind, is_clear) == ("cash", False)
    assert gap == money(5)  # less than 1 % of 1,200 less 300/1.01^12
    assert cheapest([way for way in ways if way.choice.financing.name != "Cheap"])[2]
    easy, above = easiest(ways)
    assert easy.choice.financing.name == "Cheap"
    lowest = sorted((way.figures.cash.lowest for way in ways), reverse=True)
    assert above == lowest[0] - lowest[1] > 0
