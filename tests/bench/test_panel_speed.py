"""How long a move of a control takes until its picture is there; nothing here asserts a time.

Run by ``python -m pytest --override-ini addopts= -s tests/bench/test_panel_speed.py``. Processor
time is that of this process alone, so that other work on the machine shows less in it.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from itertools import cycle, islice
from pathlib import Path
from statistics import median

import numpy as np
import pytest

from planner.case import Case, Choice
from planner.decide.breakeven import monthly_break_even
from planner.decide.evaluation import evaluations
from planner.decide.steady import capacity_factor
from planner.deliver.panel.picture import SIZE, Picture
from planner.deliver.panel.pixels import encoded
from planner.deliver.panel.readout import readout
from planner.deliver.panel.scene import scene
from planner.deliver.panel.tryout import Tryout
from planner.deliver.panel.view import Panel
from planner.scenario.load import load
from planner.show.words import numbers_of

SCENARIOS = Path(__file__).parents[2] / "scenarios"
MOVES = 30


def timed(name: str, work: Callable[[], object]) -> None:
    """Print median wall and processor time of some runs [ms]."""
    work()
    wall, processor = [], []
    for _ in range(MOVES):
        began, worked = time.perf_counter(), time.process_time()
        work()
        wall.append(1000 * (time.perf_counter() - began))
        processor.append(1000 * (time.process_time() - worked))
    print(f"  {name:<38} {median(wall):7.1f} ms, {median(processor):7.1f} ms of the processor")


@pytest.mark.parametrize("name", ["larkspur-lane", "shortest", "new-shop", "two-widths"])
def test_parts_of_a_move(name: str, tmp_path: Path) -> None:
    tryout = Tryout(SCENARIOS / f"{name}.toml")
    start = tryout.compute(tryout.start)
    price = next(slider for slider in tryout.sliders if slider.name == "price")
    prices = [price.low + at * price.step for at in range(20)]
    settings = cycle({**tryout.start, "price": value} for value in prices)
    moved = [tryout.compute(next(settings)) for _ in prices]
    now, changes = moved[3], cycle(one.changes for one in moved)
    case, choice = now.page.case, now.page.best.choice
    plan = now.page.best.evaluation.plan
    picture = Picture(numbers_of(tryout.scenario))
    drawn = cycle([scene(one, start) for one in moved])
    pixels = np.zeros((SIZE[1], SIZE[0], 4), np.uint8)
    panel = Panel(tryout, tmp_path)
    slider = panel.controls["price"]
    values = cycle(prices)

    def move() -> None:
        slider.value = next(values)
        panel.wait()

    print(f"\n{name}")
    timed("scenario read and checked", lambda: load(tryout.path, changes=next(changes)))
    timed("plan and what it is compared with", lambda: evaluated(case, choice))
    timed(
        "break-even",
        lambda: monthly_break_even(case, plan, capacity=capacity_factor(case, plan.machine)),
    )
    timed("all of compute", lambda: tryout.compute(next(settings)))
    timed("compute and curves", lambda: scene(tryout.compute(next(settings)), start))
    timed("drawing and PNG", lambda: picture.png(next(drawn)))
    timed("PNG alone", lambda: encoded(pixels, ()))
    timed("compute and words", lambda: readout(tryout, tryout.compute(next(settings)), start))
    timed("control to all that is shown", move)


def evaluated(case: Case, choice: Choice) -> object:
    (evaluation,) = evaluations(Case(case.scenario), (choice,))
    return evaluation.headline.net


def test_control_to_picture(tmp_path: Path) -> None:
    """From the observed change to the bytes of the picture, while a slider is drawn to and fro."""
    tryout = Tryout(SCENARIOS / "larkspur-lane.toml")
    panel = Panel(tryout, tmp_path)
    arrived: list[float] = []
    panel.picture.observe(lambda _: arrived.append(time.perf_counter()), names="value")
    for name in ("price", "needs machine: Full-front tee, dark cotton", "wage"):
        slider = next(one for one in tryout.sliders if one.name == name)
        took = []
        for at in islice(cycle([*range(12), *range(12, 0, -1)]), MOVES):
            panel.wait()
            arrived.clear()
            began = time.perf_counter()
            panel.controls[name].value = slider.low + (at + 1) * slider.step
            panel.wait()
            took += [1000 * (moment - began) for moment in arrived]
        print(f"\n{name}: median {median(took):.0f} ms of {len(took)} moves")
