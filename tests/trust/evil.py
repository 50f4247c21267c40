"""Words that would do harm if a program obeyed them, and a scenario in which every name is one."""

from __future__ import annotations

import json
import re
from itertools import cycle
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[2]
# Whoever obeys one of the last leaves a file called owned.
WORDS: Final = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</title></style><svg onload=alert(1)>",
    "&lt;b&gt; *bold* _it_ `code`",
    "[x](javascript:alert(1)) ![y](http://a.invalid/y.png)",
    '=HYPERLINK("http://a.invalid")',
    "+1+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(1+1)",
    '#read("/etc/hostname") $x^2$ #{1}',
    "{0.__class__.__mro__} {{7*7}} {% x %} %(a)s %n",
    "\\write18{touch owned} \\u{41}",
    "$(touch owned) `touch owned`; touch owned",
    '"; import os; os.system("touch owned"); "',
    "'); __import__('os').system('touch owned') #",
    "../../../owned",
)
_NAMES: Final = re.compile(
    r'^(\s*(?:name|title|prepared_for|prepared_by|secured_by|source)\s*= )"([^"]+)"', re.MULTILINE
)


def evil_scenario(folder: Path) -> Path:
    """The long scenario with evil words for every name and title, wherever it is referred to."""
    text = (ROOT / "scenarios" / "larkspur-lane.toml").read_text("utf-8")
    sheet = (ROOT / "scenarios" / "larkspur-lane-test-prints.csv").read_text("utf-8")
    words = cycle(WORDS)
    for at, name in enumerate(dict.fromkeys(found[1] for found in _NAMES.findall(text))):
        text = text.replace(f'"{name}"', json.dumps(f"{next(words)} {at}"))
    for at, name in enumerate(re.findall(r"^([^,\n]+),\d", sheet, re.MULTILINE)):
        word = f"{next(words)} {at}"
        text = text.replace(f'"{name}"', json.dumps(word))
        sheet = sheet.replace(f"{name},", '"' + word.replace('"', '""') + '",')
    text = text.replace("larkspur-lane-test-prints.csv", "prints.csv")
    sheet = re.sub(r"artwork/[\w-]+\.png", "", sheet)
    folder.mkdir(parents=True, exist_ok=True)
    scenario = folder / "it's; $(touch owned) {x} 'y'.toml"
    scenario.write_text(text, encoding="utf-8")
    (folder / "prints.csv").write_text(sheet, encoding="utf-8")
    return scenario
