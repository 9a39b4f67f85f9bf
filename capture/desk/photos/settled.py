"""Which files of a watched folder are finished: at rest, and whole by their own structure. No Qt.

A copy shows its file long before its last byte. So a file is looked at until its size and time
rest from one look to the next and its structure ends where the file does; one that rests and
never becomes whole is given all the same after a while, so that somebody is asked about it.
"""

import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NamedTuple

from capture.intake.kind import recognise
from capture.intake.wholeness import what_is_missing

SUFFIXES = (".jpg", ".jpeg", ".png", ".heic", ".heif")
PATIENCE = 20  # looks at rest, a second each, until a broken file is asked about


class Trace(NamedTuple):
    """What tells one state of a file from another without reading it."""

    size: int
    mtime_ns: int


class Settling:
    """Follows the files of one folder from look to look."""

    def __init__(self, is_whole: "Callable[[Path], bool] | None" = None) -> None:
        self._is_whole = is_whole or whole
        self._before: dict[Path, tuple[Trace, int]] = {}
        self._given: dict[Path, Trace] = {}

    def leave(self, there: Mapping[Path, Trace]) -> None:
        """Take files as given: they were there before anybody watched."""
        self._given.update(there)

    def look(self, there: Mapping[Path, Trace]) -> list[Path]:
        """Return the files that are finished since the last look, each once. Reads files."""
        ready = []
        for path, trace in there.items():
            if self._given.get(path) == trace:
                continue
            last, rests = self._before.get(path, (None, 0))
            rests = rests + 1 if last == trace else 0
            self._before[path] = (trace, rests)
            if trace.size and rests and (rests > PATIENCE or self._is_whole(path)):
                self._given[path] = trace
                ready.append(path)
        self._before = {p: b for p, b in self._before.items() if p in there}
        return ready


def listing(folder: Path) -> dict[Path, Trace]:
    """Return the pictures of a folder by their names, in order of time; raises OSError."""
    found = {}
    with os.scandir(folder) as entries:
        for entry in entries:
            name = entry.name.lower()
            if name.startswith((".", "~")) or not name.endswith(SUFFIXES):
                continue
            try:
                if entry.is_file():
                    told = entry.stat()
                    found[Path(entry.path)] = Trace(told.st_size, told.st_mtime_ns)
            except OSError:
                continue  # renamed or removed this very moment
    return dict(sorted(found.items(), key=lambda item: (item[1].mtime_ns, item[0].name)))


def whole(path: Path) -> bool:
    """Return whether a file's own structure ends where the file does.

    Of a kind that is not decoded here nothing is known, so that it is said to be whole. A file
    that can't be read just now is not.
    """
    try:
        data = path.read_bytes()
    except OSError:
        return False
    kind = recognise(data)
    return not kind.readable or not what_is_missing(data, kind)
