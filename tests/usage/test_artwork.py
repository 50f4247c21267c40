"""Coverage from the pixels of a picture: light, inks, box, resolution, and what is refused."""

import io
import re
import struct
import tracemalloc
import zlib

import numpy as np
import pytest
from helpers import exactly
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from PIL import Image

from planner.scenario.faults import PlannerError
from planner.usage import artwork
from planner.usage.artwork import ArtworkError, Coverage, linear_light, read_artwork

RED, BLACK, WHITE, CLEAR = (255, 0, 0, 255), (0, 0, 0, 255), (255, 255, 255, 255), (9, 9, 9, 0)
GREY, RGB, PALETTE, GREY_ALPHA, RGB_ALPHA = 0, 2, 3, 4, 6  # colour types of PNG
ONE_COLOUR = b"tRNS"


def chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(*, kind, rows, width, depth=8, chunks=()):
    """A PNG file put together by hand: each row is its packed samples."""
    head = struct.pack(">IIBBBBB", width, len(rows), depth, kind, 0, 0, 0)
    body = zlib.compress(b"".join(b"\0" + row for row in rows))
    parts = [(b"IHDR", head), *chunks, (b"IDAT", body), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*part) for part in parts)


@pytest.fixture
def read(tmp_path):
    """Coverage of pixels (rows of RGBA), an image or the bytes of a file."""

    def reads(picture, **saved):
        path = tmp_path / "picture.png"
        if isinstance(picture, bytes):
            path.write_bytes(picture)
        else:
            if not isinstance(picture, Image.Image):
                picture = Image.fromarray(np.asarray(picture, dtype=np.uint8))
            picture.save(path, **saved)
        return read_artwork(path)

    return reads


def test_srgb_light():
    # IEC 61966-2-1: half the light is code 188 of 255 (0.5029); below 0.04045 a straight line
    light = linear_light()
    assert light[188] == pytest.approx(0.5029, abs=5e-5)
    assert light[10] == exactly(10 / 255 / 12.92)
    assert (light[0], light[255]) == (0, 1)
    assert (np.diff(light) > 0).all()


def test_light_by_gamma():
    # PNG, gAMA: sample = light^gamma; 45455 stands for 1/2.2, 100000 for linear light
    assert linear_light(gamma=0.45455)[128] == pytest.approx((128 / 255) ** 2.2, abs=1e-5)
    assert linear_light(gamma=1.0)[51] == exactly(0.2)


def test_half_covered_picture_by_hand(read):
    # two rows: red, clear, and black at a fifth; of 6 pixels 2 × 1 and 2 × 0.2 are printed
    # red takes two inks, black one
    found = read([[RED, CLEAR, (0, 0, 0, 51)]] * 2)
    assert found.white == exactly((2 + 0.4) / 6)
    assert found.colour == exactly((2 * 2 + 0.4 * 1) / 6)
    assert (found.width, found.height) == (3, 2)


@pytest.mark.parametrize(
    ("pixel", "inks"),
    [
        ((255, 255, 255), 0),
        ((0, 0, 0), 1),
        ((255, 0, 0), 2),
        ((0, 255, 255), 1),
        ((255, 255, 0), 1),
        ((188, 188, 188), 0.4971),  # grey is black ink alone: 1 − 0.5029
        ((255, 188, 188), 2 * 0.4971),
        ((188, 0, 0), 2 * 0.5029 + 0.4971),  # black for what is missing of red, the rest twice
    ],
)
def test_inks_of_a_colour(read, pixel, inks):
    found = read([[(*pixel, 255)]])
    assert found.colour == pytest.approx(inks, abs=1e-4)
    assert found.white == 1


def test_half_opaque_is_half_printed(read):
    whole, part = read([[RED]]), read([[(255, 0, 0, 102)]])
    assert part.white == exactly(0.4 * whole.white)
    assert part.colour == exactly(0.4 * whole.colour)
    assert part.has_transparency


def test_a_transparent_border_is_trimmed(read):
    inside = np.array([[RED, CLEAR], [CLEAR, BLACK]], dtype=np.uint8)
    framed = np.full((7, 9, 4), CLEAR, dtype=np.uint8)
    framed[1:3, 4:6] = inside
    assert read(framed) == read(inside)


def test_the_faintest_pixel_belongs_to_the_box(read):
    assert read([[(0, 0, 0, 1), CLEAR, RED, CLEAR]]).width == 3


