"""The picture of the test prints by its structure, and what is said of them beside it."""

from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from helpers import BARE, shipped_answer
from matplotlib.axes import Axes
from reading_charts import (
    DE,
    US,
    assert_bare,
    assert_numbers_are_in_the_alternative,
    assert_readable,
    assert_same_bytes,
    texts,
)

from planner.decide.answer import AnswerPage, answer
from planner.scenario.load import load
from planner.scenario.schema import Scenario
from planner.show import tables
from planner.show.charts import Picture, RatePanel, print_rates
from planner.show.charts.measured_prints import MOST_ROWS
from planner.show.numbers import Numbers
from planner.show.pictures import print_rates_picture
from planner.show.tables.prints import (
    design_formats,
    designs_table,
    measured_table,
    prints_table,
)
from planner.show.words.prints import (
    designs_sentence,
    outlier_sentences,
    rate_sentences,
    rates_heading,
)


def panels(count: int, apart: tuple[int, ...] = (), scale: float = 1.0) -> list[RatePanel]:
    places = np.arange(count)
    found = []
    for at, (label, unit) in enumerate(
        (("white ink", "mL/ft²"), ("colour ink", "mL/ft²"), ("powder", "g/ft²"))
    ):
        rates = scale * (2 + np.sin(7 * places + at)) / (1 + at)
        pooled = float(rates.mean())
        rates[list(apart)] *= 9
        interval = (0.8 * pooled, 1.2 * pooled) if count > 1 else None
        found.append(RatePanel(label, unit, rates.tolist(), pooled, interval, apart))
    return found


def picture(count: int, numbers: Numbers = US, name: str = "Design", **keys: object) -> Picture:
    names = [f"{name} {at}" for at in range(count)]
    return print_rates(names, panels(count, **keys), numbers=numbers)


CASES: dict[str, Callable[[], Picture]] = {
    "one": lambda: picture(1),
    "two": lambda: picture(2),
    "twelve": lambda: picture(12),
    "two apart": lambda: picture(12, apart=(3, 9)),
    "all that are shown": lambda: picture(MOST_ROWS),
    "more than are shown": lambda: picture(MOST_ROWS + 17),
    "long names": lambda: picture(12, name="A name as long as a sentence about a print"),
    "wide names": lambda: picture(12, name="W" * 40),
    "huge": lambda: picture(12, numbers=DE, scale=12345.678),
    "tiny": lambda: picture(12, numbers=DE, scale=1e-3),
    "shipped": lambda: print_rates_picture(shipped_answer("larkspur-lane")),
    "shipped, metric": lambda: print_rates_picture(shipped_answer("two-widths")),
}


@cache
def case(name: str) -> Picture:
    return CASES[name]()


def dots(axes: Axes) -> dict[int, float]:
    """The rate drawn in each row."""
    lines = [line for line in axes.lines if line.get_transform() == axes.transData]
    return {int(line.get_ydata()[0]): float(line.get_xdata()[0]) for line in lines}


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_every_word_is_readable(name: str) -> None:
    assert_readable(case(name).figure)


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_no_title_no_legend_and_every_dot_within_its_panel(name: str) -> None:
    assert_bare(case(name).figure)
    drawn = case(name).figure.axes
    assert len(drawn) == 3
    for axes in drawn:
        assert axes.get_xlim()[0] == 0
        assert all(0 <= rate <= axes.get_xlim()[1] for rate in dots(axes).values())


@pytest.mark.long
@pytest.mark.parametrize("name", CASES)
def test_the_text_alternative_says_what_the_picture_says(name: str) -> None:
    assert_numbers_are_in_the_alternative(case(name))


def test_rows_are_sorted_by_the_first_rate_and_shared_by_the_panels() -> None:
    given = panels(12)
    drawn = case("twelve").figure.axes
    order = sorted(range(12), key=lambda at: -given[0].rates[at])
    assert [tick.get_text() for tick in drawn[0].get_yticklabels()] == [
        f"Design {at}" for at in order
    ]
    for axes, panel in zip(drawn, given, strict=True):
        assert dots(axes) == {row: panel.rates[at] for row, at in enumerate(order)}


def test_line_and_band_are_the_pooled_rate_and_its_interval() -> None:
    for axes, panel in zip(case("twelve").figure.axes, panels(12), strict=True):
        (line,) = [line for line in axes.lines if line.get_transform() != axes.transData]
        assert set(line.get_xdata()) == {panel.pooled}
        (band,) = axes.patches
        ends = band.get_x(), band.get_x() + band.get_width()
        assert ends == pytest.approx(panel.interval)
    assert not case("one").figure.axes[0].patches


