"""Every command of README.md, DEVELOPERS.md and the help texts runs, or it is said what runs it.

Commands run in the order in which they stand, in a folder of their own, with this environment's
planner in place of ``.venv/bin/planner``.
"""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.cli import app

ROOT = Path(__file__).parents[2]
GATE = ROOT / ".ci" / "run"
COMMANDS = ("new", "check", "figures", "job", "run", "lab")

# What runs elsewhere, by a word of it, and where.
BY_THE_GATE = {
    "planner run": "python3 -m venv .venv && .venv/bin/pip install --quiet . "
    "&& .venv/bin/planner run",
    "pytest": 'python3 -m venv .venv && .venv/bin/pip install --quiet --editable ".[test]" '
    "&& .venv/bin/python -m pytest --quiet",
}
LINT = (
    ".venv/bin/ruff check . && .venv/bin/ruff format --check . && .venv/bin/mypy "
    "&& .venv/bin/lint-imports"
)
LAB, COMPLETION = "planner lab my-shop.toml", "planner --install-completion"
# What is added to a command here, and why.
ADDED = {
    ".venv/bin/planner run my-shop.toml": ("--only", "break-even", "--draws", "0"),  # takes long
    LAB: ("--no-open",),  # JupyterLab would wait to be closed
    "planner lab my-shop.toml --page": ("--no-open",),
}
# Examples that run all notebooks, or one with many draws. The gate runs all notebooks of every
# scenario, and `test_the_run_with_most_draws` the other.
LONG_EXAMPLES = (
    "planner run",
    "planner run my-shop.toml",
    "planner run my-shop.toml --to results --only payback --draws 16384",
)


