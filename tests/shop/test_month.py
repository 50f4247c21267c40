"""A month in the shop put together: materials, selling, a closed month, a slow printer."""

import numpy as np
import pytest
from helpers import TEE, exactly, money, plan_of, row, setting_of

from planner.plan import without
from planner.shop.month import operations_with

DAYS = 365 / 12  # in a month, 20 of them open

# 100 pieces, 25 m² a month; film 0.25 m a piece, two across the roll of 1 m.
USING = {
    f"{TEE}.garment": 2,
    "ink.price": "100 USD/L",
    "film.roll_price": 100,
    "powder.price": "20 USD/kg",
}


def lines(scenario, *, steady=True, **levers):
    found = operations_with(setting_of(scenario, steady=steady, **levers)).lines
    return {name: row(flow) for name, flow in found.items()}


def month_one(scenario, **levers):
    return {name: float(flow[0]) for name, flow in lines(scenario, **levers).items()}


@pytest.mark.parametrize(
    ("expected", "line"),
    [
        (1000, "sales"),
        (-200, "garments"),
        (-25 * 0.030 * 100, "ink"),
        (-25 * 0.010 * 20, "powder"),
        (-100 * 0.5, "film"),  # an order of one piece: a row of half a metre for each
    ],
)
def test_materials_by_hand(bare, expected, line):
    assert month_one(bare(USING))[line] == money(expected)


def test_rejects_spoilage_and_redone_work_use_more_and_sell_nothing(bare):
    # printed 1.25 / 0.9 / 0.8, garments 1.25 / 0.9, sales as before
    usual = month_one(bare(USING))
    worse = month_one(
        bare(
            USING
            | {"spoilage.transfers": "20 %", "spoilage.garments": "10 %", "spoilage.redone": "25 %"}
        )
    )
    for line in ("ink", "film", "powder"):
        assert worse[line] == exactly(usual[line] * 1.25 / 0.9 / 0.8)
    assert worse["garments"] == exactly(usual["garments"] * 1.25 / 0.9)
    assert worse["sales"] == usual["sales"]


def test_rejects_fall_through_the_ramp(bare):
    ramp = {
        "ramp.months": "4 months",
        "ramp.spoilage_at_start": "20 %",
        "spoilage.transfers": "4 %",
    }
    ink = lines(bare(USING | ramp), steady=False)["ink"]
    shares = np.array([0.20, 0.16, 0.12, 0.08, 0.04, 0.04])
    assert ink[:6] == exactly(-75 / (1 - shares))


def test_ink_lost_on_open_and_closed_days_and_in_long_stops(bare):
    # 20 open days of 5 mL, the rest of 2 mL, a third of a stop of 60 mL, at 100 a litre
    losses = {
        "ink.daily_loss": "5 mL/day",
        "ink.closed_day_loss": "2 mL/day",
        "ink.long_stop": {"after": "5 day", "ink": "60 mL", "time": "0 min"},
    }
    expected = -(20 * 0.005 + (DAYS - 20) * 0.002 + 0.060 * 4 / 12) * 100
    assert month_one(bare(USING | losses))["ink lost"] == exactly(expected)


@pytest.mark.parametrize(("stops", "after"), [(1, "7 day"), (0, "7.5 day")])
def test_a_week_off_is_a_long_stop_when_it_is_long_enough(bare, stops, after):
    stop = {"ink.long_stop": {"after": after, "ink": "60 mL", "time": "0 min"}}
    assert month_one(bare(USING | stop))["ink lost"] == exactly(-stops * 0.060 * 4 / 12 * 100)


