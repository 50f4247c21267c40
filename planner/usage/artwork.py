"""How much of a picture is printed: white and colour coverage from its pixels."""

from __future__ import annotations

import io
import os
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image, ImageCms, ImageFile, UnidentifiedImageError

from planner.scenario.estimates import Array
from planner.scenario.faults import PlannerError

MOST_PIXELS: Final = 150_000_000  # 600 MB when decoded
SIDE_TOLERANCE: Final = 0.05  # sides measured with a tape [-]
_TILE: Final = 512  # pixels on a side: all that is ever held as floating-point numbers
_METRES_AN_INCH: Final = 0.0254
_LYING: Final = (5, 6, 7, 8)  # EXIF orientations that swap width and height

Pixels = NDArray[np.uint8]
Convert = Callable[[Pixels], Pixels]


class ArtworkError(PlannerError):
    """A picture that cannot be used, in the form "name: must … (got …)"."""

    def __init__(self, path: Path, must: str, *, got: str = "", suggestion: str = "") -> None:
        name = "".join(c if c.isprintable() else "\ufffd" for c in path.name[:200])
        got = f" (got {got})" if got else ""
        suggestion = f"; {suggestion}" if suggestion else ""
        super().__init__(f"{name}: must {must}{got}{suggestion}")


@dataclass(frozen=True, kw_only=True)
class Coverage:
    """What a picture covers of the box round its artwork.

    ``width`` and ``height`` of the box [pixel]; ``resolution`` across and down [pixel/inch], None
    where the file states none; ``white`` is the share of the box under white ink [-], 0 to 1;
    ``colour`` the mean coverage by colour inks [-], 0 to 2; ``has_transparency`` is false where
    every pixel of the file is fully opaque.
    """

    width: int
    height: int
    resolution: tuple[float, float] | None
    white: float
    colour: float
    has_transparency: bool

    @property
    def size(self) -> tuple[float, float] | None:
        """Width and height of the box when printed at its resolution [m]."""
        if self.resolution is None:
            return None
        across, down = self.resolution
        return self.width / across * _METRES_AN_INCH, self.height / down * _METRES_AN_INCH

    @property
    def note(self) -> str:
        """What a reader must know about the picture; empty if nothing."""
        if self.has_transparency:
            return ""
        return "the picture has no transparency: its whole box counts as printed"

    def fits(self, *, width: float, height: float) -> bool:
        """Whether a box of this width and height [m] shows the picture unstretched, within 5 %."""
        stretch = (self.width / self.height) / (width / height)
        return 1 / (1 + SIDE_TOLERANCE) <= stretch <= 1 + SIDE_TOLERANCE


def read_artwork(path: str | Path) -> Coverage:
    """Coverage of the box round the artwork of a PNG picture.

    A fully transparent border is trimmed: the box ends at the outermost pixels that are printed at
    all. A picture without transparency is printed all over. Pixels are taken in small tiles, so
    that beside the decoded picture (4 bytes a pixel at most) memory does not grow with its size.

    Parameters
    ----------
    path : str or Path
        A PNG file of at most 150 million pixels.

    Returns
    -------
    Coverage
        White and colour coverage of the box [-], its size [pixel] and resolution [pixel/inch].

    Raises
    ------
    ArtworkError
        For a file that is missing, no PNG picture, damaged, animated, too large, or wholly
        transparent; for a colour profile or a transparency that cannot be read.

    Notes
    -----
    Alpha is how much of a pixel is printed; its mean is the white coverage, because a layer of
    white lies under everything. Red, green and blue become linear light R, G, B: by the embedded
    colour profile (16 bits a channel are read as 8), else by the power of the gAMA chunk, else as
    sRGB; chromaticities beside gAMA are not used. Cyan, magenta and yellow cover C = 1 − R,
    M = 1 − G, Y = 1 − B; what they have in common is printed with black instead, so that a pixel's
    colour coverage is (C + M + Y − 2·min(C, M, Y)) × alpha: white needs no colour ink, black one
    layer, pure red two. A printer's driver may part the inks otherwise, choke the white or thin
    it; a fit to measured prints absorbs that on average.

    References
    ----------
    IEC 61966-2-1:1999 (sRGB); W3C, Portable Network Graphics, third edition, 2025: gAMA, and the
    order in which iCCP, sRGB and gAMA hold.
    """
    path = Path(path)
    image, is_lying = _decoded(path)
    sums = _summed(image, to_srgb=_to_srgb(image, path))
    if not sums.printed:
        raise ArtworkError(path, "show something", got="a picture that is wholly transparent")
    box = sums.width * sums.height
    resolution = _resolution(image)
    return Coverage(
        width=sums.height if is_lying else sums.width,
        height=sums.width if is_lying else sums.height,
        resolution=resolution[::-1] if resolution and is_lying else resolution,
        white=sums.printed / box,
        colour=sums.inked / box,
        has_transparency=not sums.is_opaque,
    )


