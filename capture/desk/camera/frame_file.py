"""A frame of a camera -> a file without loss that says which camera and when. No Qt."""

import tempfile
from datetime import datetime
from pathlib import Path

from capture.desk.camera.source import Pixels
from capture.errors import BadPhoto

_MODEL, _EXIF_IFD, _TAKEN, _TAKEN_OFFSET = 0x0110, 0x8769, 0x9003, 0x9011
_FAST = 3  # of 9: a picture of 8 megapixels in half a second, a tenth larger than at best


def frame_file(pixels: Pixels, camera: str, at: str, folder: Path) -> Path:
    """Write a frame as a PNG in a new folder below ``folder``, and return where.

    ``camera`` and ``at`` (ISO 8601) are kept in it as EXIF 2.32 has them, and so read from it like
    from any photo. Takes long; any thread. Raises BadPhoto where it can't be written.
    """
    from PIL import Image  # noqa: PLC0415 - only where a frame is kept

    exif = Image.Exif()
    exif[_MODEL] = camera.encode("ascii", "replace").decode()[:60]
    taken = exif.get_ifd(_EXIF_IFD)
    taken.update(_times(at))
    try:
        path = Path(tempfile.mkdtemp(dir=folder)) / f"camera-{_in_a_name(at)}.png"
        Image.fromarray(pixels).save(path, exif=exif, compress_level=_FAST)
    except OSError as error:
        raise BadPhoto(
            f"the picture can't be written to a file ({error.strerror}): make room, and keep it "
            "again"
        ) from error
    return path


def _times(at: str) -> dict[int, str]:
    try:
        time = datetime.fromisoformat(at)
    except ValueError:
        return {}
    told = {_TAKEN: f"{time:%Y:%m:%d %H:%M:%S}"}
    offset = f"{time:%z}"
    if offset:
        told[_TAKEN_OFFSET] = f"{offset[:3]}:{offset[3:5]}"
    return told


def _in_a_name(at: str) -> str:
    return at[:19].replace(":", "-")
