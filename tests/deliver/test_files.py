"""Files are whole or not there, their names safe, their cells harmless."""

import csv
import errno
import io
import json
import math
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.deliver.files import (
    LONGEST_NAME,
    csv_text,
    json_text,
    remove_unfinished,
    safe_name,
    write_bytes,
    write_csv,
    write_json,
    write_text,
)


def test_a_file_is_written_with_its_folder(tmp_path: Path) -> None:
    path = tmp_path / "a {b} c" / "d" / "file.txt"
    write_text(path, "first\n")
    write_text(path, "später\n")
    assert path.read_bytes() == "später\n".encode()
    assert list(path.parent.iterdir()) == [path]


@pytest.mark.parametrize("broken", ["fsync", "replace"])
def test_a_failure_leaves_the_old_file_and_nothing_else(
    broken: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "file.txt"
    write_text(path, "old")

    def fail(*_: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(os, broken, fail)
    with pytest.raises(OSError, match="disk full"):
        write_bytes(path, b"new")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_full_disk_names_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match=r"No space left on device: '.*file\.txt'"):
        write_text(tmp_path / "file.txt", "new")


def test_what_a_killed_process_left_half_done_is_removed(tmp_path: Path) -> None:
    write_text(tmp_path / "charts" / "a.svg", "whole")
    (tmp_path / "charts" / f".{'0a' * 8}.tmp").touch()
    (tmp_path / f".{'f9' * 8}.tmp").touch()
    (tmp_path / ".mine.tmp").touch()
    remove_unfinished(tmp_path)
    left = sorted(path.name for path in tmp_path.rglob("*") if path.is_file())
    assert left == [".mine.tmp", "a.svg"]


def test_an_interrupt_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_text(tmp_path / "file.txt", "new")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="permissions are POSIX's")
def test_others_may_read_what_the_user_s_umask_lets_them(tmp_path: Path) -> None:
    before = os.umask(0o022)
    try:
        write_text(tmp_path / "file.txt", "x")
    finally:
        os.umask(before)
    assert (tmp_path / "file.txt").stat().st_mode & 0o777 == 0o644


def test_csv_by_rfc_4180(tmp_path: Path) -> None:
    write_csv(tmp_path / "t.csv", ["name", "x, y"], [['say "so"', 0.1], ["two\nlines", None]])
    expected = b'name,"x, y"\r\n"say ""so""",0.1\r\n"two\nlines",\r\n'
    assert (tmp_path / "t.csv").read_bytes() == expected


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r", "\n"])
def test_text_that_could_be_a_formula_is_made_harmless(sign: str) -> None:
    text = csv_text([f"{sign}HEAD"], [[f"{sign}1+1"]])
    header, row = csv.reader(io.StringIO(text, newline=""))
    assert header == [f"'{sign}HEAD"]
    assert row == [f"'{sign}1+1"]


@pytest.mark.parametrize(
    ("text", "written"),
    [("\u2212$14,794", '"-$14,794"'), ("-1.65", "-1.65"), ("-2-3", "'-2-3"), ("-$A1", "'-$A1")],
)
def test_a_negative_amount_is_no_formula(text: str, written: str) -> None:
    assert csv_text(["a"], [[text]]) == f"a\r\n{written}\r\n"


def test_numbers_keep_their_sign_and_all_their_digits() -> None:
    assert csv_text(["a", "b", "c"], [[-1, -0.1, True]]) == "a,b,c\r\n-1,-0.1,true\r\n"


def test_csv_refuses_what_it_cannot_hold() -> None:
    with pytest.raises(ValueError, match="must have 2 cells"):
        csv_text(["a", "b"], [[1]])
    for value in (math.nan, math.inf):
        with pytest.raises(ValueError, match="must be finite or None"):
            csv_text(["a"], [[value]])


def test_json_keeps_order_and_signs(tmp_path: Path) -> None:
    value = {"b": [1, None, 0.5], "a": "größer"}
    write_json(tmp_path / "v.json", value)
    text = (tmp_path / "v.json").read_text("utf-8")
    assert list(json.loads(text)) == ["b", "a"]
    assert "größer" in text
    assert text.endswith("}\n")


def test_json_says_where_a_number_is_not_finite() -> None:
    with pytest.raises(ValueError, match=r"value\.rows\[1\]\.x: must be finite or null \(got nan"):
        json_text({"rows": [{"x": 1.0}, {"x": math.nan}]})


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("payback", "payback"),
        ("Full-front tee", "full-front-tee"),
        ("plan_2.v1", "plan-2-v1"),
    ],
)
def test_plain_names_stay_plain(text: str, name: str) -> None:
    assert safe_name(text) == name


@given(st.text(max_size=200))
def test_any_text_gives_a_safe_name(text: str) -> None:
    name = safe_name(text)
    assert name
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert not name.startswith("-")
    assert len(name) <= LONGEST_NAME + 9
    assert name.split("-")[0] not in {"con", "nul"} or name != name.split("-")[0]


def test_texts_that_say_more_than_a_name_can_hold_stay_apart() -> None:
    texts = ["Café", "Cafe", "../cafe", "印刷", "刷印", "", "con", "x" * 200, "x" * 201]
    assert len({safe_name(text) for text in texts}) == len(texts)
