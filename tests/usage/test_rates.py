"""Rates from test prints: the ratio estimator, its error and its limits; prices by area."""

import math

import pytest
from helpers import BARE, SHEET, exactly, machine_of, setting_of

from planner.scenario.load import load
from planner.usage.test_prints import interval, measured_rates, ratio

FIFTEEN = [8.6, 9.4, 7.9, 6.8, 8.3, 7.3, 9.2, 9.6, 8.7, 11.4, 10.3, 5.4, 8.1, 5.5, 6.9]


def test_ratio_and_error_by_hand():
    # R = 14/6; residuals −1/3, 1/3, 0: their squares add to 2/9; s² = (2/9) / (2·3·2²) = 1/108
    found = ratio(amounts=[2, 5, 7], areas=[1, 2, 3])
    assert found.rate == exactly(14 / 6)
    assert found.standard_error == exactly(math.sqrt(1 / 108))
    assert found.prints == 3


def test_equal_areas_give_the_mean_and_its_published_interval():
    # OpenStax, Introductory Statistics 8.2: mean 8.2267, s 1.6722, 95 % from 7.30 to 9.15
    found = ratio(amounts=FIFTEEN, areas=[1.0] * 15)
    assert found.rate == pytest.approx(8.2267, abs=5e-5)
    assert found.standard_error * math.sqrt(15) == pytest.approx(1.6722, abs=5e-5)
    assert interval(found) == pytest.approx((7.30, 9.15), abs=0.005)


def test_three_prints_leave_a_wide_interval():
    # Student's t with two degrees: half-width 2.484 s for n = 3 (from the t table)
    low, high = interval(ratio(amounts=[4.0, 5.0, 6.0], areas=[1.0] * 3))  # s = 1
    assert (high - low) / 2 == pytest.approx(2.484, abs=5e-4)
    assert (high + low) / 2 == exactly(5)


def test_an_interval_ends_at_zero():
    low, high = interval(ratio(amounts=[0.1, 3.0], areas=[1.0, 1.0]))
    assert low == 0
    assert high > 3


def test_one_print_gives_a_rate_without_an_error():
    found = ratio(amounts=[3.0], areas=[2.0])
    assert found.rate == 1.5
    assert math.isnan(found.standard_error)
    assert interval(found) is None


def test_proportional_prints_leave_no_error():
    found = ratio(amounts=[0.2, 0.4, 1.0], areas=[1, 2, 5])
    assert found.rate == exactly(0.2)
    assert found.standard_error == pytest.approx(0, abs=1e-15)


def test_large_prints_weigh_more_than_small_ones():
    # the mean of the two rates would be 2; four times the area counts four times
    assert ratio(amounts=[3.0, 4.0], areas=[1.0, 4.0]).rate == exactly(7 / 5)


@pytest.mark.parametrize("areas", [[], [0.0, 0.0]])
def test_no_area_is_refused(areas):
    with pytest.raises(ValueError, match="areas must add up to more than zero"):
        ratio(amounts=[1.0] * len(areas), areas=areas)


def load_sheet(folder, sheet):
    (folder / "bare.toml").write_text(BARE, encoding="utf-8")
    (folder / "bare.csv").write_text(sheet, encoding="utf-8")
    return load(folder / "bare.toml")


def test_rates_of_a_sheet_by_hand(tmp_path):
    # areas 2·0.2·0.5 and 0.3·1.0 m², together 0.5; a row stands for all its copies
    found = measured_rates(
        load_sheet(
            tmp_path,
            "design,width [cm],height [cm],copies,white [mL],colour [mL],"
            "before powder [g],after powder [g]\n"
            "One,20,50,2,3,1,10,12\nTwo,30,100,1,7,4,20,23\n",
        ).prints
    )
    assert found.white.rate == exactly(0.010 / 0.5)
    assert found.colour.rate == exactly(0.005 / 0.5)
    assert found.powder.rate == exactly(0.005 / 0.5)
    assert found.white.prints == 2


def test_a_sheet_of_areas_says_the_same_as_a_sheet_of_sizes(tmp_path):
    sizes = (
        "design,width [in],height [in],copies,white [mL],colour [mL],before powder [g],"
        "after powder [g]\nOne,10,12,2,3,1,10,12\n"
    )
    areas = (
        "design,area [in^2],copies,white [fl_oz],colour [mL],before powder [oz],after powder [g]\n"
        f"One,240,2,{3 / 29.5735295625},1,{10 / 28.349523125},12\n"  # NIST SP 811: fl oz, oz
    )
    by_size = measured_rates(load_sheet(tmp_path, sizes).prints)
    by_area = measured_rates(load_sheet(tmp_path, areas).prints)
    for kind in ("white", "colour", "powder"):
        assert getattr(by_area, kind).rate == exactly(getattr(by_size, kind).rate)


@pytest.mark.parametrize("column", ["area", "white", "colour", "before powder", "after powder"])
def test_every_measured_column_moves_a_rate(tmp_path, column):
    header, cells = (line.split(",") for line in SHEET.strip().split("\n"))
    at = next(n for n, name in enumerate(header) if name.startswith(column))
    moved = [f"{float(cell) * 1.05}" if n == at else cell for n, cell in enumerate(cells)]
    before = measured_rates(load_sheet(tmp_path, SHEET).prints)
    after = measured_rates(load_sheet(tmp_path, ",".join(header) + "\n" + ",".join(moved)).prints)
    assert before != after


def test_costs_by_area_by_hand(bare):
    # 20 mL white at 80, 10 mL colour at 100; 10 g powder a square metre, a fifth more lost, at 20;
    # a roll of 100 m at 95, 5 m of it lost at its ends
    rates = machine_of(
        bare(
            {
                "ink": {"white_price": "80 USD/L", "colour_price": "100 USD/L"},
                "powder": {"price": "20 USD/kg", "lost": "20 %"},
                "film.roll_price": 95,
                "film.roll_ends": "5 m/roll",
            }
        )
    ).rates
    table = [  # expected, worked out above; found
        (0.020 * 80 + 0.010 * 100, rates.ink_cost),
        (0.010 / 0.8 * 20, rates.powder_cost),
        (2.6 / 0.030, rates.liquid_price),  # at the measured white : colour ratio
        (95 / 95, rates.film_price),
        (95 / 100, rates.film_area_price),  # plain area knows no roll ends
        (2.6 + 0.25 + 0.95, rates.plain_cost),
    ]
    for expected, found in table:
        assert found == exactly(expected)


def test_coverage_and_filled_share_scale_ink_and_powder_but_not_film(bare):
    whole = setting_of(bare()).machine.uses[0]
    half = setting_of(
        bare({"products.Tee.coverage": "80 %", "products.Tee.filled": "50 %"})
    ).machine.uses[0]
    assert half.covered == exactly(0.4 * whole.covered)
    assert (half.area, half.film) == (whole.area, whole.film)
