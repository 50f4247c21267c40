"""Film of every product on every roll: by hand, against the print's cost, roll against roll."""

import pytest
from helpers import SHIPPED, TEE, equipment, exactly, machine_of, product, shipped_answer

from planner.case import Case
from planner.decide.film import by_planned_area, film_figures, rolls, sheet_use

# the roll of 1 m × 100 m costs 100, 20 m of it are lost at its ends: 1.25 a metre fed
ROLL = {"film.roll_price": 100, "film.roll_ends": "20 m/roll", "film.run_ends": "2 m/run"}


def test_a_week_of_film_worked_out_by_hand(bare):
    (roll,) = rolls(Case(bare(ROLL)))
    assert (roll.width, roll.margin, roll.run_end) == (1.0, 0.0, 2.0)
    # 25 pieces of 0.5 m and five runs with 2 m each: 22.5 m fed, of every 100 m of roll 80 are fed
    (week,) = roll.weeks
    assert week.fed == exactly(22.5 / 0.8)
    assert week.cost == exactly(22.5 * 1.25)
    assert week.ends == exactly(10 * 1.25 + 12.5 * (1.25 - 1.0))


def test_a_piece_on_the_roll_worked_out_by_hand(bare):
    # three prints of 0.5 m on 1 m less 2 × 0.1: one across, rows of 0.5 + 0.1
    changes = {"film.margin": "10 cm", "film.gap": "10 cm", f"{TEE}.pieces_per_order": 3}
    (one,) = rolls(Case(bare(ROLL | changes)))[0].products
    assert (one.across, one.film) == ((1,), exactly(0.6))
    assert one.film_use == exactly(0.25 / 0.6)
    assert one.cost == exactly(0.6 * 1.0)  # the ends of the roll are overheads
    assert one.area_only == exactly(0.25 * 1.0)
    assert [place.y for place in one.laid.places] == [exactly(y) for y in (0.0, 0.6, 1.2)]


def test_rejects_and_redone_work_take_film_too(bare):
    (one,) = rolls(Case(bare(ROLL | {"spoilage.transfers": "20 %", "spoilage.redone": "10 %"})))[
        0
    ].products
    assert one.cost == exactly(0.5 * 1.1 / 0.8)
    assert one.area_only == exactly(0.25)


def test_how_many_lie_side_by_side_is_asked_of_the_print_as_it_lies(bare):
    # 0.3 m × 0.45 m: three across unturned; turned two across, four in two rows of 0.3
    turned = {f"{TEE}.prints": ["30 cm x 45 cm"], f"{TEE}.pieces_per_order": 4}
    (one,) = rolls(Case(bare(turned | {"film.may_turn": True})))[0].products
    assert (one.across, one.laid.length) == ((2,), exactly(0.6))
    (one,) = rolls(Case(bare(turned)))[0].products
    assert (one.across, one.laid.length) == ((3,), exactly(0.9))


@pytest.mark.parametrize("name", SHIPPED)
def test_film_of_a_piece_is_that_of_the_print_cost_and_of_the_plan(name):
    page = shipped_answer(name)
    own = page.best.choice.equipment.name
    (roll,) = (roll for roll in rolls(page.case) if own in roll.equipment)
    uses = page.best.evaluation.plan.machine.uses
    for one, cost, use, made in zip(
        roll.products, page.prints, uses, page.scenario.products, strict=True
    ):
        assert one.cost == exactly(cost.parts["film"])
        assert one.film_use == exactly(cost.film_use)
        assert one.laid.length == exactly(use.film * page.case.values.whole(made.pieces_per_order))
        assert sum(p.count for p in one.pieces) == len(one.laid.places)


def test_every_roll_once_and_sets_without_a_printer_left_out(bare):
    own = {"roll": "60 cm x 50 m", "roll_price": 30}
    sets = [
        equipment(),
        equipment(name="Like the first"),
        equipment(name="Narrow", film=own),
        equipment(name="Narrow, two of them", film=own, machines=2),
    ]
    found = rolls(Case(bare(ROLL | {"equipment": sets})))
    names = [("Set", "Like the first"), ("Narrow", "Narrow, two of them")]
    assert [roll.equipment for roll in found] == names
    one, two = found[1].weeks
    # five more runs of 2 m a week; the roll of 50 m at 30 loses 20 m
    assert two.cost - one.cost == exactly(5 * 2 * 30 / (50 - 20))


