"""The trade's rules of thumb for what a print costs, and what a real layout adds to them.

Three test prints of a square foot, with light, middling and heavy artwork, take 3.08 mL of ink on
average, 2.42 mL of it white, and 0.4 g of powder; ink costs 11 cents a mL, film 22 cents a square
foot, powder a bit over 3 cents a gram. These and every sum below: common practice, no source.
"""

import math

import pytest
from helpers import exactly, row, setting_of

from planner.scenario.csv_sheet import read_test_prints
from planner.scenario.estimates import Values
from planner.scenario.schema import Film, Ink, Powder, Product
from planner.shop.month import operations_with
from planner.usage.materials import piece_use, rates
from planner.usage.test_prints import measured_rates

INCH, FOOT = 0.0254, 0.3048  # NIST SP 811, appendix B
AREAS = {"square foot": FOOT**2, "square inch": INCH**2, "10 x 12 in": 120 * INCH**2}
SHEET = """design,width [in],height [in],copies,white [mL],colour [mL],before powder [g],after powder [g]
Light,12,12,1,1.31,0.27,9.00,9.21
Middling,12,12,1,2.43,0.62,9.00,9.41
Heavy,12,12,1,3.52,1.09,9.00,9.58
"""  # noqa: E501
ROLL_FEET = 2 * 100 / FOOT  # square feet on a roll of 24 in x 100 m
FILM = {"roll": "24 in x 100 m", "roll_price": 0.22 * ROLL_FEET}


@pytest.fixture(scope="module")
def measured():
    prints, faults = read_test_prints(SHEET, name="sheet")
    assert not faults
    return measured_rates(prints)


def priced(measured):
    """Rates at the trade's prices, white and colour alike, no powder lost."""
    context = {"currency": "USD"}
    return rates(
        ink=Ink.model_validate({"price": "110 USD/L"}, context=context),
        powder=Powder.model_validate({"price": "32 USD/kg", "lost": "0 %"}, context=context),
        film=Film.model_validate(FILM),
        measured=measured,
        values=Values(),
    )


@pytest.fixture(scope="module")
def cents(measured):
    """What the program says an area without layout and roll ends costs [cent], by material."""
    found = priced(measured)
    by_material = {
        "ink": found.ink_cost,
        "film": found.film_area_price,
        "powder": found.powder_cost,
        "all": found.plain_cost,
    }
    return {
        (material, name): 100 * cost * area
        for material, cost in by_material.items()
        for name, area in AREAS.items()
    }


def test_the_average_print_is_four_fifths_white(measured):
    white, colour = measured.white.rate * FOOT**2 * 1000, measured.colour.rate * FOOT**2 * 1000
    assert (white, white + colour) == exactly((2.42, 3.08))
    assert round(white / (white + colour), 1) == 0.8  # 78.6 %: "about 80 %"


@pytest.mark.parametrize(
    ("material", "area", "expected"),
    [
        ("ink", "square foot", 3.08 * 11),  # 33.88
        ("ink", "square inch", 33.88 / 144),  # 0.2353
        ("ink", "10 x 12 in", 33.88 / 1.2),  # 28.23
        ("film", "square foot", 22),
        ("film", "square inch", 22 / 144),  # 0.1528
        ("film", "10 x 12 in", 22 / 1.2),  # 18.33
        ("powder", "square foot", 0.4 * 3.2),  # 1.28
        ("powder", "square inch", 1.28 / 144),  # 0.0089
        ("powder", "10 x 12 in", 1.28 / 1.2),  # 1.07
        ("all", "square foot", 57.16),  # 33.88 + 22 + 1.28
        ("all", "square inch", 57.16 / 144),  # 0.3969
        ("all", "10 x 12 in", 57.16 / 1.2),  # 47.63
    ],
)
def test_the_program_says_the_exact_product(cents, material, area, expected):
    assert cents[material, area] == exactly(expected)


@pytest.mark.parametrize(
    ("material", "area", "low", "high"),
    [
        ("ink", "square foot", 33, 34),
        ("ink", "square inch", 0.23, 0.24),
        ("ink", "10 x 12 in", 27.6, 28.3),
        ("all", "square foot", 56, 58),
        ("all", "10 x 12 in", 46, 48),
    ],
)
def test_the_exact_product_lies_at_the_upper_end_of_the_rule(cents, material, area, low, high):
    assert (low + high) / 2 < cents[material, area] <= high


@pytest.mark.parametrize(
    ("material", "area", "rule"),
    [
        ("ink", "square foot", 34),
        ("ink", "square inch", 0.24),
        ("film", "square inch", 0.15),  # here the exact product lies at the lower end
        ("powder", "square foot", 1.3),
        ("powder", "square inch", 0.01),
        ("all", "square inch", 0.40),  # times 144 and 120: the upper ends, 57.6 and 48 cents
        ("all", "10 x 12 in", 48),
    ],
)
def test_the_exact_product_rounded_once_is_the_rule(cents, material, area, rule):
    digits = 0 if rule > 10 else 1 if rule > 1 else 2
    assert round(cents[material, area], digits) == rule


