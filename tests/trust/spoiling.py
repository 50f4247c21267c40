"""What a mutation is, and those that any file may suffer.

A mutation takes a random generator and a file, and returns the spoilt file."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

Rng = random.Random


@dataclass(frozen=True)
class Spoilt:
    """A file after a mutation, and the line of the one value that was spoilt, if it was one."""

    content: bytes
    line: int | None = None


Mutation = Callable[[Rng, bytes], Spoilt]


def text_of(content: bytes) -> str:
    return content.decode("utf-8", "replace")


def spoilt(lines: list[str], at: int | None = None) -> Spoilt:
    raw = "\n".join(lines).encode("utf-8", "surrogatepass")
    return Spoilt(raw, None if at is None else at + 1)


def encoded(rng: Rng, content: bytes) -> Spoilt:
    """Another encoding, other line ends, a byte order mark."""
    text = text_of(content)
    crlf = text.replace("\n", "\r\n")
    return Spoilt(
        rng.choice(
            (
                text.encode("utf-8-sig", "replace"),
                text.encode("utf-16", "replace"),
                text.encode("utf-16-le", "replace"),
                text.encode("utf-32", "replace"),
                ("# d\u00e9j\u00e0 vu\n" + text).encode("latin-1", "replace"),
                crlf.encode("utf-8", "replace"),
                crlf.encode("utf-8-sig", "replace"),
                text.replace("\n", "\r").encode("utf-8", "replace"),
                text.replace("\n", "\u2028").encode("utf-8", "replace"),
                text.replace("\n", "\x85").encode("utf-8", "replace"),
                text.replace("\n", "\x0b\n").encode("utf-8", "replace"),
                b"\xef\xbb\xbf" + text.encode("utf-8-sig", "replace"),
                text.encode("utf-8", "replace") + b"\x00",
                text.encode("utf-8", "replace") + b"\xff\xfe\xfd",
                text.encode("utf-8", "replace") + b"\x1a",
                b"\xed\xa0\x80" + content,
                text.rstrip("\n").encode("utf-8", "replace"),
            )
        )
    )


def cut(rng: Rng, content: bytes) -> Spoilt:
    """A file that ends too early, or begins too late."""
    at = rng.randrange(len(content) + 1)
    return Spoilt(rng.choice((content[:at], content[:at], content[at:], b"", b"\n")))


def bytes_flipped(rng: Rng, content: bytes) -> Spoilt:
    """A few bytes changed by chance."""
    raw = bytearray(content or b" ")
    for _ in range(rng.choice([1, 1, 2, 5])):
        raw[rng.randrange(len(raw))] = rng.randrange(256)
    return Spoilt(bytes(raw))


def letters_lost(rng: Rng, content: bytes) -> Spoilt:
    """A sign put in or left out, as a finger slips."""
    text = text_of(content)
    at = rng.randrange(len(text) + 1)
    sign = rng.choice(
        ["", "", '"', "'", "[", "]", "{", "}", "=", ",", ".", "#", "\\", " ", "\n", "\x07"]
    )
    return spoilt([text[:at] + sign + text[at + 1 :]])
