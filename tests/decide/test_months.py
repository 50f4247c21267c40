"""What a month asks of the shop, what a quarter uses up, and what current a set draws."""

import numpy as np
import pytest
from helpers import equipment, exactly, shipped, shipped_answer

from planner.case import Case, choices
from planner.decide.electrical import current
from planner.decide.months import months_of_work
from planner.decide.supplies import supplies_by_quarter
from planner.plan import plan

SHIPPED = ("larkspur-lane", "new-shop", "shortest", "two-widths")


def case_and_plan(scenario):
    case = Case(scenario)
    return case, plan(case, choices(scenario)[0])


def test_pieces_by_month_by_hand(bare):
    # the printer serves 80 of 100; half of the unserved could be bought, but not in month 1
    scenario = bare(
        {
            "runs_from": "1 month",
            "equipment.Set.print_speed": f"{0.8 * 25 / 160!r} m^2/hour",
            "products.Tee.today": "12.5 piece/week",
            "products.Tee.needs_machine": "100 %",
            "today": {"buy_in_price": "1 USD/m^2"},
        }
    )
    work = months_of_work(*case_and_plan(scenario))
    assert work.made == exactly([0] + [0.8] * 11)
    assert work.bought == exactly([50] + [0] * 11)
    assert work.hurried == exactly([0] + [10] * 11)
    assert work.lost == exactly([0] + [10] * 11)
    assert work.stations["printer"] == exactly([0] + [1.25] * 11)
    assert work.fullest[1] == "printer"


def test_a_closed_month_asks_nothing(bare):
    work = months_of_work(*case_and_plan(bare({"shop.closed": ["2027-02"]})))
    assert work.fullest[1] == ""
    assert all(use[1] == 0 for use in work.stations.values())


@pytest.mark.parametrize("name", SHIPPED)
def test_all_pieces_are_accounted_for(name):
    for one in shipped_answer(name).choices:
        own = one.evaluation.plan
        work = months_of_work(shipped_answer(name).case, own)
        made = sum(
            np.broadcast_to(each.made, (1, len(work.made)))[0] for each in own.operations.works
        )
        asked = sum(
            np.broadcast_to(each.asked, (1, len(work.made)))[0] for each in own.operations.works
        )
        assert made + work.bought + work.hurried + work.lost == exactly(asked)


def test_a_quarter_by_hand(bare):
    # 25 m² a month at 20 and 10 mL and 10 g a square metre; lost ink 2 to 1; rolls of 100 m
    scenario = bare(
        {
            "ink.price": "100 USD/L",
            "ink.daily_loss": "30 mL/day",
            "powder.price": "20 USD/kg",
            "powder.lost": "20 %",
            "film.roll_price": 50,
        }
    )
    first, *others = supplies_by_quarter(*case_and_plan(scenario))
    assert (first.first, first.last, len(others)) == (1, 3, 3)
    lost = 3 * 20 * 0.030
    assert first.white == exactly(3 * 0.5 + lost * 2 / 3)
    assert first.colour == exactly(3 * 0.25 + lost / 3)
    assert first.ink_cost == exactly(100 * (first.white + first.colour))
    assert first.powder == exactly(3 * 0.25 / 0.8)
    assert first.powder_cost == exactly(20 * first.powder)
    # pieces of 0.5 m on a roll of 1 m, an order of one piece: 0.5 m each, 50 m a month
    assert first.rolls == exactly(1.5)
    assert first.film_cost == exactly(75)


@pytest.mark.parametrize("name", SHIPPED)
def test_quarters_add_up_to_the_ledger_of_the_first_year(name):
    page = shipped_answer(name)
    own = page.best.evaluation.plan
    quarters = supplies_by_quarter(page.case, own)
    spent = {
        "ink_cost": ("ink", "ink lost", "ink thrown away"),
        "powder_cost": ("powder",),
        "film_cost": ("film", "film ends"),
        "garments_cost": ("garments",),
    }
    for key, lines in spent.items():
        paid = -sum(own.ledger.line(line)[0, 1:13].sum() for line in lines)
        assert sum(getattr(one, key) for one in quarters) == exactly(paid)


def test_the_last_quarter_ends_with_the_horizon(bare):
    quarters = supplies_by_quarter(*case_and_plan(bare({"horizon": "4 months"})))
    assert [(one.first, one.last) for one in quarters] == [(1, 3), (4, 4)]


def test_current_is_power_by_voltage(bare):
    # I = P / U (definition of the watt): 2.4 kW at 240 V are 10 A
    own = equipment(
        power=None, printer_power="1.2 kW", dryer_power="4.8 kW", press_power="2.4 kW", presses=2,
        machines=2,
    )  # fmt: skip
    drawn = current(*case_and_plan(bare({"shop.voltage": "240 V", "equipment": [own]})))
    assert (drawn.printer, drawn.dryer, drawn.press) == (exactly(5), exactly(20), exactly(10))
    assert drawn.together == exactly(2 * 25 + 2 * 10)


def test_no_current_without_a_voltage():
    assert current(*case_and_plan(shipped("shortest"))) is None
