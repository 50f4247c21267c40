"""Chromium without a network, and the rules of accessibility that pages are held against.

The library that drives the browser is imported only when a test of these runs, so that the other
tests can be collected without it.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from helpers import ROOT

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Request, Route

CHROMIUM = "/usr/bin/chromium"
QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
RULES = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice")
RUN = """async ([rules, within]) => {
    const found = await axe.run(within, {runOnly: rules, resultTypes: ["violations"]});
    const broken = found.violations.map(one => `${one.id}: ${one.nodes[0].html}`);
    return {held: found.passes.length, broken: broken};
}"""
DRAWS = 64

Audit = Callable[..., list[str]]


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The browser of the system; it ends with the tests."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[*QUIET])
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def audit() -> Audit:
    """Lists what a page breaks of the rules, each with the first element that does so."""
    path = os.environ.get("PLANNER_AXE", "")
    if not Path(path).is_file():
        pytest.fail(f"PLANNER_AXE: must be the path of axe-core's axe.min.js (got {path!r})")
    script = Path(path).read_text(encoding="utf-8")

    def faults(page: Page, within: str = "html") -> list[str]:
        page.evaluate(script)
        found: dict[str, Any] = page.evaluate(RUN, [[*RULES], within])
        assert found["held"] > 10, "too few rules were tried"
        broken: list[str] = found["broken"]
        return broken

    return faults


@pytest.fixture(scope="session")
def run_results(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Everything that a run on a shipped scenario leaves; each scenario is run once.

    PLANNER_RUN names what the README's command left, so that its scenario need not be run.
    """
    given = Path(os.environ.get("PLANNER_RUN", ""))
    made = {given.name: given}

    def results(name: str) -> Path:
        if name not in made:
            folder = tmp_path_factory.mktemp(name)
            words = ("run", ROOT / "scenarios" / f"{name}.toml", "--to", folder, "--draws", DRAWS)
            command = [sys.executable, "-m", "planner", *map(str, words)]
            subprocess.run(command, check=True, capture_output=True)
            made[name] = folder
        return made[name]

    return results


class Offline:
    """Pages read from disk with the network blocked, and what each of them tried or complained of.

    ``faults`` holds errors of the page and of its console, and every request but for files.
    """

    def __init__(self, browser: Browser) -> None:
        self.faults: list[str] = []
        self.context = browser.new_context()
        self.context.set_offline(True)
        self.context.route("**/*", self._only_files)
        self.context.on("console", self._heard)
        self.context.on("weberror", lambda error: self.faults.append(str(error.error)))

    def open(self, path: Path) -> Page:
        """The page as the browser shows it, all of it loaded."""
        page = self.context.new_page()
        page.goto(path.as_uri())
        return page

    def _only_files(self, route: Route, request: Request) -> None:
        if request.url.startswith("file:"):
            route.continue_()
        else:
            self.faults.append(f"asked for {request.url}")
            route.abort()

    def _heard(self, message: Any) -> None:
        if message.type in ("error", "warning"):
            self.faults.append(message.text)


@pytest.fixture
def offline(chromium: Browser) -> Iterator[Offline]:
    """A browser that reads files alone."""
    offline = Offline(chromium)
    yield offline
    offline.context.close()


@dataclass
class Opened:
    """The panel on the screen, and the folder in which its notebook lies.

    ``faults`` holds errors of the page and of its console, and all that it asked of other machines.
    """

    page: Page
    folder: Path
    kind: str
    faults: list[str] = field(default_factory=list)

    def until(self, holds: Callable[[], bool]) -> None:
        """Wait until it holds; fails after ten seconds."""
        for _ in range(1000):
            if holds():
                return
            self.page.wait_for_timeout(10)
        pytest.fail(f"{self.kind}: waited in vain")

    def picture_source(self) -> str:
        source = self.page.locator("img.planner-picture").get_attribute("src")
        assert source is not None
        return source


