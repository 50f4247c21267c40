"""Mutation testing: faults put into source files one at a time, and whether tests notice them.

Files that are named are tried in full. Without a name those in which payback, cover, capacity and
film layout are worked out are tried in full, and the others of their rooms by sample.
"""

from __future__ import annotations

import argparse
import os
import sys
import tomllib
from collections.abc import Collection, Sequence
from pathlib import Path
from typing import Final, NamedTuple

from .mutants import Mutant, module_of, mutants
from .targets import IN_FULL, NTH, SAMPLED
from .trial import trials, unspoilt, warm

ROOT: Final = Path(__file__).parents[2]
REASONS: Final = Path(__file__).parent / "survivors.toml"
LISTED: Final = IN_FULL | SAMPLED
KILLED_AT_LEAST: Final = 0.9


class Outcome(NamedTuple):
    """How many mutants were tried, noticed, and survived with a reason and without."""

    tried: int
    killed: int
    with_reason: int
    without: int

    def __str__(self) -> str:
        return ", ".join(map(str, self))


def main() -> int:
    """Try the files asked for; 1 where too few mutants are killed or a reason lacks or is stale."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("files", nargs="*", metavar="FILE", help="files to try in full")
    parser.add_argument("--workers", type=int, default=2, help="processes at a time (2)")
    asked = parser.parse_args()
    if unlisted := set(asked.files) - set(LISTED):
        parser.error(f"not in tests/mutation/targets.py: {', '.join(sorted(unlisted))}")
    os.nice(10)
    os.chdir(ROOT)
    reasons = tomllib.loads(REASONS.read_text(encoding="utf-8"))
    outcomes, stale = [], 0
    print("file: mutants, killed, survived with a reason, survived without")
    for path in asked.files or LISTED:
        every = mutants(path, root=ROOT)
        chosen = every if path in IN_FULL or asked.files else every[NTH // 2 :: NTH]
        known = reasons.get(path, {}).keys()
        for name in sorted(known - {one.name for one in every}):
            stale += 1
            print(f"    {path}: a reason for what is not there: {name}")
        outcomes.append(_tried(path, chosen, known, workers=asked.workers))
        print(f"{path}: {outcomes[-1]}", flush=True)
    total = Outcome(*map(sum, zip(*outcomes, strict=True)))
    share = total.killed / total.tried
    print(f"all: {total}; {share:.1%} killed")
    return int(total.without > 0 or stale > 0 or share < KILLED_AT_LEAST)


def _tried(path: str, chosen: Sequence[Mutant], known: Collection[str], *, workers: int) -> Outcome:
    """Try mutants of one file with its tests; those that survive without a reason are shown."""
    tests = LISTED[path]
    warm(tests, module=module_of(path), root=ROOT)
    if code := unspoilt(tests):
        sys.exit(f"{path}: its tests fail without a fault (they end with {code})")
    with_reason = without = 0
    for one, survived in trials(chosen, tests, workers=workers):
        if survived and one.name in known:
            with_reason += 1
        elif survived:
            without += 1
            print(f"    {path}:{one.line}: {one.name}", flush=True)
    return Outcome(len(chosen), len(chosen) - with_reason - without, with_reason, without)


if __name__ == "__main__":
    sys.exit(main())
