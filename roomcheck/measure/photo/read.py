"""A photograph as it comes from a telephone or a camera: upright, with what the camera recorded."""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib.util import find_spec
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
HEIF = "HEIF"
_ENDINGS = {"JPEG": ".jpg", "PNG": ".png", "TIFF": ".tif", "WEBP": ".webp", HEIF: ".heic"}
_HEIF_BRANDS = (b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1")
"""Of a file's first box, `ftyp` (ISO/IEC 23008-12, annex B; memory)."""
MOST_PIXELS = 120_000_000
"""Of telephones' largest pictures; more would take more than half a gigabyte."""
_TOO_MANY = (
    "that is more than a photograph of a wall can need; at most "
    f"{MOST_PIXELS // 1_000_000} million pixels are read"
)
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


def ending_of(path: Path, formats: Sequence[str] = (*FORMATS, HEIF)) -> str:
    """The ending that a picture's content deserves, whatever its name: ".jpg".

    Raises
    ------
    NoPhotograph
        It is none of these formats, or of more pixels than a photograph of a wall can need.
    NoRegularFile
    """
    with _opened(path, formats) as picture:
        return _ENDINGS[str(picture.format)]


def reads_heif() -> bool:
    """Whether the package that reads HEIC is there."""
    return find_spec("pillow_heif") is not None


@contextmanager
def _opened(path: Path, formats: Sequence[str] = (*FORMATS, HEIF)) -> Iterator[Image]:
    """Open a picture by its content, whatever its name."""
    with open_regular(path) as file:
        heif = _is_heif(file)
        read = [name for name in formats if name != HEIF]
        if heif and HEIF in formats and _with_heif():
            read.append(HEIF)
        yield _picture_in(file, path, read, heif)


def _picture_in(file: BinaryIO, path: Path, formats: Sequence[str], heif: bool) -> Image:
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture: Any = Image.open(file, formats=tuple(formats))
    except Image.DecompressionBombError as problem:
        raise NoPhotograph(f"{path}: {_TOO_MANY}") from problem
    except (UnidentifiedImageError, OSError, ValueError) as problem:
        raise NoPhotograph(
            f"{path}: this is no picture that can be read here; needed {_listed(formats)}"
            f"{_HEIF_CURE if heif else ''}"
        ) from problem
    width, height = picture.size
    if width * height > MOST_PIXELS:
        raise NoPhotograph(f"{path}: {width} by {height} pixels; {_TOO_MANY}")
    return picture  # type: ignore[no-any-return]


def _listed(formats: Sequence[str]) -> str:
    names = [{"WEBP": "WebP", HEIF: "HEIC"}.get(name, name) for name in formats]
    return f"{', '.join(names[:-1])} or {names[-1]}"


_HEIF_CURE = (
    ". HEIC needs one more package: pip install pillow-heif; or set the telephone's camera to the "
    "most compatible format"
)


def _is_heif(file: BinaryIO) -> bool:
    """Whether a file's first box is that of HEIC; the file stands at its beginning again."""
    head = file.read(12)
    file.seek(0)
    return head[4:8] == b"ftyp" and head[8:12] in _HEIF_BRANDS


def _with_heif() -> bool:
    """Let HEIC be read where the package for it is there."""
    try:
        import pillow_heif  # type: ignore[import-not-found, unused-ignore]
    except ImportError:
        return False
    pillow_heif.register_heif_opener()
    return True
