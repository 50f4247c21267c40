"""Sliders: what they move, how far, and in which units."""

from __future__ import annotations

import pytest
from helpers import SHIPPED

from planner.deliver.panel.controls import ControlError, Moved, Slider, input_text, slider
from planner.deliver.panel.sliders import sliders
from planner.deliver.panel.tryout import Tryout
from planner.scenario.document import as_value
from planner.scenario.estimates import Estimate

LIKELY = Estimate(likely=18.0, unit="money/hour", written="18 USD/hour", key="k", basis="estimated")


def named(tryout: Tryout, name: str) -> Slider:
    (found,) = (one for one in tryout.sliders if one.name == name)
    return found


def made(start: float, *moved: Moved, span: tuple[float, float] = (0.0, 100.0)) -> Slider:
    return slider("x", "X", moved, unit="USD", start=start, span=span)


def ranged(low: float, likely: float, high: float) -> Estimate:
    return Estimate(likely=likely, low=low, high=high, unit="money", key="k", basis="estimated")


def test_the_share_that_needs_the_machine_comes_first(tryouts: dict[str, Tryout]) -> None:
    for name in ("larkspur-lane", "shortest", "two-widths"):
        first = tryouts[name].sliders[0]
        assert [one.estimate.key.rpartition(".")[2] for one in first.moved] == ["needs_machine"]


def test_without_a_buy_in_price_nothing_asks_what_needs_the_machine(
    tryouts: dict[str, Tryout],
) -> None:
    names = [one.name for one in tryouts["new-shop"].sliders]
    assert not [name for name in names if name.startswith("needs machine")]
    assert "buy-in price" not in names


@pytest.mark.parametrize("name", SHIPPED)
def test_every_slider_starts_at_the_likely_value(name: str, tryouts: dict[str, Tryout]) -> None:
    for one in tryouts[name].sliders:
        for moved in one.moved:
            at_start = moved.at(one.start)
            assert at_start == pytest.approx(moved.estimate.likely, rel=1e-9, abs=1e-12), one.name


@pytest.mark.parametrize("name", SHIPPED)
def test_no_slider_leaves_the_ranges_of_the_file(name: str, tryouts: dict[str, Tryout]) -> None:
    held = 0
    for one in tryouts[name].sliders:
        assert one.low <= one.start <= one.high
        assert one.low < one.high
        for moved in one.moved if one.has_range else ():
            if moved.estimate.is_range:
                held += 1
                ends = sorted(moved.at(end) for end in (one.low, one.high))
                slack = 1e-9 * moved.estimate.high
                assert moved.estimate.low - slack <= ends[0], one.name
                assert ends[1] <= moved.estimate.high + slack, one.name
    assert held or name == "shortest"


def test_a_range_bounds_its_slider_to_the_end(tryouts: dict[str, Tryout]) -> None:
    # the file: 14 to 17, likely 15.50; 2.70 to 3.60 USD/ft^2; 5 to 40 %
    lane = tryouts["larkspur-lane"]
    price, bought, share = named(lane, "price"), named(lane, "buy-in price"), lane.sliders[0]
    assert (price.low, price.start, price.high) == (14.0, 15.5, 17.0)
    assert (bought.low, bought.start, bought.high) == (2.7, 3.1, 3.6)
    assert (share.low, share.start, share.high) == (5.0, 20.0, 40.0)


def test_units_are_those_of_the_file(tryouts: dict[str, Tryout]) -> None:
    inch, metric = tryouts["larkspur-lane"], tryouts["two-widths"]
    assert named(inch, "buy-in price").unit == "USD/ft²"
    assert named(metric, "buy-in price").unit == "EUR/m²"
    assert named(inch, "film edge").unit == "in"
    assert named(metric, "film edge").unit == "cm"
    assert named(metric, "wage").unit == "EUR/hour"
    assert named(inch, "rate of Bank loan, 48 months").unit == "%/year"


def test_steps_meet_the_start_and_are_round() -> None:
    one = made(15.3, Moved(ranged(14.0, 15.3, 17.03), slope=1.0))
    assert one.step == 0.05
    assert one.low == pytest.approx(14.0)
    assert one.high == pytest.approx(17.0)  # the last step that stays within 17.03
    below = (one.start - one.low) / one.step
    assert below == pytest.approx(round(below))


def test_without_a_range_the_span_holds_and_the_slider_knows() -> None:
    one = made(10.0, Moved(LIKELY, slope=1.8), span=(5.0, 15.0))
    assert (one.low, one.high, one.has_range) == (5.0, 15.0, False)
    assert made(10.0, Moved(ranged(9.0, 10.0, 12.0), slope=1.0)).has_range


