"""A full disk, a folder that cannot be written, a killed kernel, two runs at once, no font.

Earlier results stay whole, one line says what is wrong, nothing is left behind, the next run works.
"""

from __future__ import annotations

import os
import re
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import matplotlib
import pytest
from helpers import shipped_answer
from trust.judge import Said, say
from trust.running import SCENARIO, Place, is_of

from planner.deliver import lender_pdf
from planner.deliver.errors import FontError

WORDS = ("--only", "print-cost", "--draws", "0")
CHANGED = (*WORDS, "--set", "shop.wage=21 USD/hour")
WITHIN = 240  # [s]
WITHOUT_POWERS = ("setpriv", "--bounding-set=-all", "--inh-caps=-all")  # root as anybody

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="uses Linux's own ways to fail")


def run_here(place: Place, *words: str) -> Said:
    """``planner run`` in this process."""
    return say("run", str(SCENARIO), "--to", str(place.results), *words, longest=WITHIN)


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Place:
    """Folders of a test; temporary files of this process go there, too."""
    made = Place(tmp_path)
    monkeypatch.setattr("tempfile.tempdir", str(made.temporary))
    return made


@pytest.fixture
def small_disk(place: Place) -> Iterator[Place]:
    """The results on a disk of eight megabytes."""
    place.results.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=8m", "tmpfs", str(place.results)]
    if subprocess.run(command, capture_output=True, check=False).returncode != 0:
        pytest.skip("only root may mount a small disk")
    yield place
    subprocess.run(["umount", str(place.results)], check=True)


def remount(place: Place, options: str) -> None:
    subprocess.run(["mount", "-o", f"remount,{options}", str(place.results)], check=True)


@pytest.mark.fuzz
def test_a_full_disk(small_disk: Place):
    assert run_here(small_disk, *WORDS).code == 0
    earlier = small_disk.files()
    filler = small_disk.results / "filler"
    free = os.statvfs(small_disk.results)
    filler.write_bytes(b"x" * (free.f_bavail - 20) * free.f_bsize)
    said = run_here(small_disk, *CHANGED)
    assert (said.code, said.trouble) == (1, ())
    assert "No space left on device" in said.err
    assert not small_disk.left_over()
    filler.unlink()
    kept = small_disk.files()
    remount(small_disk, "size=90m")
    assert run_here(small_disk, *CHANGED).code == 0
    assert set(kept) >= set(earlier)
    names = set(kept) - {"notebooks/print-cost.failed.ipynb"}
    assert not is_of({name: kept[name] for name in names}, earlier, small_disk.files())
    assert not (small_disk.results / "notebooks" / "print-cost.failed.ipynb").exists()


@pytest.mark.fuzz
def test_a_disk_that_can_only_be_read(small_disk: Place):
    assert run_here(small_disk, *WORDS).code == 0
    earlier = small_disk.files()
    remount(small_disk, "ro")
    said = run_here(small_disk, *CHANGED)
    assert (said.code, said.trouble) == (1, ())
    assert said.err.count("\n") == 1
    assert str(small_disk.results) in said.err
    assert "Read-only file system" in said.err
    assert small_disk.files() == earlier
    remount(small_disk, "rw")
    assert run_here(small_disk, *CHANGED).code == 0


def test_a_folder_without_permission_to_write(place: Place):
    place.results.mkdir(mode=0o555)
    process = place.start(*WORDS, by=WITHOUT_POWERS if os.geteuid() == 0 else ())
    _, said = process.communicate(timeout=WITHIN)
    assert process.returncode == 1
    assert "Permission denied" in said
    assert str(place.results) in said
    assert "Traceback" not in said
    assert place.left_over() == []


@pytest.mark.fuzz
def test_files_that_may_not_grow(place: Place):
    """A quota: as a full disk, but without one."""

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))

    assert run_here(place, *WORDS).code == 0
    earlier = place.files()
    command = [sys.executable, "-m", "planner", "run", str(SCENARIO), "--to", str(place.results)]
    done = subprocess.run(
        [*command, *CHANGED],
        preexec_fn=limit,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "TMPDIR": str(place.temporary), "PYTHONDONTWRITEBYTECODE": "1"},
    )
    assert done.returncode == 1
    assert "File too large" in done.stderr
    assert "Traceback" not in done.stderr
    assert not place.left_over()
    assert set(place.files()) >= set(earlier)


def test_results_that_are_a_file(place: Place):
    place.results.write_text("mine")
    said = run_here(place, *WORDS)
    assert (said.code, said.trouble) == (1, ())
    assert said.err == f"{place.results}: File exists\n"
    assert place.results.read_text() == "mine"


@pytest.mark.fuzz
def test_a_killed_kernel_and_two_runs_at_once(place: Place):
    with place.start(*CHANGED) as process:
        try:
            kernels = _wait_for_kernels(place)
            said = run_here(place, *WORDS)
            assert process.poll() is None
        finally:
            for kernel in kernels:
                os.kill(kernel, signal.SIGKILL)
            _, err = process.communicate()
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        f"{place.results}: must be free (got another planner run in it); "
        "wait for it, or name another folder by --to\n"
    )
    evidence = place.results / "notebooks" / "print-cost.failed.ipynb"
    assert process.returncode == 1
    assert re.fullmatch(
        r"shortest: print-cost done\nprint-cost: \w+Error: Kernel died[\w ]* "
        rf"\(see {re.escape(str(evidence))}\)\n",
        err,
    )
    assert not place.left_over()
    assert run_here(place, *CHANGED).code == 0
    assert not evidence.exists()
    assert not place.left_over()


def _wait_for_kernels(place: Place) -> list[int]:
    """Wait until a run has started its kernels; their processes."""
    until = time.monotonic() + WITHIN
    while time.monotonic() < until:
        if list(place.temporary.glob("planner-kernel-*/profile_default/*")):
            return [one for one in place.processes() if _is_kernel(one)]
        time.sleep(0.05)
    return []


def _is_kernel(process: int) -> bool:
    return b"ipykernel_launcher" in Path(f"/proc/{process}/cmdline").read_bytes()


@pytest.mark.long
@pytest.mark.parametrize("font", ["DejaVuSans.ttf", "DejaVuSans-Bold.ttf"])
def test_a_report_without_its_font_is_not_set_in_another(
    font: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    fonts = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    there = tmp_path / "fonts" / "ttf"
    there.mkdir(parents=True)
    for path in fonts.glob("DejaVu*.ttf"):
        if path.name != font:
            (there / path.name).symlink_to(path)
    monkeypatch.setattr(matplotlib, "get_data_path", lambda: str(tmp_path))
    lender_pdf._fonts.cache_clear()
    page = shipped_answer("shortest")
    with pytest.raises(FontError, match=f"{font}: must be there to set the report in; install"):
        lender_pdf.lender_pdf(page, page.best)
    monkeypatch.undo()
    assert lender_pdf.lender_pdf(page, page.best).startswith(b"%PDF")