@pytest.mark.parametrize(
    ("thrown", "changes"),
    [
        # a bottle of 1 L that keeps 6 months must empty by a sixth of a litre a month; white takes
        # half a litre, the four colours 0.25 L together
        (4 * (1 / 6 - 0.25 / 4), {}),
        (1 * max(0, 1 / 6 - 0.25), {"ink.colours": 1}),
        (0, {"ink.keeps": "16 months"}),  # a sixteenth of a litre is used of every bottle
        (4 * (1 / 8 - 0.25 / 4), {"ink.keeps": "8 months"}),
        (4 * (0.5 / 6 - 0.25 / 4), {"ink.pack": "500 mL"}),
        # what is lost empties bottles too, at the measured ratio: 0.3 L, a third of it colour
        (4 * (1 / 6 - 0.35 / 4), {"ink.daily_loss": "15 mL/day"}),
    ],
)
def test_ink_thrown_away_by_the_bottle(bare, thrown, changes):
    packs = USING | {"ink.pack": "1 L", "ink.keeps": "6 months"}
    assert month_one(bare(packs | changes))["ink thrown away"] == money(-100 * thrown)


def test_film_at_the_ends_of_runs_and_rolls(bare):
    # two runs a day of 1.5 m on 20 days; 10 of 100 m of every roll are lost
    ends = {"film.run_ends": "1.5 m/run", "film.runs": "2 run/day", "film.roll_ends": "10 m/roll"}
    found = month_one(bare(USING | ends))
    assert found["film ends"] == exactly(-60 * 100 / 90)
    assert found["film"] == exactly(-50 * 100 / 90)


def test_fees_and_packing_by_hand(bare):
    # 100 orders delivered, 1 in 20 sent again; fees only on what is paid
    selling = {"payment_fee": "3 %", "payment_fee_each": "0.25 USD/order", "packing": "2 USD/order"}
    found = month_one(bare({"selling": selling, "spoilage.redone": "5 %"}))
    assert found["payment fees"] == money(-(30 + 25))
    assert found["packing"] == money(-105 * 2)


def test_what_is_lost_pays_no_fee_and_is_not_packed(bare):
    # the printer does half of the work
    half = {
        "equipment.Set.print_speed": f"{25 / 320} m^2/hour",
        "selling.payment_fee": "3 %",
        "selling.packing": "2 USD/order",
    }
    found = month_one(bare(half))
    assert (found["sales"], found["sales lost"]) == money((1000, -500))
    assert (found["payment fees"], found["packing"]) == money((-15, -100))


def test_overheads_begin_with_the_purchase_or_run_already(bare):
    overheads = [
        {"name": "Room", "cost": "50 USD/month"},
        {"name": "Rent", "cost": "30 USD/month", "already_paid": True},
    ]
    plan = plan_of(bare({"overheads": overheads, "runs_from": "2 months"}))
    assert row(plan.operations.lines["overheads"]) == exactly([-80] * 12)
    other = without(plan.case, plan.machine)
    assert row(other.operations.lines["overheads"]) == exactly([-30] * 12)


def test_zero_volume_sells_nothing_and_uses_only_upkeep(bare):
    # no pieces: no sales, materials, labour of orders; ink lost and supplies remain
    scenario = bare(
        USING
        | {
            "ink.daily_loss": "5 mL/day",
            "film.run_ends": "1 m/run",
            "equipment.Set.supplies": "7 USD/month",
            "labour.pressing": "3 min/print",
        }
    )
    month = month_one(scenario, volume=0.0)
    found = {line: value for line, value in month.items() if abs(value) > 1e-9}
    assert found == exactly({"ink lost": -20 * 0.005 * 100, "supplies": -7})


@pytest.fixture
def busy(bare):
    """Loads a shop with every kind of cost and a loan, closed in the months given."""
    changes = USING | {
        "overheads": [{"name": "Room", "cost": "50 USD/month"}],
        "equipment.Set.insurance": "3 %/year",
        "equipment.Set.supplies": "7 USD/month",
        "equipment.Set.power": "2 kW",
        "shop.electricity": "0.5 USD/kWh",
        "labour.pressing": "3 min/print",
        "labour.daily": "15 min/day",
        "labour.weekly": "30 min/week",
        "ink.daily_loss": "5 mL/day",
        "ink.closed_day_loss": "2 mL/day",
        "ink.long_stop": {"after": "5 day", "ink": "60 mL", "time": "30 min"},
        "film.run_ends": "1 m/run",
        "selling.payment_fee": "3 %",
        "financing": [{"kind": "loan", "rate": "12 %/year", "term": "12 months"}],
    }

    def loads(*closed):
        return plan_of(bare(changes | {"shop.closed": list(closed)}), "loan").ledger

    return loads


