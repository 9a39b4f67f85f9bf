"""A ledger's file read as bytes by a program that has it open as a database, in any thread.

POSIX locks belong to the process: whoever closes any descriptor of a file lets go of all locks that
this process has on it, SQLite's own in another thread too, and another program could then write in
the middle of that one's act ("How To Corrupt An SQLite Database File" of sqlite.org, section 2.2).
So a file that was opened here is closed only when no database of it is open in this process; until
then the next one who reads it gets the same.
"""

import os
from collections import Counter, defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from io import BufferedReader
from pathlib import Path
from threading import RLock
from weakref import finalize

_File = tuple[int, int]  # device, inode

_guard = RLock()  # what is lost may end while it is held
_open: Counter[_File] = Counter()
_waiting: defaultdict[_File, list[BufferedReader]] = defaultdict(list)


class OpenHere:
    """Tells that a database is open in this process, from before it is opened until ``close``.

    One that is lost unclosed is closed then. Raises OSError for a file that is not there.
    """

    def __init__(self, path: Path) -> None:
        with _guard:
            seen = path.stat()
            file = (seen.st_dev, seen.st_ino)
            _open[file] += 1
        self._end = finalize(self, _ended, file)
        self._end.atexit = False

    def close(self) -> None:
        """Tell that it was closed; what was read of it meanwhile is closed when it was the last."""
        self._end()


def _ended(file: _File) -> None:
    with _guard:
        _open[file] -= 1
        _close_unless_open(file)


@contextmanager
def read_aside(path: Path) -> Iterator[BufferedReader]:
    """Give a file's bytes from its beginning; raises OSError."""
    with _guard:
        seen = path.stat()
        waiting = _waiting.get((seen.st_dev, seen.st_ino))
        file = waiting.pop() if waiting else path.open("rb")
    try:
        file.seek(0)
        yield file
    finally:
        give_back(file)


def give_back(file: BufferedReader) -> None:
    """Close a file, now or as soon as no database of it is open here."""
    with _guard:
        seen = os.fstat(file.fileno())  # its path may name another file by now
        _waiting[seen.st_dev, seen.st_ino].append(file)
        _close_unless_open((seen.st_dev, seen.st_ino))


def _close_unless_open(file: _File) -> None:
    if not _open[file]:
        for each in _waiting.pop(file, ()):
            each.close()
        del _open[file]
