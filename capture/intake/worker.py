"""Child process: picture on stdin -> one line of JSON, then its pixels as PPM pictures.

Imported by ``decode`` into a Python of its own, with limits on memory and processor time: a hostile
picture can at worst end this process. It imports nothing of Benchproof and no numpy.
Arguments: KIND MAX_PIXELS MEMORY_BYTES COARSE_PX; a child that stands ready (``wait``) has them as
the first line of stdin instead. The PPMs are strips of the picture as stored,
from the top, each of ``strip`` rows but the last; the EXIF turn is told in the head line and
applied by the parent. With COARSE_PX above 0 the picture comes small, its
longer side no less than that where it has as much; every byte is read all the same.
"""

import json
import sys
import warnings
from contextlib import suppress
from io import BytesIO
from math import isfinite
from typing import Any, BinaryIO

from PIL import Image

FORMATS = {"JPEG": ("JPEG", "MPO"), "PNG": ("PNG",), "HEIC": ("HEIF",)}
MODES = {"1", "L", "LA", "P", "PA", "RGB", "RGBA", "RGBX", "CMYK", "YCbCr"}
STRIP_PIXELS = 4_000_000
CPU_SECONDS = 10
CPU_SECONDS_PER_MEGAPIXEL = 0.15
CPU_SECONDS_MOST = 60

_EXIF_IFD = 0x8769
_MAKE, _MODEL, _ORIENTATION, _FILE_TIME = 0x010F, 0x0110, 0x0112, 0x0132
_TAKEN, _TAKEN_OFFSET, _FOCAL_35MM = 0x9003, 0x9011, 0xA405
# As of a typed one: beyond these a file is wrong, or its lens is a fisheye, which is no pinhole.
_FOCAL_35MM_LEAST, _FOCAL_35MM_MOST = 8.0, 5000.0


class Refused(Exception):
    """The picture is not decoded; the text is a clause that follows the file's name."""


def wait() -> None:
    """Load what most pictures need, wait for an order on stdin, and decode what follows it."""
    Image.preinit()
    kind, *numbers = sys.stdin.buffer.readline().decode().split() or [""]
    if kind:
        main(kind, *map(int, numbers), piped=True)


def main(
    kind: str, max_pixels: int, memory_bytes: int, coarse_px: int = 0, *, piped: bool = False
) -> None:
    """Decode stdin to stdout; every refusal is a head line with a reason.

    ``piped``: stdin is a pipe, in which Pillow can't go back.
    """
    _limit_memory(memory_bytes)
    _limit_cpu(CPU_SECONDS)
    warnings.simplefilter("ignore")
    try:
        source: BinaryIO = BytesIO(sys.stdin.buffer.read()) if piped else sys.stdin.buffer
        picture = _open(kind, max_pixels, source)
        head = _describe(picture, kind)
        if coarse_px:
            _draft(picture, coarse_px)
        _load(picture)
        if coarse_px:
            picture = _shrunk(picture, coarse_px)
    except Refused as refused:
        _send_head({"reason": str(refused)})
        return
    strip = _strip_rows(picture)
    _send_head(head | {"width": picture.width, "height": picture.height, "strip": strip})
    _send_rows(picture, strip, sys.stdout.buffer)


def _open(kind: str, max_pixels: int, source: BinaryIO) -> Image.Image:
    """Return the picture with only its head read, if it may be decoded at all."""
    if kind == "HEIC":
        import pi_heif  # noqa: PLC0415 - 30 ms that a JPEG need not pay

        pi_heif.register_heif_opener()
    # We check the size ourselves, from the head, with a limit that the message can state.
    Image.MAX_IMAGE_PIXELS = None
    try:
        picture = Image.open(source, formats=FORMATS[kind])
    except MemoryError:
        raise Refused("needs more memory than a photo may") from None
    except Exception as error:
        raise Refused(f"is damaged ({_first_line(error)})") from error
    pixels = picture.width * picture.height
    if pixels > max_pixels:
        raise Refused(
            f"claims {pixels / 1e6:.0f} megapixels, and at most {max_pixels / 1e6:.0f} are read"
        )
    if picture.mode not in MODES:
        if picture.mode.startswith("I"):
            raise Refused("holds grey tones of more than 8 bits, which are not read")
        raise Refused(f"holds pixels of a kind that is not read ({picture.mode})")
    _limit_cpu(int(CPU_SECONDS + CPU_SECONDS_PER_MEGAPIXEL * pixels / 1e6))
    return picture