def blocks(name: str) -> list[str]:
    """The lines of a document's shell blocks."""
    text = (ROOT / name).read_text(encoding="utf-8")
    found = re.findall(r"^```sh\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    return [line for block in found for line in block.splitlines() if line.strip()]


def spans(name: str, begin: str) -> list[str]:
    """Code within a document's sentences that begins with a word and is no path."""
    text = (ROOT / name).read_text(encoding="utf-8")
    return re.findall(rf"`({begin} [^`]+)`", text)


def planner(line: str):
    """What a line does in this environment's planner."""
    words = shlex.split(line.partition(" > ")[0])
    assert not re.search(r"[|&;$*<`]", line), "a line that needs a shell"
    assert words[0].removeprefix(".venv/bin/") == "planner"
    assert words[1] in COMMANDS, "no command of the table"
    return CliRunner().invoke(app, [*words[1:], *ADDED.get(line, ())])


def did(line: str) -> str:
    """What a line prints; it must end well. On the other channel only progress is said."""
    done = planner(line)
    said = [line for line in done.stderr.splitlines() if not line.endswith(" done")]
    assert (done.exit_code, said) == (0, []), f"{line}\n{done.output}"
    assert done.stdout.strip(), line
    return done.stdout


@pytest.fixture(scope="module")
def starter(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a starter scenario, its sheet, and copies of it under the names of examples."""
    folder = tmp_path_factory.mktemp("starter")
    for name in ("my-shop", "shop-a", "shop-b"):
        did(f"planner new {folder}/{name}.toml")
    return folder


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def own(here: Path, starter: Path) -> Path:
    """The same with the starter in it."""
    return Path(shutil.copytree(starter, here, dirs_exist_ok=True))


def print_the_pictures(folder: Path) -> None:
    """Give the shop test prints that name their pictures, and a picture to be asked about."""
    shipped = ROOT / "scenarios"
    shutil.copytree(shipped / "artwork", folder / "artwork")
    shutil.copy(shipped / "artwork" / "school-crest.png", folder / "picture.png")
    sheet = (shipped / "larkspur-lane-test-prints.csv").read_bytes()
    (folder / "my-shop-test-prints.csv").write_bytes(sheet)


# --- the blocks ---------------------------------------------------------------------------------


@pytest.mark.long
def test_the_readmes_commands_run_one_after_the_other(here: Path):
    ran = []
    for line in blocks("README.md"):
        if line in BY_THE_GATE.values():
            continue
        if "picture.png" in line:
            print_the_pictures(here)
        did(line)
        ran.append(line)
    assert len(ran) == 8
    left = {path.name for path in here.iterdir()}
    assert {"my-shop.toml", "my-shop-test-prints.csv", "plans"} <= left
    assert (here / "plans" / "my-shop" / "index.html").stat().st_size > 10_000


def test_a_command_that_is_wrong_would_be_found(own: Path):
    with pytest.raises(AssertionError, match="No such option"):
        did(".venv/bin/planner figures my-shop.toml --sets 'ramp.months=18 months'")
    with pytest.raises(AssertionError, match="must be a known key"):
        did(".venv/bin/planner figures my-shop.toml --set 'ramp.month=18 months'")


def test_a_change_of_the_readme_changes_the_answer(own: Path):
    (line,) = (line for line in blocks("README.md") if "--set" in line)
    assert did(line) != did(line.partition(" --set")[0])


@pytest.mark.parametrize("word", BY_THE_GATE)
def test_the_gate_takes_what_installs_from_the_readme(word: str):
    (line,) = (line for line in blocks("README.md") if line == BY_THE_GATE[word])
    gate = GATE.read_text(encoding="utf-8")
    (finds,) = re.findall(r"^command_with\(\) \{.*?^\}", gate, re.MULTILINE | re.DOTALL)
    asked = subprocess.run(
        ["bash", "-c", f"{finds}\ncommand_with {shlex.quote(word)}"],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
    )
    assert asked.stdout.strip() == line
    assert re.search(rf"eval \"\$\(command_with '?{word}'?\)\"", gate)


def test_the_gate_runs_what_developers_are_told_to_run():
    assert blocks("DEVELOPERS.md") == [LINT]
    gate = re.sub(r'"\$bin/(\w[\w-]*)"', r".venv/bin/\1", GATE.read_text(encoding="utf-8"))
    for command in LINT.split(" && "):
        assert command in gate


# --- commands within sentences ------------------------------------------------------------------


def test_the_commands_in_the_readmes_sentences(own: Path, tmp_path_factory: pytest.TempPathFactory):
    home = tmp_path_factory.mktemp("home")
    found = spans("README.md", "planner")
    assert set(found) == {LAB, COMPLETION}
    did(LAB)
    assert (own / "plans" / "my-shop" / "lab" / "payback.ipynb").exists()
    # It writes into the home of whoever asks, so that it has one of its own here.
    shell = f"HOME={home} {shlex.quote(sys.executable)} -m {COMPLETION}; exit $?"
    subprocess.run(["bash", "-c", shell], capture_output=True, check=True)
    assert (home / ".bashrc").exists()


def test_the_commands_in_the_developers_sentences():
    bench, *by_hand, second = spans("DEVELOPERS.md", "python")
    # these take minutes, or an environment of their own: run by hand, as the document says
    for command in (bench, *by_hand):
        for word in shlex.split(command):
            assert not word.startswith("tests/") or (ROOT / word).exists()
    words = shlex.split(second.replace("name.toml", "shortest.toml"))
    done = subprocess.run(
        [sys.executable, *words[1:]], capture_output=True, text=True, cwd=ROOT, check=True
    )
    expected = (ROOT / "scenarios" / "shortest-expected.json").read_text(encoding="utf-8")
    printed = json.loads(done.stdout)["choices"]
    for choice, written in zip(printed, json.loads(expected)["choices"], strict=True):
        for key, figure in written["figures"].items():
            assert choice["figures"][key] == pytest.approx(figure, abs=1e-6), key


def options_of(command: str) -> set[str]:
    """The options that the help of a command lists."""
    text = CliRunner().invoke(app, [command, "--help"]).stdout
    return set(re.findall(r"--[a-z][a-z-]+", text))


def test_the_table_of_commands_names_commands_and_options_that_exist():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `planner (\w+) [^\n]*\|$", text, re.MULTILINE)
    assert tuple(rows) == COMMANDS
    for command in rows:
        (row,) = re.findall(rf"^\| `planner {command} [^\n]*\|$", text, re.MULTILINE)
        assert set(re.findall(r"--[a-z][a-z-]+", row)) <= options_of(command), command
    for span in spans("DEVELOPERS.md", "planner"):
        command, *words = span.split()[1:]
        asked = {word.strip("[]…") for word in words if "--" in word}
        assert asked <= options_of(command), span


def test_every_option_named_in_the_readme_exists():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    there = set().union(*map(options_of, COMMANDS)) | {"--install-completion"}
    pip = {"--quiet", "--editable"}
    assert set(re.findall(r"(?<![-\w])--[a-z][a-z-]+", text)) <= there | pip


# --- help texts ---------------------------------------------------------------------------------


def examples() -> Iterator[str]:
    """The examples at the end of every help text."""
    for command in COMMANDS:
        text = CliRunner().invoke(app, [command, "--help"]).stdout
        yield from text.partition("Examples:\n")[2].splitlines()


EXAMPLES = [line.strip() for line in examples()]


@pytest.mark.long
@pytest.mark.parametrize("line", [line for line in EXAMPLES if line not in LONG_EXAMPLES])
def test_the_examples_of_the_help_run(line: str, here: Path, starter: Path):
    if not line.startswith("planner new"):
        shutil.copytree(starter, here, dirs_exist_ok=True)
    did(line)


def test_no_example_is_left_out_silently():
    assert set(LONG_EXAMPLES) <= set(EXAMPLES)
    assert len(EXAMPLES) == 17


@pytest.mark.long
def test_the_run_with_most_draws(own: Path):
    did(LONG_EXAMPLES[-1])
    assert (own / "results" / "payback.html").stat().st_size > 10_000


def test_the_changes_that_the_help_shows_can_be_made(own: Path):
    """Of a shop whose product has the name that the help shows."""
    file = own / "my-shop.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('"Club shirt, front"', '"Full-front tee"'), encoding="utf-8")
    shown = " ".join(CliRunner().invoke(app, ["figures", "--help"]).stdout.split())
    changes = re.findall(r"'((?:shop|products)\.[^']+)'", shown)
    assert len(changes) == 2
    plain = did("planner figures my-shop.toml")
    for change in changes:
        assert did(f"planner figures my-shop.toml --set {shlex.quote(change)}") != plain
