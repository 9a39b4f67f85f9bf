"""Books under a folder: where they lie, and whether one may have been written to since.

A stamp is looked up and nothing is opened: a process that opens a book's ledger and closes it again
lets go of the locks that it has on it elsewhere.
"""

import os
import stat
from collections.abc import Callable, Iterator
from pathlib import Path

from store.files.notice import FORMAT_NAME
from store.ledger import FILE_NAME as LEDGER


def books_under(folder: Path, refused: Callable[[OSError], None]) -> Iterator[Path]:
    """Yield the folder of every book in a folder and below it, in the order of their names.

    Links are not followed, names that begin with a dot not looked into (a copy that is being
    made has one), nor is a book: what lies in it is its own. ``refused`` is told of each folder
    that can't be looked into.
    """
    for place, folders, files in os.walk(folder, onerror=refused):
        if LEDGER in files or FORMAT_NAME in files:
            folders.clear()
            yield Path(place)
        else:
            folders[:] = sorted(name for name in folders if not name.startswith("."))


def stamp_of(root: Path) -> str:
    """Return what changes whenever a book's ledger is written to, empty if it can't be told.

    Empty while somebody writes, and after a write that was cut off.
    """
    try:
        if (root / f"{LEDGER}-journal").exists():
            return ""
        seen = (root / LEDGER).stat()
    except OSError:
        return ""
    if not stat.S_ISREG(seen.st_mode):
        return ""
    # The time of change too: a copy may have been given the time of writing.
    return f"{seen.st_size} {seen.st_mtime_ns} {seen.st_ctime_ns} {seen.st_ino}"


def path_text(path: Path) -> str:
    """Return a path as it is kept and shown: a byte in it that is no text is told by its number."""
    return os.fsencode(path).decode("utf-8", "backslashreplace")
