"""The front door to one book: the folder on disk that holds one job's evidence.

Order of writing: the photo is on disk before its entry, the entry before anyone is told, the
head in heads.txt last. A call that returns has kept what it was given; one that raises has kept
nothing (a photo may be left unfiled, never an entry without its photo).
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct

from store.codec import Entry
from store.evidence import Evidence, PhotoTaken
from store.plan import Plan
from store.round import Round


class Kept(Struct, frozen=True):
    """A photo in the vault: its id (SHA-256), its size in bytes, where its file is."""

    photo: str
    bytes_count: int
    path: Path


class Act:
    """What one act of the user writes: all of it is kept, or nothing.

    ``round()`` shows the job with what this act has written so far.
    """

    def append(self, evidence: Evidence) -> Entry:
        """Write one record; the entry's hash may be cited by the next."""
        raise NotImplementedError

    def round(self) -> Round:
        """Return the state of the job including what this act wrote."""
        raise NotImplementedError


class Book:
    """One job's evidence. Open it with ``Book.create`` or ``Book.open``.

    ``warnings`` are sentences to show once (a file system this program does not know, say).
    """

    root: Path
    bench: str
    read_only: bool
    warnings: tuple[str, ...]

    @classmethod
    def create(
        cls, root: Path, plan: Plan, *, at: str, bench: str, by: str, version: str
    ) -> "Book":
        """Return a new book whose first entry is the plan; the folder may exist if empty.

        Raises BookExists, NetworkFolder, CannotWrite.
        """
        raise NotImplementedError

    @classmethod
    def open(cls, root: Path, *, bench: str = "", read_only: bool = False) -> "Book":
        """Return the book in a folder; ``bench`` is whose chain is written to, by default the
        bench that started the book.

        Raises NotABook; NetworkFolder unless ``read_only``.
        """  # noqa: D205 - one sentence
        raise NotImplementedError

    @property
    def plan(self) -> Plan:
        """The plan that the book was started with."""
        raise NotImplementedError

    def entries(self) -> tuple[Entry, ...]:
        """Return every entry in order of arrival; raises Damaged if one can't be read."""
        raise NotImplementedError

    def entry(self, cited: str | int) -> Entry:
        """Return an entry by its hash, the unmistakable start of it (6 digits or more), or its
        number in this bench's chain; raises NoSuchEntry.
        """  # noqa: D205 - one sentence
        raise NotImplementedError

    def heads(self) -> dict[str, tuple[int, str]]:
        """Return for each bench the number and the hash of its last entry."""
        raise NotImplementedError

    def round(self) -> Round:
        """Return the state of the job."""
        raise NotImplementedError

    @contextmanager
    def act(self, *, at: str, by: str) -> Iterator[Act]:
        """Give an Act whose entries are kept together when the block ends without an error."""
        raise NotImplementedError
        yield Act()

    def append(self, evidence: Evidence, *, at: str, by: str) -> Entry:
        """Keep one record and return its entry."""
        raise NotImplementedError

    def keep_photo(self, source: Path | BinaryIO, suffix: str) -> Kept:
        """Copy a photo into the book without filing it anywhere yet.

        ``suffix`` is by real content type ("jpg", "png", "heic", ...), not by file name.
        """
        raise NotImplementedError

    def add_photo(
        self,
        source: Path | BinaryIO,
        suffix: str,
        describe: Callable[[Kept], PhotoTaken],
        *,
        at: str,
        by: str,
    ) -> Entry:
        """Keep a photo, then the record that ``describe`` makes of the kept file."""
        raise NotImplementedError

    def photo_path(self, photo: str) -> Path:
        """Return where a photo's file is; raises BadPhotoId, PhotoMissing."""
        raise NotImplementedError

    def unfiled_photos(self) -> tuple[Kept, ...]:
        """Return photos in the vault that no entry names; they are offered, never deleted."""
        raise NotImplementedError

    def close(self) -> None:
        """Let go of the files. The book can't be used any more."""
        raise NotImplementedError
