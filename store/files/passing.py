"""Errors that pass: what could not be read for the moment says nothing of what is written there.

A disk that fails, too many open files, no memory left, a library that can't be loaded just now:
whoever checks a book must be told that it could not be looked at, never that it was altered. A
library loads parts of itself late, so an ImportError is such an error too.
"""

import errno
import os
from pathlib import PurePath

from store.errors import CannotRead, CannotWrite

# What the path itself is to blame for, and so whoever wrote it: gone, of another kind, no name.
_OF_THE_PATH = frozenset({
    errno.ENOENT, errno.ENOTDIR, errno.EISDIR, errno.ELOOP, errno.ENAMETOOLONG, errno.EINVAL,
    errno.EILSEQ, errno.EEXIST, errno.ENOTEMPTY, errno.ENXIO,
})  # fmt: skip
_NO_THREAD = "can't start new thread"  # Python's words where the system gives no more
_CV_NO_MEMORY = -4  # Error::StsNoMem
_KINDS = (ImportError, MemoryError, CannotRead, CannotWrite)


def is_passing(error: BaseException | None) -> bool:
    """Return whether an error, or one behind it, tells of the machine and not of what was read.

    An OSError without a number is one that a library made of what it read.
    """
    return _passing(error) is not None


def why_passing(error: BaseException) -> str:
    """Return in a few words what stood in the way: "too many open files"."""
    first = _passing(error) or error
    if isinstance(first, OSError) and first.strerror:
        named = f" ({PurePath(os.fsdecode(first.filename)).name})" if first.filename else ""
        return f"{first.strerror.lower()}{named}"
    if isinstance(first, MemoryError):
        return "there is not enough memory"
    words = " ".join(str(first).split()).rstrip(".") or type(first).__name__
    is_import = isinstance(first, ImportError)
    return f"a part of this program could not be loaded ({words})" if is_import else words


def _passing(error: BaseException | None) -> BaseException | None:
    """Return the error that passes: this one, or the first of those behind it."""
    while error is not None:
        if _passes(error):
            return error
        behind = None if error.__suppress_context__ else error.__context__
        error = error.__cause__ or behind
    return None


def _passes(error: BaseException) -> bool:
    if isinstance(error, OSError):
        return error.errno is not None and error.errno not in _OF_THE_PATH
    if isinstance(error, _KINDS):
        return True
    if isinstance(error, RuntimeError):
        return str(error) == _NO_THREAD
    # OpenCV has an error of its own for everything.
    return type(error).__module__ == "cv2" and getattr(error, "code", 0) == _CV_NO_MEMORY


def cannot_read_now(error: BaseException, what: str) -> CannotRead:
    """Return the error to raise where something that is needed could not be read now."""
    return CannotRead(
        f"{what} could not be read now: {why_passing(error)}; close other programs, check the "
        "disk, and try again."
    )
