"""Ink and powder by what pictures cover: the fit, its error on held-out prints, its range."""

import math

import numpy as np
import pytest
from helpers import ROOT, exactly, shipped
from PIL import Image

from planner.scenario.csv_sheet import read_test_prints
from planner.scenario.faults import PlannerError
from planner.usage.artwork import ArtworkError, Coverage, read_artwork
from planner.usage.ink_fit import InkFitError, fit_ink, fitted, litres_for

HEADER = (
    "design,area [m^2],copies,white [L],colour [L],before powder [kg],after powder [kg],artwork\n"
)
WHITES = (0.2, 0.4, 0.6, 0.8, 1.0)
COLOURS = (0.5, 0.1, 0.9, 0.3, 0.7)


def covering(white, colour):
    return Coverage(
        width=100, height=100, resolution=None, white=white, colour=colour, has_transparency=True
    )


def measured(*, white, colour, powder, areas=(1.0,) * 5, names=None, covered=None):
    """Test prints with these amounts per area and coverages."""
    names = names or [f"{n}.png" for n in range(len(areas))]
    covered = covered or list(zip(WHITES, COLOURS, strict=True))
    rows = [
        f"Design {n},{area},1,{w * area!r},{c * area!r},0.5,{0.5 + p * area!r},{name}"
        for n, (area, w, c, p, name) in enumerate(
            zip(areas, white, colour, powder, names, strict=True)
        )
    ]
    prints, faults = read_test_prints(HEADER + "\n".join(rows) + "\n", name="sheet.csv")
    assert not faults
    return [(row, covering(*pair)) for row, pair in zip(prints, covered, strict=True)]


def made_by(*, white=0.04, colour=0.015, colour_on_white=0.002, powder=0.013, areas=(1.0,) * 5):
    """Test prints of a shop that uses exactly so much per covered area."""
    return measured(
        white=[white * w for w in WHITES],
        colour=[colour * c + colour_on_white * w for w, c in zip(WHITES, COLOURS, strict=True)],
        powder=[powder * w for w in WHITES],
        areas=areas,
    )


def test_a_shop_that_prints_by_the_rule_is_found_out():
    fit = fit_ink(made_by(areas=(0.1, 2.0, 0.3, 1.0, 0.5)))
    assert (fit.white.on_white, fit.white.on_colour) == (exactly(0.04), 0)
    assert (fit.colour.on_colour, fit.colour.on_white) == (exactly(0.015), exactly(0.002))
    assert (fit.powder.on_white, fit.powder.on_colour) == (exactly(0.013), 0)
    for rate in (fit.white, fit.colour, fit.powder):
        assert rate.error == pytest.approx(0, abs=1e-12)
    assert fit.pictures == 5


def test_rate_and_held_out_error_by_hand():
    # x = 0.2 … 1.0 and y = 2, 2, 4, 4, 4: Σxy = 10.8, Σx² = 2.2, so a = 10.8/2.2
    # without print i: a = (10.8 − x·y)/(2.2 − x²), predicted a·x
    used = (2.0, 2.0, 4.0, 4.0, 4.0)
    fit = fit_ink(measured(white=used, colour=COLOURS, powder=WHITES))
    errors = [
        0.2 * (10.4 / 2.16) - 2,
        0.4 * (10.0 / 2.04) - 2,
        0.6 * (8.4 / 1.84) - 4,
        0.8 * (7.6 / 1.56) - 4,
        1.0 * (6.8 / 1.2) - 4,
    ]
    assert fit.white.on_white == exactly(10.8 / 2.2)
    assert fit.white.mean == exactly(3.2)
    assert fit.white.error == exactly(math.sqrt(sum(e * e for e in errors) / 5))
    assert fit.white.error_share == exactly(fit.white.error / 3.2)
    assert (fit.white.worst, fit.white.worst_design) == (exactly(errors[4]), "Design 4")
    assert fit.white.worst_share == exactly(errors[4] / 3.2)


def test_no_rate_is_negative():
    # without the limit colour would take 3 on colour and −1 on white: with it, one rate is left,
    # Σ(colour·y)/Σ colour²
    pairs = ((0.1, 0.5), (0.2, 0.9), (0.3, 0.7), (0.4, 0.6), (0.5, 1.0))
    colour = [3 * c - w for w, c in pairs]
    fit = fit_ink(measured(white=WHITES, colour=colour, powder=WHITES, covered=pairs))
    alone = sum(c * y for (_, c), y in zip(pairs, colour, strict=True)) / sum(
        c * c for _, c in pairs
    )
    assert fit.colour.on_white == 0
    assert fit.colour.on_colour == exactly(alone)


