"""``planner job`` as a user types it."""

from __future__ import annotations

import csv
import functools
import io
import json
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from planner.cli import app

SCENARIOS = Path(__file__).parent.parent / "scenarios"
SHORTEST = SCENARIOS / "shortest.toml"
LONG = SCENARIOS / "larkspur-lane.toml"
SIZE = ("--size", "11 in x 13 in", "--pieces", "16")
TEE = "Full-front tee, dark cotton"


@functools.cache
def job(*words: object, scenario: Path = SHORTEST):
    return CliRunner().invoke(app, ["job", str(scenario), *(str(word) for word in words)])


def document(*words: object, scenario: Path = SHORTEST):
    """The one order of the JSON."""
    done = job(*words, "--format", "json", scenario=scenario)
    assert done.exit_code == 0, done.output
    (order,) = json.loads(done.stdout)["orders"]
    return order


def test_an_order_described_is_costed_and_read_aloud():
    done = job(*SIZE, "--garment", "3.40", "--price", "150")
    assert done.exit_code == 0
    text = done.stdout
    assert "This order: 16 pieces with a print of 11 in x 13 in; 1 new design to draw." in text
    order = document(*SIZE, "--garment", "3.40", "--price", "150")
    assert order["offered"] == 150
    for name, cost in (*order["parts"].items(), ("full cost", order["full"])):
        assert re.search(rf"^  {name} +\${cost:.2f} +\${cost / 16:.2f}$", text, re.MULTILINE), name
    margin = f"{order['offered_margin']:.0%}".replace("-", "−")
    assert f"{margin} with the equipment" in text.replace("its margin is ", "")


def test_what_is_left_out_is_said():
    assert "The garment is not in it." in job(*SIZE).stdout
    assert "What replacing a garment costs" in job(*SIZE, "--supplied").stdout
    for garment in (("--garment", "3"), ("--product", TEE), ("--loose",)):
        text = job(*SIZE, *garment).stdout
        assert "garment is not in it" not in text


@pytest.mark.long
def test_each_option_does_what_it_says():
    plain = document(*SIZE, "--garment", "3")
    both = document(*SIZE, "--size", "4 in x 4 in", "--garment", "3")
    assert len(both["lines"][0]["prints"]) == 2
    supplied = document(*SIZE, "--garment", "3", "--supplied")
    assert 0 < supplied["parts"]["garment"] < 0.1 * plain["parts"]["garment"]
    loose = document(*SIZE, "--loose", "--filled", "75 %")
    assert loose["parts"]["pressing"] == 0
    assert loose["white_ink"] == pytest.approx(0.75 * 0.99 * plain["white_ink"])
    drawn = document(*SIZE, "--garment", "3", "--new-designs", "3")
    assert drawn["parts"]["artwork"] == pytest.approx(3 * plain["parts"]["artwork"])
    wanted = document(*SIZE, "--garment", "3", "--margin", "50 %")
    assert wanted["margin_wanted"] == wanted["margin"] == pytest.approx(0.5)
    of_product = document("--product", TEE, "--pieces", "16")
    assert of_product["parts"]["garment"] > 0
    assert of_product["lines"][0]["product"] == TEE
    own = document(*SIZE, "--design", "School crest", scenario=LONG)
    assert own["lines"][0]["test_prints"] == 1


def test_a_hurry_is_charged_where_a_surcharge_stands():
    rush = ("--set", 'selling.rush={ share = "5 %", extra = "25 %" }')
    hurried = document(*SIZE, "--rush", *rush)
    assert hurried["price"] == pytest.approx(1.25 * hurried["price_at_margin"])
    assert hurried["price_set_by"] == "rush surcharge"
    assert "no surcharge is stated: give selling.rush" in job(*SIZE, "--rush").stdout
    assert document(*SIZE, "--rush")["rush_surcharge"] is None


def test_no_price_is_said_in_words():
    fee = ("--set", "selling.payment_fee=20 %")
    done = job(*SIZE, "--margin", "80 %", *fee)
    assert "No price leaves a margin of 80%: with a payment fee of 20% nothing is left" in (
        done.stdout
    )
    order = document(*SIZE, "--margin", "80 %", *fee)
    assert (order["price"], order["price_set_by"], order["margin"]) == (None, None, None)


def test_without_a_description_all_orders_of_the_scenario_are_costed():
    done = job("--format", "json", scenario=LONG)
    names = [order["order"] for order in json.loads(done.stdout)["orders"]]
    assert len(names) == 5
    text = job(scenario=LONG).stdout
    assert all(f"\n{name}: " in text for name in names)
    one = document("--order", names[3], "--price", "2500", scenario=LONG)
    assert (one["order"], one["offered"]) == (names[3], 2500)


def test_without_any_order_it_says_what_to_give():
    done = job()
    assert done.exit_code == 2
    assert 'give --size "11 in x 13 in" --pieces 16' in done.stderr


@pytest.mark.long
def test_the_price_list_in_three_forms():
    text = job("--prices", scenario=LONG).stdout
    assert "  4 in x 4 in: 1 at $40.00, 6 at $6.67, 12 at $3.34," in text  # rounded up
    listed = json.loads(job("--prices", "--format", "json", scenario=LONG).stdout)["price_list"]
    rows = list(
        csv.DictReader(io.StringIO(job("--prices", "--format", "csv", scenario=LONG).stdout))
    )
    assert len(listed) == len(rows) == 36
    assert [float(row["price"]) for row in rows] == [one["price"] for one in listed]