@dataclass(frozen=True, kw_only=True)
class _Sums:
    """Sums over a picture's pixels: printed with white and with colour ink [pixel]; its box."""

    printed: float
    inked: float
    width: int
    height: int
    is_opaque: bool


def _summed(image: Image.Image, *, to_srgb: Convert) -> _Sums:
    """The sums, tile by tile."""
    light = linear_light(gamma=_gamma(image))
    rows, columns = np.zeros(image.height, dtype=bool), np.zeros(image.width, dtype=bool)
    printed, inked, is_opaque = 0, 0.0, True
    for (left, top, right, bottom), pixels in _tiles(image):
        alpha = pixels[..., 3]
        rows[top:bottom] |= alpha.any(axis=1)
        columns[left:right] |= alpha.any(axis=0)
        is_opaque &= bool(alpha.min() == 255)
        printed += int(alpha.sum(dtype=np.int64))
        if alpha.any():
            inked += float((_inks(to_srgb(pixels), light) * alpha).sum())
    return _Sums(
        printed=printed / 255,
        inked=inked / 255,
        width=_extent(columns),
        height=_extent(rows),
        is_opaque=is_opaque,
    )


def linear_light(*, gamma: float | None = None) -> Array:
    """Linear light of the 8-bit samples 0 to 255, shape (256,) [-].

    Parameters
    ----------
    gamma : float, optional
        Exponent of the gAMA chunk [-], > 0: sample = light^gamma. None for sRGB.
    """
    sample = np.arange(256) / 255
    if gamma is not None:
        return np.asarray(sample ** (1 / gamma))
    return np.where(sample <= 0.04045, sample / 12.92, ((sample + 0.055) / 1.055) ** 2.4)


def _inks(pixels: Pixels, light: Array) -> Array:
    """Colour inks on each pixel [-].

    C + M + Y − 2·min(C, M, Y) is 1 − R − G − B + 2·max(R, G, B) in linear light.
    """
    red, green, blue = (light[pixels[..., channel]] for channel in range(3))
    return np.asarray(1 - red - green - blue + 2 * np.maximum(np.maximum(red, green), blue))


def _extent(used: NDArray[np.bool_]) -> int:
    """Pixels from the first to the last that is used."""
    places = np.flatnonzero(used)
    return int(places[-1] - places[0]) + 1 if len(places) else 0


def _tiles(image: Image.Image) -> Iterator[tuple[tuple[int, int, int, int], Pixels]]:
    """The picture in small pieces, each with its place: left, top, right, bottom."""
    for top in range(0, image.height, _TILE):
        for left in range(0, image.width, _TILE):
            place = (left, top, min(left + _TILE, image.width), min(top + _TILE, image.height))
            yield place, _rgba(image.crop(place))


