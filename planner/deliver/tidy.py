"""An executed notebook without what differs from run to run: times, process numbers, random ids."""

import json
import re
from copy import deepcopy

import nbformat
from nbformat import NotebookNode

WIDGETS = "application/vnd.jupyter.widget-state+json"
KERNEL_FOLDER = re.compile(r"ipykernel_\d+")


def tidied(notebook: NotebookNode, source: NotebookNode) -> str:
    """The text of the executed notebook, the same for the same source and results.

    Cells of the source keep their ids, cells that were added get one by place; widgets are numbered
    in the order in which they were made. The executed notebook itself is left as it was.
    """
    tidy = deepcopy(notebook)
    known = {cell.get("id") for cell in source.cells}
    tidy.metadata.pop("papermill", None)
    for place, cell in enumerate(tidy.cells):
        if cell.get("id") not in known:
            cell["id"] = f"added-{place}"
        for random in ("papermill", "execution"):
            cell.metadata.pop(random, None)
        if not cell.metadata.get("tags", True):
            del cell.metadata["tags"]
    text = KERNEL_FOLDER.sub("ipykernel", json.dumps(tidy))
    widgets = tidy.metadata.get("widgets", {}).get(WIDGETS, {}).get("state", {})
    for number, widget in enumerate(widgets):
        text = text.replace(widget, f"{number:032x}")
    result: str = nbformat.writes(nbformat.reads(text, as_version=4))  # type: ignore[no-untyped-call]
    return result + "\n"
