"""The notebooks' own code on the scenario that does not pay back, in this process."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import nbformat
import pytest

from planner.deliver.places import notebooks_folder

pytestmark = pytest.mark.long

SCENARIO = Path(__file__).parents[2] / "scenarios" / "new-shop.toml"
NAMES = ("break-even", "lease-or-loan", "lender", "payback", "print-cost", "risk")


@pytest.mark.parametrize("name", NAMES)
def test_cells_run_as_they_stand(name: str, tmp_path: Path):
    notebook = nbformat.read(notebooks_folder() / f"{name}.ipynb", as_version=4)
    cells = [cell for cell in notebook.cells if cell.cell_type == "code"]
    held: dict[str, Any] = {}
    for cell in cells:
        exec(cell.source, held)
        if "parameters" in cell.metadata.get("tags", ()):
            held |= {"scenario": str(SCENARIO), "output_dir": str(tmp_path), "draws": 64}
    assert list(tmp_path.rglob("*.csv"))
