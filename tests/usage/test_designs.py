"""What a measured design costs at the size wanted: by hand, and against a product of the plan."""

import pytest
from helpers import BARE, exactly, machine_of, shipped, shipped_answer

from planner.decide.answer import answer
from planner.scenario.estimates import Values
from planner.scenario.load import load
from planner.show.measured import designs_of
from planner.usage.designs import average_cost, designs, film_in_full_rows

# 50 cm × 50 cm: half a litre of white, a quarter of colour, a tenth of a kilogram of powder a m²
HEADER = (
    "design,width [cm],height [cm],wanted width [cm],wanted height [cm],copies,white [L],"
    "colour [L],before powder [kg],after powder [kg]\n"
)
SQUARE = "Square,50,50,,,1,0.125,0.0625,1,1.025\n"
PRICED = {
    "ink": {"white_price": "80 USD/L", "colour_price": "100 USD/L"},
    "powder": {"price": "20 USD/kg", "lost": "20 %"},
    "film.roll_price": 95,
    "film.roll_ends": "5 m/roll",
}
SPOILED = {"spoilage": {"transfers": "5 %", "garments": "2 %", "redone": "3 %"}}


@pytest.fixture
def shop(tmp_path):
    """Loads the bare shop with a sheet of its own."""

    def loads(rows, changes=None, header=HEADER):
        (tmp_path / "bare.toml").write_text(BARE, encoding="utf-8")
        (tmp_path / "bare.csv").write_text(header + rows, encoding="utf-8")
        return load(tmp_path / "bare.toml", changes=changes)

    return loads


def designs_in(scenario):
    machine = machine_of(scenario)
    return designs(
        scenario.prints,
        rates=machine.rates,
        film=machine.film,
        powder=scenario.powder,
        spoilage=scenario.spoilage,
        values=Values(),
    )


def test_a_design_by_hand(shop):
    # 0.25 m²; ink 0.5 · 80 + 0.25 · 100 = 65 a m²; powder 0.1/0.8 · 20 = 2.5 a m²; two lie side by
    # side on a metre of film, so 0.25 m each of a roll of 100 m at 95; nothing is spoiled
    (one,) = designs_in(shop(SQUARE, PRICED))
    assert (one.name, one.width, one.length, one.is_wanted) == ("Square", 0.5, 0.5, False)
    assert one.cost.ink == exactly(0.25 * 65)
    assert one.cost.powder == exactly(0.25 * 2.5)
    assert one.cost.film == exactly(0.25 * 95 / 100)
    assert one.cost.laid_out == exactly(16.25 + 0.625 + 0.2375)
    assert one.cost.area_only == exactly(0.25 * (65 + 2.5 + 95 / 100))


def test_a_design_costs_what_a_product_with_its_print_costs(shop):
    """One test print, a product of the same size and full rows: the plan's own materials."""
    changes = {**PRICED, **SPOILED, "products.Tee.pieces_per_order": 2}
    page = answer(shop(SQUARE, changes))
    (one,), (piece,) = designs_of(page), page.prints
    for part in ("ink", "powder", "film"):
        assert getattr(one.cost, part) == exactly(piece.parts[part]) != 0
    assert one.cost.area_only == exactly(piece.area_only)


def test_what_is_spoiled_scales_all_but_the_area_only_cost(shop):
    (plain,) = designs_in(shop(SQUARE, PRICED))
    (spoiled,) = designs_in(shop(SQUARE, {**PRICED, **SPOILED}))
    made = 1.03 / (0.95 * 0.98)
    for part in ("ink", "powder", "film", "laid_out"):
        assert getattr(spoiled.cost, part) == exactly(made * getattr(plain.cost, part))
    assert spoiled.cost.area_only == plain.cost.area_only