@pytest.mark.parametrize(
    "own",
    [
        {"roll": "90 cm x 100 m"},
        {"roll": "1 m x 90 m"},
        {"roll_price": 3},
        {"margin": "1 cm"},
        {"gap": "1 cm"},
        {"run_ends": "1 m/run"},
        {"runs": "2 run/day"},
        {"roll_ends": "1 m/roll"},
        {"may_turn": True},
    ],
)
def test_whatever_differs_makes_another_film(bare, own):
    sets = [equipment(), equipment(name="Other", film=own)]
    assert len(rolls(Case(bare({"equipment": sets})))) == 2


def test_a_set_that_only_presses_takes_no_film(bare):
    of_printer = ("print_speed", "power", "dryer_on", "dryer_warm_up")
    press = equipment(name="Press", **dict.fromkeys(of_printer))
    today = {"buy_in_price": "8 USD/m^2"}
    (roll,) = rolls(Case(bare({"equipment": [press, equipment()], "today": today})))
    assert roll.equipment == ("Set",)


def test_the_thirty_centimetre_roll_takes_twice_the_length():
    wide, narrow = rolls(shipped_answer("two-widths").case)
    assert (wide.width, narrow.width) == (exactly(0.60), exactly(0.30))
    for on_wide, on_narrow in zip(wide.products, narrow.products, strict=True):
        assert on_narrow.film == exactly(2 * on_wide.film)  # every row splits in two
        assert on_narrow.film_use == exactly(on_wide.film_use)
        # 86 for 30 m² of film is 2.87 a square metre, 158 for 60 m² is 2.63
        assert on_narrow.cost / on_wide.cost == exactly((86 / 30) / (158 / 60))


def test_how_much_of_the_suppliers_sheet_is_picture(bare):
    today = {"buy_in_price": "8 USD/m^2", "sheet_width": "60 cm", "sheet_gap": "10 cm"}
    by_sheet = Case(bare({"today": today | {"buy_in_by": "sheet"}}))
    tee = by_sheet.scenario.products[0]
    assert sheet_use(by_sheet, tee) == exactly(0.25 / (0.6 * 0.6))
    for other in (bare({"today": today}), bare()):  # bought by the picture, not bought
        assert sheet_use(Case(other), tee) is None
    priced = Case(
        bare(
            {
                "today": today | {"buy_in_by": "sheet"},
                "products": [product("Tee"), product("Cap", buy_in=3)],
            }
        )
    )
    uses = [sheet_use(priced, one) for one in priced.scenario.products]
    assert uses == [exactly(0.25 / 0.36), None]


def test_the_product_with_most_planned_area_comes_first(bare):
    products = [
        product("Few", planned="10 piece/week"),  # 2.5 m²
        product("Small", prints=["10 cm x 10 cm"], planned="200 piece/week"),  # 2 m²
        product("Many", planned="30 piece/week"),  # 7.5 m²
    ]
    assert by_planned_area(Case(bare({"products": products}))) == [2, 0, 1]


def test_figures_are_plain_and_in_the_order_of_sets_and_products():
    case = shipped_answer("two-widths").case
    found = film_figures(case)
    assert [one["roll_width"] for one in found] == [exactly(0.6), exactly(0.3)]
    for entry, roll in zip(found, rolls(case), strict=True):
        assert [week["cost_per_week"] for week in entry["weeks"]] == [w.cost for w in roll.weeks]
        names = [one["product"] for one in entry["products"]]
        assert names == [one.name for one in case.scenario.products]
        assert [one["across"] for one in entry["products"]] == [
            list(p.across) for p in roll.products
        ]


def test_a_set_of_equipment_lies_on_its_own_film(bare):
    own = bare({"equipment.Set.film": {"roll": "60 cm x 50 m", "roll_price": 30}})
    (roll,) = rolls(Case(own))
    assert roll.products[0].film == exactly(machine_of(own).uses[0].film)
    assert roll.width == exactly(0.6)
