"""Plain words, Markdown and tables as HTML in which nothing that a user wrote is ever markup."""

import re
from collections.abc import Sequence
from html import escape
from typing import Any

import mistune

NO_MATHEMATICS = "tex2jax_ignore mathjax_ignore"  # so that no viewer reads "$5 to $6" as a formula
PUNCTUATION = re.compile(r"([!-/:-@\[-`{-~])")


class _Renderer(mistune.HTMLRenderer):
    """HTML in the text stays text, and no image is fetched: only its words are shown."""

    def image(self, text: str, url: str, title: str | None = None) -> str:
        return text


def plain_to_html(text: str) -> str:
    """Text as one paragraph a blank line apart; every sign of it is shown as it is."""
    parts = [part for part in re.split(r"\n\s*\n", text) if part.strip()]
    return "".join(f"<p>{escape(part.strip())}</p>" for part in parts)


def markdown_to_html(markdown: str) -> str:
    """Markdown as HTML: tags in it are shown, not obeyed, and it brings in no pictures."""
    rendered: Any = mistune.create_markdown(renderer=_Renderer(escape=True))(markdown)
    return str(rendered).strip()


def markdown_escape(text: str) -> str:
    """Text on one line that reads as itself inside Markdown."""
    return PUNCTUATION.sub(r"\\\1", " ".join(text.split()))


def table_to_html(
    *, caption: str, header: Sequence[str], rows: Sequence[Sequence[str]], numeric: Sequence[bool]
) -> str:
    """A table that a screen reader can follow: a caption, and a scope for each heading.

    The first column heads its rows; columns marked `numeric` are set flush right and never broken.
    The frame round it can be scrolled by keyboard where the page is too narrow.
    """
    heads = "".join(
        f'<th scope="col" style="text-align: {"right" if right else "left"}">{escape(name)}</th>'
        for name, right in zip(header, numeric, strict=True)
    )
    body = "".join(f"<tr>{_row(row, numeric)}</tr>" for row in rows)
    return (
        f'<div class="table {NO_MATHEMATICS}" role="region" tabindex="0" '
        f'aria-label="{escape(caption)}" style="overflow-x: auto">'
        f"<table><caption><span>{escape(caption)}</span></caption>"
        f"<thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def _row(row: Sequence[str], numeric: Sequence[bool]) -> str:
    first, *others = zip(row, numeric, strict=True)
    cells = "".join(f"<td{_side(right)}>{escape(text)}</td>" for text, right in others)
    return f'<th scope="row"{_side(first[1])}>{escape(first[0])}</th>{cells}'


def _side(right: bool) -> str:
    look = "text-align: right; white-space: nowrap" if right else "text-align: left"
    return f' style="{look}"'
