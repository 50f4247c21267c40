"""The room stands alone: no other room, and nothing heavy at run time."""

import subprocess
import sys

CHECK = """
import sys, planner.finance
loaded = {name for name in sys.modules if name.startswith("planner.")}
assert all(name.split(".")[1] == "finance" for name in loaded), loaded
assert "scipy" not in sys.modules
assert "pandas" not in sys.modules
"""


def test_nothing_else_is_loaded():
    subprocess.run([sys.executable, "-c", CHECK], check=True)


def test_every_public_name_is_listed_once():
    import planner.finance as finance

    public = {name for name, value in vars(finance).items() if not name.startswith("_")}
    modules = {name for name in public if f"planner.finance.{name}" in sys.modules}
    assert sorted(public - modules) == sorted(finance.__all__)