@pytest.fixture(scope="session")
def open_panel(
    chromium: Browser, tmp_path_factory: pytest.TempPathFactory
) -> Callable[..., Iterator[Opened]]:
    """Opens the panel of a shipped scenario as ``planner lab`` does; ends all that it started."""

    def opened(name: str, *, as_page: bool) -> Iterator[Opened]:
        folder = tmp_path_factory.mktemp(name)
        with served(name, folder, as_page=as_page) as address:
            context = chromium.new_context(viewport={"width": 1280, "height": 900})
            kind = "as a page" if as_page else "in JupyterLab"
            shown = Opened(context.new_page(), folder / "panel", kind)
            _listen(shown)
            shown.page.goto(address)
            if not as_page:
                _run_all_cells(shown.page)
            shown.page.locator(".planner-panel .noUi-handle").first.wait_for(timeout=60_000)
            yield shown
            context.close()
            assert shown.faults == []

    return opened


@contextlib.contextmanager
def served(name: str, folder: Path, *, as_page: bool) -> Iterator[str]:
    """The address under which ``planner lab`` serves a scenario; no process outlives it."""
    settings = folder / "settings"
    settings.mkdir()
    server = json.dumps({"ServerApp": {"allow_root": True}})  # as in a container
    (settings / "jupyter_server_config.json").write_text(server, encoding="utf-8")
    own = {
        "BROWSER": "true",  # the test's own browser looks at it
        "JUPYTER_CONFIG_DIR": str(settings),
        "JUPYTER_DATA_DIR": str(folder / "data"),
        "JUPYTER_RUNTIME_DIR": str(folder / "running"),
        "IPYTHONDIR": str(folder / "ipython"),
    }
    words = ["lab", str(ROOT / "scenarios" / f"{name}.toml"), "--to", str(folder / "panel")]
    log = folder / "log.txt"
    with log.open("wb") as written:
        process = subprocess.Popen(
            [sys.executable, "-m", "planner", *words, *(["--page"] if as_page else [])],
            env=os.environ | own,
            stdin=subprocess.DEVNULL,
            stdout=written,
            stderr=subprocess.STDOUT,
        )
    try:
        yield _address(process, log)
    finally:
        _end(process)


def _address(process: subprocess.Popen[bytes], log: Path) -> str:
    for _ in range(600):
        said = log.read_text(encoding="utf-8", errors="replace")
        if found := re.search(r"http://127\.0\.0\.1:\d+/\S*token=\w+", said):
            return found[0]
        if process.poll() is not None:
            break
        time.sleep(0.1)
    pytest.fail(f"planner lab did not start:\n{said}")


def _end(process: subprocess.Popen[bytes]) -> None:
    """End the server as the system ends one; it must take its kernels along."""
    import psutil

    started = psutil.Process(process.pid).children(recursive=True) if process.poll() is None else []
    for server in started[:1]:
        server.terminate()
    _, left = psutil.wait_procs(started, timeout=20)
    for one in left:
        one.kill()
    process.wait(timeout=10)
    assert not left, f"left running: {left}"


def _listen(shown: Opened) -> None:
    def heard(message: Any) -> None:
        if message.type == "error":
            shown.faults.append(message.text)

    def asked(request: Any) -> None:
        if not request.url.startswith(("http://127.0.0.1:", "ws://127.0.0.1:", "blob:", "data:")):
            shown.faults.append(f"asked for {request.url}")

    shown.page.on("console", heard)
    shown.page.on("pageerror", lambda error: shown.faults.append(str(error)))
    shown.page.on("request", asked)
    shown.page.on("websocket", asked)


def _run_all_cells(page: Page) -> None:
    page.get_by_text("Python 3 (ipykernel) | Idle").wait_for(timeout=60_000)
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_text("Run All Cells", exact=True).click()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Tell what was measured."""
    for report in terminalreporter.stats.get("passed", []):
        for kind, told in report.user_properties:
            terminalreporter.write_line(f"from a control to the picture, {kind}: {told}")
