"""Show a case of the fuzzer: ``python tests/trust/show_case.py 17``."""

from __future__ import annotations

import difflib
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from trust.cases import Case, case, unspoilt
from trust.judge import judged

MOST = 40  # lines of a difference


def _differences(shown: Case) -> list[str]:
    """How the files differ from those that are shipped."""
    lines: list[str] = []
    for name, content in unspoilt(shown.source).items():
        texts = [
            raw[:200_000].decode("utf-8", "backslashreplace")
            for raw in (content, shown.files[name])
        ]
        lines += difflib.unified_diff(
            *(text.splitlines() for text in texts), name, name, n=0, lineterm=""
        )
    return [line[:200] for line in lines[:MOST]]


def main(numbers: list[str]) -> None:
    """Print each case: what was spoilt, what was asked and said, what is wrong with that."""
    for number in numbers:
        shown = case(int(number))
        with tempfile.TemporaryDirectory() as folder:
            said, complaints = judged(shown, Path(folder))
        print(shown, *_differences(shown), sep="\n")
        for one in said:
            print(f"$ planner {' '.join(one.words)}   # exit code {one.code}")
            print(one.out[:2_000] + one.err[:2_000])
        print("\n".join(complaints) or "nothing is wrong with that")


if __name__ == "__main__":
    main(sys.argv[1:])
