"""A run that is killed or stopped at any moment leaves earlier results whole and nothing else.

By hand (``-m fuzz``): six moments of each kind, or more:

    FAULT_MOMENTS=50 python -m pytest -m fuzz tests/trust/test_killed.py
"""

from __future__ import annotations

import os
import random
import signal
import sys
import time
from dataclasses import dataclass

import pytest
from trust.running import Place, end, is_of

MOMENTS = int(os.environ.get("FAULT_MOMENTS", "6"))
WORDS = ("--only", "print-cost", "--only", "lender", "--draws", "0")
CHANGED = (*WORDS, "--set", "shop.wage=21 USD/hour")
AFTER = 0.4  # [s] before this the interpreter itself is starting

pytestmark = [
    pytest.mark.fuzz,
    pytest.mark.skipif(sys.platform != "linux", reason="processes are read from /proc"),
]


@dataclass(frozen=True)
class Before:
    """Earlier results, those of a changed scenario, and how long a run takes [s]."""

    place: Place
    earlier: dict[str, bytes]
    changed: dict[str, bytes]
    seconds: float


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Before:
    """A folder that holds whole results, and what another run would make of it."""
    place = Place(tmp_path_factory.mktemp("killed"))
    other = Place(tmp_path_factory.mktemp("other"))
    start = time.monotonic()
    assert other.run(*CHANGED)[0] == 0
    seconds = time.monotonic() - start
    assert place.run(*WORDS)[0] == 0
    return Before(place, place.files(), other.files(), seconds)


@pytest.fixture(scope="module")
def stopped(before: Before, tmp_path_factory: pytest.TempPathFactory) -> Place:
    """A folder of earlier results in which nothing was killed."""
    place = Place(tmp_path_factory.mktemp("stopped"))
    for name, raw in before.earlier.items():
        path = place.results / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(raw)
    return place


def moments(kind: str) -> list[float]:
    """Shares of a run, the same each time."""
    rng = random.Random(kind)
    return [rng.random() for _ in range(MOMENTS)]


def wait_for(share: float, seconds: float) -> None:
    time.sleep(AFTER + share * seconds)


@pytest.mark.parametrize("share", moments("kill"))
def test_killed(share: float, before: Before):
    process = before.place.start(*CHANGED)
    wait_for(share, before.seconds)
    end(process, signal.SIGKILL)
    assert not before.place.wait_until_alone()
    whole = {
        name: raw
        for name, raw in before.place.files().items()
        if not any(part.startswith(".") for part in name.split("/"))
    }
    assert set(whole) >= set(before.earlier)
    assert not is_of(whole, before.earlier, before.changed)


@pytest.mark.parametrize("share", moments("stop"))
def test_stopped_by_ctrl_c(share: float, before: Before, stopped: Place):
    process = stopped.start(*CHANGED)
    wait_for(share, before.seconds)
    code, _, err = end(process, signal.SIGINT)
    assert code in (130, 0)  # it may just have come to its end
    assert not [line for line in err.splitlines() if not line.endswith(" done")]
    assert not stopped.processes()
    assert not stopped.left_over()
    assert set(stopped.files()) >= set(before.earlier)
    assert not is_of(stopped.files(), before.earlier, before.changed)


def test_the_next_run_works_and_clears_away(before: Before):
    """Runs last: after every kill."""
    process = before.place.start(*CHANGED)
    wait_for(0.6, before.seconds)
    end(process, signal.SIGKILL)
    code, _, err = before.place.run(*CHANGED)
    assert (code, before.place.wait_until_alone()) == (0, []), err
    assert before.place.files() == before.changed
    assert not before.place.left_over()
