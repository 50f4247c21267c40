"""A page must be whole in itself: read off the page, not trusted to whoever made it."""

import re
from html.parser import HTMLParser

from planner.deliver.errors import PageError

FETCHED = ("src", "srcset", "poster", "data", "background", "action", "formaction", "xlink:href")
ELSEWHERE = re.compile(r"@import|url\(\s*['\"]?\s*(?!data:|#|['\"])", re.IGNORECASE)


def require_whole(html: str) -> None:
    """Raise PageError if the page runs a script or would fetch anything from outside itself.

    A link that a reader may follow is not fetched, and is allowed.
    """
    reader = _Reader()
    reader.feed(html)
    reader.close()
    if reader.faults:
        raise PageError(f"page: must be whole in itself (got {'; '.join(reader.faults)})")


class _Reader(HTMLParser):
    """Collects what the page would run or fetch."""

    def __init__(self) -> None:
        super().__init__()
        self.faults: list[str] = []
        self._within = ""

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self._within = tag
        if tag in ("script", "iframe", "object", "embed", "base"):
            self.faults.append(f"<{tag}>")
        for name, value in attributes:
            text = (value or "").strip()
            fetched = name in FETCHED or (name == "href" and tag != "a")
            if fetched and not text.startswith(("data:", "#")):
                self.faults.append(f"{tag} {name}={text[:80]!r}")
            if name == "style" and ELSEWHERE.search(text):
                self.faults.append(f"{tag} style={text[:80]!r}")
            if name.startswith("on"):
                self.faults.append(f"{tag} {name}")

    def handle_endtag(self, tag: str) -> None:
        self._within = ""

    def handle_data(self, data: str) -> None:
        if self._within == "style" and ELSEWHERE.search(data):
            self.faults.append("a style sheet that fetches")