def test_prints_that_lie_apart_are_marked_and_named() -> None:
    given, drawn = panels(12, apart=(3, 9)), case("two apart")
    for at in (3, 9):
        said = f"Design {at} lies apart with white ink {US.plain(given[0].rates[at])} mL/ft²"
        assert said in drawn.alt
    words = [text.get_text() for text in texts(drawn.figure)]
    assert f"apart: {US.plain(given[2].rates[9])}" in words
    markers = [line.get_marker() for line in drawn.figure.axes[0].lines]
    assert markers.count("s") == 2
    assert "apart" not in case("twelve").alt


def test_of_more_than_forty_prints_the_first_forty_are_shown_and_that_is_said() -> None:
    drawn = case("more than are shown")
    said = f"the first {MOST_ROWS} of {MOST_ROWS + 17} prints"
    assert drawn.figure.axes[0].get_ylabel() == said
    assert said in drawn.alt
    names = {tick.get_text() for tick in drawn.figure.axes[0].get_yticklabels()}
    assert names == {f"Design {at}" for at in range(MOST_ROWS)}
    assert case("all that are shown").figure.axes[0].get_ylabel() == ""


def test_a_rate_is_needed_for_each_print() -> None:
    with pytest.raises(ValueError, match="rates of 'white ink': must be one for each print"):
        print_rates(["A", "B"], panels(3), numbers=US)


def test_two_renders_are_byte_identical() -> None:
    assert_same_bytes(CASES["two apart"])


# ---------------------------------------------------------------- words and tables

HEADER = (
    "design,width [cm],height [cm],wanted width [cm],wanted height [cm],copies,white [mL],"
    "colour [mL],before powder [g],after powder [g]\n"
)
# 0.1 m² each: 20 mL of white and 10 mL of colour ink and 10 g of powder a square metre
PRINT = "{},20,50,,,1,{},1,50,51\n"
PRICED = {"units": "metric", "ink.price": "100 USD/L", "film.may_turn": True}


Answers = Callable[[str], AnswerPage]


@pytest.fixture
def page(tmp_path: Path) -> Answers:
    """Answers the bare shop with a sheet of its own."""

    def answers(rows: str) -> AnswerPage:
        (tmp_path / "bare.toml").write_text(BARE, encoding="utf-8")
        (tmp_path / "bare.csv").write_text(HEADER + rows, encoding="utf-8")
        return answer(load(tmp_path / "bare.toml", changes=PRICED))

    return answers


def rows(*white: float) -> str:
    return "".join(PRINT.format(f"Design {at}", ink) for at, ink in enumerate(white))


def test_one_print_is_said_plainly(page: Answers) -> None:
    one = page(rows(2.0))
    assert rates_heading(one) == "One print gives a rate and no range"
    (said,) = rate_sentences(one)
    assert "white ink 20 mL/m², colour ink 10 mL/m² and powder 10 g/m²" in said
    assert list(outlier_sentences(one)) == [
        "Fewer than 3 prints: none can be held against the others."
    ]
    frame = measured_table(one)
    assert frame["rate"].tolist() == pytest.approx([20, 10, 10])
    for column in ("standard error", "95 % from", "95 % to", "more prints for ±15 %"):
        assert frame[column].isna().all()


def test_an_interval_is_said_in_words(page: Answers) -> None:
    """OpenStax, Introductory Statistics 8.2: fifteen values, 95 % from 7.30 to 9.15."""
    values = (8.6, 9.4, 7.9, 6.8, 8.3, 7.3, 9.2, 9.6, 8.7, 11.4, 10.3, 5.4, 8.1, 5.5, 6.9)
    fifteen = page(rows(*(value / 10 for value in values)))
    white, colour, _ = rate_sentences(fifteen)
    assert white == (
        "White ink: 8.23 mL/m² over 15 prints, with 95% confidence between 7.3 mL/m² and "
        "9.15 mL/m² (±11%). That is within ±15%."
    )
    assert "(±0%)" in colour
    assert rates_heading(fifteen).startswith("15 test prints tell white ink to ±11%, colour")
    first = measured_table(fifteen).iloc[0]
    assert (first["95 % from"], first["95 % to"]) == pytest.approx((7.30, 9.15), abs=0.005)
    assert first["more prints for ±15 %"] == 0


