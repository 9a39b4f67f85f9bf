"""Picture bytes -> upright pixels, decoded by a child process with limits."""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from threading import Timer
from typing import IO, TYPE_CHECKING, BinaryIO, cast

from msgspec import Struct

from capture.intake.kind import Kind
from capture.intake.ready import Standby
from capture.intake.wholeness import what_is_missing

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Pixels = npt.NDArray[np.uint8]

MAX_PIXELS = 220_000_000  # above the largest phone camera of today (200 megapixels)
MEMORY_BYTES = 2 << 30
WALL_SECONDS = 120.0
_FIRST_ON_ITS_SIDE = 5  # of the EXIF turns
# Imported, not run as a script: so Python keeps it compiled. All it needs is found after, not
# before, the standard library.
_WORK = """\
import sys
sys.path += sys.argv[5:]
import worker
worker.main(sys.argv[1], *map(int, sys.argv[2:5]))
"""
_WAIT = """\
import sys
sys.path += sys.argv[1:]
import worker
worker.wait()
"""
# Memory in large pages where glibc may have them (since 2.35; elsewhere it says nothing): ten
# thousand small ones cost the system as much as a third of the decoding.
_LARGE_PAGES = {"GLIBC_TUNABLES": "glibc.malloc.hugetlb=1"}
_PPM_HEAD_LINES, _PPM_LINE_BYTES = 3, 32


class Refused(Struct, frozen=True):
    """The picture is not decoded; ``reason`` is a clause that follows the file's name."""

    reason: str


class Decoded(Struct, frozen=True, eq=False):
    """Upright pixels, (height, width, 3) of uint8 in RGB order, and what EXIF claims.

    ``size_px`` is the (width, height) of the whole upright picture, whatever was asked for.
    ``camera_time`` is ISO 8601, with an offset only if the camera knew one; empty if unknown.
    """

    pixels: "Pixels"
    size_px: tuple[int, int]
    camera: str = ""
    camera_time: str = ""
    focal_35mm: float | None = None


def decode(
    original: bytes,
    kind: Kind,
    *,
    max_pixels: int = MAX_PIXELS,
    memory_bytes: int = MEMORY_BYTES,
    coarse_px: int = 0,
) -> Decoded | Refused:
    """Return the upright pixels of a whole JPEG, PNG or HEIC, or why there are none.

    With ``coarse_px`` they come small, to be looked at and never measured on: the longer side is
    no less than that where the picture has as much.

    The EXIF turn is applied exactly once, here. Nothing that the bytes do can hurt this process:
    they are decoded by another, which has limits on memory and on processor and wall time. It may
    stand ready before (``standby``).
    """
    missing = what_is_missing(original, kind)
    if missing:
        return Refused(missing)
    order = [kind.name, str(max_pixels), str(memory_bytes), str(coarse_px)]
    ready = standby.take()
    if ready is None:
        with _begun(original, order) as answer:
            return answer()
    with _within_limits(ready.child) as answer:
        ready.give(" ".join(order).encode() + b"\n" + original)
        received = answer()
    standby.refill_later()
    return received


@contextmanager
def decoding(original: bytes, kind: Kind) -> Iterator[Callable[[], Decoded | Refused]]:
    """Give a way to wait, once, for what ``decode`` returns: a child is at it from now on.

    For whoever has other work meanwhile. The child ends with the context, asked for or not.
    """
    missing = what_is_missing(original, kind)
    if missing:
        yield lambda: Refused(missing)
        return
    with _begun(original, [kind.name, str(MAX_PIXELS), str(MEMORY_BYTES), "0"]) as answer:
        yield answer


@contextmanager
def _begun(original: bytes, order: list[str]) -> Iterator[Callable[[], Decoded | Refused]]:
    with tempfile.TemporaryFile() as source:
        source.write(original)
        source.seek(0)
        with _within_limits(_child([_WORK, *order], source)) as answer:
            yield answer


def _child(words: list[str], source: int | BinaryIO | IO[bytes]) -> "subprocess.Popen[bytes]":
    return subprocess.Popen(
        # P: this folder's own modules must not stand in for the standard library's. S: what
        # Python does at its start to find every package takes as long as Pillow itself.
        [sys.executable, "-PS", "-c", *words, *_folders()],
        stdin=source,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=_LARGE_PAGES | dict(os.environ),
    )


standby = Standby(lambda source: _child([_WAIT], source))


@contextmanager
def _within_limits(
    child: "subprocess.Popen[bytes]",
) -> Iterator[Callable[[], Decoded | Refused]]:
    """Give a way to wait for a child's answer; it ends with the context, or for taking long."""
    with child:
        timer = Timer(WALL_SECONDS, child.kill)
        timer.start()
        try:
            yield lambda: _receive(cast("IO[bytes]", child.stdout))
        finally:
            timer.cancel()
            child.kill()


def _folders() -> list[str]:
    """Return where the child finds its packages and the worker."""
    specs = [find_spec(name) for name in ("PIL", "pi_heif")]
    packages = {str(Path(spec.origin).parents[1]) for spec in specs if spec and spec.origin}
    return [*sorted(packages), str(Path(__file__).parent)]


def _receive(answer: IO[bytes]) -> Decoded | Refused:
    """Read the child's head line and PPMs; a child that died mid-way sent too few bytes."""
    import numpy as np  # noqa: PLC0415 - not at start-up

    line = answer.readline()
    if not line:
        return Refused("needs more memory or time to decode than a photo may")
    head = json.loads(line)
    if "reason" in head:
        return Refused(head["reason"])
    rows = np.empty((head["height"], head["width"], 3), dtype=np.uint8)
    strip = max(1, head["strip"])  # whatever a child that went wrong sent: all rows are filled
    for top in range(0, head["height"], strip):
        if not _fill(rows[top : top + strip], answer):
            return Refused("needs more memory or time to decode than a photo may")
    turn = head["orientation"]
    width, height = head["whole"]
    return Decoded(
        pixels=turned_upright(rows, turn),
        size_px=(width, height) if turn < _FIRST_ON_ITS_SIDE else (height, width),
        camera=head["camera"],
        camera_time=head["camera_time"],
        focal_35mm=head["focal_35mm"],
    )


def _fill(rows: "Pixels", answer: IO[bytes]) -> bool:
    """Read one PPM into rows of its size; return whether all of it came."""
    for _ in range(_PPM_HEAD_LINES):
        answer.readline(_PPM_LINE_BYTES)
    view = rows.data.cast("B")
    got = 0
    while got < len(view):
        count = cast("int", answer.readinto(view[got:]))  # type: ignore[attr-defined] # BufferedReader
        if count == 0:
            return False
        got += count
    return True


def turned_upright(stored: "Pixels", orientation: int) -> "Pixels":
    """Return rows as the camera was held, from rows as stored (EXIF 2.32, tag 0x0112).

    1 as is; 2 mirrored left-right; 3 turned by 180; 4 mirrored top-bottom; 5 transposed;
    6 turned a quarter clockwise; 7 transposed the other way; 8 turned a quarter anticlockwise.
    """
    import numpy as np  # noqa: PLC0415 - not at start-up

    turned = {
        1: lambda a: a,
        2: lambda a: a[:, ::-1],
        3: lambda a: a[::-1, ::-1],
        4: lambda a: a[::-1],
        5: lambda a: a.swapaxes(0, 1),
        6: lambda a: a[::-1].swapaxes(0, 1),
        7: lambda a: a[::-1, ::-1].swapaxes(0, 1),
        8: lambda a: a[:, ::-1].swapaxes(0, 1),
    }[orientation](stored)
    return np.ascontiguousarray(turned)
