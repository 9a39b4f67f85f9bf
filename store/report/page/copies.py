"""Photos -> the copies that lie in the page: JPEG, checked against their hash, bounded in size.

The copies are made in a process of their own: a decoder may hang or die on hostile bytes. A page
must go through a mailbox, so all copies share ``MOST_TOGETHER`` bytes, and none has more than
``MOST_EACH``: the quality falls first, then the size.
"""

import io
import json
from base64 import b64encode
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from msgspec import Struct, structs

from store.report.pictures import Wanted, upright_copy
from store.report.typeset import Progress, Stop, as_child, in_child, say_step

if TYPE_CHECKING:
    from PIL import Image

MOST_EACH, MOST_TOGETHER = 160_000, 9_000_000
_LEAST = 6_000  # however many there are: a picture in fewer bytes shows nothing
_QUALITIES = (84, 74, 64, 52, 40)
_SMALLER = 0.75
_POINTS_PER_INCH, _DOTS_PER_INCH = 72, 240  # of store/report/pictures.py
_SECONDS, _SECONDS_PER_PICTURE = 60, 20


class Copy(Struct, frozen=True):
    """One photo as the page has it: a data: URI and its pixels, or in a clause why it has none."""

    uri: str = ""
    width_px: int = 0
    height_px: int = 0
    why: str = ""


def copies(
    folder: Path,
    wanted: tuple[tuple[Wanted, int], ...],
    *,
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> dict[str, Copy]:
    """Return a copy of each photo by its file name; ``folder`` is for scratch.

    Each comes with how many pixels wide it is wanted. Raises ReportFailed, ReportStopped.
    """
    together = sum(width for _, width in wanted) or 1
    order = [
        (
            structs.replace(each, width_pt=width * _POINTS_PER_INCH / _DOTS_PER_INCH),
            max(_LEAST, min(MOST_EACH, MOST_TOGETHER * width // together)),
        )
        for each, width in wanted
    ]
    (folder / "copies.json").write_bytes(msgspec.json.encode(order))
    limit_s = _SECONDS + _SECONDS_PER_PICTURE * len(order)
    in_child("store.report.page.copies", folder, "page", limit_s, progress, stop)
    made = json.loads((folder / "made.json").read_text("utf-8"))
    return {name: _read(folder / name, **said) for name, said in made.items()}


def _read(path: Path, *, why: str, width_px: int = 0, height_px: int = 0) -> Copy:
    if why:
        return Copy(why=why)
    uri = f"data:image/jpeg;base64,{b64encode(path.read_bytes()).decode('ascii')}"
    return Copy(uri, width_px, height_px)


def bounded(picture: "Image.Image", most_bytes: int) -> tuple[bytes, tuple[int, int]]:
    """Return a picture as a JPEG of no more bytes than that, and its pixels."""
    from PIL import Image  # noqa: PLC0415 - only the process that makes copies needs it

    while True:
        for quality in _QUALITIES:
            out = io.BytesIO()
            picture.save(out, "JPEG", quality=quality, optimize=True)
            if len(out.getvalue()) <= most_bytes or max(picture.size) == 1:
                return out.getvalue(), picture.size
        width, height = (max(1, round(side * _SMALLER)) for side in picture.size)
        picture = picture.resize((width, height), Image.Resampling.LANCZOS)


def _child(folder: Path, say: Callable[[int, int, str], None] = say_step) -> int:
    """Make the copies; the part that runs in its own process."""
    order = msgspec.json.decode(
        (folder / "copies.json").read_bytes(), type=list[tuple[Wanted, int]]
    )
    made: dict[str, dict[str, str | int]] = {}
    for step, (wanted, most_bytes) in enumerate(order):
        say(step, len(order) + 1, f"photo {wanted.photo[:8]}")
        picture = upright_copy(wanted)
        if isinstance(picture, str):
            made[wanted.file] = {"why": picture}
            continue
        data, (width, height) = bounded(picture, most_bytes)
        (folder / wanted.file).write_bytes(data)
        made[wanted.file] = {"why": "", "width_px": width, "height_px": height}
    (folder / "made.json").write_text(json.dumps(made), "utf-8")
    say(len(order), len(order) + 1, "setting the page")
    return 0


if __name__ == "__main__":
    raise SystemExit(as_child(_child))
