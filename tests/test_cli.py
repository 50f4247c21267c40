"""The commands as a user types them."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.cli import app

SCENARIOS = Path(__file__).parent.parent / "scenarios"
SHORTEST = SCENARIOS / "shortest.toml"
LONG = SCENARIOS / "larkspur-lane.toml"
HEAVY = ("pandas", "matplotlib", "scipy", "papermill", "nbconvert", "pint", "pydantic")


def planner(*words: object):
    return CliRunner().invoke(app, [str(word) for word in words])


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A copy of the shortest scenario that a test may spoil."""
    for name in ("shortest.toml", "shortest-test-prints.csv"):
        (tmp_path / name).write_bytes((SCENARIOS / name).read_bytes())
    return tmp_path / "shortest.toml"


def test_help_imports_nothing_heavy():
    code = (
        "import sys, runpy\n"
        "sys.argv = ['planner', '--help']\n"
        "try:\n    runpy.run_module('planner', run_name='__main__')\n"
        "except SystemExit:\n    pass\n"
        f"print('HEAVY', [name for name in {HEAVY!r} if name in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "HEAVY []"


def test_figures_import_no_drawing_and_no_statistics():
    code = (
        "import sys\nfrom typer.testing import CliRunner\nfrom planner.cli import app\n"
        f"result = CliRunner().invoke(app, ['figures', {str(SHORTEST)!r}, '--format', 'json'])\n"
        "assert result.exit_code == 0, result.output\n"
        "heavy = ('matplotlib', 'scipy.stats', 'papermill', 'IPython')\n"
        "print([name for name in heavy if name in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_json_has_the_documented_shape():
    document = json.loads(planner("figures", LONG, "--format", "json").stdout)
    assert list(document) == [
        "scenario", "currency", "first_sentence", "choices", "prints", "hours_per_week",
        "film", "make_or_buy_by_price", "break_even_buy_in_price", "orders", "price_list",
        "rush_surcharges_per_month", "warranties", "consumables", "current",
        "what_matters_most", "risk", "defaults", "left_out", "notes",
    ]  # fmt: skip
    trio = {"today_only", "against_buying_in", "whole_plan"}
    assert len(document["choices"]) == 6
    for choice in document["choices"]:
        figures = choice["figures"]
        for key in (
            "payback_months", "discounted_payback_months", "payback_own_cash_months",
            "net_present_value", "net_present_value_financed", "internal_rates_of_return",
            "debt_service_cover_project_by_year", "debt_service_cover_shop_by_year",
        ):  # fmt: skip
            assert set(figures[key]) == trio, key
        for condition in choice["conditions"]:
            assert {"condition", "met", "figure", "limit"} <= set(condition)


def test_every_json_key_is_documented():
    document = json.loads(planner("figures", LONG, "--format", "json").stdout)
    described = (SCENARIOS.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    for key in [*document, *document["choices"][0]["figures"], *document["prints"][0]]:
        assert f"`{key}`" in described or f"`{key}[" in described, key


def test_a_missing_figure_is_null_and_its_reason_stands_in_the_notes():
    document = json.loads(
        planner("figures", SCENARIOS / "new-shop.toml", "--format", "json").stdout
    )
    figures = document["choices"][0]["figures"]
    assert figures["make_or_buy_area_per_week"] is None
    assert figures["payback_months"]["against_buying_in"] is None
    notes = "\n".join(document["notes"])
    assert "make_or_buy_area_per_week: no price for bought-in transfers is given" in notes
    assert "payback_months.against_buying_in: not within 48 months, short by" in notes


def test_csv_holds_the_same_figures_as_json():
    document = json.loads(planner("figures", SHORTEST, "--format", "json").stdout)
    text = planner("figures", SHORTEST, "--format", "csv").stdout
    rows = list(csv.DictReader(io.StringIO(text)))
    found = {(row["financing"], row["figure"]): row["value"] for row in rows}
    for choice in document["choices"]:
        for name, value in choice["figures"]["net_present_value"].items():
            assert float(found[choice["financing"], f"net_present_value.{name}"]) == value


def test_text_opens_with_the_answer_and_shows_six_choices_unless_all(own: Path):
    text = own.read_text(encoding="utf-8")
    extra = "".join(f'\n[[financing]]\nkind = "cash"\nname = "Cash {n}"\n' for n in range(7))
    own.write_text(text + extra, encoding="utf-8")
    short, whole = planner("figures", own).stdout, planner("figures", own, "--all").stdout
    assert short.splitlines()[2].startswith("Not yet, from ")
    assert "and 2 more: --all shows them" in short
    assert "Cash 6" not in short
    assert "Cash 6" in whole


def test_set_changes_an_input_by_name():
    plain = json.loads(planner("figures", SHORTEST, "--format", "json").stdout)
    changed = planner(
        "figures", SHORTEST, "--format", "json",
        "--set", 'products."Full-front tee, dark cotton".planned=120 piece/week',
    )  # fmt: skip
    key = "net_present_value"
    more = json.loads(changed.stdout)["choices"][0]["figures"][key]["whole_plan"]
    assert more > plain["choices"][0]["figures"][key]["whole_plan"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("shop.wagee=3", "shop.wagee: must be a known key"),
        ("shop.wage", "must be KEY=VALUE"),
        ("nowhere.at.all=3", "nowhere: must be a known key"),
        ("shop.wage=18 EUR/hour", "must be in USD"),
        ('products."Full-front tea".price=3', 'did you mean "Full-front tee, dark cotton"?'),
    ],
)
def test_a_wrong_change_is_one_clear_message(change: str, said: str):
    done = planner("figures", SHORTEST, "--set", change)
    assert done.exit_code == 2
    assert said in done.stderr
    assert "Traceback" not in done.output


def test_check_reports_all_faults_at_once_and_exits_2(own: Path):
    text = own.read_text(encoding="utf-8")
    own.write_text(
        text.replace("168.00", "-3")
        .replace("electricity", "electricty")
        .replace("21 USD/kg", "21"),
        encoding="utf-8",
    )
    done = planner("check", own)
    assert done.exit_code == 2
    lines = done.stderr.splitlines()
    assert any(": film.roll_price: must be at least 0" in line for line in lines)
    assert any("shop.electricty: must be a known key" in line for line in lines)
    assert any("powder.price: must be a number and a unit" in line for line in lines)


def test_check_lists_what_is_default_and_left_out():
    done = planner("check", LONG)
    assert done.exit_code == 0
    for title in ("can be used", "defaults in use:", "costs left out:"):
        assert title in done.stdout


def test_new_writes_a_scenario_that_check_accepts_and_never_overwrites(tmp_path: Path):
    for full in ((), ("--full",)):
        file = tmp_path / f"shop{len(full)}.toml"
        assert planner("new", file, *full).exit_code == 0
        assert planner("check", file).exit_code == 0
        before = file.read_bytes()
        again = planner("new", file)
        assert again.exit_code == 1
        assert "never overwritten" in again.stderr
        assert file.read_bytes() == before


def test_new_does_not_write_half_when_the_sheet_is_there(tmp_path: Path):
    (tmp_path / "shop-test-prints.csv").write_text("mine", encoding="utf-8")
    assert planner("new", tmp_path / "shop.toml").exit_code == 1
    assert not (tmp_path / "shop.toml").exists()


def test_a_file_that_is_not_there_is_one_message(tmp_path: Path):
    done = planner("figures", tmp_path / "no.toml")
    assert done.exit_code == 2
    assert "no.toml:1: (file): must be a file that can be read" in done.stderr


def test_lab_copies_and_never_touches_an_edited_copy(tmp_path: Path):
    folder = tmp_path / "lab"
    assert planner("lab", LONG, "--to", folder, "--no-open").exit_code == 0
    notebook = folder / "payback.ipynb"
    assert "scenario = 'larkspur-lane.toml'" in notebook.read_text(encoding="utf-8")
    assert (folder / "larkspur-lane-test-prints.csv").exists()
    notebook.write_text("mine", encoding="utf-8")
    assert planner("lab", LONG, "--to", folder, "--no-open").exit_code == 0
    assert notebook.read_text(encoding="utf-8") == "mine"
