"""Photos by content: a file is named by its SHA-256, written once, read-only.

``photos/ab/abcd....jpg``: the folder is the first two digits of the id, the suffix that of the
real content type. Order of writing: a temporary file on the same file system, hashed while it is
copied, synced, made read-only, renamed, its folder synced. A file under its final name is
therefore whole, whenever the power goes.
"""

import hashlib
import os
import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO, NewType

from msgspec import Struct

from store.errors import BadPhotoId, BadRecord, PhotoMissing
from store.files.disk import cannot_read, cannot_write, check_room, sync_folder, write_all
from store.files.halfmade import is_still, lock

PhotoId = NewType("PhotoId", str)

CHUNK_BYTES = 1 << 20
TEMPORARY = "incoming-"
_BEGINNINGS = 8

_ID = re.compile("[0-9a-f]{64}")
_SUFFIX = re.compile("[a-z0-9]{1,8}")


def parse_photo_id(text: str) -> PhotoId:
    """Return the id that a text is; raises BadPhotoId unless it is 64 small hex digits."""
    if not _ID.fullmatch(text):
        raise BadPhotoId(f"{text[:70]!r} is not a photo's SHA-256 (64 hex digits)")
    return PhotoId(text)


def hash_file(path: Path) -> PhotoId:
    """Return the SHA-256 of a file's bytes as an id."""
    with path.open("rb") as file:
        return PhotoId(hashlib.file_digest(file, "sha256").hexdigest())


class VaultFile(Struct, frozen=True):
    """A file lying in the vault. ``photo`` is None when its name is not that of a photo."""

    path: Path
    photo: PhotoId | None
    suffix: str


class PhotoVault:
    """The photos of one book, below ``root/photos``, or its papers, kept the same way."""

    def __init__(self, root: Path, folder: str = "photos") -> None:
        self.folder = root / folder
        self._synced: set[Path] = set()

    def put(self, source: Path | BinaryIO, suffix: str) -> tuple[PhotoId, int]:
        """Copy a photo in and return its id and its size in bytes.

        ``suffix`` is by real content type, small letters without the dot. The same photo twice is
        one file. Raises CannotRead for the source, CannotWrite for the vault; then nothing is
        kept. A stream is read from where it stands and not closed.
        """
        if not _SUFFIX.fullmatch(suffix):
            raise BadRecord(f"{suffix!r} is not a suffix: small letters and figures, no dot")
        if not isinstance(source, Path):
            return self._put_stream(source, suffix, needed_bytes=0)
        try:
            stream = source.open("rb")
        except OSError as error:
            raise cannot_read(error, source.name) from error
        with stream:
            return self._put_stream(stream, suffix, os.fstat(stream.fileno()).st_size)

    def path(self, photo: str) -> Path:
        """Return where a photo's file is; raises BadPhotoId, PhotoMissing."""
        found = self._find(parse_photo_id(photo))
        if found is None:
            raise PhotoMissing(f"the photo {photo[:12]} is not among the book's photos")
        return found

    def __contains__(self, photo: str) -> bool:
        return self._find(parse_photo_id(photo)) is not None

    def files(self) -> Iterator[VaultFile]:
        """Return every file below the vault's folder in order of name, temporary ones left out."""
        for path in sorted(self.folder.rglob("*")):
            if not path.is_dir() and not path.name.startswith(TEMPORARY):
                stem, _, suffix = path.name.partition(".")
                at_home = path.parent == self.folder / stem[:2] and _SUFFIX.fullmatch(suffix)
                photo = PhotoId(stem) if at_home and _ID.fullmatch(stem) else None
                yield VaultFile(path, photo, suffix)

    def clear_temporary(self) -> int:
        """Take away what interrupted copies left behind and return how many files that was.

        A copy that another program is still making is locked, and left alone.
        """
        cleared = 0
        for path in self.folder.glob(TEMPORARY + "*"):
            # Another program may finish its copy, or clear the same file, this very moment.
            with suppress(OSError):
                descriptor = os.open(path, os.O_RDONLY)
                try:
                    if lock(descriptor):
                        path.unlink()
                        cleared += 1
                finally:
                    os.close(descriptor)
        return cleared

    def _put_stream(self, stream: BinaryIO, suffix: str, needed_bytes: int) -> tuple[PhotoId, int]:
        with _as_cannot_write():
            self.folder.mkdir(exist_ok=True)
            check_room(self.folder, needed_bytes, "the photo")
            temporary, descriptor = self._begun()
        try:
            with _as_cannot_write():
                try:
                    photo, size = _copy(stream, descriptor)
                    os.fsync(descriptor)
                finally:
                    os.close(descriptor)
                self._file_away(temporary, photo, suffix)
        except BaseException:
            # Never retried on that descriptor: after a failed fsync the pages count as written.
            with suppress(OSError):
                temporary.unlink(missing_ok=True)
            raise
        return photo, size

    def _begun(self) -> tuple[Path, int]:
        """Return the name of a new file and its descriptor, locked; raises OSError."""
        for left in reversed(range(_BEGINNINGS)):
            temporary = self.folder / f"{TEMPORARY}{secrets.token_hex(8)}"
            descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            try:
                # Some file systems never tell that a file is still the same: there the last is it.
                if (lock(descriptor) and is_still(temporary, descriptor)) or not left:
                    break
            except BaseException:
                os.close(descriptor)
                temporary.unlink(missing_ok=True)
                raise
            # Another program took it for left before it was locked.
            os.close(descriptor)
            temporary.unlink(missing_ok=True)
        return temporary, descriptor

    def _file_away(self, temporary: Path, photo: PhotoId, suffix: str) -> None:
        there = self._find(photo)
        if there is not None and hash_file(there) == photo:
            temporary.unlink()
            # It may have been renamed by a program killed before it could sync the folder.
            sync_folder(there.parent)
            return
        home = self.folder / photo[:2]
        if not home.is_dir():
            home.mkdir(exist_ok=True)
        temporary.chmod(0o444)
        temporary.replace(there or home / f"{photo}.{suffix}")
        sync_folder(home)
        if home not in self._synced:
            # Even when it was there: who made it may have been killed before syncing this.
            sync_folder(self.folder)
            sync_folder(self.folder.parent)
            self._synced.add(home)

    def _find(self, photo: PhotoId) -> Path | None:
        home = self.folder / photo[:2]
        return next((p for p in sorted(home.glob(f"{photo}.*")) if p.is_file()), None)


def _copy(stream: BinaryIO, descriptor: int) -> tuple[PhotoId, int]:
    digest, size = hashlib.sha256(), 0
    while True:
        try:
            chunk = stream.read(CHUNK_BYTES)
        except OSError as error:
            raise cannot_read(error, "the photo") from error
        if not chunk:
            return PhotoId(digest.hexdigest()), size
        digest.update(chunk)
        write_all(descriptor, chunk)
        size += len(chunk)


@contextmanager
def _as_cannot_write() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise cannot_write(error, "the photo") from error
