"""The sheet of test prints: what is read, in which unit, and what is refused on which line."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.scenario.csv_sheet import LARGEST_CELL, MOST_ROWS, read_test_prints

HEADER = (
    "design,width [in],height [in],copies,white [mL],colour [mL],before powder [g],"
    "after powder [g],film fed [in]\n"
)
ROW = "Crest,10,12,2,5.5,2.5,20,21.6,12.4\n"


def faults(text: str) -> list[str]:
    return [str(fault) for fault in read_test_prints(text, name="prints.csv")[1]]


def test_a_row_is_read_into_canonical_units() -> None:
    (row,), found = read_test_prints(HEADER + ROW, name="prints.csv")
    assert not found
    assert row.design == "Crest"
    assert row.area.likely == pytest.approx(2 * 120 * 6.4516e-4)  # NIST SP 811: square inch, exact
    assert row.size is not None
    assert row.size.width.likely == pytest.approx(0.254)  # 10 × 0.0254 m
    assert (row.white.likely, row.colour.likely) == pytest.approx((0.0055, 0.0025))
    assert row.before_powder.likely == pytest.approx(0.020)
    assert row.after_powder.likely == pytest.approx(0.0216)
    assert row.film_fed is not None
    assert row.film_fed.likely == pytest.approx(12.4 * 0.0254)
    assert {cell.basis for cell in (row.area, row.white, row.copies)} == {"measured"}


def test_columns_come_in_any_order_and_unit() -> None:
    metric = (
        "after powder [kg],Copies,colour [L],white [fl oz],design,height [mm],width [cm],"
        "before powder [oz]\n0.0216,2,0.0025,1,Crest,304.8,25.4,0.5\n"
    )
    (row,), found = read_test_prints(metric, name="prints.csv")
    assert not found
    assert row.area.likely == pytest.approx(2 * 0.254 * 0.3048)
    assert row.white.likely == pytest.approx(0.02957353, abs=5e-9)  # NIST SP 811: US fluid ounce
    assert row.before_powder.likely == pytest.approx(0.01417476, abs=5e-9)  # NIST SP 811: ounce / 2
    assert row.film_fed is None


def test_an_area_stands_for_a_size_and_is_that_of_all_copies() -> None:
    text = HEADER.replace("width [in],height [in]", "area [ft^2]") + ROW.replace("10,12", "1.5")
    (row,), found = read_test_prints(text, name="prints.csv")
    assert not found
    assert row.area.likely == pytest.approx(1.5 * 0.09290304)  # NIST SP 811: square foot, exact
    assert row.size is None


def test_ink_that_was_weighed_is_poured_by_its_density() -> None:
    header = HEADER.replace("white [mL]", "white [g],white density [g/mL]")
    (row,), found = read_test_prints(header + ROW.replace("5.5", "6.6,1.2"), name="prints.csv")
    assert not found
    assert row.white.likely == pytest.approx(0.0055)  # 6.6 g at 1.2 g/mL
    assert row.colour.likely == pytest.approx(0.0025)


ALONE = HEADER.replace("before powder [g],after powder [g]", "powder [g]")


def test_powder_that_was_weighed_alone_is_one_column() -> None:
    (row,), found = read_test_prints(ALONE + ROW.replace("20,21.6", "1.6"), name="prints.csv")
    assert not found
    assert row.after_powder.likely - row.before_powder.likely == pytest.approx(0.0016)
    assert faults(ALONE + ROW.replace("20,21.6", "-1")) == [
        "prints.csv:2: powder: must not be negative (got -1)"
    ]


WANTED = HEADER.replace("\n", ",wanted width [in],wanted height [cm],artwork\n")


def test_a_wanted_size_and_an_artwork_are_read() -> None:
    (row,), found = read_test_prints(
        WANTED + ROW.strip() + ",4,5,artwork/crest.png\n", name="prints.csv"
    )
    assert not found
    assert row.wanted is not None
    assert row.wanted.width.likely == pytest.approx(4 * 0.0254)
    assert row.wanted.length.likely == pytest.approx(0.05)
    assert row.artwork == "artwork/crest.png"  # a folder beside the sheet will do
    assert row.area.likely == pytest.approx(2 * 120 * 6.4516e-4)  # as measured, not as wanted


def test_a_wanted_size_and_an_artwork_may_be_blank() -> None:
    for text in (HEADER + ROW, WANTED + ROW.strip() + ",,, \n"):
        (row,), found = read_test_prints(text, name="prints.csv")
        assert not found
        assert (row.wanted, row.artwork) == (None, None)


def test_a_size_may_be_wanted_of_a_print_given_by_area() -> None:
    text = WANTED.replace("width [in],height [in],copies", "area [in^2],copies")
    (row,), found = read_test_prints(text + "Week,2400,20,55,25,200,216,,4,5,\n", name="prints.csv")
    assert not found
    assert row.size is None
    assert row.wanted is not None
    assert row.area.likely == pytest.approx(2400 * 6.4516e-4)


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ("4,,", "wanted height: must be given where wanted width is (got nothing)"),
        (",5,", "wanted width: must be given where wanted height is (got nothing)"),
        ("0,5,", "wanted width: must be more than 0 (got 0)"),
        ("4,-5,", "wanted height: must be more than 0 (got -5)"),
        ("4,x,", 'wanted height: must be a number (got "x")'),
        (",,../crest.png", 'artwork: must be a file beside the sheet (got "../crest.png")'),
        (",,/home/crest.png", 'artwork: must be a file beside the sheet (got "/home/crest.png")'),
        (r",,C:\crest.png", r'artwork: must be a file beside the sheet (got "C:\crest.png")'),
        (r",,..\crest.png", r'artwork: must be a file beside the sheet (got "..\crest.png")'),
        (r",,\\host\c.png", r'artwork: must be a file beside the sheet (got "\\host\c.png")'),
        (
            ',,"a\nb.png"',
            "artwork: must be words, at most 200 characters on one line",
        ),
    ],
)
def test_a_wanted_size_or_artwork_that_does_not_do(cells: str, said: str) -> None:
    (line,) = faults(WANTED + ROW.strip() + "," + cells + "\n")
    assert line.startswith(f"prints.csv:2: {said}")


def test_one_wanted_side_alone_is_refused_even_without_a_column_for_the_other() -> None:
    header = HEADER.replace("\n", ",wanted width [in]\n")
    assert faults(header + ROW.strip() + ",\n") == []
    assert faults(header + ROW.strip() + ",4\n") == [
        "prints.csv:2: wanted height: must be given where wanted width is (got nothing)"
    ]


@pytest.mark.parametrize(
    ("column", "said"),
    [
        ("wanted width", 'wanted width: must carry a unit, as in "wanted width [in]"'),
        ("wanted width [g]", 'wanted width: must carry a unit like "in" (got "g")'),
        ("artwork [in]", 'artwork: must carry no unit (got "in")'),
    ],
)
def test_new_columns_carry_the_right_units(column: str, said: str) -> None:
    header = HEADER.replace("\n", f",{column}\n")
    assert faults(header + ROW.strip() + ",\n") == [f"prints.csv:1: {said}"]


def test_a_week_of_production_is_a_row_by_area_and_weight() -> None:
    text = (
        "design,area [ft^2],copies,white [kg],white density [g/mL],colour [kg],"
        "colour density [g/mL],before powder [kg],after powder [kg]\n"
        "Week 14,310,120,1.2,1.25,0.55,1.1,4.1,4.4\n"
    )
    (row,), found = read_test_prints(text, name="prints.csv")
    assert not found
    assert row.area.likely == pytest.approx(310 * 0.09290304)
    assert row.white.likely == pytest.approx(0.96)  # 1.2 kg at 1.25 kg/L
    assert row.colour.likely == pytest.approx(0.5)  # 0.55 kg at 1.1 kg/L


@pytest.mark.parametrize(
    ("header", "said"),
    [
        (HEADER.replace(",copies", ""), "(header): must have the column copies"),
        (
            HEADER.replace("before powder [g],after powder [g],", ""),
            "(header): must have the column powder (or before powder and after powder)",
        ),
        (HEADER.replace("after powder [g],", ""), "(header): must have the column after powder"),
        (HEADER.replace("before powder [g],", ""), "(header): must have the column before powder"),
        (
            HEADER.replace("before powder", "powder"),
            "powder: must stand alone: powder that was weighed by itself, or a weight before and "
            "after it (got powder and after powder)",
        ),
        (
            HEADER.replace("width [in],", ""),
            "(header): must have the column width and height (or area)",
        ),
        (HEADER.replace("white [mL]", "white"), 'white: must carry a unit, as in "white [mL]"'),
        (
            HEADER.replace("white [mL]", "white [in]"),
            'white: must carry a unit like "mL" (got "in")',
        ),
        (HEADER.replace("width [in]", "width [g]"), 'width: must carry a unit like "in" (got "g")'),
        (HEADER.replace("film fed [in]", "film fed []"), '"film fed []": must be one of'),
        (HEADER.replace("copies", "copies [m]"), 'copies: must carry no unit (got "m")'),
        (
            HEADER.replace("white [mL]", "white [oz]"),
            "(header): must have the column white density [g/mL]",
        ),
        (
            HEADER.replace("white [mL]", "white [mL],white density [g/mL]"),
            "white density: must stand only where white is weighed",
        ),
    ],
)
def test_headers_that_do_not_do(header: str, said: str) -> None:
    cells = header.count(",") + 1
    (line,) = faults(header + ",".join(["1"] * cells) + "\n")
    assert line.startswith(f"prints.csv:1: {said}")


@pytest.mark.parametrize(
    ("column", "suggestion"),
    [
        ("colur [mL]", 'did you mean "colour"?'),
        ("colour (mL)", 'write "colour [mL]"'),
        ("weight [g]", ""),
    ],
)
def test_an_unknown_column_is_refused_with_its_likely_name(column: str, suggestion: str) -> None:
    first, second = faults(HEADER.replace("colour [mL]", column) + ROW)
    assert first.endswith(suggestion)
    assert "(header)" in first + second


def test_a_column_stands_once() -> None:
    assert "prints.csv:1: white: must stand in one column (got 2 columns)" in faults(
        HEADER.replace("colour [mL]", "white [mL]") + ROW
    )


def test_a_decimal_comma_that_splits_a_number_is_named() -> None:
    assert faults(HEADER + ROW.replace("21.6", "21,6")) == [
        "prints.csv:2: (row): must have 9 cells (got 10); "
        "a decimal comma splits a number: use a point"
    ]
    assert faults(HEADER + ROW.replace(",12.4", "")) == [
        "prints.csv:2: (row): must have 9 cells (got 8)"
    ]


@pytest.mark.parametrize("separator", [";", "\t", "|"])
def test_cells_are_parted_by_commas(separator: str) -> None:
    (line,) = faults((HEADER + ROW).replace(",", separator))
    assert line.startswith("prints.csv:1: (header): must be cells parted by commas (got ")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("Crest,10,12,2,six,2.5,20,21.6,12.4", 'white: must be a number (got "six")'),
        ("Crest,10,12,2,,2.5,20,21.6,12.4", 'white: must be a number (got "")'),
        (
            'Crest,10,12,2,"5,5",2.5,20,21.6,12.4',
            'white: must be a number (got "5,5"); use a point for decimals',
        ),
        (
            "Crest,10 in,12,2,5.5,2.5,20,21.6,12.4",
            'width: must be a number (got "10 in"); units stand in the header, in square brackets',
        ),
        ("Crest,inf,12,2,5.5,2.5,20,21.6,12.4", 'width: must be a number (got "inf")'),
        ("Crest,nan,12,2,5.5,2.5,20,21.6,12.4", 'width: must be a number (got "nan")'),
        ("Crest,1e999,12,2,5.5,2.5,20,21.6,12.4", 'width: must be a number (got "1e999")'),
        ("Crest,0,12,2,5.5,2.5,20,21.6,12.4", "width: must be more than 0 (got 0)"),
        ("Crest,10,12,0,5.5,2.5,20,21.6,12.4", "copies: must be more than 0 (got 0)"),
        ("Crest,10,12,1.5,5.5,2.5,20,21.6,12.4", "copies: must be a whole number (got 1.5)"),
        ("Crest,10,12,2,-1,2.5,20,21.6,12.4", "white: must not be negative (got -1)"),
        ("Crest,10,12,2,5.5,2.5,20,21.6", "(row): must have 9 cells (got 8)"),
        ("Crest,10,12,2,5.5,2.5,20,21.6,12.4,1", "(row): must have 9 cells (got 10)"),
        (
            " ,10,12,2,5.5,2.5,20,21.6,12.4",
            'design: must be words, at most 200 characters on one line (got "")',
        ),
        (
            "Crest,10,,2,5.5,2.5,20,21.6,12.4",
            "area: must be given, or width and height (got width)",
        ),
        (
            "Crest,10,12,2,5.5,2.5,20,19.9,12.4",
            "after powder: must be at least the weight before powdering "
            "(got 19.9 g against 20 g); was it weighed after drying? "
            "Weigh after shaking and before curing",
        ),
        ('"Crest,10,12,2,5.5,2.5,20,21.6,12.4', "(row): must be cells parted by commas"),
    ],
)
def test_rows_that_do_not_do(row: str, said: str) -> None:
    (line,) = faults(HEADER + ROW + row + "\n")
    assert line.startswith(f"prints.csv:3: {said}")


def test_size_and_area_together_are_refused() -> None:
    text = HEADER.replace("copies", "copies,area [in^2]") + ROW.replace(",2,", ",2,240,")
    assert faults(text) == [
        "prints.csv:2: area: must be left empty where width and height are given"
    ]


@pytest.mark.parametrize("outside", [LARGEST_CELL * 1.01, 1e99])
def test_a_cell_has_a_largest_value(outside: float) -> None:
    header = HEADER.replace("width [in]", "width [m]")
    assert faults(header + ROW.replace(",10,", f",{LARGEST_CELL:.0f},")) == []
    assert faults(header + ROW.replace(",10,", f",{outside:g},"))[0].startswith(
        "prints.csv:2: width: must be at most 1e+06 m"
    )


def test_equal_weights_are_allowed_in_a_row_but_not_in_all() -> None:
    bare = ROW.replace("21.6", "20")
    assert faults(HEADER + ROW + bare) == []
    assert faults(HEADER + bare) == [
        "prints.csv:1: after powder: must be more than before powder in some row"
    ]


def test_a_number_of_any_length_is_said_in_short() -> None:
    (line,) = faults(HEADER + ROW.replace(",2,", f",{'9' * 5_000},"))
    assert line == f"prints.csv:2: copies: must be at most 1e+06 (got {'9' * 60})"


def test_some_row_used_ink() -> None:
    dry = ROW.replace("5.5,2.5", "0,0")
    assert faults(HEADER + ROW + dry) == []
    assert faults(HEADER + dry) == [
        "prints.csv:1: white: must be more than 0 mL in some row, or colour must"
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "prints.csv:1: (file): must hold a header and a row"),
        ("\n , \n", "prints.csv:1: (file): must hold a header and a row"),
        (HEADER, "prints.csv:1: (file): must hold at least one test print"),
        ("\n\n" + HEADER, "prints.csv:3: (file): must hold at least one test print"),
    ],
)
def test_an_empty_sheet_is_said_to_be_empty(text: str, said: str) -> None:
    assert faults(text) == [said]


def test_lines_are_counted_through_blank_lines_and_cells_of_many_lines() -> None:
    text = f'{HEADER}\n{ROW}\n"a\nb",10,12,2,5.5,2.5,20,21.6,12.4\nLast,10,x,2,5.5,2.5,20,21.6,12\n'
    assert [line.split(": ")[0] for line in faults(text)] == ["prints.csv:5", "prints.csv:7"]


def test_blank_columns_of_a_spreadsheet_are_passed_over() -> None:
    spread = (HEADER + ROW).replace("\n", ",,\n")
    assert faults(spread) == []
    (line,) = faults(spread.replace("12.4,,", "12.4,,x"))
    assert line == 'prints.csv:2: (row): must have no cell under a blank header (got "x")'


def test_too_many_rows_are_refused_and_none_is_dropped() -> None:
    most = HEADER + ROW * (MOST_ROWS - 1)
    prints, found = read_test_prints(most, name="prints.csv")
    assert (len(prints), found) == (MOST_ROWS - 1, ())
    assert faults(most + ROW) == ["prints.csv:1: (file): must hold at most 5000 rows (got 5001)"]


def test_every_bad_row_is_said_at_once() -> None:
    bad = "Crest,x,y,2,5.5,2.5,20,21.6,12.4\n"
    assert [line.split(": must")[0] for line in faults(HEADER + bad + ROW + bad)] == [
        "prints.csv:2: width",
        "prints.csv:2: height",
        "prints.csv:4: width",
        "prints.csv:4: height",
    ]


@given(st.text(max_size=200) | st.lists(st.text(max_size=8), max_size=12).map(",".join))
def test_random_text_is_read_or_refused(text: str) -> None:
    for lines in (text, HEADER + text):
        prints, found = read_test_prints(lines, name="prints.csv")
        assert prints or found
        assert all("\n" not in str(fault) for fault in found)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (b"\xef\xbb\xbf" + (HEADER + ROW).encode(), []),
        ((HEADER + ROW).replace("\n", "\r\n").encode(), []),
        ((HEADER + ROW).replace("\n", "\r").encode(), []),
        (
            (HEADER + ROW).encode("utf-16"),
            [
                "shop.toml:32: test_prints.file: must be saved as UTF-8 text "
                '(got "prints.csv", UTF-16); save it again with the encoding "UTF-8"'
            ],
        ),
        (None, ["shop.toml:32: test_prints.file: must be a file that can be read"]),
    ],
    ids=["byte order mark", "CRLF", "CR", "UTF-16", "missing"],
)
def test_files_of_other_programs(
    text: bytes | None, expected: list[str], request: pytest.FixtureRequest
) -> None:
    load: Callable[..., list[str]] = request.getfixturevalue("faults")
    found = load(sheet=text)
    assert len(found) == len(expected)
    assert all(line.startswith(said) for line, said in zip(found, expected, strict=True))
