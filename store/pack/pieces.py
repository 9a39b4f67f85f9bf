"""The files of a pack before they are written: each a path in the bag and where its bytes are."""

import hashlib
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from msgspec import Struct

from store.errors import PhotoAltered, PhotoMissing
from store.photos import CHUNK_BYTES, hash_file

_HASHING_THREADS = 2  # hashlib lets go of the interpreter; a third does not pay on a bench's disk


class Piece(Struct, frozen=True):
    """One file of the bag. ``path`` is below the bag's folder, with forward slashes.

    ``source`` are its bytes, or the file that they are copied from. ``sha256`` is what a file's
    name promises, empty where nothing does.
    """

    path: str
    source: bytes | Path
    sha256: str = ""

    @property
    def bytes_count(self) -> int:
        """How many bytes it has; raises PhotoMissing for a file that is gone."""
        if isinstance(self.source, bytes):
            return len(self.source)
        try:
            return self.source.stat().st_size
        except OSError as error:
            raise PhotoMissing(f"{self.source.name} is gone: run verify") from error

    def chunks(self) -> Iterator[bytes]:
        """Yield its bytes, a piece at a time."""
        if isinstance(self.source, bytes):
            yield self.source
            return
        with self.source.open("rb") as file:
            while chunk := file.read(CHUNK_BYTES):
                yield chunk


def hashed(pieces: Iterable[Piece]) -> Iterator[tuple[Piece, str]]:
    """Yield each piece with its SHA-256, in order, two being hashed at a time.

    Raises PhotoAltered for a file that is not what its name says: no copy is made of an altered
    book as if it were sound.
    """
    with ThreadPoolExecutor(_HASHING_THREADS) as pool:
        waiting = [(piece, pool.submit(_hash, piece)) for piece in pieces]
        try:
            for piece, digest in waiting:
                found = digest.result()
                if piece.sha256 and found != piece.sha256:
                    raise PhotoAltered(
                        f"{piece.path} is not the file that was kept: no pack is made of an "
                        "altered book; run verify, and look in a copy"
                    )
                yield piece, found
        finally:
            for _, digest in waiting:
                digest.cancel()


def _hash(piece: Piece) -> str:
    if isinstance(piece.source, bytes):
        return hashlib.sha256(piece.source).hexdigest()
    try:
        return hash_file(piece.source)
    except FileNotFoundError as error:
        raise PhotoMissing(f"{piece.path} is gone: run verify, and look in a copy") from error
