"""File -> Photo: the untouched bytes, what they really are, and the upright picture."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from capture.errors import BadPhoto
from capture.intake import decode as decoding
from capture.intake.kind import Kind, recognise

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

MAX_BYTES = 400_000_000


class Photo(Struct, frozen=True, eq=False):
    """A photo as it came in.

    ``original`` are the file's bytes as they were; ``pixels`` the upright picture, (height,
    width, 3) of uint8 in RGB order, or None where only ``checked`` or kept although it can't be
    shown, and then ``unreadable`` says why. ``size_px`` is its (width, height) where the pixels
    were let go, and ``small`` a small one to look at then. ``camera_time`` and ``camera`` are the
    camera's own claims.
    """

    file_name: str
    original: bytes
    kind: Kind
    pixels: "npt.NDArray[np.uint8] | None" = None
    camera: str = ""
    camera_time: str = ""
    focal_35mm: float | None = None
    unreadable: str = ""
    size_px: tuple[int, int] | None = None
    small: "npt.NDArray[np.uint8] | None" = None

    @property
    def width_px(self) -> int | None:
        """Width of the upright picture in pixels; None if it can't be shown."""
        return self.pixels.shape[1] if self.pixels is not None else self._side(0)

    @property
    def height_px(self) -> int | None:
        """Height of the upright picture in pixels; None if it can't be shown."""
        return self.pixels.shape[0] if self.pixels is not None else self._side(1)

    def _side(self, which: int) -> int | None:
        return None if self.size_px is None else self.size_px[which]


def read_photo(path: Path, *, keep_anyway: bool = False) -> Photo:
    """Return the photo in a file; the file is only read.

    Raises BadPhoto, with one sentence that says what the file is and what to do. With
    ``keep_anyway`` a file that cannot be shown is returned without pixels instead; an empty or
    missing one is refused even then.
    """
    return _taken_in(path, keep_anyway=keep_anyway, coarse_px=0)


def checked(path: Path, *, keep_anyway: bool = False, small_px: int = 1) -> Photo:
    """Return the photo in a file as ``read_photo`` does, but without pixels, in half the time.

    Every byte of it is decoded, a JPEG down to an eighth of its size: to be filed, not measured.
    Its ``small`` picture has ``small_px`` pixels or more along its longer side.
    """
    taken = _taken_in(path, keep_anyway=keep_anyway, coarse_px=small_px)
    return replace(taken, pixels=None, small=taken.pixels)


@contextmanager
def coming(path: Path) -> Iterator[Callable[[], Photo]]:
    """Give a way to wait, once, for what ``read_photo`` returns or raises: it is being decoded.

    For whoever has other work first, as loading what measures it. Left unasked, the work is ended.
    """
    try:
        original = _read_bytes(path)
    except BadPhoto as bad:
        # Said when it is asked for: what was typed wrong is said first.
        yield partial(_refuse, bad)
        return
    kind = recognise(original)
    with (
        decoding.decoding(original, kind)
        if kind.readable
        else nullcontext(partial(_unreadable, path, kind))
    ) as answer:
        yield lambda: _photo_of(path, original, kind, answer())


def _refuse(bad: BadPhoto) -> Photo:
    raise bad


def _taken_in(path: Path, *, keep_anyway: bool, coarse_px: int) -> Photo:
    original = _read_bytes(path)
    kind = recognise(original)
    outcome = (
        decoding.decode(original, kind, coarse_px=coarse_px)
        if kind.readable
        else _unreadable(path, kind)
    )
    return _photo_of(path, original, kind, outcome, keep_anyway=keep_anyway)


def _unreadable(path: Path, kind: Kind) -> decoding.Refused:
    return decoding.Refused(
        f"is a {kind.name}, whatever its name says"
        if path.suffix.lower() != f".{kind.suffix}"
        else f"is a {kind.name}"
    )


def _photo_of(
    path: Path,
    original: bytes,
    kind: Kind,
    outcome: decoding.Decoded | decoding.Refused,
    *,
    keep_anyway: bool = False,
) -> Photo:
    if isinstance(outcome, decoding.Decoded):
        return Photo(
            file_name=path.name,
            original=original,
            kind=kind,
            pixels=outcome.pixels,
            camera=outcome.camera,
            camera_time=outcome.camera_time,
            focal_35mm=outcome.focal_35mm,
            size_px=outcome.size_px,
        )
    if keep_anyway:
        return Photo(file_name=path.name, original=original, kind=kind, unreadable=outcome.reason)
    raise BadPhoto(f"{path.name} {outcome.reason}: {_advice(kind, outcome.reason)}")


def look_at(path: Path, coarse_px: int) -> "npt.NDArray[np.uint8]":
    """Return a small upright picture of a photo, (height, width, 3) RGB; raises BadPhoto.

    Its longer side has ``coarse_px`` pixels or up to twice as many. To be shown, never measured.
    """
    original = _read_bytes(path)
    kind = recognise(original)
    if not kind.readable:
        raise BadPhoto(f"{path.name} is a {kind.name}: {_advice(kind, '')}")
    outcome = decoding.decode(original, kind, coarse_px=coarse_px)
    if isinstance(outcome, decoding.Refused):
        raise BadPhoto(f"{path.name} {outcome.reason}: {_advice(kind, outcome.reason)}")
    return outcome.pixels


def decode_upright(path: Path) -> "npt.NDArray[np.uint8]":
    """Return the upright picture in a file, (height, width, 3) RGB; raises BadPhoto."""
    pixels = read_photo(path).pixels
    if pixels is None:
        raise BadPhoto(f"{path.name} can't be shown: take the photo again")
    return pixels


def _read_bytes(path: Path) -> bytes:
    if not path.exists():
        raise BadPhoto(f"there is no file {path}: check the name and the folder")
    if not path.is_file():
        raise BadPhoto(f"{path} is not a file: name one photo, or several")
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise BadPhoto(
                f"{path.name} has {size / 1e6:.0f} MB, and at most {MAX_BYTES / 1e6:.0f} are "
                "taken: export it as a JPEG"
            )
        original = path.read_bytes()
    except OSError as error:
        raise BadPhoto(
            f"{path.name} can't be read ({error.strerror}): copy it to this computer and try again"
        ) from error
    if not original:
        raise BadPhoto(f"{path.name} is empty: copy it from the camera again")
    return original


def _advice(kind: Kind, reason: str) -> str:
    if not kind.readable:
        return "give a JPEG, PNG or HEIC photo"
    if "cut short" in reason:
        return "copy it from the camera again, nothing is measured on half a picture"
    if "megapixels" in reason:
        return "take or export it smaller"
    if "not read" in reason:
        return "export it as a JPEG, or as a PNG of 8 bits a channel"
    return "copy it from the camera again, or take the photo again"