def test_closing_for_a_month_loses_its_sales_and_keeps_what_is_fixed(busy):
    open_all, closed = busy(), busy("2027-06")
    kept = ("overheads", "insurance", "supplies", "repairs", "principal", "interest")
    for line in kept:  # fixed costs and the payment remain
        assert row(closed.line(line)) == exactly(row(open_all.line(line)))
    for line in ("sales", "garments", "ink", "film", "powder", "film ends", "payment fees"):
        expected = row(open_all.line(line)).copy()
        expected[6] = 0  # nothing moves to another month
        assert row(closed.line(line)) == exactly(expected)


def test_the_month_closed_by_hand(busy):
    closed = busy("2027-06")
    table = [  # expected, line in month 6
        (-(DAYS * 0.002 + 0.060) * 100, "ink lost"),  # closed days and one flush
        (-0.5 * 20, "labour"),  # the time of the flush
        (-0.03 * 2 * 24 * DAYS * 0.5, "energy"),  # idle all month
        (-50, "overheads"),
        (-7, "supplies"),
        (-0.03 / 12 * 1200, "insurance"),
    ]
    for expected, line in table:
        assert row(closed.line(line))[6] == money(expected)
    paid = row(closed.line("principal") + closed.line("interest"))[6]
    assert row(closed.net)[6] == money(sum(expected for expected, _ in table) + paid)


def test_two_closed_months_are_one_pause(busy):
    flushed = row(busy("2027-06", "2027-07").line("ink lost"))[6:8]
    assert flushed == money([-(DAYS * 0.002 + 0.060) * 100, -DAYS * 0.002 * 100])


def test_two_separate_closed_months_are_two_pauses(busy):
    flushed = row(busy("2027-06", "2027-08").line("ink lost"))
    assert flushed[6] == flushed[8] == money(-(DAYS * 0.002 + 0.060) * 100)


def test_half_the_print_speed_loses_what_no_longer_fits(bare):
    # 80 % used; at half the speed 160 %, of which 100/160 is served
    speed = 25 / 160 / 0.8
    fast = month_one(bare(USING | {"equipment.Set.print_speed": f"{speed} m^2/hour"}))
    slow = month_one(bare(USING | {"equipment.Set.print_speed": f"{speed / 2} m^2/hour"}))
    assert slow["sales lost"] == money(-1000 * (1 - 100 / 160))
    assert fast["sales lost"] == 0
    for line in ("garments", "ink", "film", "powder"):
        assert slow[line] == exactly(fast[line] * 100 / 160)


def test_the_steady_month_is_a_month_of_a_level_plan(bare):
    # without ramp, season and growth every month of the plan is the steady one
    scenario = bare(
        USING
        | {
            "selling.payment_fee": "3 %",
            "labour.pressing": "3 min/print",
            "equipment.Set.insurance": "3 %/year",
            "equipment.Set.repairs": {"in_first_year": 2, "cost": 40},
            "equipment.Set.warranty.Included.term": "0 months",
        }
    )
    steady, months = month_one(scenario), lines(scenario, steady=False)
    for line, flows in months.items():
        assert flows == exactly([steady[line]] * 12)


@pytest.mark.parametrize(
    ("cost", "spoiled", "redone"),
    [(0, "0 %", "0 %"), (4 * 100 / 9, "10 %", "0 %"), (4 * 5, "0 %", "5 %")],
)
def test_a_customers_garment_costs_only_what_is_spoiled_or_redone(bare, cost, spoiled, redone):
    changes = {
        "products.Tee.garment": 4,
        "products.Tee.garment_supplied": True,
        "spoilage.garments": spoiled,
        "spoilage.redone": redone,
    }
    found = operations_with(setting_of(bare(changes), steady=True)).lines
    assert -row(found["garments"])[0] == exactly(cost)
