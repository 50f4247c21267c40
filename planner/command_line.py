"""What every command shares: wrong usage said in one line, files named, examples, exit codes."""

from __future__ import annotations

import difflib
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final
from unicodedata import category

import typer
from typer.core import TyperGroup
from typer.exceptions import TyperException

DONE: Final = 0
FAILED: Final = 1
WRONG: Final = 2
EXIT_CODES: Final = """\b
Exit codes:
  0    done
  1    something failed on the way
  2    the command, a file or a number in it is wrong
  130  stopped with Ctrl-C"""


class NoSuchFileError(TyperException):
    """Files that are named and not there."""

    exit_code = WRONG


class Commands(TyperGroup):
    """The commands: without a word they show their help, and wrong usage is one line."""

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        windows_expand_args: bool = True,
        **extra: Any,
    ) -> Any:
        """Run a command and exit with its code; Ctrl-C gives 130."""
        words = sys.argv[1:] if args is None else list(args)
        try:
            code = super().main(
                words or ["--help"],
                prog_name or "planner",
                complete_var,
                False,
                windows_expand_args,
                **extra,
            )
        except TyperException as error:
            print(_said(error, words), file=sys.stderr)
            code = error.exit_code
        sys.exit(code or DONE)


def _said(error: TyperException, words: Sequence[str]) -> str:
    """What is wrong with a command line and what may have been meant, in one line."""
    context = getattr(error, "ctx", None)
    command = context.command_path if context is not None else "planner"
    message = " ".join(error.format_message().split()).rstrip(".")
    if isinstance(error, NoSuchFileError) or "?" in message:
        return f"{command}: {message}"
    if words and words[0].lower().endswith(".toml"):
        return f"{command}: {message}; did you mean: planner figures {words[0]}?"
    return f"{command}: {message}; {command} --help says more"


def speak_utf8() -> None:
    """Let what is printed hold any character, whatever the locale; a terminal may show "?"."""
    for stream in (sys.stdout, sys.stderr):
        if stream.isatty():
            stream.reconfigure(errors="replace")  # type: ignore[union-attr]
        else:
            stream.reconfigure(encoding="utf-8")  # type: ignore[union-attr]


def examples(*lines: str) -> str:
    """Example commands for the end of a help text, one a line."""
    return "\n".join(("\b", "Examples:", *(f"  {line}" for line in lines)))


def scenario_argument(metavar: str, help: str) -> Any:
    """An argument that names scenario files: they must be there, and a shell completes them."""
    return typer.Argument(metavar=metavar, help=help, callback=_there, autocompletion=scenarios_for)


def scenarios_for(incomplete: str) -> list[str]:
    """Paths of scenario files that begin with what is typed; empty where there is none."""
    folder, slash, _ = incomplete.rpartition("/")
    try:
        names = sorted(entry.name for entry in Path(folder + slash or ".").iterdir())
    except OSError:
        return []
    paths = [f"{folder}{slash}{name}" for name in names if name.endswith(".toml")]
    return [path for path in paths if path.startswith(incomplete)]


def _there(given: Any) -> Any:
    """The files named, unless one is not there or would steer the terminal by its name."""
    paths = [path for path in (given if isinstance(given, list) else [given]) if path is not None]
    if odd := [path for path in paths if any(category(sign) == "Cc" for sign in str(path))]:
        raise NoSuchFileError(
            f"a file's name must hold no control characters (got {str(odd[0])!r})"
        )
    missing = [path for path in paths if not os.path.exists(path)]
    if missing:
        raise NoSuchFileError("; ".join(_missing(path) for path in missing))
    return given


def _missing(path: Path) -> str:
    """That a file is not there, and which one may be meant."""
    beside = [Path(name).name for name in scenarios_for(f"{path.parent}/")]
    near = difflib.get_close_matches(path.name, beside, n=1)
    shown, meant = (
        "".join(c if c.isprintable() else "\ufffd" for c in str(way)[:200])
        for way in (path, path.with_name(near[0]) if near else path)
    )
    hint = f"did you mean {meant}?" if near else f"planner new {shown} writes one"
    return f"there is no file {shown}; {hint}"
