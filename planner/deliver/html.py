"""An executed notebook as a web page that is whole in itself: figures first, code left out."""

from copy import deepcopy
from pathlib import Path

import nbformat
from nbconvert.exporters import HTMLExporter
from nbformat import NotebookNode

from planner.deliver.files import write_text
from planner.deliver.markup import markdown_to_html
from planner.deliver.whole import require_whole

TEMPLATES = Path(__file__).parent / "templates"
CONTROLS = "application/vnd.jupyter.widget-view+json"
NO_CONTROLS = '<p class="note">Controls stand here in the notebook; a page cannot work them.</p>'


def write_notebook_page(notebook: Path, to: Path, *, home: str | None = None) -> None:
    """Write the page of an executed notebook, whole or not at all; see `notebook_page`."""
    executed = nbformat.read(notebook, as_version=4)  # type: ignore[no-untyped-call]
    write_text(to, notebook_page(executed, name=notebook.stem, home=home))


def notebook_page(notebook: NotebookNode, *, name: str, home: str | None = None) -> str:
    """The page of an executed notebook.

    Its title is the notebook's first heading, else `name`; `home` is where a link leads back to.
    Raises PageError if an output would run a script or fetch anything.
    """
    exporter = HTMLExporter(  # type: ignore[no-untyped-call]
        template_name="page",
        extra_template_basedirs=[str(TEMPLATES)],
        exclude_input=True,
        exclude_input_prompt=True,
        exclude_output_prompt=True,
        filters={"words": markdown_to_html},
    )
    resources = {"page_title": page_title(notebook) or name, "page_home": home}
    html, _ = exporter.from_notebook_node(_without_controls(notebook), resources=resources)
    require_whole(html)
    return str(html)


def page_title(notebook: NotebookNode) -> str | None:
    """The words of the first heading of the first level in a text cell, None if there is none."""
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            for line in cell.source.splitlines():
                if line.startswith("# "):
                    return str(line[2:].strip())
    return None


def _without_controls(notebook: NotebookNode) -> NotebookNode:
    """A copy in which each interactive output is a sentence, and no output is a script."""
    page = deepcopy(notebook)
    for cell in page.cells:
        for output in cell.get("outputs", []):
            data = output.get("data", {})
            if data.pop(CONTROLS, None) is not None:
                data["text/html"] = NO_CONTROLS
            data.pop("application/javascript", None)
    return page
