"""A disk that may lose what was not made durable: a model of what a power cut can leave.

What POSIX promises and no more: fsync of a file keeps its bytes, fsync of a folder keeps its names.
Of everything later any part may have reached the medium, in any order: a write by 512-byte
sectors, names one by one; a rename happens whole or not at all.
"""

import random
from pathlib import Path
from typing import NamedTuple

from tests.faults.write_log import Write

SECTOR = 512
_KEEP_ALL, _KEEP_NONE = 0.3, 0.6  # of the chances of one file's unsynced writes; else by sector


class _File:
    """A file: its durable bytes, and what was done to it since they were made so."""

    def __init__(self, durable: bytes = b"") -> None:
        self.durable = durable
        self.later: list[Write] = []

    def now(self) -> bytes:
        return bytes(_done(self.durable, self.later))

    def after_cut(self, chance: random.Random) -> bytes:
        """Return what may be read after the power was cut."""
        draw = chance.random()
        if draw < _KEEP_ALL:
            return self.now()
        if draw < _KEEP_NONE:
            return self.durable
        content = bytearray(self.durable)
        for write in self.later:
            for piece in _sectors(write):
                if chance.random() < 0.5:
                    _do(content, piece)
        return bytes(content)


class _Names(NamedTuple):
    """One change of names: one is gone, one is there, together; None there is a folder.

    A folder that gets another name takes along what is in it.
    """

    gone: str = ""
    there: str = ""
    file: _File | None = None

    def folders(self) -> set[str]:
        return {path.rpartition("/")[0] for path in (self.gone, self.there) if path}


class ModelDisk:
    """The files below a shop. What lies there at first is durable."""

    def __init__(self, shop: Path) -> None:
        self._durable: dict[str, _File | None] = {
            path.relative_to(shop).as_posix(): None if path.is_dir() else _File(path.read_bytes())
            for path in sorted(shop.rglob("*"))
        }
        self._later: list[_Names] = []
        self._now = dict(self._durable)

    def do(self, write: Write) -> None:
        """Do one change."""
        path, file = write.path, self._now.get(write.path)
        if write.kind == "sync":
            self._sync(path, file)
        elif write.kind in {"write", "cut"}:
            if file is not None:
                file.later.append(write)
        elif write.kind == "create" and path not in self._now:
            self._change(_Names(there=path, file=_File()))
        elif write.kind == "mkdir":
            self._change(_Names(there=path))
        elif write.kind in {"unlink", "rmdir"}:
            self._change(_Names(gone=path))
        elif write.kind == "rename":
            self._change(_Names(path, write.to, file))
        elif write.kind == "link":
            self._change(_Names(there=write.to, file=file))

    def after_cut(self, target: Path, chance: random.Random) -> None:
        """Write what may lie there after a power cut to a new folder."""
        names = dict(self._durable)
        in_order = chance.random() < 0.5  # as a journal keeps them, or as POSIX allows
        upto = chance.randint(0, len(self._later))
        for number, change in enumerate(self._later):
            if (number < upto) if in_order else chance.random() < 0.5:
                _apply(names, change)
        drawn: dict[int, bytes] = {}
        target.mkdir()
        for path, file in sorted(names.items()):
            if not (target / path).parent.is_dir():
                continue  # the folder's own name was lost
            if file is None:
                (target / path).mkdir()
            else:
                if id(file) not in drawn:
                    drawn[id(file)] = file.after_cut(chance)
                (target / path).write_bytes(drawn[id(file)])

    def tree(self) -> dict[str, bytes]:
        """Return every file as it is now: path -> bytes."""
        return {path: file.now() for path, file in self._now.items() if file is not None}

    def _change(self, change: _Names) -> None:
        _apply(self._now, change)
        self._later.append(change)

    def _sync(self, path: str, file: _File | None) -> None:
        if file is not None:
            file.durable, file.later = file.now(), []
            return
        folder = "" if path.startswith("/") else path  # the shop itself
        kept = [change for change in self._later if folder in change.folders()]
        for change in kept:
            _apply(self._durable, change)
        self._later = [change for change in self._later if folder not in change.folders()]


def _apply(names: dict[str, _File | None], change: _Names) -> None:
    if change.gone:
        names.pop(change.gone, None)
    if change.there:
        names[change.there] = change.file
    if change.gone and change.there and change.file is None:
        for path in [path for path in names if path.startswith(f"{change.gone}/")]:
            names[change.there + path[len(change.gone) :]] = names.pop(path)


def _sectors(write: Write) -> list[Write]:
    """Return a write in pieces that end where a sector of the file ends."""
    if write.kind == "cut":
        return [write]
    pieces, at, end = [], write.at, write.at + len(write.data)
    while at < end:
        upto = min(end, (at // SECTOR + 1) * SECTOR)
        data = write.data[at - write.at : upto - write.at]
        pieces.append(write._replace(at=at, data=data))
        at = upto
    return pieces


def _done(content: bytes, writes: list[Write]) -> bytearray:
    now = bytearray(content)
    for write in writes:
        _do(now, write)
    return now


def _do(content: bytearray, write: Write) -> None:
    missing = write.at - len(content)
    content.extend(bytes(max(0, missing)))
    if write.kind == "cut":
        del content[write.at :]
    else:
        content[write.at : write.at + len(write.data)] = write.data
