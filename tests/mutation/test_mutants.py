"""The faults that are put in, and that tests of a shipped file notice some of them."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from mutation.mutants import mutants
from mutation.targets import IN_FULL, SAMPLED

ROOT = Path(__file__).parents[2]


def names(tmp_path: Path, text: str) -> list[str]:
    (tmp_path / "one.py").write_text(text, encoding="utf-8")
    return [one.name for one in mutants("one.py", root=tmp_path)]


@pytest.mark.parametrize(
    ("line", "now"),
    [
        ("a + b", ["a - b"]),
        ("a < b", ["a <= b", "a > b"]),
        ("a >= b", ["a > b", "a < b"]),
        ("a and b", ["a or b"]),
        ("not a", ["a"]),
        ("f(2)", ["f(3)", "f(1)"]),
        ("min(a)", ["max(a)"]),
        ("np.where(a, b, c)", ["np.where(a, c, b)"]),
        ("np.clip(a, b, c)", ["np.maximum(a, b)", "np.minimum(a, c)"]),
        ("a.sum(axis=-1)", ["a.sum(axis=1)", "a.sum(axis=-2)", "a.sum(axis=-0)"]),
        ("a[..., -1]", ["a[..., 1]", "a[..., -2]", "a[..., -0]"]),
        ("b if a else c", ["c if a else b"]),
        ("[a for a in b if c]", ["[a for a in b if not c]"]),
    ],
)
def test_faults_of_an_expression(tmp_path, line, now):
    assert names(tmp_path, line) == [f"module: {line} → {one}" for one in now]


def test_faults_of_statements(tmp_path):
    text = '''
def halved(x: int = 1 + 1) -> "a + b":
    """Half of x + 1."""
    if x:
        raise ValueError(f"{x + 1}")
    x /= y
    return x
'''
    assert names(tmp_path, text) == [
        "halved: 1 + 1 → 1 - 1",
        *("halved: 1 + 1 → 2 + 1", "halved: 1 + 1 → 0 + 1"),
        *("halved: 1 + 1 → 1 + 2", "halved: 1 + 1 → 1 + 0"),
        "halved: if x → if not x",
        "halved: raise ValueError(f'{x + 1}') → pass",
        "halved: x /= y → x *= y",
        "halved: return x → return None",
    ]


@pytest.mark.parametrize("line", ["zip(a, b, strict=True)", "def f():\n    return None"])
def test_what_no_test_could_notice_is_left_alone(tmp_path, line):
    assert names(tmp_path, line) == []


def test_equal_faults_of_a_function_are_numbered(tmp_path):
    assert names(tmp_path, "a + b\na + b") == ["module: a + b → a - b", "module: a + b → a - b (2)"]


def test_each_mutant_has_its_one_fault(tmp_path):
    (tmp_path / "one.py").write_text("x = 3 * 2\ny = x - 1", encoding="utf-8")
    values = []
    for one in mutants("one.py", root=tmp_path):
        held: dict[str, float] = {}
        exec(one.code, held)
        values.append((held["x"], held["y"]))
    assert values == [(1.5, 0.5), (8, 7), (4, 3), (9, 8), (3, 2), (6, 7), (6, 4), (6, 6)]


WARMED = """
import sys
from pathlib import Path
from tests.mutation.trial import warm
warm(["tests/shop/test_energy.py"], module="planner.shop.energy", root=Path.cwd())
for name in ("energy", "ratio"):
    print(name, f"planner.shop.{name}" in sys.modules, hasattr(sys.modules["planner.shop"], name))
"""


@pytest.mark.long
def test_what_may_change_is_imported_anew_from_its_package_too():
    command = [sys.executable, "-c", WARMED]
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines()[-2:] == ["energy False False", "ratio True True"]


@pytest.mark.fuzz
def test_tests_of_a_file_notice_its_faults():
    command = [sys.executable, "-m", "tests.mutation", "planner/finance/cover.py"]
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert ran.stderr == "", ran.stdout
    tried, killed, with_reason, without = (
        int(number) for number in re.findall(r"\d+", ran.stdout.splitlines()[-1])[:4]
    )
    assert (tried, without) == (killed + with_reason, 0)
    assert killed > 4 * with_reason


def test_every_file_and_test_of_the_list_is_there():
    for path, tests in (IN_FULL | SAMPLED).items():
        assert [name for name in (path, *tests) if not (ROOT / name).exists()] == []