def _rgba(tile: Image.Image) -> Pixels:
    """Red, green, blue and alpha of a tile, shape (rows, columns, 4)."""
    if tile.mode.startswith("I"):  # grey of 16 bits, which Pillow would clip
        tile = Image.fromarray((np.asarray(tile) >> 8).astype(np.uint8))
    return np.asarray(tile.convert("RGBA"))


def _decoded(path: Path) -> tuple[Image.Image, bool]:
    """The decoded picture, and whether it is to be shown lying on its side."""
    if not os.path.isfile(path):
        got = "a folder" if os.path.isdir(path) else "no such file"
        raise ArtworkError(path, "be a picture file", got=got)
    try:
        # Pillow warns of large pictures and of odd side data; the first are refused here
        with warnings.catch_warnings(action="ignore"), Image.open(path, formats=["PNG"]) as image:
            _check(image, path)
            image.load()
            return image, image.getexif().get(ExifTags.Base.Orientation) in _LYING
    except ArtworkError:
        raise
    except Exception as error:  # a decoder raises whatever a broken file leads it to
        raise _refused(path, error) from None


def _check(image: ImageFile.ImageFile, path: Path) -> None:
    """Refuse what would be read wrongly or not at all, before the pixels are decoded."""
    if image.width * image.height > MOST_PIXELS:
        raise _too_large(path, f"{image.width:,} × {image.height:,}")
    frames = getattr(image, "n_frames", 1)
    if frames > 1:
        raise ArtworkError(path, "be one picture", got=f"an animation of {frames}")
    is_of_8_bits = image.mode == "P" or image.tile[0].args == image.mode
    if "transparency" in image.info and not is_of_8_bits:
        raise ArtworkError(  # Pillow compares the colour at the wrong depth and never finds it
            path,
            "hold its transparency in an alpha channel",
            got="one transparent colour, not of 8 bits a channel",
        )


def _refused(path: Path, error: Exception) -> ArtworkError:
    match error:
        case UnidentifiedImageError():
            return ArtworkError(path, "be a PNG picture", suggestion="export it as PNG")
        case Image.DecompressionBombError():
            return _too_large(path, "more")
        case MemoryError():
            return ArtworkError(path, "fit into this computer's memory")
        case OSError(strerror=str(reason)):
            return ArtworkError(path, "be a file that can be read", got=reason.lower())
        case _:
            return ArtworkError(
                path, "be a whole PNG picture", got="a damaged one", suggestion="export it again"
            )


def _too_large(path: Path, got: str) -> ArtworkError:
    must = f"hold at most {MOST_PIXELS / 1e6:g} million pixels"
    return ArtworkError(path, must, got=got, suggestion="export it at a lower resolution")


def _gamma(image: Image.Image) -> float | None:
    """The exponent of gAMA [-] where it holds; a profile or the sRGB chunk goes before it."""
    if image.info.get("icc_profile") or "srgb" in image.info:
        return None
    return image.info.get("gamma") or None


def _to_srgb(image: Image.Image, path: Path) -> Convert:
    """What turns pixels into sRGB; it leaves them alone where no profile is embedded."""
    stored = image.info.get("icc_profile")
    if not stored:
        return lambda pixels: pixels
    try:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(stored))
        mode = {"RGB": "RGB", "GRAY": "L"}[profile.profile.xcolor_space.strip()]
        transform = ImageCms.buildTransform(profile, ImageCms.createProfile("sRGB"), mode, "RGB")
    except (ImageCms.PyCMSError, OSError, KeyError):
        raise ArtworkError(
            path, "hold a colour profile that can be read", suggestion="export it as sRGB"
        ) from None
    return lambda pixels: np.asarray(transform.apply(Image.fromarray(pixels).convert(mode)))


def _resolution(image: Image.Image) -> tuple[float, float] | None:
    """Pixels an inch across and down, where the file states both."""
    across, down = image.info.get("dpi", (0, 0))
    return (float(across), float(down)) if across > 0 and down > 0 else None