def test_what_rounding_at_each_step_loses(cents):
    """The lower ends by hand: cut to cents, rounded to hundredths an inch, multiplied again.

    Film rounds down with ink; powder rounds up by an eighth, which gives a little back. The ends of
    the rule lie 3 to 4 % apart; against the exact product a whole print loses 3.4 %, less is lost
    on the way to it.
    """
    ink_foot = math.floor(3.08 * 11)
    ink, film, powder = round(ink_foot / 144, 2), round(22 / 144, 2), round(1.28 / 144, 2)
    assert (ink_foot, ink, film, powder) == (33, 0.23, 0.15, 0.01)
    together = ink + film + powder
    lower = {
        ("ink", "square foot"): ink_foot,
        ("ink", "square inch"): ink,
        ("ink", "10 x 12 in"): ink * 120,  # 27.6
        ("film", "square inch"): film,
        ("powder", "square inch"): powder,
        ("all", "square foot"): round(together * 144),  # 56.16
        ("all", "10 x 12 in"): math.floor(together * 120),  # 46.8
    }
    loss = {
        ("ink", "square foot"): 0.026,
        ("ink", "square inch"): 0.022,
        ("ink", "10 x 12 in"): 0.022,
        ("film", "square inch"): 0.018,
        ("powder", "square inch"): -0.125,
        ("all", "square foot"): 0.020,
        ("all", "10 x 12 in"): 0.034,
    }
    for what, least in lower.items():
        assert 1 - least / cents[what] == pytest.approx(loss[what], abs=5e-4), what
    apart = [1 - 56 / 58, 1 - 46 / 48, 1 - 0.23 / 0.24]
    assert apart == pytest.approx([0.034, 0.042, 0.042], abs=5e-4)


# On a roll of 24 in with margins of 0.5 in, two prints of 10 in and a gap of 0.3 in lie across
# 23 in; a row is 12 + 0.3 in long. Of 100 m, 3 m are lost at the ends of the roll.
PAID_AN_INCH = 22 * 24 / 144 / 0.97  # cents an inch of film fed


def use_of(pieces, *, size="10 in x 12 in"):
    """What a print takes when an order of so many is laid out."""
    keys = {"name": "Print", "prints": [size], "price": 0, "garment": 0}
    product = Product.model_validate(keys | {"planned": "1 piece/week", "pieces_per_order": pieces})
    return piece_use(product=product, film=Film.model_validate(FILM), values=Values())


@pytest.mark.parametrize(
    ("pieces", "inches"),
    [(6, 3 * 12.3 / 6), (2, 12.3 / 2), (3, 2 * 12.3 / 3), (1, 12.3)],  # whole rows are fed
)
def test_a_print_laid_out_on_the_roll_costs_more_than_its_area(measured, cents, pieces, inches):
    use = use_of(pieces)
    assert use.film == exactly(inches * INCH)
    found = 100 * use.film * priced(measured).film_price
    assert found == exactly(inches * PAID_AN_INCH)
    assert found > cents["film", "10 x 12 in"]


def test_six_prints_laid_out_cost_five_cents_more_each(measured, cents):
    use = use_of(6)
    found = priced(measured)
    film = 100 * use.film * found.film_price
    assert (film, cents["film", "10 x 12 in"]) == pytest.approx((23.25, 18.33), abs=0.005)
    whole = film + 100 * use.covered * (found.ink_cost + found.powder_cost)
    assert (whole, cents["all", "10 x 12 in"]) == pytest.approx((52.55, 47.63), abs=0.005)


@pytest.mark.parametrize(("width", "inches"), [(11.35, 12.3 / 2), (11.36, 12.3)])
def test_a_print_that_the_margins_leave_no_neighbour_takes_twice_the_film(width, inches):
    # two of 11.35 in and a gap of 0.3 in fill 23 in; a hair wider, and each has a row of its own
    use = use_of(6, size=f"{width} in x 12 in")
    assert use.film == exactly(inches * INCH)


def test_a_run_of_two_dozen_a_day_costs_twelve_cents_more_each(bare, cents):
    # one run a day feeds 48 in of blank film beside 24 prints: 2 in each beside 6.15 in
    changes = {
        "film": FILM,
        "products.Tee.prints": ["10 in x 12 in"],
        "products.Tee.planned": "120 piece/week",
        "products.Tee.pieces_per_order": 6,
    }
    lines = operations_with(setting_of(bare(changes), steady=True)).lines
    found = -100 * row(lines["film"] + lines["film ends"])[0] / (4 * 120)
    assert found == exactly(8.15 * PAID_AN_INCH)
    assert found - cents["film", "10 x 12 in"] == pytest.approx(12.47, abs=0.005)