def test_a_print_counts_the_same_whatever_its_size():
    used = {"white": (2, 2, 4, 4, 4), "colour": (1, 2, 1, 2, 1), "powder": (1, 1, 1, 2, 2)}
    fits = [
        fit_ink(measured(**used, areas=areas)).white
        for areas in ((1.0,) * 5, (0.01, 1.0, 50.0, 1.0, 1.0))
    ]
    assert fits[0].on_white == exactly(fits[1].on_white)
    assert fits[0].error == exactly(fits[1].error)


def test_prints_of_one_picture_are_held_out_together():
    # the picture printed twice takes 9 where the others take 1 a covered area: had one of its
    # prints stayed in, it would have pulled the prediction of the other up
    names = ["a.png", "a.png", "b.png", "c.png", "d.png", "e.png"]
    fit = fit_ink(
        measured(
            white=[9.0, 9.0, 1.0, 1.0, 1.0, 1.0],
            colour=[1.0] * 6,
            powder=[1.0] * 6,
            areas=(1.0,) * 6,
            names=names,
            covered=[(1.0, 1.0)] * 6,
        )
    )
    assert fit.white.worst == exactly(1 - 9)
    assert fit.pictures == 5


@pytest.mark.parametrize("names", [["a", "b", "c", "d"], ["a", "b", "c", "d", "d"]])
def test_fewer_than_five_pictures_are_refused(names):
    count = len(names)
    few = measured(
        white=[1.0] * count,
        colour=[1.0] * count,
        powder=[1.0] * count,
        areas=(1.0,) * count,
        names=names,
        covered=[(0.5, 0.5)] * count,
    )
    with pytest.raises(InkFitError) as error:
        fit_ink(few)
    assert str(error.value) == (
        "artwork: must be named by test prints of at least 5 different pictures (got 4); print "
        'more designs, and write the file of each picture into the column "artwork" of the sheet '
        "of test prints"
    )


def test_a_sheet_without_pictures_is_refused():
    with pytest.raises(PlannerError, match=r"\(got 0\)"):
        fitted(shipped("shortest").prints, ROOT / "scenarios")


def test_a_shop_without_colour_has_no_error_in_it():
    fit = fit_ink(measured(white=WHITES, colour=[0.0] * 5, powder=WHITES))
    assert (fit.colour.on_colour, fit.colour.error_share, fit.colour.worst_share) == (0, 0, 0)


def test_amounts_of_a_picture_by_hand():
    # 0.25 m² at half white and a tenth colour
    use = litres_for(fit_ink(made_by()), covering(0.5, 0.1), area=0.25)
    assert use.white.likely == exactly(0.04 * 0.5 * 0.25)
    assert use.colour.likely == exactly((0.015 * 0.1 + 0.002 * 0.5) * 0.25)
    assert use.powder.likely == exactly(0.013 * 0.5 * 0.25)
    assert use.notes == ()


def test_amounts_and_their_errors_grow_with_the_area():
    fit = fit_ink(measured(white=(2, 2, 4, 4, 4), colour=COLOURS, powder=WHITES))
    nothing, one, three = (litres_for(fit, covering(0.5, 0.5), area=a) for a in (0.0, 1.0, 3.0))
    assert (nothing.white.likely, nothing.white.error) == (0, 0)
    assert one.white.error == fit.white.error > 0
    assert three.white.likely == exactly(3 * one.white.likely)
    assert three.white.error == exactly(3 * one.white.error)


@pytest.mark.parametrize(
    ("white", "colour", "said"),
    [
        (0.2, 0.1, []),
        (1.0, 0.9, []),
        (0.196, 0.904, []),  # nothing a reader could see
        (0.19, 0.5, ["white coverage of 19 % is outside the test prints' 20 % to 100 %"]),
        (0.5, 0.91, ["colour coverage of 91 % is outside the test prints' 10 % to 90 %"]),
        (0.1, 0.0, ["white coverage of 10 %", "colour coverage of 0 %"]),
    ],
)
def test_a_picture_unlike_the_test_prints_says_so(white, colour, said):
    notes = litres_for(fit_ink(made_by()), covering(white, colour), area=1.0).notes
    assert len(notes) == len(said)
    for note, start in zip(notes, said, strict=True):
        assert note.startswith(start)
        assert note.endswith(": the amounts are extrapolated")


