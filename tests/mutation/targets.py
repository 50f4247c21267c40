"""Which files are tried with which tests: those that ought to notice, the quickest first."""

from __future__ import annotations

from typing import Final

# Every mutant of these: payback, debt service cover, capacity, film layout.
IN_FULL: Final = {
    "planner/finance/series.py": ("tests/finance/test_series.py",),
    "planner/finance/cover.py": ("tests/finance/test_cover.py",),
    "planner/decide/cover.py": ("tests/decide/test_debt_cover.py",),
    "planner/shop/capacity.py": (
        "tests/shop/test_capacity.py",
        "tests/shop/test_several_machines.py",
        "tests/shop/test_people_and_press.py",
    ),
    "planner/shop/stations.py": (
        "tests/shop",
        "tests/plan/test_press_only.py",
        "tests/decide/test_months.py",
        "tests/test_expected.py",
    ),
    "planner/usage/layout.py": ("tests/usage/test_layout.py",),
}

# Every sixteenth mutant of the other files of the four rooms.
NTH: Final = 16
_FINANCE: Final = {
    name: tuple(f"tests/finance/test_{test}.py" for test in tests)
    for name, tests in {
        "annuity": ("annuity",),
        "apr": ("apr",),
        "debt": ("loan", "lease"),
        "depreciation": ("depreciation",),
        "lease": ("lease",),
        "loan": ("loan",),
        "roots": ("roots", "series"),
        "tax": ("tax",),
        "types": ("loan", "lease"),
    }.items()
}
_USAGE: Final = {
    "artwork": ("tests/usage/test_artwork.py",),
    "designs": ("tests/usage/test_designs.py",),
    "ink_fit": ("tests/usage/test_ink_fit.py",),
    "materials": (
        "tests/usage/test_rules_of_thumb.py",
        "tests/usage/test_layout.py",
        "tests/shop/test_month.py",
    ),
    "print_doubts": ("tests/usage/test_print_doubts.py",),
    "test_prints": ("tests/usage/test_rules_of_thumb.py", "tests/usage/test_rates.py"),
}
_SHOP: Final = dict.fromkeys(
    (
        *("buying", "calendar", "costs", "energy", "labour", "machine", "month", "ratio"),
        *("repairs", "total", "upkeep", "volume", "work"),
    ),
    ("tests/shop", "tests/test_expected.py"),
) | {"repairs": ("tests/shop", "tests/risk/test_failures.py", "tests/risk/test_known_answers.py")}
_DECIDE: Final = {
    name: (*(f"tests/decide/test_{test}.py" for test in tests), "tests/test_expected.py")
    for name, tests in {
        "answer": ("verdicts",),
        "asking": ("jobs",),
        "breakeven": ("crossings", "textbooks", "buy_in_prices"),
        "buy_in_prices": ("buy_in_prices",),
        "cash": ("debt_cover",),
        "collateral": ("debt_cover",),
        "conditions": ("debt_cover", "verdicts"),
        "contract": ("contract",),
        "curves": ("buy_in_prices", "curves"),
        "electrical": ("months",),
        "evaluation": ("debt_cover", "verdicts"),
        "figures": ("reasons", "textbooks", "verdicts"),
        "film": ("film",),
        "grid": ("grid",),
        "hinge": ("hinge",),
        "job": ("jobs", "price_list"),
        "lending": ("lending",),
        "months": ("months",),
        "paying": ("ways_to_pay_compared",),
        "price_list": ("price_list",),
        "prints": ("print_costs",),
        "projection": ("lending",),
        "ranking": ("sensitivity",),
        "rests_on": ("lending",),
        "sensitivity": ("sensitivity",),
        "solve": ("crossings", "textbooks"),
        "steady": ("verdicts", "textbooks", "crossings", "print_costs"),
        "stress": ("stress",),
        "supplies": ("months",),
        "turning": ("turning",),
        "verdict": ("verdicts", "hinge"),
        "warranties": ("warranties",),
    }.items()
}
SAMPLED: Final = {
    f"planner/{room}/{name}.py": tests
    for room, files in (
        *(("finance", _FINANCE), ("usage", _USAGE)),
        *(("shop", _SHOP), ("decide", _DECIDE)),
    )
    for name, tests in files.items()
}
