"""What is dropped or pasted -> files to take in: links to files, or a picture's own pixels."""

import tempfile
from pathlib import Path

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QImage

from capture.errors import BadPhoto


def brings_photos(mime: QMimeData) -> bool:
    """Return whether there is anything in it that could be filed."""
    return mime.hasImage() or any(url.isLocalFile() for url in mime.urls())


def files_in(mime: QMimeData) -> list[Path]:
    """Return the files on this computer that it links to."""
    return [Path(url.toLocalFile()) for url in mime.urls() if url.isLocalFile()]


def image_in(mime: QMimeData) -> QImage | None:
    """Return the picture in it if it links to no file, for a file is the better evidence."""
    if files_in(mime) or not mime.hasImage():
        return None
    image = mime.imageData()
    return image if isinstance(image, QImage) and not image.isNull() else None


def saved_as_png(image: QImage, name: str, folder: Path) -> Path:
    """Write a picture without loss to a file of that name, in a new folder below ``folder``.

    Takes long for a large picture; any thread. Raises BadPhoto where it can't be written.
    """
    try:
        path = Path(tempfile.mkdtemp(dir=folder)) / name
    except OSError as error:
        raise BadPhoto(
            f"the picture can't be written to a file ({error.strerror}): make room, and try again"
        ) from error
    if not image.save(str(path)):  # the kind by the name: bindings differ in how it is said
        raise BadPhoto("the picture can't be written to a file: make room, and try again")
    return path


def named(origin: str, at: str) -> str:
    """Return "pasted-2026-03-02T09-00-01.png" for a clock's time."""
    return f"{origin}-{at[:19].replace(':', '-')}.png"
