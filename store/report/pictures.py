"""A photo of the book -> the copy that is printed: checked, turned upright, cropped, scaled down.

The photo itself is read only. Its bytes are hashed first: a file that is no longer what its name
says is never printed as if it were the evidence.
"""

import hashlib
import warnings
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from annotate.drawings.overlay import Box
from store.files.passing import is_passing

if TYPE_CHECKING:
    from PIL import Image

MOST_MEGAPIXELS = 220
_DOTS_PER_INCH = 240
_POINTS_PER_INCH = 72
_QUALITY = 86
_FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "HEIF", "MPO")
_TURNED = (5, 6, 7, 8)  # EXIF orientations that lie on their side
_ORIENTATION = 0x0112


class Wanted(Struct, frozen=True):
    """A copy to make: ``box`` of the upright picture (None: all of it), ``width_pt`` in print."""

    file: str
    source: str
    photo: str
    width_pt: float
    box: Box | None = None


def print_copy(wanted: Wanted, folder: Path) -> str:
    """Write the printed copy; return "" or, in one clause, why the photo cannot be shown."""
    copy = upright_copy(wanted)
    if isinstance(copy, str):
        return copy
    copy.save(folder / wanted.file, "JPEG", quality=_QUALITY, subsampling=0)
    return ""


def upright_copy(wanted: Wanted) -> "Image.Image | str":
    """Return the copy, not yet written, or in one clause why the photo cannot be shown.

    What can't be read for the moment is raised: a page must not say of it that it is gone.
    """
    try:
        data = Path(wanted.source).read_bytes()
    except OSError as error:
        if is_passing(error):
            raise
        return "its file is missing from the book"
    if hashlib.sha256(data).hexdigest() != wanted.photo:
        return "its file was altered: the bytes no longer match its SHA-256"
    del data
    try:
        return _upright_part(Path(wanted.source), wanted)
    except Exception as error:
        if is_passing(error):
            raise
        # A decoder may raise anything on hostile bytes.
        return "its file cannot be decoded; it is kept, with its SHA-256"


def _upright_part(source: Path, wanted: Wanted) -> "Image.Image":
    from PIL import Image, ImageOps  # noqa: PLC0415 - only the process that prints needs it

    _read_heic_too()
    Image.MAX_IMAGE_PIXELS = MOST_MEGAPIXELS * 1_000_000
    with warnings.catch_warnings():
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        opened = Image.open(source, formats=_FORMATS)
    with opened:
        turned = opened.getexif().get(_ORIENTATION, 1) in _TURNED
        full_width, full_height = opened.size[::-1] if turned else opened.size
        box = wanted.box or Box(0, 0, full_width, full_height)
        target = max(1, round(wanted.width_pt / _POINTS_PER_INCH * _DOTS_PER_INCH))
        _decode_small(opened, target / box.width)
        upright = ImageOps.exif_transpose(opened).convert("RGB")
    kept = upright.width / full_width  # a JPEG may have been decoded at a half, quarter, eighth
    edges = (box.left, box.top, box.left + box.width, box.top + box.height)
    width = min(target, box.width)
    height = max(1, round(width * box.height / box.width))
    lanczos = Image.Resampling.LANCZOS
    resized = upright.resize((width, height), lanczos, box=_within(edges, kept, upright.size))
    resized.info.clear()  # no second turn, no location, no thumbnail
    return resized


def _decode_small(opened: "Image.Image", factor: float) -> None:
    """Let the JPEG decoder do the first halvings: a fraction of the memory and the time."""
    width, height = opened.size
    opened.draft("RGB", (max(1, round(width * factor)), max(1, round(height * factor))))


def _within(
    edges: tuple[int, ...], kept: float, size: tuple[int, int]
) -> tuple[float, float, float, float]:
    left, top, right, bottom = (edge * kept for edge in edges)
    return (max(0.0, left), max(0.0, top), min(float(size[0]), right), min(float(size[1]), bottom))


def _read_heic_too() -> None:
    from pi_heif import register_heif_opener  # noqa: PLC0415 - as above

    register_heif_opener()
