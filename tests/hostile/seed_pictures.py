"""Small sound pictures of every kind that is read, and the published malformed ones."""

import io
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image

FILES = Path(__file__).parents[1] / "capture" / "files"
_MAKE, _ORIENTATION, _EXIF = 0x010F, 0x0112, 0x8769


@cache
def sound_pictures() -> tuple[bytes, ...]:
    """Return pictures that decode: JPEG of several codings, PNG of several depths, HEIC."""
    made = [
        _saved("JPEG", exif=True), _saved("JPEG", progressive=True), _saved("JPEG", mode="L"),
        _saved("JPEG", mode="CMYK"), _saved("JPEG", subsampling=0, restart_marker_blocks=1),
        _saved("PNG", exif=True), _saved("PNG", mode="L"), _saved("PNG", mode="P"),
        _saved("PNG", mode="RGBA"), _saved("PNG", mode="1"),
    ]  # fmt: skip
    there = [FILES / "exif-orientation" / "hopper.jpg", FILES / "heic" / "RGB_8__29x100.heif"]
    return (*made, *(path.read_bytes() for path in there))


@cache
def published_hostile() -> tuple[bytes, ...]:
    """Return the published malformed pictures (files/SOURCES.md says whose)."""
    folders = FILES / "hostile", FILES / "heic", FILES / "exif-orientation"
    paths = sorted(path for folder in folders for path in folder.iterdir())
    return tuple(path.read_bytes() for path in paths if path.suffix not in {".pillow", ""})


def _saved(kind: str, *, mode: str = "RGB", exif: bool = False, **options: int) -> bytes:
    rng = np.random.default_rng(len(kind) + len(mode))
    pixels = rng.integers(0, 256, (40, 64, 3), dtype=np.uint8)
    pixels[10:30, 10:50] = 128
    out = io.BytesIO()
    tags = Image.Exif()
    if exif:
        tags[_MAKE], tags[_ORIENTATION] = "Nobody's", 6
        tags.get_ifd(_EXIF)[0xA405] = 28
    Image.fromarray(pixels).convert(mode).save(out, kind, exif=tags, **options)
    return out.getvalue()