def test_a_range_that_leaves_no_room_gives_way_to_the_span() -> None:
    low, high = ranged(10.0, 10.0, 12.0), ranged(8.0, 10.0, 10.0)
    one = made(10.0, Moved(low, slope=1.0), Moved(high, slope=1.0), span=(5.0, 15.0))
    assert (one.low, one.high, one.has_range) == (5.0, 15.0, False)


def test_added_work_is_shared_out_as_planned(tryouts: dict[str, Tryout]) -> None:
    # the file adds 29, 5 and 11 pieces a week: 45 in all; a third more is 60
    lane = tryouts["larkspur-lane"]
    volume = named(lane, "volume")
    assert volume.start == 45.0
    planned = [moved.at(60.0) for moved in volume.moved]
    assert planned == pytest.approx([52 + 29 * 4 / 3, 8 + 5 * 4 / 3, 11 * 4 / 3])


def test_other_prices_move_in_proportion(tryouts: dict[str, Tryout]) -> None:
    price = named(tryouts["larkspur-lane"], "price")
    assert [moved.at(2 * 15.5) for moved in price.moved] == pytest.approx([31.0, 68.0, 27.0])


def test_the_price_of_a_set_is_that_of_all_its_items(tryouts: dict[str, Tryout]) -> None:
    # two printers at 5,900 and two dryers at 1,700
    pair = named(tryouts["two-widths"], "price of Two 30 cm printers, two small dryers")
    assert pair.start == 15_200.0
    assert [moved.at(7_600.0) for moved in pair.moved] == pytest.approx([2_950.0, 850.0])


def test_film_of_its_own_has_its_own_sliders(tryouts: dict[str, Tryout]) -> None:
    metric = tryouts["two-widths"]
    own = named(metric, "film of 30 cm printer and small dryer")
    assert own.start == 86.0
    assert own.equipment == {"30 cm printer and small dryer"}
    assert named(metric, "film").equipment == {"60 cm printer and shaker dryer"}


def test_what_prints_nothing_has_no_ink(tryouts: dict[str, Tryout]) -> None:
    metric = tryouts["two-widths"]
    settings = {**metric.start, "equipment": "Press alone, transfers bought in"}
    shown = {one.name for one in metric.sliders if one.concerns(settings)}
    assert not shown & {"ink", "film", "film edge", "spoilage"}
    assert "price of Press alone, transfers bought in" in shown


def test_a_value_out_of_bounds_is_one_clear_message() -> None:
    one = made(10.0, Moved(LIKELY, slope=1.8), span=(5.0, 15.0))
    for value, said in ((4.0, "4"), (15.5, "15.5"), (float("nan"), "nan")):
        with pytest.raises(ControlError, match=rf"X: must be from .* to .* USD \(got {said}\)"):
            list(one.changes(value, currency="USD"))
    with pytest.raises(ControlError, match="X: must be a number"):
        one.snapped("much")


def test_the_noise_of_a_screen_is_no_move() -> None:
    one = made(10.0, Moved(LIKELY, slope=1.8), span=(5.0, 15.0))
    assert not list(one.changes(10.000000000001, currency="USD"))
    assert one.snapped(10.250000000000002) == 10.25


def test_text_of_a_plain_estimate_is_the_value_alone() -> None:
    assert input_text(LIKELY, 19.25, currency="USD") == '"19.25 USD/hour"'
    money = Estimate(likely=15.5, unit="money", written="15.5", basis="estimated")
    assert input_text(money, 16.2000000001, currency="USD") == "16.2"
    share = Estimate(likely=0.2, unit="share", written="20 %", basis="default")
    assert input_text(share, 0.325, currency="USD") == '"32.5 %"'


def test_what_was_measured_becomes_an_estimate_and_says_so() -> None:
    quoted = Estimate(likely=15.5, unit="money", written="15.5", basis="quoted")
    assert as_value(input_text(quoted, 16.0, currency="USD")) == {
        "likely": 16,
        "basis": "estimated",
        "source": "tried out",
    }


def test_a_range_keeps_its_ends_or_gives_way() -> None:
    price = ranged(14.0, 15.5, 17.0)
    inside, beyond = (as_value(input_text(price, value, currency="USD")) for value in (16, 18))
    assert (inside["low"], inside["likely"], inside["high"]) == (14, 16, 17)
    assert (beyond["low"], beyond["likely"], beyond["high"]) == (14, 18, 18)
    shaped = Estimate(likely=1.0, low=0.5, high=2.0, unit="money", key="k", shape="lognormal")
    assert as_value(input_text(shaped, 1.5, currency="USD"))["shape"] == "lognormal"


def test_names_of_sliders_are_unlike_each_other(tryouts: dict[str, Tryout]) -> None:
    for name in SHIPPED:
        names = [one.name for one in sliders(tryouts[name].scenario)]
        assert len(set(names)) == len(names)
