"""What stands on each page of the lender's file, block by block, as plain text for the template."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import pandas as pd

from planner.decide.answer import AnswerPage
from planner.decide.lending import Lending
from planner.decide.rests_on import followed, of_choice
from planner.decide.risk.answer import Risk
from planner.decide.stress import stress_lines
from planner.scenario.notices import costs_left_out
from planner.show import lender, pictures, tables, words
from planner.show.charts import Picture
from planner.show.keyed import cost_words, read_out
from planner.show.style import to_svg
from planner.show.tables import cents_by_product, print_table
from planner.usage.print_doubts import every_doubt

MISSING = "none"  # how a cell without a figure is shown
UPRIGHT = 6  # columns of money that an upright page holds
Json = dict[str, Any]
Formats = Mapping[str, Callable[[float], str]]


def page_one(page: AnswerPage, shown: Lending) -> list[Json]:
    """The sections of page one, in the order in which a lender asks."""
    covers = lender.cover_lowest_table(page, shown)
    can_pay = (
        lender.letters_sentence(page),
        lender.minimum_sentence(page, shown),
        lender.room_sentence(page, shown),
        lender.balance_sentence(page, shown),
    )
    return [
        _section("What is asked for", _facts(lender.request_table(page, shown))),
        _section(
            "Can the shop pay?",
            _table(covers, widths=(1.5, *[1] * (len(covers.columns) - 1))),
            _words(*can_pay),
        ),
        _section(
            "When does it come back?", _table(lender.payback_table(page, shown), widths=(1, 1.6))
        ),
        _section("If it fails", _facts(lender.failing_table(page, shown))),
        _section(
            "Where the money goes and comes from",
            {
                "kind": "pair",
                "blocks": [
                    _amounts(lender.uses_table(page, shown)),
                    _amounts(lender.sources_table(page, shown)),
                ],
            },
        ),
        _section(
            "What matters most, and where the numbers come from",
            _matters(page, shown),
            _words(lender.matters_sentence(page), lender.bases_sentence(shown)),
        ),
        *_papers(shown),
    ]


def _papers(shown: Lending) -> Iterator[Json]:
    frame = lender.enclosed_table(shown)
    if len(frame):
        asks = lender.TO_ASK in set(frame["papers"])
        yield _section("Papers, and what to ask" if asks else "Papers", _facts(frame))


def _matters(page: AnswerPage, shown: Lending) -> Json:
    if not shown.influential:
        return _words(
            "No input has a range or is a guess, so that none can be said to matter most."
        )
    return _table(lender.influential_table(page, shown), widths=(2.2, 1.2, 1.1, 0.9, 1.4, 1.3))


def appendix(page: AnswerPage, shown: Lending, found: Risk | None = None) -> list[Json]:
    """The sections after page one, numbered in their order."""
    return [
        section | {"heading": f"A{number} {section['heading']}"}
        for number, section in enumerate(_appendix(page, shown, found), 1)
    ]


def _appendix(page: AnswerPage, shown: Lending, found: Risk | None) -> Iterator[Json]:
    yield _section("What lenders ask for, and where it stands", *_contents(), new_page=True)
    yield _section("What is bought", _bought(page))
    yield _section("What a piece costs and sells for", *_pieces(page))
    yield _cash("Cash flow of the first year by month", lender.cash_by_month_table(page), page)
    yield _cash("Cash flow to the horizon by fiscal year", lender.cash_by_year_table(page), page)
    yield _section("Debts of the shop and their cover", *_debts(page, shown))
    yield _section(
        words.cash_heading(page, page.best), _picture(pictures.cash_flow_picture(page, page.best))
    )
    yield _section(_schedule_heading(page), *_schedule(page))
    yield _section("Resale value against the balance", *_resale(page, shown))
    yield from _earned(page)
    yield _section("Under stress", *_stress(page), whole=True, size=9)
    yield _section("Capacity, warranty and repairs", *_month(page))
    yield _section("Every number that this rests on", *_assumptions(page))
    if found is not None:
        yield _section("What cases drawn from the ranges come to", *_drawn(page, found))
    yield _section("Cautions", *_cautions(page))


# --- sections of the appendix -------------------------------------------------------------------


def _contents() -> Iterator[Json]:
    rows = [
        ("Amount, purpose and terms", "page 1, What is asked for"),
        ("Use of the money", "page 1, Where the money goes and comes from; A2"),
        ("Ability to repay", "page 1, Can the shop pay?; A6"),
        ("Projections by month for a year, and beyond", "A4 and A5; charts in A7, A10 and A11"),
        ("Capacity, warranty and repairs", "A13"),
        ("Assumptions of the projections", "page 1, What matters most; A14"),
        ("Collateral and guarantees", "page 1, If it fails; A9"),
        ("Debts of the business and their schedule", "A6 and A8"),
        ("History of the business, its statements, its owners", "page 1, Papers: not in this file"),
    ]
    yield _table(pd.DataFrame(rows, columns=["asked for", "where"]), widths=(1, 1.2))
    yield _words(
        "The list follows 13 CFR 120.191 (United States) and the agency's public checklist. Other "
        "lenders ask for other papers, and editions change."
    )


def _bought(page: AnswerPage) -> Json:
    frame = lender.equipment_table(page)
    return _table(frame, widths=(2.4, 0.7, 1.4, 1.2, 1.9, 0.9, 1.5), size=0.88)


def _pieces(page: AnswerPage) -> Iterator[Json]:
    costs = print_table(page)
    for some in _parts(costs, most=5):
        widths = (1.3, *[1] * (len(some.columns) - 1))
        strong = range(len(costs) - 3, len(costs))
        yield _table(some, cents_by_product(page), widths=widths, size=0.88, strong=strong)
    prices = lender.price_list_table(page)
    yield _table(prices, widths=(2, 1.3, 1, 0.9, 1, 1.6, 1), size=0.88)


def _earned(page: AnswerPage) -> Iterator[Json]:
    """From which volume the purchase earns, and what by month."""
    best = page.best
    yield _section(
        words.break_even_heading(page, best),
        _picture(pictures.break_even_picture(page, best)),
        _words(*words.break_even_sentences(page, best)),
    )
    yield _section(
        words.payback_heading(page, best), _picture(pictures.payback_picture(page, best))
    )


def _cash(heading: str, frame: pd.DataFrame, page: AnswerPage) -> Json:
    """The projected cash flow, its totals strong; on a wide page where its columns ask for one."""
    totals = (lender.NET, lender.CHANGE, lender.BALANCE)
    strong = [place for place, line in enumerate(frame["line"]) if line in totals]
    formats = lender.cash_formats(page, frame)
    is_wide = len(frame.columns) - 1 > UPRIGHT
    tables = []
    for some in _parts(frame, most=14):
        columns = len(some.columns) - 1
        size, label = (0.8, 3.9) if columns > 8 else (0.9, 2.5)
        widths = (label, *[1] * columns)
        tables.append(_table(some, formats, widths=widths, size=size, strong=strong))
    return _section(heading, _words(lender.cash_note(page)), *tables, wide=is_wide)


def _debts(page: AnswerPage, shown: Lending) -> Iterator[Json]:
    debts = lender.debts_table(page, shown)
    if shown.prior_claims is None:
        yield _words(f"Debts that the shop has today: {lender.NOT_STATED}.")
    if len(debts):
        yield _table(debts, lender.formats(page, debts, cents=True), widths=(2, 1, 1.2, 1, 1.2, 1))
    cover = lender.cover_by_year_table(page, shown)
    yield _words(
        "Cover is the cash flow of a year divided by the payments of principal, interest and rent "
        "in it; years run from signing."
    )
    for some in _parts(cover, most=10):
        yield _table(some, lender.formats(page, some), size=0.9)


def _schedule_heading(page: AnswerPage) -> str:
    is_loan = page.best.choice.financing.kind == "loan"
    return "Schedule of the loan" if is_loan else "Schedule of payments"


def _schedule(page: AnswerPage) -> Iterator[Json]:
    frame = lender.schedule_table(page)
    yield _words(words.RATE_NOTE)
    formats = lender.formats(page, frame, cents=True)
    widths = (0.6, *[1] * (len(frame.columns) - 1))
    yield _table(frame, formats, widths=widths, size=0.86, strong=[len(frame) - 1])


def _resale(page: AnswerPage, shown: Lending) -> Iterator[Json]:
    frame = lender.resale_table(page, shown)
    if not len(frame):
        yield _words(
            f"Lending value: {lender.NOT_STATED}, for no loan is secured on the equipment."
        )
        return
    widths = (0.6, 1, 1.1, 1.1, 1, 1.5, 1.2)
    yield _table(frame, lender.formats(page, frame), widths=widths, size=0.9)


def _stress(page: AnswerPage) -> Iterator[Json]:
    lines = stress_lines(page.case, page.best.choice)
    frame = lender.stress_table(page, lines)
    yield _table(frame, lender.formats(page, frame), widths=(2.9, 3, 1.25, 1.25, 0.95, 1.05))
    yield _words("Each line changes one thing, the last all of them.")
    yield _table(lender.changes_table(lines), widths=(1, 2.4))


def _drawn(page: AnswerPage, found: Risk) -> Iterator[Json]:
    """What many cases drawn from the ranges come to."""
    yield _words(*words.risk_sentences(page, found))
    if found.choices:
        ranges = tables.ranges_table(page, found).iloc[:, :4]
        yield _table(ranges, widths=(2.3, 1.3, 1.3, 1.3), size=0.86)
        chances = tables.chances_table(page, found).iloc[:, :2]
        yield _table(chances, widths=(1.6, 1), size=0.86)


def _month(page: AnswerPage) -> Iterator[Json]:
    best = page.best
    yield _words(
        words.served_sentence(page, best),
        words.hours_sentence(page),
        f"{words.make_or_buy_sentence(page, best)} {words.make_or_buy_note(page, best)}",
    )
    yield _picture(pictures.station_picture(page, best))
    yield _words(*words.warranty_sentences(page, best))
    for some in _parts(tables.warranty_table(page, best), most=7):
        formats = tables.warranty_formats(page, best)
        widths = (1.6, *[1] * (len(some.columns) - 1))
        yield _table(some, formats, widths=widths, size=0.86)


def _assumptions(page: AnswerPage) -> Iterator[Json]:
    frame = lender.assumptions_table(page)
    rows: list[list[str]] = []
    for holder, own in lender.grouped_assumptions(frame).items():
        rows += [[holder], *own]
    yield _table(frame, widths=(2.4, 1, 0.8, 0.8, 1.2, 1, 2.4), size=0.9) | {"rows": rows}
    yield _table(lender.choices_table(page), widths=(2.2, 1.6, 0.7), size=0.9)
    if derived := followed(page.scenario, page.best.choice):
        lead = "Defaults that follow from another number:"
        yield _list([*map(read_out, derived)], lead=lead)
    yield _words(lender.rule_sentence(page.scenario))


def _cautions(page: AnswerPage) -> Iterator[Json]:
    yield _list(words.CAUTIONS)
    scenario, choice = page.scenario, page.best.choice
    if doubtful := of_choice(every_doubt(scenario), scenario, choice):
        yield _list([*map(read_out, doubtful)], lead="Inputs that are doubtful:")
    if left_out := of_choice(costs_left_out(scenario), scenario, choice):
        lead = "Costs that the scenario says nothing of, and that stand at zero:"
        yield _list([*map(cost_words, left_out)], lead=lead)


# --- blocks -------------------------------------------------------------------------------------


def _section(
    heading: str,
    *blocks: Json,
    new_page: bool = False,
    wide: bool = False,
    whole: bool = False,
    size: float | None = None,
) -> Json:
    """A section and its blocks, its words set at ``size`` [pt] where that is not the file's own.

    One that is ``whole`` stands on one page, if a page can hold it.
    """
    said: Json = {"heading": heading, "blocks": list(blocks), "size": size}
    return said | {"new-page": new_page, "wide": wide, "whole": whole}


def _words(*said: str) -> Json:
    return {"kind": "words", "words": list(said)}


def _list(said: Sequence[str], *, lead: str = "") -> Json:
    """A list under the words that lead to it."""
    return {"kind": "list", "lead": lead, "words": list(said)}


def _facts(frame: pd.DataFrame) -> Json:
    return {"kind": "facts", "rows": frame.to_numpy().tolist()}


def _picture(picture: Picture) -> Json:
    svg = to_svg(picture.figure, title=picture.name, description=picture.alt)
    return {"kind": "picture", "svg": svg.decode("utf-8"), "alt": picture.alt}


def _table(
    frame: pd.DataFrame,
    formats: Formats | None = None,
    *,
    widths: Sequence[float] | None = None,
    size: float = 1.0,
    strong: Sequence[int] = (),
) -> Json:
    """A table of a frame; numbers stand to the right, ``widths`` [-] share out the page's."""
    writers = [(formats or {}).get(column) for column in frame.columns]
    return {
        "kind": "table",
        "head": [str(column) for column in frame.columns],
        "rows": [
            [_cell(value, write) for value, write in zip(row, writers, strict=True)]
            for row in frame.itertuples(index=False, name=None)
        ],
        "align": ["right" if write else "left" for write in writers],
        "widths": list(widths) if widths else [1, *[None] * (len(writers) - 1)],
        "size": size,
        "strong": list(strong),
    }


def _parts(frame: pd.DataFrame, *, most: int) -> Iterator[pd.DataFrame]:
    """A table too wide for a page as several, each with the first column and some of the others."""
    first, *others = frame.columns
    for at in range(0, len(others), most):
        yield frame[[first, *others[at : at + most]]]


def _amounts(frame: pd.DataFrame) -> Json:
    """Amounts with their sum in the last row."""
    table = _table(frame, size=1.0, strong=[len(frame) - 1])
    return table | {"align": ["left", "right"]}


def _cell(value: Any, write: Callable[[float], str] | None) -> str:
    if pd.isna(value):
        return MISSING
    return write(value) if write else str(value)
