"""Work done one piece at a time, always on the newest that was asked for."""

from __future__ import annotations

from collections.abc import Callable
from threading import Condition, Thread
from typing import Generic, TypeVar

T = TypeVar("T")


class Latest(Generic[T]):
    """Does ``work`` in a thread of its own; what waits is replaced by what is offered later.

    Whoever offers is not held up. An error of the work ends no later work; ``wait`` raises it.
    """

    def __init__(self, work: Callable[[T], None]) -> None:
        self._work = work
        self._changed = Condition()
        self._waiting: list[T] = []
        self._is_busy = False
        self._failed: BaseException | None = None

    def offer(self, item: T) -> None:
        """Ask for work on an item, instead of any that waits."""
        with self._changed:
            self._waiting = [item]
            self._changed.notify_all()
            if not self._is_busy:
                self._is_busy = True
                Thread(target=self._run, daemon=True).start()

    def wait(self) -> None:
        """Return when nothing is left to be done; raises the last error of the work."""
        with self._changed:
            self._changed.wait_for(lambda: not self._is_busy)
            failed, self._failed = self._failed, None
        if failed is not None:
            raise failed

    def rests(self, seconds: float) -> bool:
        """Whether nothing newer is offered for so long [s]; to be asked by the work itself."""
        with self._changed:
            return not self._changed.wait_for(lambda: bool(self._waiting), seconds)

    def _run(self) -> None:
        while (item := self._next()) is not None:
            try:
                self._work(item[0])
            except BaseException as error:
                with self._changed:
                    self._failed = error

    def _next(self) -> list[T] | None:
        """What waits, in a list of one; None, and no longer busy, where nothing does."""
        with self._changed:
            if self._waiting:
                item, self._waiting = self._waiting, []
                return item
            self._is_busy = False
            self._changed.notify_all()
            return None
