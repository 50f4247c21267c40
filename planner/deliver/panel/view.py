"""The panel on the screen: controls, picture and words. It holds no arithmetic."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from html import escape
from pathlib import Path
from time import monotonic
from typing import Any, Final

import ipywidgets
from IPython.display import HTML, display

from planner.deliver.files import safe_name
from planner.deliver.markup import table_to_html
from planner.deliver.panel.controls import Settings, Slider
from planner.deliver.panel.latest import Latest
from planner.deliver.panel.picture import Picture
from planner.deliver.panel.readout import Readout, readout
from planner.deliver.panel.saving import save_as
from planner.deliver.panel.scene import described, scene
from planner.deliver.panel.tryout import PICKS, Tryout
from planner.scenario.faults import PlannerError
from planner.show.words import numbers_of

TEMPLATES: Final = Path(__file__).parent.parent / "templates" / "panel"
LABELS: Final = {"equipment": "Equipment", "warranty": "Warranty", "financing": "Way to pay"}
REST: Final = 0.15  # s without a move
WORDS_AT_LATEST: Final = 1.0  # s, however the hand moves
STALE: Final = "The picture and the figures are those from before."


class Panel:
    """The controls of a scenario beside what they come to.

    Parameters
    ----------
    tryout : Tryout
        What is computed.
    output_dir : Path
        Folder below which "run everything" leaves its results.
    draws, seed : int
        Cases drawn by "run everything"; 0 for as many as usual.
    """

    def __init__(self, tryout: Tryout, output_dir: Path, *, draws: int = 0, seed: int = 0) -> None:
        self.tryout = tryout
        self.controls: dict[str, Any] = {
            **{pick: self._list(pick) for pick in PICKS},
            **{slider.name: _slide(slider) for slider in tryout.sliders},
        }
        self.picture = ipywidgets.Image(format="png")
        self.picture.add_class("planner-picture")
        self.first, self.error, self.words, self.spoken = (ipywidgets.HTML() for _ in range(4))
        self.reset = ipywidgets.Button(description="Back to where you started")
        self.name = ipywidgets.Text(
            value=f"{tryout.path.stem}-tried-out.toml", description="Name of the new scenario"
        )
        self.save = ipywidgets.Button(description="Save as a new scenario")
        self.run = ipywidgets.Button(description="Run everything on it", disabled=True)
        self.done = ipywidgets.HTML()
        self.saved: Path | None = None
        self._output_dir, self._draws, self._seed = output_dir, draws, seed
        self._picture = Picture(numbers_of(tryout.scenario))
        self._is_setting = False
        self._updates: Latest[Settings] = Latest(self._update)
        self._saves: Latest[tuple[str, Settings]] = Latest(self._save)
        self._runs: Latest[Path] = Latest(self._run)
        self._start = tryout.compute(tryout.start)
        self._draw(tryout.start)
        self._tell()
        self._listen()
        self.widget = self._laid_out()

    # --- what happens ---------------------------------------------------------------------------

    @property
    def settings(self) -> Settings:
        """What the controls stand at."""
        return {name: control.value for name, control in self.controls.items()}

    def wait(self) -> None:
        """Return when all that was asked for is shown; raises what went wrong unforeseen."""
        for worker in (self._updates, self._saves, self._runs):
            worker.wait()

    def _listen(self) -> None:
        for control in self.controls.values():
            control.observe(self._moved, names="value")
        self.reset.on_click(lambda _: self._set(self.tryout.start))
        self.save.on_click(lambda _: self._saves.offer((self.name.value, self.settings)))
        self.run.on_click(lambda _: self._runs.offer(self.saved) if self.saved else None)

    def _moved(self, change: Any) -> None:
        if self._is_setting:
            return
        with self._told(self.error):
            if change["owner"] in [self.controls[pick] for pick in PICKS]:
                self._set(self.tryout.settled(self.settings))
            else:
                self._updates.offer(self.settings)

    def _set(self, settings: Settings) -> None:
        """Bring every control to its setting, then show what they come to."""
        self._is_setting = True
        try:
            for pick in PICKS:
                self.controls[pick].options = self.tryout.options(pick, settings)
            for name, control in self.controls.items():
                control.value = settings[name]
            self._reveal(settings)
        finally:
            self._is_setting = False
        self._updates.offer(self.settings)

    def _reveal(self, settings: Settings) -> None:
        """Show the sliders of the equipment and the way to pay that are set."""
        for slider in self.tryout.sliders:
            shown = None if slider.concerns(settings) else "none"
            self.controls[slider.name].layout.display = shown

    def _update(self, settings: Settings) -> None:
        """The picture at once: it is what one looks at. Words follow when the hand rests.

        While it moves on they are told now and then, so that they hold up few pictures.
        """
        with self._told(self.error, STALE):
            self._draw(settings)
            self.error.value = ""
        if self._updates.rests(REST) or monotonic() > self._told_at + WORDS_AT_LATEST:
            with self._told(self.error):
                self._tell()

    def _draw(self, settings: Settings) -> None:
        now = self.tryout.compute(settings)
        drawn = scene(now, self._start)
        self.picture.value = self._picture.png(drawn)
        self._drawn = now, drawn

    def _tell(self) -> None:
        """What the picture shows, in words."""
        now, drawn = self._drawn
        words = readout(self.tryout, now, self._start)
        self.first.value = "".join(f"<p>{escape(line)}</p>" for line in words.opening)
        self.words.value = _words_html(words)
        self.spoken.value = escape(described(drawn))
        self._told_at = monotonic()

    def _save(self, asked: tuple[str, Settings]) -> None:
        name, settings = asked
        with self._told(self.done):
            self.saved = save_as(self.tryout.path, name, self.tryout.changes(settings))
            self.run.disabled = False
            self.done.value = _paragraph(f"Saved: {self.saved}")

    def _run(self, saved: Path) -> None:
        """Everything that ``planner run`` makes, for the saved scenario."""
        from planner.decide.risk.answer import USUAL_DRAWS
        from planner.deliver.results import QUESTIONS, deliver

        finished: list[str] = []

        def tell(outcome: Any) -> None:
            finished.append(outcome.name)
            count = f"{len(finished)} of {len(QUESTIONS)} notebooks done"
            self.done.value = _paragraph(f"{saved.name}: {count}, the last {outcome.name}")

        folder = self._output_dir / safe_name(saved.stem)
        self.run.disabled = True
        self.done.value = _paragraph(f"{saved.name}: running the notebooks; it takes a minute")
        try:
            with self._told(self.done):
                result = deliver(
                    scenario=saved,
                    output_dir=folder,
                    changes={},
                    draws=self._draws or USUAL_DRAWS,
                    seed=self._seed,
                    progress=tell,
                )
                words = result.message or f"{saved.name}: open {folder / 'index.html'}"
                self.done.value = _paragraph(words)
        finally:
            self.run.disabled = False

    @contextmanager
    def _told(self, where: Any, more: str = "") -> Iterator[None]:
        """What goes wrong is shown; what is not an error of ours is raised as well."""
        try:
            yield
        except PlannerError as error:
            where.value = _error(str(error), more)
        except OSError as error:
            name = f"{error.filename}: " if error.filename else ""
            where.value = _error(f"{name}{error.strerror or error}", more)
        except Exception as error:
            where.value = _error(f"{type(error).__name__}: {error}", more)
            raise

    # --- how it looks ---------------------------------------------------------------------------

    def _list(self, pick: str) -> Any:
        made = ipywidgets.Dropdown(
            options=self.tryout.options(pick, self.tryout.start),
            value=self.tryout.start[pick],
            description=LABELS[pick],
        )
        made.add_class("planner-control")
        return made

    def _laid_out(self) -> Any:
        sliders = [self.controls[slider.name] for slider in self.tryout.sliders]
        picks = [self.controls[pick] for pick in PICKS]
        first = next(at for at, one in enumerate(self.tryout.sliders) if one.equipment)
        controls = [
            _heading("The work and its prices"),
            *sliders[:first],
            _heading("The machine and how it is paid for"),
            *picks,
            *sliders[first:],
        ]
        results = [
            self.first, self.error, self.picture, self.spoken, self.reset, self.words,
            _heading("Keep it"), self.name, self.save, self.run, self.done,
        ]  # fmt: skip
        self.name.add_class("planner-control")
        self.first.add_class("planner-first")
        self.spoken.add_class("planner-spoken")
        self.spoken.add_class("planner-alt")
        for live in (self.first, self.error, self.done):
            live.add_class("planner-live")
        self._reveal(self.tryout.start)
        columns = ipywidgets.Box(
            [
                _classed(ipywidgets.VBox(controls), "planner-controls"),
                _classed(ipywidgets.VBox(results), "planner-results"),
            ]
        )
        return _classed(ipywidgets.VBox([_classed(columns, "planner-columns")]), "planner-panel")


def show(
    scenario: str | Path,
    output_dir: str | Path,
    *,
    choice: str = "",
    changes: dict[str, Any] | None = None,
    draws: int = 0,
    seed: int = 0,
) -> None:
    """Show the panel of a scenario in a notebook.

    Raises ``ScenarioError`` with every fault of the scenario, and ``KeyError`` for a choice that
    does not exist.
    """
    tryout = Tryout(Path(scenario), choice=choice, changes=changes)
    panel = Panel(tryout, Path(output_dir), draws=draws, seed=seed)
    style, script = (
        (TEMPLATES / name).read_text(encoding="utf-8") for name in ("panel.css", "panel.js")
    )
    display(HTML(f"<style>{style}</style><script>{script}</script>"))  # type: ignore[no-untyped-call]
    display(panel.widget)  # type: ignore[no-untyped-call]


def _slide(slider: Slider) -> Any:
    source = "range in the file" if slider.has_range else "no range in the file"
    bounds = f"{slider.low:.{slider.decimals}f} to {slider.high:.{slider.decimals}f}, {source}"
    made = ipywidgets.FloatSlider(
        value=slider.start,
        min=slider.low,
        max=slider.high,
        step=slider.step,
        description=f"{slider.label}, {slider.unit} ({bounds})",
        readout_format=f".{slider.decimals}f",
    )
    return _classed(made, "planner-control")


def _classed(widget: Any, name: str) -> Any:
    widget.add_class(name)
    return widget


def _heading(text: str) -> Any:
    return ipywidgets.HTML(f"<h2>{escape(text)}</h2>")


def _paragraph(text: str) -> str:
    return f"<p>{escape(text)}</p>"


def _error(text: str, more: str) -> str:
    said = [line for line in [*text.splitlines(), more] if line]
    return f'<div class="planner-error">{"".join(_paragraph(line) for line in said)}</div>'


def _words_html(words: Readout) -> str:
    table = table_to_html(
        caption="Figures",
        header=["Figure", "Now", "Where you started"],
        rows=[list(row) for row in words.rows],
        numeric=[False] * 3,
    )
    return "".join(
        [
            table,
            _listed("Conditions", words.conditions),
            _listed("What you changed", words.changed),
        ]
    )


def _listed(title: str, lines: Sequence[str]) -> str:
    items = "".join(f"<li>{escape(line)}</li>" for line in lines)
    return f"<h2>{escape(title)}</h2><ul>{items}</ul>" if lines else ""
