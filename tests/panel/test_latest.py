"""Work on the newest of what waits; nothing that goes wrong is lost."""

from __future__ import annotations

from threading import Event, Thread, current_thread

import pytest

from planner.deliver.panel.latest import Latest


def test_only_the_latest_of_what_waits_is_done() -> None:
    done: list[int] = []
    began, may_end = Event(), Event()

    def work(item: int) -> None:
        done.append(item)
        began.set()
        assert may_end.wait(60)

    latest = Latest(work)
    latest.offer(1)
    assert began.wait(60)
    for item in (2, 3, 4):
        latest.offer(item)  # nobody is held up while 1 is worked on
    may_end.set()
    latest.wait()
    assert done == [1, 4]


def test_work_is_done_one_at_a_time_in_a_thread_of_its_own() -> None:
    at_work: list[Thread] = []
    most = 0

    def work(item: int) -> None:
        nonlocal most
        at_work.append(current_thread())
        most = max(most, len(at_work))
        at_work.pop()
        seen.append(current_thread())

    seen: list[Thread] = []
    latest = Latest(work)
    offering = [Thread(target=lambda: [latest.offer(at) for at in range(200)]) for _ in range(4)]
    for thread in offering:
        thread.start()
    for thread in offering:
        thread.join()
    latest.wait()
    assert most == 1
    assert current_thread() not in seen


def test_an_error_is_raised_to_who_waits_and_ends_no_later_work() -> None:
    done: list[float] = []
    latest = Latest(lambda item: done.append(1 / item))
    latest.offer(0)
    with pytest.raises(ZeroDivisionError):
        latest.wait()
    latest.offer(2)
    latest.wait()
    assert done == [0.5]


def test_waiting_for_nothing_returns() -> None:
    Latest(lambda item: None).wait()


def test_nothing_that_stands_for_no_item_is_lost() -> None:
    done: list[None] = []
    latest: Latest[None] = Latest(done.append)
    latest.offer(None)
    latest.wait()
    assert done == [None]


def test_work_learns_whether_anything_newer_is_offered() -> None:
    rested: list[tuple[int, bool]] = []
    began, may_ask = Event(), Event()

    def work(item: int) -> None:
        began.set()
        assert may_ask.wait(60)
        rested.append((item, latest.rests(0.01)))

    latest = Latest(work)
    latest.offer(1)
    assert began.wait(60)
    latest.offer(2)
    may_ask.set()
    latest.wait()
    assert rested == [(1, False), (2, True)]


def test_who_asks_is_told_of_something_newer_at_once() -> None:
    rested: list[bool] = []
    began = Event()

    def work(item: int) -> None:
        began.set()
        rested.append(latest.rests(60 if item == 1 else 0))

    latest = Latest(work)
    latest.offer(1)
    assert began.wait(60)
    latest.offer(2)
    latest.wait()
    assert rested == [False, True]
