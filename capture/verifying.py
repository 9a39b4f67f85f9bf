"""A book, a pack or a report verified: every line, photo, number and signature, looked at again."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from capture.errors import BadPhoto
from capture.intake.photo import checked, read_photo
from capture.readings import reread
from store.finding import Finding

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt


def verify_book(
    root: Path, *, version: str, progress: Callable[[int, int], None] | None = None
) -> list[Finding]:
    """Return every finding on a book, with photos looked at and readings read again."""
    from store.pack.vouching import check_book_checkpoints  # noqa: PLC0415 - slow to load
    from store.verify import verify  # noqa: PLC0415 - loads what only this needs

    found = verify(
        root, version=version, decode=_decoded, size=_size, reparse=reread, progress=progress
    )
    return [*found, *check_book_checkpoints(root)]


def verify_pack(
    path: Path,
    *,
    version: str,
    progress: Callable[[int, int], None] | None = None,
    with_report: bool = True,
) -> list[Finding]:
    """Return every finding on a pack (a zip or a folder), looked at as closely as a book.

    A note names the key that signed it. The report in it is set again and compared, unless
    ``with_report`` is off. Raises NotAPack for what never was one.
    """
    from store.pack.inspection import verify_pack as verify  # noqa: PLC0415 - slow to load
    from store.pack.report_check import check_report  # noqa: PLC0415 - the same

    return verify(
        path, version=version, decode=_decoded, size=_size, reparse=reread, progress=progress,
        report=check_report if with_report else None,
    )  # fmt: skip


def verify_report(path: Path) -> list[Finding]:
    """Return every finding on the signature of a report's PDF; a note names its certificate."""
    from store.pack.report_check import verify_report as verify  # noqa: PLC0415 - slow to load

    return verify(path)


def _size(path: Path) -> tuple[int, int] | None:
    try:
        return checked(path, keep_anyway=True).size_px
    except BadPhoto:
        return None  # empty or out of reach: found by its hash already


def _decoded(path: Path) -> "npt.NDArray[np.uint8] | None":
    return read_photo(path, keep_anyway=True).pixels