def test_each_design_takes_its_own_ink(shop):
    thin = SQUARE.replace("Square", "Thin").replace("0.125,0.0625,1,1.025", "0.05,0,1,1.01")
    first, second = designs_in(shop(SQUARE + thin, PRICED))
    assert first.cost.ink == exactly(0.25 * 65)
    assert second.cost.ink == exactly(0.05 * 80)
    assert second.cost.powder == exactly(0.01 / 0.8 * 20)
    assert second.cost.film == first.cost.film


def test_the_size_wanted_scales_the_rates_measured(shop):
    # 25 cm × 100 cm has the area of the print measured; four lie side by side
    (one,) = designs_in(shop(SQUARE.replace("50,50,,", "50,50,25,100"), PRICED))
    assert (one.width, one.length, one.is_wanted) == (0.25, 1.0, True)
    assert one.cost.ink == exactly(0.25 * 65)
    assert one.cost.film == exactly(1 / 4 * 95 / 100)
    (double,) = designs_in(shop(SQUARE.replace("50,50,,", "50,50,50,100"), PRICED))
    assert double.cost.ink == exactly(2 * one.cost.ink)


def test_a_row_given_by_area_needs_a_size_that_is_wanted(shop):
    header = HEADER.replace("width [cm],height [cm],wanted", "area [m^2],wanted", 1)
    rows = "A week,8,,,1,4,2,10,10.8\nCrest,8,50,50,1,4,2,10,10.8\n"
    (one,) = designs_in(shop(rows, PRICED, header))
    assert one.name == "Crest"
    assert one.cost.ink == exactly(0.25 * 65)


def test_a_print_wider_than_the_film_has_no_cost_and_is_not_in_the_average(shop):
    wide = SQUARE.replace("Square,50,50,,", "Wide,50,50,101,50")
    fits, too_wide = designs_in(shop(SQUARE + wide, PRICED))
    assert too_wide.cost is None
    assert average_cost([fits, too_wide]) == fits.cost
    assert average_cost([too_wide]) is None
    _, turned = designs_in(shop(SQUARE + wide, {**PRICED, "film.may_turn": True}))
    assert turned.cost.film == exactly(1.01 / 2 * 95 / 100)  # two beside each other, turned


def test_the_average_is_that_of_one_of_each(shop):
    thin = SQUARE.replace("Square", "Thin").replace("0.125,0.0625,1,1.025", "0.05,0,1,1.01")
    found = designs_in(shop(SQUARE + thin, PRICED))
    mean = average_cost(found)
    for part in ("ink", "powder", "film", "area_only", "laid_out"):
        assert getattr(mean, part) == exactly(sum(getattr(one.cost, part) for one in found) / 2)


def test_film_of_full_rows_by_hand(bare):
    # 30 × 20 cm with a gap of 2 cm on 90 cm: two upright (64 cm) at 22 cm a row, 11 cm each;
    # turned, four (86 cm) at 32 cm a row, 8 cm each
    film = bare({"film.margin": "5 cm", "film.gap": "2 cm"}).film
    turning = film.model_copy(update={"may_turn": True})
    for sheet, expected in ((film, 0.11), (turning, 0.08)):
        found = film_in_full_rows(width=0.3, length=0.2, film=sheet, values=Values())
        assert found == exactly(expected)


def test_designs_of_a_shipped_scenario_pool_to_the_ink_of_its_rates():
    """Weighted by area the designs' own ink adds up to that of the rates over all prints."""
    scenario, page = shipped("larkspur-lane"), shipped_answer("larkspur-lane")
    rates = page.best.evaluation.plan.machine.rates
    found = designs_of(page)
    made = 1.01 / (0.97 * 0.99)  # redone 1 %, rejected 3 %, spoiled 1 %
    areas = [row.area.likely for row in scenario.prints]
    ink = [one.cost.ink / (one.width * one.length) for one in found]
    pooled = sum(rate * area for rate, area in zip(ink, areas, strict=True)) / sum(areas)
    assert pooled == exactly(made * rates.ink_cost)
