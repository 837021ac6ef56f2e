"""A photograph as it comes from a telephone or a camera: upright, with what the camera recorded."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from roomcheck.errors import RoomcheckError
from roomcheck.job import open_regular
from roomcheck.measure.photo.results import Frame

if TYPE_CHECKING:
    from PIL.Image import Image

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP")
MOST_PIXELS = 120_000_000
"""Of telephones' largest pictures; more would take more than half a gigabyte."""
FULL_FRAME_DIAGONAL_MM = 43.27
"""Of 36 mm by 24 mm, to which a focal length in 35 mm film is meant (Exif 2.32, 4.6.5.4)."""
_EXIF_IFD = 0x8769
_ORIENTATION = 0x0112
_FOCAL_35MM = 0xA405
"""Tags of Exif 2.32: FocalLengthIn35mmFilm is 0 where it is not known."""


class NoPhotograph(RoomcheckError):
    """A file that is no picture which can be read here."""


def frame_of(path: Path) -> Frame:
    """Size of the upright picture, and the focal length by the camera's own record.

    Raises
    ------
    NoPhotograph
        It is no picture, or of a kind that is not read here.
    NoRegularFile
    """
    with _opened(path) as picture:
        width, height = picture.size
        exif = picture.getexif()
    if exif.get(_ORIENTATION) in (5, 6, 7, 8):
        width, height = height, width
    film_mm = exif.get_ifd(_EXIF_IFD).get(_FOCAL_35MM)
    focal_px = None
    if isinstance(film_mm, int | float) and 5 <= film_mm <= 1000:
        focal_px = float(film_mm) / FULL_FRAME_DIAGONAL_MM * float(np.hypot(width, height))
    return Frame(width_px=width, height_px=height, focal_px=focal_px)


def upright(path: Path) -> NDArray[np.uint8]:
    """The picture as one looks at it, without what the camera wrote beside it: (height, width, 3).

    Raises
    ------
    NoPhotograph, NoRegularFile
    """
    from PIL import ImageOps

    with _opened(path) as picture:
        try:
            return np.asarray(ImageOps.exif_transpose(picture).convert("RGB"), dtype=np.uint8)
        except (OSError, ValueError, SyntaxError) as problem:
            raise NoPhotograph(f"{path}: the picture is damaged: {problem}") from problem


@contextmanager
def _opened(path: Path) -> Iterator[Image]:
    """Open a picture by its content, whatever its name."""
    _with_heif(path)
    with open_regular(path) as file:
        yield _picture_in(file, path)


def _picture_in(file: BinaryIO, path: Path) -> Image:
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture: Any = Image.open(file)
    except (UnidentifiedImageError, OSError, ValueError, Image.DecompressionBombError) as problem:
        raise NoPhotograph(
            f"{path}: this is no picture that can be read here; needed JPEG, PNG, TIFF or WebP"
            f"{_heif_cure(path)}"
        ) from problem
    width, height = picture.size
    if width * height > MOST_PIXELS:
        raise NoPhotograph(
            f"{path}: {width} by {height} pixels are more than a photograph of a wall can need; "
            f"at most {MOST_PIXELS // 1_000_000} million are read"
        )
    return picture  # type: ignore[no-any-return]


def _with_heif(path: Path) -> None:
    """Let HEIC be read where the package for it is there."""
    if path.suffix.lower() not in (".heic", ".heif"):
        return
    try:
        import pillow_heif  # type: ignore[import-not-found, unused-ignore]
    except ImportError:
        return
    pillow_heif.register_heif_opener()


def _heif_cure(path: Path) -> str:
    if path.suffix.lower() in (".heic", ".heif"):
        return (
            ". HEIC needs one more package: pip install pillow-heif; or set the telephone's camera "
            "to the most compatible format"
        )
    return ""