def _load(picture: Image.Image) -> None:
    try:
        picture.load()
    except MemoryError:
        raise Refused("needs more memory than a photo may") from None
    except Exception as error:
        if "truncated" in str(error).lower():
            raise Refused("is cut short (its pixels end early)") from error
        raise Refused(f"is damaged ({_first_line(error)})") from error


def _draft(picture: Image.Image, coarse_px: int) -> None:
    """Have a JPEG decoded at a half, quarter or eighth of its size: its blocks allow that."""
    longest = max(picture.size)
    picture.draft(None, tuple(max(1, side * coarse_px // longest) for side in picture.size))  # type: ignore[arg-type] # two sides


def _shrunk(picture: Image.Image, coarse_px: int) -> Image.Image:
    factor = max(picture.size) // coarse_px
    if factor <= 1:
        return picture
    # Averaged over its indices a palette would give colours that are not in the picture.
    whole = picture if picture.mode in {"L", "RGB"} else picture.convert("RGB")
    return whole.reduce(factor)


def _describe(picture: Image.Image, kind: str) -> dict[str, Any]:
    """Return the head line: size as stored, and what the EXIF block claims, tag by tag."""
    tags: dict[int, Any] = {}
    # A broken EXIF block must not cost the picture: each part is asked for on its own.
    with suppress(Exception):
        exif = picture.getexif()
        for tag in (_MAKE, _MODEL, _ORIENTATION, _FILE_TIME):
            with suppress(Exception):
                tags[tag] = exif.get(tag)
        with suppress(Exception):
            tags.update(exif.get_ifd(_EXIF_IFD))
    # libheif has turned a HEIC already (ISO/IEC 23008-12: the 'irot' property, not EXIF, turns).
    turn = 1 if kind == "HEIC" else tags.get(_ORIENTATION)
    return {
        "whole": [picture.width, picture.height],
        "orientation": turn if turn in range(1, 9) else 1,
        "camera": _camera(_text(tags.get(_MAKE)), _text(tags.get(_MODEL))),
        "camera_time": _time(
            _text(tags.get(_TAKEN)) or _text(tags.get(_FILE_TIME)), _text(tags.get(_TAKEN_OFFSET))
        ),
        "focal_35mm": _focal(tags.get(_FOCAL_35MM)),
    }


def _camera(make: str, model: str) -> str:
    return model if model.lower().startswith(make.lower()) else f"{make} {model}".strip()


def _time(text: str, offset: str) -> str:
    """Return EXIF's "2026:11:02 14:31:07" as ISO 8601, or "" if it is no time."""
    day, _, clock = text.partition(" ")
    if len(day) != len("2026:11:02") or not clock or not day.replace(":", "").isdigit():
        return ""
    return f"{day.replace(':', '-')}T{clock}{offset}" if day.strip("0:") else ""


def _focal(value: object) -> float | None:
    with suppress(Exception):
        focal = float(value)  # type: ignore[arg-type] # whatever the file holds
        if isfinite(focal) and _FOCAL_35MM_LEAST <= focal <= _FOCAL_35MM_MOST:  # 0 means not known
            return focal
    return None


def _text(value: object) -> str:
    text = value.decode("ascii", "replace") if isinstance(value, bytes) else value
    if not isinstance(text, str):
        return ""
    return "".join(c for c in text.split("\0")[0] if c.isprintable()).strip()[:80]


def _first_line(error: Exception) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0][:120]


def _send_head(head: dict[str, Any]) -> None:
    sys.stdout.buffer.write(json.dumps(head).encode() + b"\n")


def _strip_rows(picture: Image.Image) -> int:
    """Return how many rows are sent at once: converting the whole would double the memory."""
    return picture.height if picture.mode == "RGB" else max(1, STRIP_PIXELS // picture.width)


def _send_rows(picture: Image.Image, strip: int, out: BinaryIO) -> None:
    # As PPM, because Pillow writes that straight from its own memory, without a copy.
    if picture.mode == "RGB":
        picture.save(out, "PPM")
        return
    for top in range(0, picture.height, strip):
        rows = picture.crop((0, top, picture.width, min(top + strip, picture.height)))
        rows.convert("RGB").save(out, "PPM")


def _limit_memory(memory_bytes: int) -> None:
    with suppress(ImportError, ValueError, OSError):
        import resource  # noqa: PLC0415 - not on every system

        resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))


def _limit_cpu(seconds: int) -> None:
    with suppress(ImportError, ValueError, OSError):
        import resource  # noqa: PLC0415 - not on every system

        soft = min(seconds, CPU_SECONDS_MOST)
        resource.setrlimit(resource.RLIMIT_CPU, (soft, CPU_SECONDS_MOST))