@pytest.mark.parametrize("picture", [[[RED, WHITE]], [[RED[:3], WHITE[:3]]]])
def test_a_picture_without_transparency_counts_whole_and_says_so(read, picture):
    found = read(picture)
    assert found.white == 1
    assert not found.has_transparency
    assert found.note == "the picture has no transparency: its whole box counts as printed"


def test_a_full_box_with_a_clear_border_needs_no_note(read):
    found = read([[CLEAR, RED, WHITE]])
    assert found.white == 1
    assert found.has_transparency
    assert found.note == ""


HALF = [[BLACK, CLEAR], [WHITE, BLACK]]
SAMPLES = {BLACK: 0, CLEAR: 0x33, WHITE: 0xFF}


def packed(depth, *, alpha=False, channels=1):
    """The picture ``HALF`` as PNG rows of grey or of three equal channels."""
    form = ">H" if depth == 16 else ">B"
    most = 2**depth - 1

    def pixel(colour):
        grey = SAMPLES[colour] * most // 255
        return [grey] * channels + ([colour[3] * most // 255] if alpha else [])

    rows = [[sample for colour in row for sample in pixel(colour)] for row in HALF]
    if depth < 8:
        bits = ["".join(f"{sample:0{depth}b}" for sample in row).ljust(8, "0") for row in rows]
        return [bytes([int(row, 2)]) for row in bits]
    return [b"".join(struct.pack(form, sample) for sample in row) for row in rows]


@pytest.mark.parametrize(
    "data",
    [
        png(kind=RGB_ALPHA, rows=packed(8, alpha=True, channels=3), width=2),
        png(kind=RGB_ALPHA, rows=packed(16, alpha=True, channels=3), width=2, depth=16),
        png(kind=GREY_ALPHA, rows=packed(8, alpha=True), width=2),
        png(kind=GREY_ALPHA, rows=packed(16, alpha=True), width=2, depth=16),
        png(kind=GREY, rows=packed(8), width=2, chunks=[(ONE_COLOUR, b"\0\x33")]),
        png(kind=RGB, rows=packed(8, channels=3), width=2, chunks=[(ONE_COLOUR, b"\0\x33" * 3)]),
        png(
            kind=PALETTE,
            rows=[b"\0\1", b"\2\0"],
            width=2,
            chunks=[(b"PLTE", bytes([0] * 3 + [51] * 3 + [255] * 3)), (ONE_COLOUR, b"\xff\0")],
        ),
        png(
            kind=PALETTE,
            rows=[bytes([0b00010000]), bytes([0b10000000])],
            width=2,
            depth=2,
            chunks=[(b"PLTE", bytes([0] * 3 + [51] * 3 + [255] * 3)), (ONE_COLOUR, b"\xff\0")],
        ),
    ],
    ids=[
        "RGBA",
        "RGBA 16",
        "grey A",
        "grey A 16",
        "grey key",
        "RGB key",
        "palette",
        "2-bit palette",
    ],
)
def test_every_way_to_store_a_picture_reads_alike(read, data):
    # three of four pixels printed, two of them black
    found = read(data)
    assert (found.white, found.colour) == (exactly(3 / 4), exactly(2 / 4))
    assert found.has_transparency


@pytest.mark.parametrize(
    ("depth", "light"), [(1, 0), (2, 0), (4, 0.0331), (8, 0.0331), (16, 0.0331)]
)
def test_plain_grey_of_every_depth_counts_whole(read, depth, light):
    # pixels 0, 51, 255 and 0 of 255 (51 is black in two bits); sRGB code 51 is light 0.0331
    found = read(png(kind=GREY, rows=packed(depth), width=2, depth=depth))
    assert found.white == 1
    assert found.colour == pytest.approx((1 + (1 - light) + 0 + 1) / 4, abs=2e-4)


def test_grey_of_16_bits_by_its_high_byte(read):
    # 0x8000 is half of the code, light 0.2159 (IEC 61966-2-1); its low byte alone would be black
    found = read(png(kind=GREY, rows=[b"\x80\x00"], width=1, depth=16))
    assert found.colour == pytest.approx(1 - 0.2159, abs=5e-5)


def test_one_bit_with_a_transparent_colour(read):
    rows = [bytes([0b01000000])]
    found = read(png(kind=GREY, rows=rows, width=2, depth=1, chunks=[(ONE_COLOUR, b"\0\1")]))
    assert (found.width, found.white, found.colour) == (1, 1, 1)


@pytest.mark.parametrize(
    ("kind", "depth", "row", "key"),
    [
        (RGB, 16, struct.pack(">3H", 1000, 2000, 3000), struct.pack(">3H", 1000, 2000, 3000)),
        (GREY, 16, struct.pack(">H", 1000), struct.pack(">H", 1000)),
        (GREY, 4, b"\x50", struct.pack(">H", 5)),
    ],
)
def test_a_transparent_colour_of_another_depth_is_refused(read, kind, depth, row, key):
    data = png(kind=kind, rows=[row], width=1, depth=depth, chunks=[(ONE_COLOUR, key)])
    with pytest.raises(ArtworkError, match="must hold its transparency in an alpha channel"):
        read(data)


def grey_128(*chunks):
    return png(kind=RGB, rows=[bytes([128] * 3)], width=1, chunks=chunks)


GAMA = (b"gAMA", struct.pack(">I", 100_000))


def test_gamma_of_the_file(read):
    # linear light 128/255; sRGB would give 0.2159 (IEC 61966-2-1)
    assert read(grey_128(GAMA)).colour == exactly(1 - 128 / 255)
    assert read(grey_128()).colour == pytest.approx(1 - 0.2159, abs=5e-5)


def test_the_srgb_chunk_goes_before_gamma(read):
    assert read(grey_128(GAMA, (b"sRGB", b"\0"))) == read(grey_128())


def test_a_gamma_of_zero_means_nothing(read):
    assert read(grey_128((b"gAMA", bytes(4)))) == read(grey_128())


def profile(*, space, tags):
    """A small ICC profile, version 2, of a display (ICC.1:2001-04, from memory)."""

    def number(value):
        return struct.pack(">i", round(value * 65536))

    made = [
        (b"desc", b"desc" + bytes(4) + struct.pack(">I", 2) + b"x\0" + bytes(79)),
        (b"cprt", b"text" + bytes(4) + b"none\0"),
        (b"wtpt", b"XYZ " + bytes(4) + b"".join(map(number, (0.9642, 1, 0.8249)))),
        *(
            (name, b"XYZ " + bytes(4) + b"".join(map(number, value)))
            if isinstance(value, tuple)
            else (name, b"curv" + bytes(4) + struct.pack(">IH", 1, round(value * 256)))
            for name, value in tags.items()
        ),
    ]
    place, table, body = 128 + 4 + 12 * len(made), struct.pack(">I", len(made)), b""
    for name, data in made:
        table += name + struct.pack(">II", place + len(body), len(data))
        body += data.ljust(-(-len(data) // 4) * 4, b"\0")
    size = place + len(body)
    head = struct.pack(">I4xI4s4s4s", size, 0x02400000, b"mntr", space, b"XYZ ")
    head = head.ljust(36, b"\0") + b"acsp"
    head = head.ljust(68, b"\0") + b"".join(map(number, (0.9642, 1, 0.8249)))
    return head.ljust(128, b"\0") + table + body


def linear_rgb():
    # primaries of sRGB seen under D50 (from memory), linear light
    primaries = {
        b"rXYZ": (0.4361, 0.2225, 0.0139),
        b"gXYZ": (0.3851, 0.7169, 0.0971),
        b"bXYZ": (0.1431, 0.0606, 0.7141),
    }
    return profile(space=b"RGB ", tags=primaries | {b"rTRC": 1.0, b"gTRC": 1.0, b"bTRC": 1.0})


def stored(icc):
    return (b"iCCP", b"x\0\0" + zlib.compress(icc))


def test_a_colour_profile_goes_before_gamma(read):
    # the profile says linear light, gAMA says 1/2.2; half a step of 255 in sRGB is 0.004 of light
    other = (b"gAMA", struct.pack(">I", 45_455))
    found = read(grey_128(stored(linear_rgb()), other))
    assert found.colour == pytest.approx(1 - 128 / 255, abs=0.004)


def test_a_profile_leaves_transparency_alone(read):
    rows = packed(8, alpha=True, channels=3)
    found = read(png(kind=RGB_ALPHA, rows=rows, width=2, chunks=[stored(linear_rgb())]))
    assert (found.white, found.colour) == (exactly(3 / 4), pytest.approx(2 / 4, abs=0.001))


def test_a_profile_of_grey(read):
    icc = profile(space=b"GRAY", tags={b"kTRC": 1.0})
    found = read(png(kind=GREY, rows=[b"\x80"], width=1, chunks=[stored(icc)]))
    assert found.colour == pytest.approx(1 - 128 / 255, abs=0.004)


@pytest.mark.parametrize(
    "icc", [b"no profile", profile(space=b"CMYK", tags={}), profile(space=b"RGB ", tags={})]
)
def test_a_profile_that_cannot_be_read_is_refused(read, icc):
    with pytest.raises(ArtworkError, match="must hold a colour profile that can be read"):
        read(grey_128(stored(icc)))


def dots_a_metre(across, down, unit=1):
    return (b"pHYs", struct.pack(">IIB", across, down, unit))


def test_size_at_its_resolution(read):
    # 600 pixels at 11811 a metre (300 an inch) are 2 in; 2 pixels at 5906 (150 an inch) 1/75 in
    data = png(kind=GREY, rows=[bytes(600)] * 2, width=600, chunks=[dots_a_metre(11811, 5906)])
    found = read(data)
    assert found.resolution == pytest.approx((300, 150), abs=0.02)
    assert found.size == pytest.approx((2 * 0.0254, 0.0254 / 75), rel=1e-4)


@pytest.mark.parametrize(
    "chunks", [[], [dots_a_metre(3, 4, 0)], [dots_a_metre(0, 0)], [dots_a_metre(11811, 0)]]
)
def test_no_size_without_a_resolution(read, chunks):
    found = read(png(kind=GREY, rows=[b"\0"], width=1, chunks=chunks))
    assert found.resolution is None
    assert found.size is None


@pytest.mark.parametrize(
    ("orientation", "is_lying"),
    [(1, False), (3, False), (5, True), (6, True), (7, True), (8, True)],
)
def test_a_picture_lying_on_its_side_is_set_upright(read, orientation, is_lying):
    exif = Image.Exif()
    exif[0x0112] = orientation
    found = read([[RED, CLEAR, RED]], exif=exif, dpi=(300, 100))
    width, height, across = (1, 3, 100) if is_lying else (3, 1, 300)
    assert (found.width, found.height) == (width, height)
    assert found.resolution[0] == pytest.approx(across, abs=0.02)
    assert found.white == exactly(2 / 3)


@pytest.mark.parametrize(("stretch", "fits"), [(1.0, True), (1.049, True), (1.051, False)])
def test_a_box_fits_within_a_twentieth(stretch, fits):
    box = Coverage(
        width=200, height=100, resolution=None, white=1.0, colour=0.0, has_transparency=True
    )
    assert box.fits(width=0.2 * stretch, height=0.1) is fits
    assert box.fits(width=0.2, height=0.1 * stretch) is fits


PICTURES = arrays.arrays(
    np.uint8, st.tuples(st.integers(1, 5), st.integers(1, 5), st.just(4)), fill=st.nothing()
).filter(lambda pixels: pixels[..., 3].any())


@given(pixels=PICTURES)
def test_coverage_of_any_picture(tmp_path_factory, pixels):
    path = tmp_path_factory.mktemp("any") / "any.png"

    def coverage(of):
        Image.fromarray(np.ascontiguousarray(of)).save(path)
        return read_artwork(path)

    found = coverage(pixels)
    assert 0 < found.white <= 1
    assert 0 <= found.colour <= 2 * found.white + 1e-12
    larger = coverage(pixels.repeat(3, axis=0).repeat(3, axis=1))
    turned = coverage(np.rot90(pixels))
    for other in (larger, turned):
        assert (other.white, other.colour) == (exactly(found.white), exactly(found.colour))
    assert (turned.width, turned.height) == (found.height, found.width)


def test_tiles_leave_no_seam(read, monkeypatch):
    pixels = np.random.default_rng(7).integers(0, 256, (11, 13, 4), dtype=np.uint8)
    pixels[:3, :, 3] = 0
    pixels[:, :4, 3] = 0
    whole = read(pixels)
    monkeypatch.setattr(artwork, "_TILE", 4)
    tiled = read(pixels)
    assert (tiled.width, tiled.height) == (whole.width, whole.height) == (9, 8)
    assert (tiled.white, tiled.colour) == (exactly(whole.white), exactly(whole.colour))


def test_no_large_array_is_ever_held(tmp_path):
    # a copy of 4 million pixels as floating-point numbers would take 96 MB
    path = tmp_path / "large.png"
    Image.effect_noise((2000, 2000), 60).convert("RGBA").save(path, compress_level=1)
    tracemalloc.start()
    try:
        read_artwork(path)
        assert tracemalloc.get_traced_memory()[1] < 30e6
    finally:
        tracemalloc.stop()


def jpeg():
    stream = io.BytesIO()
    Image.new("RGB", (4, 4)).save(stream, "JPEG")
    return stream.getvalue()


def animation():
    stream = io.BytesIO()
    frames = [Image.new("RGBA", (2, 2), colour) for colour in (RED, BLACK)]
    frames[0].save(stream, "PNG", save_all=True, append_images=frames[1:])
    return stream.getvalue()


NOISE = np.random.default_rng(1).bytes(4 * 64)
WHOLE = png(kind=RGB_ALPHA, rows=[NOISE] * 64, width=64)
HUGE = b"\x89PNG\r\n\x1a\n" + chunk(
    b"IHDR", struct.pack(">IIBBBBB", 15_001, 10_000, 8, RGB_ALPHA, 0, 0, 0)
)


@pytest.mark.parametrize(
    ("data", "must"),
    [
        (b"", "must be a PNG picture; export it as PNG"),
        (b"only words", "must be a PNG picture; export it as PNG"),
        (jpeg(), "must be a PNG picture; export it as PNG"),
        (WHOLE[:300], "must be a whole PNG picture (got a damaged one); export it again"),
        (
            HUGE + chunk(b"IDAT", b""),
            "must hold at most 150 million pixels (got 15,001 × 10,000); "
            "export it at a lower resolution",
        ),
        (
            HUGE.replace(struct.pack(">I", 15_001), struct.pack(">I", 1_000_000)),
            "must be a PNG picture; export it as PNG",  # its checksum does not hold
        ),
        (animation(), "must be one picture (got an animation of 2)"),
        (
            png(kind=RGB_ALPHA, rows=[bytes(8)], width=2),
            "must show something (got a picture that is wholly transparent)",
        ),
    ],
    ids=["empty", "words", "JPEG", "cut off", "large", "corrupt", "animation", "transparent"],
)
def test_what_is_no_artwork_is_refused(read, data, must):
    with pytest.raises(PlannerError) as error:
        read(data)
    assert str(error.value) == f"picture.png: {must}"


@pytest.mark.parametrize("cut", range(1, len(WHOLE) - 20, 997))
def test_a_file_cut_off_anywhere_is_refused(read, cut):
    with pytest.raises(ArtworkError, match="must be a"):
        read(WHOLE[:cut])


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    with pytest.raises(ArtworkError, match=r"^none\.png: must be a picture file \(got no such fil"):
        read_artwork(tmp_path / "none.png")
    (tmp_path / "folder.png").mkdir()
    with pytest.raises(ArtworkError, match=r"^folder\.png: must be a picture file \(got a folder"):
        read_artwork(tmp_path / "folder.png")
    with pytest.raises(ArtworkError, match="no such file"):
        read_artwork("x" * 5000)


@pytest.mark.parametrize(
    ("error", "must"),
    [
        (PermissionError(13, "Permission denied"), "be a file that can be read (got permission "),
        (MemoryError(), "fit into this computer's memory"),
    ],
)
def test_what_the_computer_refuses_is_said(read, monkeypatch, error, must):
    def refuse(*_, **__):
        raise error

    monkeypatch.setattr(artwork.Image, "open", refuse)
    with pytest.raises(ArtworkError, match=re.escape(f"picture.png: must {must}")):
        read([[RED]])


@pytest.mark.parametrize(("side", "is_refused"), [(4, False), (5, True)])
def test_pillow_never_speaks_for_itself(read, monkeypatch, side, is_refused):
    # Pillow warns above its limit and raises above twice its limit, whatever ours is
    monkeypatch.setattr(artwork.Image, "MAX_IMAGE_PIXELS", 12)
    if is_refused:
        with pytest.raises(ArtworkError, match=r"hold at most 150 million pixels \(got more\)"):
            read([[RED] * side] * side)
    else:
        assert read([[RED] * side] * side).white == 1


def test_the_limit_on_pixels_is_met_on_both_sides(read, monkeypatch):
    monkeypatch.setattr(artwork, "MOST_PIXELS", 6)
    assert read([[RED] * 3] * 2).white == 1
    with pytest.raises(ArtworkError, match=r"pixels \(got 7 × 1\)"):
        read([[RED] * 7])
