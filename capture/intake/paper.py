"""File -> Paper: an attachment that is kept as it is and never opened by this program."""

import re
from pathlib import Path

from msgspec import Struct

from capture.errors import BadPaper, WrongUse
from capture.intake.kind import UNKNOWN, recognise

LARGEST_BYTES = 500_000_000
_SUFFIX = re.compile("[a-z0-9]{1,8}")
_FIRST = 64


class Paper(Struct, frozen=True):
    """What is known of an attachment before it is kept."""

    suffix: str
    file_name: str


def read_paper(path: Path, *, what: str) -> Paper:
    """Return what an attachment is; raises BadPaper for a file that can't be taken.

    The suffix is that of the real content where it is known (PDF, the picture kinds), else the
    file's own. ``what`` are the words it is filed with; WrongUse without any.
    """
    if not what.strip():
        raise WrongUse("a paper needs its words: what is it? (the machine shop's sheet, page 41)")
    try:
        with path.open("rb") as file:
            first = file.read(_FIRST)
            size = path.stat().st_size
    except OSError as error:
        raise BadPaper(
            f"{path.name} can't be read: {error.strerror or 'unknown reason'}"
        ) from error
    if size == 0:
        raise BadPaper(f"{path.name} is empty: nothing was kept")
    if size > LARGEST_BYTES:
        raise BadPaper(
            f"{path.name} has {size // 1_000_000} MB; at most {LARGEST_BYTES // 1_000_000} MB are "
            "kept with a job: scan it smaller, or split it"
        )
    return Paper(_suffix(path, first), path.name)


def _suffix(path: Path, first: bytes) -> str:
    known = recognise(first)
    own = path.suffix.lower().lstrip(".")
    if known is not UNKNOWN and known.suffix != "zip":  # an office document is a ZIP by its bytes
        return known.suffix
    return own if _SUFFIX.fullmatch(own) else known.suffix