def test_a_wide_interval_says_how_many_more_prints(page: Answers) -> None:
    # 40, 50, 60: seven more (worked out in tests/usage/test_rates.py)
    white, _, _ = rate_sentences(page(rows(4.0, 5.0, 6.0)))
    assert white.endswith("(±50%). About 7 more prints like these would bring it to ±15%.")


def test_a_print_apart_is_named_everywhere(page: Answers) -> None:
    slip = page(rows(2.0, 2.2, 1.8, 2.1, 1.9, 20.0))
    assert rates_heading(slip) == "Design 5 lies apart from the other prints"
    said, note = outlier_sentences(slip)
    assert said.startswith("Design 5 lies apart: white ink 200 mL/m², where the other prints")
    assert "Without it the rate is 20 mL/m² instead of 50 mL/m²." in said
    assert "it is not dropped" in said
    assert "by chance" in note
    assert prints_table(slip)["lies apart"].tolist() == ["no"] * 5 + ["white ink"]
    assert "Design 5 lies apart with white ink 200 mL/m²" in print_rates_picture(slip).alt
    assert measured_table(slip)["rate"][0] == pytest.approx(50)


def test_prints_that_agree_are_said_to(page: Answers) -> None:
    (note,) = outlier_sentences(page(rows(2.0, 2.2, 1.8, 2.1)))
    assert note.startswith("No print lies outside what the others lead one to expect.")


def test_the_table_of_prints_holds_their_own_rates() -> None:
    found = prints_table(shipped_answer("larkspur-lane"))
    first = found.iloc[0]  # 2 × 10.5 in × 12.5 in: 6.12 and 2.49 mL, 1.89 g
    area = 2 * 10.5 * 12.5 / 144
    assert first["area of all copies [ft²]"] == pytest.approx(area)
    assert first["white ink [mL/ft²]"] == pytest.approx(6.12 / area)
    assert first["colour ink [mL/ft²]"] == pytest.approx(2.49 / area)
    assert first["powder on the film [g/ft²]"] == pytest.approx(1.89 / area)
    assert "white ink [mL/m²]" in prints_table(shipped_answer("two-widths"))


def test_designs_are_costed_and_averaged(page: Answers) -> None:
    # ink at 100 a litre: 3 mL of 0.1 m² cost 0.30; double the area wanted, 0.60; film for nothing
    wanted = PRINT.format("Flag", 2.0).replace("50,,", "50,40,50")
    both = page(rows(2.0) + wanted)
    frame = designs_table(both)
    assert frame["design"].tolist() == ["Design 0", "Flag", "Average"]
    assert frame["size"].tolist() == [
        "20 cm x 50 cm, as measured", "40 cm x 50 cm, wanted", "one of each",
    ]  # fmt: skip
    assert frame["laid out [USD]"].tolist() == pytest.approx([0.30, 0.60, 0.45])
    assert frame["by area only [USD]"].tolist() == pytest.approx([0.30, 0.60, 0.45])
    assert set(design_formats(both)) < set(frame.columns)
    assert designs_sentence(both) == (
        "Ink, film and powder of one of each design cost $0.45 a print on average, $0.45 by area "
        "only; from $0.30 for Design 0 to $0.60 for Flag."
    )


def test_a_design_that_does_not_fit_says_so(page: Answers) -> None:
    wide = PRINT.format("Banner", 2.0).replace("50,,", "50,101,102")
    both = page(rows(2.0) + wide)
    row = designs_table(both).iloc[1]
    assert row["size"] == "1.01 m x 1.02 m: wider than the film"
    assert row.isna().sum() == 5
    assert designs_sentence(both).endswith(
        "Banner is wider than the film, and is not in the average."
    )
    assert designs_sentence(page(wide)) == "No design has a cost: Banner is wider than the film."


def test_a_sheet_of_areas_has_no_design_to_cost(bare: Callable[[], Scenario]) -> None:
    areas = answer(bare())
    assert designs_sentence(areas) == (
        "No design has a cost: the sheet gives areas, and no size at which one is wanted."
    )
    (row,) = designs_table(areas).to_dict("records")
    assert [value for value in row.values() if value is not None] == ["Average", "one of each"]


def test_the_tables_offer_the_measured_rates() -> None:
    assert tables.measured_table is measured_table
