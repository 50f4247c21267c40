"""The commands as a user types them."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import shlex
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.cli import app
from planner.decide.answer import answer
from planner.decide.sensitivity import without_range
from planner.scenario.load import load

SCENARIOS = Path(__file__).parent.parent / "scenarios"
SHORTEST = SCENARIOS / "shortest.toml"
LONG = SCENARIOS / "larkspur-lane.toml"
HEAVY = (
    "pandas", "matplotlib", "scipy", "papermill", "nbconvert", "pint", "pydantic", "numpy", "babel",
    "rich",
)  # fmt: skip
COMMANDS = ("new", "check", "figures", "job", "run", "lab")


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


def test_text_opens_with_the_answer_and_shows_six_ways_to_pay_unless_all(own: Path):
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


def test_check_says_what_is_left_out_and_how_many_defaults_are_in_use():
    done = planner("check", LONG)
    assert done.exit_code == 0
    for title in ("can be used", "defaults in use:", "costs left out:"):
        assert title in done.stdout
    assert "film.gap" not in done.stdout


def test_check_names_the_defaults_that_move_the_answer_most(own: Path):
    said = " ".join(planner("check", own).stdout.split())
    (named,) = re.findall(r"moves the answer most: (.*?)\. Next:", said)
    page = answer(load(own))
    found = without_range(page.case, page.best.evaluation.plan)
    swings = [one.swing for one in found if one.estimate.basis == "default"][:5]
    assert named.startswith("labour: daily (30 min/day) by $")
    told = [float(money.replace(",", "")) for money in re.findall(r"by \$([\d,]+)", named)]
    assert told == [round(swing) for swing in swings]
    assert len(told) == 5


def test_check_can_name_pieces_per_order(own: Path):
    text = own.read_text(encoding="utf-8")
    text = text.replace("[ink]", 'needs_machine = "100 %"\n[ink]', 1)
    own.write_text(f'{text}\n[selling]\npayment_fee_each = "9 USD/order"\n', encoding="utf-8")
    said = " ".join(planner("check", own).stdout.split())
    assert "Full-front tee, dark cotton: pieces per order (6) by $" in said


# ---------------------------------------------------------------- where a number is from


def unsourced(file: Path) -> str:
    """What check says of prices and rates without a source."""
    said = " ".join(planner("check", file).stdout.split())
    return "".join(re.findall(r"without a source: (.*?) Behind each,", said))


def test_check_names_prices_and_rates_without_a_source(own: Path):
    # payslip, power bill, bank balance, invoiced, quote: five of the eleven say theirs
    assert unsourced(own) == (
        "6 of 11 prices and rates, which are guesses: today: buy-in price; Full-front tee, "
        "dark cotton: garment; ink: price; film: roll price; powder: price; 1 more"
    )
    text = own.read_text(encoding="utf-8")
    said = text.replace("garment = 3.40", "garment = 3.40 # bill of May")
    own.write_text(said, encoding="utf-8")
    assert unsourced(own).startswith("5 of 11 prices and rates")
    assert "garment" not in unsourced(own)
    own.write_text(said.replace("# bill of May", "# my guess"), encoding="utf-8")
    assert unsourced(own).startswith("5 of 11 prices and rates")
    own.write_text(said.replace("# bill", "#? bill"), encoding="utf-8")
    assert unsourced(own).startswith("5 of 11 prices and rates")
    asked = "own numbers still marked #?: 1 Full-front tee, dark cotton: garment Where"
    assert asked in " ".join(planner("check", own).stdout.split())


def test_what_the_owner_wishes_needs_no_source(own: Path):
    before = unsourced(own)
    text = own.read_text(encoding="utf-8")
    own.write_text(f"{text}\n[conditions]\ncash_never_below = 900\n", encoding="utf-8")
    assert unsourced(own) == before


def test_what_the_starter_held_is_not_asked_about_twice(tmp_path: Path):
    file = tmp_path / "shop.toml"
    planner("new", file)
    assert unsourced(file) == ""
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("17.40 USD", "17.50 USD"), encoding="utf-8")
    said = " ".join(planner("check", file).stdout.split())
    assert "own numbers still marked #?: 1 shop: wage Where" in said
    assert unsourced(file) == ""


def test_a_product_without_planned_is_told_what_to_write(own: Path):
    text = own.read_text(encoding="utf-8")
    own.write_text(text.replace('planned = "60 piece/week"\n', ""), encoding="utf-8")
    done = planner("check", own)
    assert done.exit_code == 2
    assert done.stderr == (
        'shortest.toml:11: products."Full-front tee, dark cotton".planned: must be given (got '
        "nothing); today plus the added work; today's number if none is added\n"
    )


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


# ---------------------------------------------------------------- the starter, and what is left


def test_a_name_without_its_ending_gets_it(tmp_path: Path):
    done = planner("new", tmp_path / "my.shop")
    assert done.exit_code == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "my.shop-test-prints.csv",
        "my.shop.toml",
    ]
    assert f"planner check {tmp_path / 'my.shop.toml'}" in done.stdout


def test_an_untouched_starter_is_asked_about_everywhere(tmp_path: Path):
    file = tmp_path / "shop.toml"
    planner("new", file)
    said = " ".join(planner("check", file).stdout.split())
    assert "44 of 44 inputs still hold what the starter file held; are these true" in said
    assert "shop: open_weeks; wage; on_costs; electricity; season; cash_at_start" in said
    answer = " ".join(planner("figures", file).stdout.split())
    assert "But 44 of 44 inputs still hold what the starter file held" in answer


def test_a_comment_counts_as_an_answer(tmp_path: Path):
    file = tmp_path / "shop.toml"
    planner("new", file)
    text = file.read_text(encoding="utf-8")
    wage = "#? payslip: gross pay for an hour of help"
    file.write_text(text.replace(wage, "# payslip of May"), encoding="utf-8")
    said = " ".join(planner("check", file).stdout.split())
    assert "43 of 44 inputs still hold" in said
    assert "shop: open_weeks; on_costs; electricity;" in said
    assert "43 of 44 inputs still hold" in " ".join(planner("figures", file).stdout.split())


def test_a_file_without_the_starters_values_is_not_asked_about():
    assert "starter" not in planner("check", LONG).stdout
    assert "starter" not in planner("figures", LONG).stdout


def test_check_holds_every_default_of_the_figures(own: Path):
    """Tables together in one line each, nothing lost."""
    said = " ".join(planner("check", own, "--defaults").stdout.split())
    defaults = json.loads(planner("figures", own, "--format", "json").stdout)["defaults"]
    assert len(defaults) > 60
    for line in defaults:
        key, _, words = line.partition(": ")
        assert f"{re.split(r'[.]', key)[-1]} {' '.join(words.split())}" in said, line
    assert said.endswith(f"Next: planner figures {own}")


# ---------------------------------------------------------------- what is typed wrongly


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("chek", SHORTEST), "planner: No such command 'chek'. Did you mean 'check'?"),
        (("fly",), "planner: No such command 'fly'; planner --help says more"),
        (("my.toml",), "did you mean: planner figures my.toml?"),
        (("figures",), "planner figures: Missing argument 'SCENARIO…'; planner figures --help"),
        (("figures", SHORTEST, "--drws", 3), "--draws"),
        (("figures", SHORTEST, "--draws", "many"), "'--draws'"),
        (("figures", SHORTEST, "--draws", -1), "'--draws'"),
        (("figures", SHORTEST, "--format", "xml"), "'xml' is not one of 'text', 'json', 'csv'"),
    ],
)
def test_wrong_usage_is_one_line_with_a_suggestion(words: tuple[object, ...], said: str):
    done = planner(*words)
    assert done.exit_code == 2
    (line,) = done.stderr.splitlines()
    assert said in line
    assert done.stdout == ""


@pytest.mark.parametrize("command", ["check", "figures", "job", "run", "lab"])
def test_a_file_that_is_not_there_is_one_line_with_a_suggestion(own: Path, command: str):
    for name, hint in (
        ("shortst.toml", f"did you mean {own}?"),
        ("shortest", f"did you mean {own}?"),
        ("quite-another.toml", f"planner new {own.with_name('quite-another.toml')} writes one"),
        ("no-folder/x.toml", "writes one"),
        ("x" * 300, "writes one"),
    ):
        done = planner(command, own.parent / name)
        assert done.exit_code == 2
        (line,) = done.stderr.splitlines()
        assert line.startswith("planner: there is no file ")
        assert line.endswith(hint)


def test_every_file_that_is_missing_is_named(own: Path):
    done = planner("check", own.with_name("a.toml"), own, own.with_name("b.toml"))
    (line,) = done.stderr.splitlines()
    assert "a.toml" in line
    assert "b.toml" in line


def test_a_folder_is_no_scenario(own: Path):
    done = planner("check", own.parent)
    assert done.exit_code == 2
    assert "must be a file (got a folder)" in done.stderr


# ---------------------------------------------------------------- help and completion


def test_without_a_word_the_help_is_shown():
    done = planner()
    assert done.exit_code == 0
    assert done.stdout == planner("--help").stdout


def test_help_names_every_command_and_exit_code_in_plain_text():
    text = planner("--help").stdout
    for command in COMMANDS:
        assert re.search(rf"^  {command} +[A-Z].*\.$", text, re.MULTILINE), command
    for code, words in {0: "done", 1: "failed", 2: "wrong", 130: "Ctrl-C"}.items():
        assert re.search(rf"^    {code} .*{words}", text, re.MULTILINE), code
    assert text.isascii()


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_examples_and_every_option_help(command: str):
    text = planner(command, "--help").stdout
    assert not re.search(r"[\x1b\u2500-\u257f]", text)
    examples = text.partition("Examples:\n")[2].strip().splitlines()
    assert len(examples) >= 2
    options = re.findall(r"^  (--[a-z-]+)", text, re.MULTILINE)
    helped = re.findall(r"^  (--[a-z/-]+)(?: [^ ]+)*(?:  +|\n +)[A-Z]", text, re.MULTILINE)
    assert len(options) == len(helped)
    for example in examples:
        words = shlex.split(example)
        assert words[:2] in (["planner", command], ["planner"])
        for option in (word for word in words if word.startswith("--")):
            assert option in options or option == "--no-open", option


def completion(line: str, at: int) -> dict[str, str]:
    """The environment in which bash asks for the word at a place of a line."""
    return {"_PLANNER_COMPLETE": "complete_bash", "COMP_WORDS": line, "COMP_CWORD": str(at)}


@pytest.mark.parametrize(
    ("line", "at", "offered"),
    [
        ("planner ", 1, list(COMMANDS)),
        ("planner f", 1, ["figures"]),
        ("planner figures ", 2, ["other.toml", "shortest.toml"]),
        ("planner figures sh", 2, ["shortest.toml"]),
        ("planner check other.toml sh", 3, ["shortest.toml"]),
        ("planner lab ./s", 2, ["./shortest.toml"]),
        ("planner job nowhere/", 2, []),
        ("planner run x", 2, []),
        ("planner figures shortest.toml --form", 3, ["--format"]),
        ("planner figures shortest.toml --format ", 4, ["text", "json", "csv"]),
    ],
)
def test_a_shell_completes_commands_options_and_scenario_files(
    own: Path, line: str, at: int, offered: list[str], monkeypatch: pytest.MonkeyPatch
):
    own.with_name("other.toml").write_text("", encoding="utf-8")
    monkeypatch.chdir(own.parent)
    done = CliRunner().invoke(app, env=completion(line, at), prog_name="planner")
    assert done.stdout.split() == offered


def test_bash_asks_as_the_script_that_planner_prints_does(tmp_path: Path):
    (tmp_path / "shop.toml").write_text("", encoding="utf-8")
    (tmp_path / "planner").write_text(
        f'#!/bin/sh\nexec {shlex.quote(sys.executable)} -m planner "$@"\n', encoding="utf-8"
    )
    (tmp_path / "planner").chmod(0o755)
    script = (
        "PATH=.:$PATH\n"
        'eval "$(planner --show-completion)"\n'
        "COMP_WORDS=(planner check sh)\nCOMP_CWORD=2\n_planner_completion planner\n"
        "echo ${COMPREPLY[@]}\n"
    )
    done = subprocess.run(
        ["bash", "-c", script], capture_output=True, text=True, cwd=tmp_path, check=True
    )
    assert done.stdout.strip() == "shop.toml", done.stderr


# ---------------------------------------------------------------- plain output, Ctrl-C


def run_main(*words: object, **env: str) -> subprocess.CompletedProcess[bytes]:
    """The command as a process of its own, with its output piped."""
    command = [sys.executable, "-m", "planner", *map(str, words)]
    return subprocess.run(command, capture_output=True, check=False, env=os.environ | env)


@pytest.mark.long
def test_piped_output_is_plain_and_depends_on_no_terminal_or_locale():
    for words in (("figures", LONG), ("chek",)):
        plain = run_main(*words)
        other = run_main(*words, COLUMNS="200", FORCE_COLOR="1", PYTHONIOENCODING="ascii")
        assert (other.stdout, other.stderr) == (plain.stdout, plain.stderr)
        text = plain.stdout.decode("utf-8") + plain.stderr.decode("utf-8")
        assert not re.search(r"[\x1b\u2500-\u257f]", text)
        assert text.strip()


@pytest.mark.long
def test_ctrl_c_ends_with_130_and_without_a_traceback():
    before = (
        "import planner.decide.answer as answer\n"
        "def stopped(*args, **kwargs):\n"
        "    print('working', flush=True)\n"
        "    import time\n"
        "    time.sleep(60)\n"
        "answer.open_answer = stopped"
    )
    code = (
        # a shell that starts the tests in its background would have them ignore it
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        f"import sys; sys.argv = ['planner', 'figures', {str(SHORTEST)!r}]\n{before}\n"
        "from planner.cli import main; main()"
    )
    command = [sys.executable, "-c", code]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"working\n"
        process.send_signal(signal.SIGINT)
        out, err = process.communicate()
    assert (process.returncode, out, err) == (130, b"", b"")


@pytest.mark.long
def test_a_reader_that_goes_away_makes_no_traceback():
    command = f"{shlex.quote(sys.executable)} -m planner figures {shlex.quote(str(LONG))} | head -1"
    done = subprocess.run(command, shell=True, capture_output=True, text=True, check=True)
    assert done.stdout.startswith("Larkspur Lane")
    assert "Traceback" not in done.stderr


def test_lab_copies_and_never_touches_an_edited_copy(tmp_path: Path):
    folder = tmp_path / "lab"
    assert planner("lab", LONG, "--to", folder, "--no-open").exit_code == 0
    notebook = folder / "payback.ipynb"
    assert "scenario = 'larkspur-lane.toml'" in notebook.read_text(encoding="utf-8")
    assert (folder / "larkspur-lane-test-prints.csv").exists()
    notebook.write_text("mine", encoding="utf-8")
    assert planner("lab", LONG, "--to", folder, "--no-open").exit_code == 0
    assert notebook.read_text(encoding="utf-8") == "mine"
