"""The numbers tried out: from what the controls stand at to an answer, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import Any

from planner.case import Case, Choice
from planner.decide.answer import AnswerPage, open_answer
from planner.decide.curves import BreakEvenCurves, break_even_curves
from planner.deliver.panel.controls import ControlError, Settings, Slider
from planner.deliver.panel.quick import quick_answer
from planner.deliver.panel.sliders import sliders
from planner.scenario.document import parse
from planner.scenario.key_paths import quoted_name
from planner.scenario.load import LARGEST_SCENARIO, load
from planner.scenario.names import name_of
from planner.scenario.schema import Scenario
from planner.scenario.text_file import read_text

PICKS = ("equipment", "warranty", "financing")


@dataclass(frozen=True, eq=False)
class Tried:
    """What the controls came to: the answer of the one choice that is set, and the changes made.

    ``changes`` are those by which ``planner figures --set`` comes to the same. The page holds this
    choice alone; what costs of prints and single inputs do to it is left out.
    """

    settings: Settings
    changes: Mapping[str, Any]
    page: AnswerPage

    @cached_property
    def curves(self) -> BreakEvenCurves:
        """Income and cost of a steady month by volume."""
        best = self.page.best
        return break_even_curves(self.page.case, best.evaluation.plan, best.figures)


class Tryout:
    """A scenario, the controls it has and what they come to.

    Parameters
    ----------
    path : Path
        The scenario file; it is read, never written.
    choice : str
        The choice to start from, by its label; the best one where it is empty.
    changes : mapping
        Changes by key path that the start already holds.

    Raises
    ------
    ScenarioError
        With every fault of the scenario.
    KeyError
        For a choice that does not exist.
    """

    def __init__(
        self, path: Path, *, choice: str = "", changes: Mapping[str, Any] | None = None
    ) -> None:
        page = open_answer(path, choice=choice, changes=changes)
        self.path = path
        self.given = MappingProxyType(dict(changes or {}))
        self.scenario = page.scenario
        self.sliders: tuple[Slider, ...] = sliders(page.scenario)
        self.start: Settings = MappingProxyType(
            {
                **dict(zip(PICKS, page.best.choice.names, strict=True)),
                **{slider.name: slider.start for slider in self.sliders},
            }
        )
        self._places = dict(_unnamed_offers(path, page.scenario))

    def options(self, pick: str, settings: Settings) -> tuple[str, ...]:
        """What a choice list offers, given what the others stand at."""
        if pick == "equipment":
            return tuple(one.name for one in self.scenario.equipment)
        bought = settings["equipment"]
        if pick == "warranty":
            (one,) = (one for one in self.scenario.equipment if one.name == bought)
            return tuple(warranty.name for warranty in one.warranty)
        offers = self.scenario.financing
        return tuple(one.name or "" for one in offers if one.equipment in (None, bought))

    def settled(self, settings: Settings) -> Settings:
        """The same settings with a warranty and a way to pay that the equipment has.

        What is not offered for it gives way to the first that is.
        """
        offered = {pick: self.options(pick, settings) for pick in PICKS[1:]}
        kept = {pick: settings[pick] for pick in offered if settings[pick] in offered[pick]}
        firsts = {pick: names[0] for pick, names in offered.items()}
        return MappingProxyType({**settings, **firsts, **kept})

    def changes(self, settings: Settings) -> dict[str, Any]:
        """The changes by key path that take the file to the settings; the given ones come first.

        Raises ``ControlError`` for a value that a control does not offer.
        """
        if settings.keys() != self.start.keys():
            odd = ", ".join(sorted(settings.keys() ^ self.start.keys()))
            raise ControlError(f"controls: must be all of the panel's (differs in {odd})")
        own: dict[str, Any] = {}
        for slider in self.sliders:
            moved = slider.changes(settings[slider.name], currency=self.scenario.currency)
            own |= {self._by_place(key): text for key, text in moved}
        return {**self.given, **own}

    def compute(self, settings: Settings) -> Tried:
        """The answer at the settings; the same settings give the same answer.

        Raises ``ControlError`` for what a control does not offer, and ``ScenarioError`` where the
        inputs cannot stand together.
        """
        changes = self.changes(settings)
        at_rest = {one.name: one.snapped(settings[one.name]) for one in self.sliders}
        equipment, warranty, financing = self._chosen(settings)
        scenario = load(self.path, changes=changes)
        bought = scenario.equipment[equipment]
        choice = Choice(bought, bought.warranty[warranty], scenario.financing[financing])
        return Tried(
            settings=MappingProxyType({**settings, **at_rest}),
            changes=MappingProxyType(changes),
            page=quick_answer(Case(scenario), choice),
        )

    def _chosen(self, settings: Settings) -> tuple[int, int, int]:
        """Places of the choice in the file; an implied name may follow from what was moved."""
        for pick in PICKS:
            offered = self.options(pick, settings)
            if settings[pick] not in offered:
                names = ", ".join(offered)
                raise ControlError(f'{pick}: must be one of {names} (got "{settings[pick]}")')
        equipment = self.options("equipment", settings).index(str(settings["equipment"]))
        warranty = self.options("warranty", settings).index(str(settings["warranty"]))
        paid = [one.name for one in self.scenario.financing].index(str(settings["financing"]))
        return equipment, warranty, paid

    def _by_place(self, key: str) -> str:
        """The key with an offer that has no name of its own by its place in the file."""
        for named, place in self._places.items():
            if key.startswith(named):
                return place + key.removeprefix(named)
        return key


def _unnamed_offers(path: Path, scenario: Scenario) -> Iterator[tuple[str, str]]:
    """How keys of offers without a name of their own begin, and the same by place.

    Their implied name holds the term, so it would change with it.
    """
    tree = parse(read_text(path, largest=LARGEST_SCENARIO), name=path.name).tree
    for at, entry in enumerate(tree.get("financing", [])):
        if "name" not in entry:
            named = quoted_name(name_of("financing", entry))
            yield f"financing.{named}.", f"financing[{at}]."
