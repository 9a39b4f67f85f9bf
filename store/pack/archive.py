"""Writing a pack: into one file (zip) or a folder, whole or not at all.

A zip holds one folder, as RFC 8493 section 4 asks. Photos are stored as they are. The same pieces
and the same time give the same bytes.
"""

import hashlib
import os
import stat
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Protocol

from store.errors import BadAct, PhotoAltered
from store.files.disk import cannot_write, check_room, sync_folder
from store.files.halfmade import held, passing_name
from store.files.notice import FORMAT_NAME
from store.ledger import FILE_NAME as LEDGER_NAME
from store.pack.pieces import Piece

ZIP_SUFFIX = ".zip"
_ZIP64_FROM = 1 << 31
_FIRST_YEAR = 1980  # that a zip can say


class Sink(Protocol):
    """Where the files of a pack go."""

    def put(self, piece: Piece, sha256: str) -> None:
        """Write one file; raises PhotoAltered if its bytes are no longer those that were hashed."""


@contextmanager
def written(target: Path, top: str, at: str) -> Iterator[Sink]:
    """Give a Sink; the pack is there under its name when the block ends without an error.

    ``top`` is the one folder in a zip. A target without ".zip" becomes a folder. Whatever goes
    wrong, nothing is left behind. Raises BadAct for a target that is there already, CannotWrite.
    """
    refuse_target(target)
    is_zip = target.suffix.lower() == ZIP_SUFFIX
    with _as_cannot_write(), passing_name(target) as part:
        if is_zip:
            with part.open("xb") as file, held(part):
                with zipfile.ZipFile(file, "w") as archive:
                    yield _Zip(archive, top, _stamp(at))
                file.flush()
                os.fsync(file.fileno())
        else:
            part.mkdir()
            with held(part):
                yield _Folder(part)
                for folder in (part, *(each for each in part.rglob("*") if each.is_dir())):
                    sync_folder(folder)
        part.replace(target)
        sync_folder(target.parent)


def refuse_target(target: Path) -> None:
    """Raise BadAct for a place where a pack can't be written, or would overwrite something."""
    if target.exists() or target.is_symlink():
        raise BadAct(f"{target} is there already and is not overwritten: name another")
    parent = target.absolute().parent
    if not parent.is_dir():
        raise BadAct(f"there is no folder {parent}: make it first, or name another")
    for folder in (parent.resolve(), *parent.resolve().parents):
        if any((folder / name).exists() for name in (LEDGER_NAME, FORMAT_NAME)):
            raise BadAct(
                f"{target} is inside the book {folder}, which holds evidence and nothing else: "
                "name a file in another folder"
            )


def check_pack_room(target: Path, pieces: list[Piece]) -> None:
    """Refuse with CannotWrite unless the disk has room for these files."""
    check_room(target.absolute().parent, sum(piece.bytes_count for piece in pieces), "the pack")


class _Zip:
    def __init__(
        self, archive: zipfile.ZipFile, top: str, stamp: tuple[int, int, int, int, int, int]
    ) -> None:
        self._archive, self._top, self._stamp = archive, top, stamp

    def put(self, piece: Piece, sha256: str) -> None:
        info = zipfile.ZipInfo(f"{self._top}/{piece.path}", self._stamp)
        info.create_system = 3  # unix: the mode below counts, and every machine writes the same
        info.external_attr = (stat.S_IFREG | 0o644) << 16
        info.file_size = piece.bytes_count
        is_large = info.file_size >= _ZIP64_FROM
        with self._archive.open(info, "w", force_zip64=is_large) as out:
            _copy(piece, sha256, out.write)


class _Folder:
    def __init__(self, root: Path) -> None:
        self._root = root

    def put(self, piece: Piece, sha256: str) -> None:
        path = self._root / piece.path
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as out:
            _copy(piece, sha256, out.write)
            out.flush()
            os.fsync(out.fileno())


def _copy(piece: Piece, sha256: str, write: Callable[[bytes], int]) -> None:
    digest = hashlib.sha256()
    for chunk in piece.chunks():
        digest.update(chunk)
        write(chunk)
    if digest.hexdigest() != sha256:
        raise PhotoAltered(f"{piece.path} was changed while the pack was made: do it again")


def _stamp(at: str) -> tuple[int, int, int, int, int, int]:
    """Return a time as a zip says it: local, even seconds, from 1980."""
    when = datetime.fromisoformat(at)
    if when.year < _FIRST_YEAR:
        return (_FIRST_YEAR, 1, 1, 0, 0, 0)
    return (when.year, when.month, when.day, when.hour, when.minute, when.second // 2 * 2)


@contextmanager
def _as_cannot_write() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise cannot_write(error, "the pack") from error
