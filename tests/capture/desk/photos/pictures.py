"""Pictures for the tests of photos: with a tag in them, large, cut short."""

import io
from pathlib import Path

import numpy as np
from PIL import Image

from annotate.own_targets import TAG_DICTIONARY, cells
from tests.capture.command import FILES, SAMPLES

TRUNCATED = FILES / "hostile" / "truncated_jpeg.jpg"
HEIC = FILES / "heic" / "arrow.heic"  # 1280 x 720, see SOURCES.md there
_MODULE_PX = 24


def with_tag(to: Path, *numbers: int) -> Path:
    """A plate with printed tags laid on it: black on white, a white border of two modules."""
    plate = np.asarray(Image.open(SAMPLES / "front-cover-on.jpg").convert("RGB")).copy()
    for turn, number in enumerate(numbers):
        modules = np.array([[cell == "1" for cell in row] for row in cells(TAG_DICTIONARY, number)])
        sheet = np.pad(modules, 2, constant_values=True)
        tag = np.kron(sheet, np.ones((_MODULE_PX, _MODULE_PX))).astype(np.uint8) * 200 + 20
        top, left = 200, 120 + turn * 500
        plate[top : top + len(tag), left : left + len(tag)] = tag[..., None]
    Image.fromarray(plate).save(to, quality=92)
    return to


def large(to: Path, wide: int = 8000, high: int = 6000) -> Path:
    """48 megapixels of metal with a hole's edge in them."""
    down, across = np.ogrid[:high, :wide]
    grey = ((across // 4 + down // 6) % 200 + 30).astype(np.uint8)
    grey[(across - wide // 2) ** 2 + (down - high // 2) ** 2 < (high // 6) ** 2] = 12
    Image.fromarray(grey).convert("RGB").save(to, quality=85)
    return to


def sample_bytes(name: str = "bearing-1.jpg") -> bytes:
    return (SAMPLES / name).read_bytes()


def other_bytes() -> bytes:
    """Another whole JPEG, small."""
    out = io.BytesIO()
    Image.new("RGB", (640, 480), (90, 90, 96)).save(out, "JPEG")
    return out.getvalue()
