"""Lines folded for a terminal, and the minus sign."""

from __future__ import annotations

import io
import os
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.deliver import terminal
from planner.deliver.terminal import folded, text_width, with_minus

WORDS = st.lists(st.text("abc$1,9.−-", min_size=1, max_size=12), min_size=1, max_size=40)


@given(WORDS, st.integers(60, 100), st.integers(0, 4))
def test_folding_keeps_every_word_whole_and_in_order(words: list[str], width: int, indent: int):
    line = " " * indent + " ".join(words)
    lines = folded([line], width=width).split("\n")
    assert " ".join(" ".join(lines).split()) == " ".join(words)
    assert all(len(one) <= width for one in lines)
    assert all(one.startswith(" " * (indent + 2 * bool(indent))) for one in lines[1:])


def test_what_fits_is_left_as_it_is():
    table = ["", "  planned     60", "  any of them none", "x" * 60]
    assert folded(table, width=60) == "\n".join(table)


def test_a_word_longer_than_a_line_stays_whole():
    assert folded(["a " + "b" * 90], width=60) == "a\n" + "b" * 90


@pytest.mark.parametrize(
    ("plain", "signed"),
    [
        ("worth -$14,794 today", "worth −$14,794 today"),
        ("-743 €", "−743 €"),
        ("(-5%)", "(−5%)"),
        ("-CHF 5", "−CHF 5"),
        ("cover -0.96.", "cover −0.96."),
        ("24-inch, two-colour", "24-inch, two-colour"),
        ("planner run --draws 4096", "planner run --draws 4096"),
        ("a - b, 5 - 3", "a - b, 5 - 3"),
    ],
)
def test_a_minus_sign_stands_before_negative_numbers_alone(plain: str, signed: str):
    assert with_minus(plain) == signed


class Terminal(io.StringIO):
    """A stream that is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("columns", "width"), [(20, 60), (60, 60), (80, 80), (100, 100), (250, 100)]
)
def test_the_width_is_the_terminals_within_limits(
    monkeypatch: pytest.MonkeyPatch, columns: int, width: int
):
    monkeypatch.setattr(sys, "stdout", Terminal())
    size = os.terminal_size((columns, 24))
    monkeypatch.setattr(terminal.shutil, "get_terminal_size", lambda: size)
    assert text_width() == width


def test_elsewhere_the_width_is_eighty(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setattr(sys, "stdout", io.StringIO())
    assert text_width() == 80


def test_a_word_with_a_hyphen_stays_whole():
    line = "x" * 52 + " 24-inch printer"
    assert folded([line], width=60).split("\n") == ["x" * 52 + " 24-inch", "printer"]
    assert folded([line], width=56).split("\n") == ["x" * 52, "24-inch printer"]
