"""Reading documents that are about to be set: the texts they hold, in reading order."""

from __future__ import annotations

from collections.abc import Collection, Iterator


def texts(node: object, *, but: Collection[str] = ("kind", "align", "svg")) -> Iterator[str]:
    """Every text of a document, without what stands under the keys left out."""
    if isinstance(node, str):
        yield node
    elif isinstance(node, list):
        for item in node:
            yield from texts(item, but=but)
    elif isinstance(node, dict):
        for name, item in node.items():
            if name not in but:
                yield from texts(item, but=but)