def test_csv_holds_the_figures_of_json():
    order = document(*SIZE)
    text = job(*SIZE, "--format", "csv").stdout
    found = {row["figure"]: row["value"] for row in csv.DictReader(io.StringIO(text))}
    assert float(found["parts.ink"]) == order["parts"]["ink"]
    assert float(found["lines[1].prints[1][2]"]) == order["lines"][0]["prints"][0][1]
    assert found["offered"] == ""


@pytest.mark.parametrize(("words", "said"), [
    (("--size", "11 in x 13", "--pieces", "4"), '--size: must be width x length'),
    (("--size", "11 in x 13 in"), "--pieces: must be given (got nothing)"),
    ((*SIZE[:2], "--pieces", "x"), '--pieces: must be a number (got "x")'),
    ((*SIZE[:2], "--pieces", "0"), "--pieces: must be at least 1 (got 0)"),
    ((*SIZE[:2], "--pieces", "1.5"), "--pieces: must be a whole number (got 1.5)"),
    ((*SIZE, "--garment", "-3"), "--garment: must be at least 0"),
    ((*SIZE, "--filled", "0.75"), '--filled: must be a percentage such as "12 %"'),
    ((*SIZE, "--margin", "95 %"), "--margin: must be at most 90 %"),
    ((*SIZE, "--price", "ten"), "--price: must be an amount of money in USD"),
    ((*SIZE, "--new-designs", "-1"), "--new-designs: must be at least 0"),
    ((*SIZE, "--design", "Crest"), "--design: must name a test print of the sheet"),
    ((*SIZE, "--product", "Te"), "--product: must name a product of this file"),
    (("--size", "40 in x 50 in", "--pieces", "1"), "--size: must fit the usable width"),
    (("--pieces", "3"), "--pieces: must stand with --size or --product"),
    (("--price", "3"), "--price: must stand with --size, --product or --order"),
    (("--order", "No such"), "--order: must name an order of the scenario"),
    (("--order", "x", "--size", "1 in x 1 in"), "--size: must not stand with --order"),
    (("--prices", "--rush"), "--rush: must not stand with --prices"),
    ((*SIZE, "--artwork", "none.png"), "--artwork: none.png: must be a picture file"),
    ((*SIZE, "--artwork", str(SHORTEST)), "--artwork: shortest.toml: must be a PNG picture"),
    ((*SIZE, "--artwork", "x.png", "--design", "Y"), "--artwork: must not stand with --design"),
    ((*SIZE, "--set", "shop.wage"), "must be KEY=VALUE"),
])  # fmt: skip
def test_a_wrong_option_is_one_clear_message(words, said):
    done = job(*words)
    assert done.exit_code == 2
    assert said in done.stderr
    assert "Traceback" not in done.output


def test_a_sheet_without_pictures_says_what_artwork_needs():
    done = job(*SIZE, "--artwork", SCENARIOS / "artwork" / "school-crest.png")
    assert done.exit_code == 2
    assert "must be named by test prints of at least 5 different pictures" in done.stderr


@pytest.mark.long
def test_artwork_takes_the_place_of_the_pooled_rates():
    size = ("--size", "10.5 in x 12.5 in", "--pieces", "16")
    picture = ("--artwork", SCENARIOS / "artwork" / "school-crest.png")
    plain = document(*size, scenario=LONG)
    shown = document(*size, *picture, scenario=LONG)
    found = shown["artwork"]
    assert plain["artwork"] is None
    assert found["pooled_white_ink"] == plain["white_ink"] != shown["white_ink"]
    assert found["pooled_full"] == pytest.approx(plain["full"])
    assert 0 < found["white_coverage"] < 1
    text = job(*size, *picture, scenario=LONG).stdout
    litres = f"{1000 * shown['white_ink']:.1f} mL of white, give or take "
    assert litres in text
    assert "school-crest.png: white covers" in text
    assert "not of the picture's shape" not in text
    wide = ("--size", "20 in x 4 in", "--pieces", "1")
    assert "not of the picture's shape" in job(*wide, *picture, scenario=LONG).stdout


def test_a_set_that_only_presses_costs_no_job(tmp_path: Path):
    for name in ("shortest.toml", "shortest-test-prints.csv"):
        (tmp_path / name).write_bytes((SCENARIOS / name).read_bytes())
    own = tmp_path / "shortest.toml"
    text = own.read_text(encoding="utf-8")
    keys = ("print_speed", "power", "dryer_speed")
    kept = [line for line in text.split("\n") if line.split("=")[0].strip() not in keys]
    own.write_text("\n".join(kept), encoding="utf-8")
    done = job(*SIZE, scenario=own)
    assert done.exit_code == 1
    assert "a job is costed on a set that prints, and this one only presses" in done.stderr


WORDS = st.text(max_size=20) | st.sampled_from(["1", "0", "11 in x 13 in", "45 %", "1e400", "nan"])


@settings(max_examples=40)
@given(
    st.dictionaries(
        st.sampled_from(["--size", "--pieces", "--garment", "--filled", "--price", "--margin",
                         "--product", "--design", "--order", "--new-designs"]),
        WORDS,
        max_size=4,
    )
)  # fmt: skip
def test_no_input_shows_a_traceback(options):
    words = [word for option, value in options.items() for word in (f"{option}={value}",)]
    done = job(*words)
    assert done.exit_code in (0, 1, 2)
    assert done.exception is None or isinstance(done.exception, SystemExit)