def test_a_picture_without_transparency_says_so_with_its_amounts(tmp_path):
    Image.new("RGB", (2, 2)).save(tmp_path / "plain.png")
    notes = litres_for(fit_ink(made_by()), read_artwork(tmp_path / "plain.png"), area=1.0).notes
    assert notes[0].startswith("the picture has no transparency")


def sheet_of(folder, *, width=10):
    """Five prints of striped pictures, 10 cm square, and the sheet that names them."""
    rows = []
    for n, share in enumerate(WHITES):
        pixels = np.zeros((100, 100, 4), dtype=np.uint8)
        pixels[:, : round(100 * share), 3] = 255
        pixels[:, -1, 3] = 255
        pixels[0, 0, 3] = 255
        Image.fromarray(pixels).save(folder / f"{n}.png")
        rows.append(f"Stripes {n},{width},10,1,{share},{share},1,{1 + share},{n}.png")
    header = (
        "design,width [cm],height [cm],copies,white [mL],colour [mL],before powder [g],"
        "after powder [g],artwork\n"
    )
    prints, faults = read_test_prints(header + "\n".join(rows) + "\n", name="sheet.csv")
    assert not faults
    return prints


def test_pictures_are_read_from_the_folder_of_the_sheet(tmp_path):
    # a mL a hundredth of a m² and share of white: 0.1 L/m²; the last column is always printed
    fit = fitted(sheet_of(tmp_path), tmp_path)
    covered = [min(1, share + 0.01) for share in WHITES]
    expected = sum(0.1 * s * x for s, x in zip(WHITES, covered, strict=True))
    assert fit.white.on_white == exactly(expected / sum(x * x for x in covered))
    assert fit.white_range == (exactly(0.21), exactly(1.0))


def test_a_picture_of_another_shape_is_refused(tmp_path):
    with pytest.raises(ArtworkError) as error:
        fitted(sheet_of(tmp_path, width=11), tmp_path)
    assert str(error.value) == (
        "0.png: must show the test print 'Stripes 0', 1.10 times as wide as high "
        "(got 1.00 times, its transparent border trimmed)"
    )


def test_a_picture_that_is_not_there_is_named(tmp_path):
    prints = sheet_of(tmp_path)
    (tmp_path / "3.png").unlink()
    with pytest.raises(ArtworkError, match=r"^3\.png: must be a picture file"):
        fitted(prints, tmp_path)


def test_the_shipped_sheet_predicts_its_prints():
    fit = fitted(shipped("larkspur-lane").prints, ROOT / "scenarios")
    assert fit.pictures == 12
    for rate in (fit.white, fit.colour, fit.powder):
        assert 0.02 < rate.error_share < 0.2
    assert fit.white.error_share < 0.5 * spread("white")
    assert fit.colour.error_share < 0.5 * spread("colour")


def spread(ink):
    """The error of knowing only the mean use per area of the shipped prints, as a share of it."""
    rows = shipped("larkspur-lane").prints
    used = np.array([getattr(row, ink).likely / row.area.likely for row in rows])
    return used.std(ddof=1) / used.mean()


@pytest.mark.parametrize("row", shipped("larkspur-lane").prints, ids=lambda row: row.design)
def test_a_shipped_picture_is_small_and_of_its_prints_shape(row):
    path = ROOT / "scenarios" / row.artwork
    found = read_artwork(path)
    assert path.stat().st_size < 30_000
    assert max(found.width, found.height) <= 600
    sides = (row.size.width.likely, row.size.length.likely)
    assert found.width / found.height == pytest.approx(sides[0] / sides[1], rel=0.01)
    assert found.size == pytest.approx(sides, rel=0.01)


def test_the_picture_of_the_job_is_like_the_test_prints():
    fit = fitted(shipped("larkspur-lane").prints, ROOT / "scenarios")
    poster = read_artwork(ROOT / "scenarios" / "artwork" / "regatta-poster.png")
    assert poster.fits(width=11.0, height=13.0)
    assert litres_for(fit, poster, area=11 * 13 * 0.0254**2).notes == ()
