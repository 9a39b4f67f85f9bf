"""The front door to one book: the folder on disk that holds one job's evidence.

Order of writing: the photo is on disk before its entry, the entry before anyone is told, the
head in heads.txt last. A call that returns has kept what it was given. One that raises has kept
nothing; at worst a photo is left unfiled, or (when the disk fails in the last step of a commit)
an entry is kept that nobody was told of. Never is there an entry without its photo.

A book belongs to the thread that opened it.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO, Self

from msgspec import Struct

from store.codec import Entry, checked_bench
from store.errors import BadRecord, BookExists, CannotWrite, NotABook, StoreError
from store.evidence import Evidence, JobStarted, PaperKept, PhotoTaken
from store.files.disk import cannot_write, check_local, make_folder, write_text
from store.files.halfmade import clear_left_below
from store.files.notice import FORMAT_NAME, FORMAT_TEXT
from store.files.whose import own_bench
from store.known.as_read import AsRead
from store.known.entry_named import entry_named
from store.ledger import BUSY_SECONDS, FILE_NAME, Ledger, Writer
from store.photos import PhotoVault
from store.plan import Plan
from store.round import Round
from store.told.telling import Telling

_LEFT_BY_A_BROKEN_START = {
    FORMAT_NAME, FILE_NAME, f"{FILE_NAME}-journal", "writer.txt", "photos", "papers",
}  # fmt: skip
_MADE_BESIDE = ("checkpoints", "forks")  # in files that are made under a passing name


class Kept(Struct, frozen=True):
    """A photo in the vault: its id (SHA-256), its size in bytes, where its file is."""

    photo: str
    bytes_count: int
    path: Path


class Act:
    """What one act of the user writes: all of it is kept, or nothing.

    ``told`` has what this act has written so far.
    """

    def __init__(self, writer: Writer, tell: Callable[[], Telling], *, at: str, by: str) -> None:
        self._writer = writer
        self._tell = tell
        self._at = at
        self._by = by

    def append(self, evidence: Evidence) -> Entry:
        """Write one record; the entry's hash may be cited by the next. Raises BadRecord."""
        return self._writer.append(evidence, at=self._at, by=self._by)

    def take(self, entry: Entry) -> None:
        """Add an entry of another copy of this book as it is; that it fits is the caller's."""
        self._writer.take(entry)

    @property
    def told(self) -> Telling:
        """What the entries tell, including what this act wrote."""
        return self._tell()


class Book:
    """One job's evidence. Open it with ``Book.create`` or ``Book.open``; usable in ``with``.

    ``bench`` is whose chain is written to.
    """

    def __init__(self, root: Path, ledger: Ledger, *, bench: str, read_only: bool) -> None:
        self.root = root
        self.read_only = read_only
        self._ledger = ledger
        self._photos = PhotoVault(root)
        self._papers = PhotoVault(root, "papers")
        self._read = AsRead(ledger)
        self._opening_warnings: list[str] = []
        self._read.refresh()
        self.bench = checked_bench(bench or own_bench(root) or self._first_bench())

    @classmethod
    def create(
        cls,
        root: Path,
        plan: Plan,
        *,
        at: str,
        bench: str,
        by: str,
        version: str,
        follows: str = "",
        follows_entry: str = "",
        busy_seconds: float = BUSY_SECONDS,
    ) -> "Book":
        """Return a new book whose first entry is the plan; the folder may exist if empty.

        ``follows`` is the job that this one is the comeback of, ``follows_entry`` the hash of the
        last entry of its book.

        Raises BookExists, NetworkFolder, CannotWrite.
        """
        checked_bench(bench)
        _refuse_occupied(root)
        try:
            warning = check_local(root)
            make_folder(root)
            write_text(root / FORMAT_NAME, FORMAT_TEXT)
        except OSError as error:
            raise cannot_write(error, "the new book") from error
        ledger = Ledger.create(root, busy_seconds=busy_seconds)
        try:
            with ledger.transaction(bench) as writer:
                _refuse_started(ledger)
                start = JobStarted(plan, version, follows, follows_entry)
                writer.append(start, at=at, by=by)
            book = cls(root, ledger, bench=bench, read_only=False)
        except BaseException:
            ledger.close()
            raise
        book._opening_warnings += [warning] if warning else []
        return book

    @classmethod
    def open(
        cls,
        root: Path,
        *,
        bench: str = "",
        read_only: bool = False,
        busy_seconds: float = BUSY_SECONDS,
    ) -> "Book":
        """Return the book in a folder, to be written to under ``bench``'s name.

        By default that is the bench that the copy was made for, else the one that started the
        book. Raises NotABook, Damaged, and NetworkFolder unless ``read_only``.
        """
        warning = "" if read_only else check_local(root)
        if read_only:
            _take_back_what_was_cut_off(root, busy_seconds)
        ledger = Ledger(root, read_only=read_only, busy_seconds=busy_seconds)
        try:
            book = cls(root, ledger, bench=bench, read_only=read_only)
        except BaseException:
            ledger.close()
            raise
        if not read_only:
            book._photos.clear_temporary()
            book._papers.clear_temporary()
            for name in _MADE_BESIDE:
                clear_left_below(root / name)
            if len(book.entries()) == 1:
                ledger.note_first_head(book.entries()[0])
        book._opening_warnings += [warning] if warning else []
        for folder, missing in (
            ("photos", book.missing_photos()),
            ("papers", book.missing_papers()),
        ):
            if missing:
                book._opening_warnings.append(_told_missing(root / folder, len(missing)))
        return book

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def warnings(self) -> tuple[str, ...]:
        """Sentences that the user should see: an unknown file system, a broken chain, say."""
        now = (self._read.broken, self._ledger.heads_missed)
        return (*self._opening_warnings, *filter(None, now))

    @property
    def is_in_chain(self) -> bool:
        """Whether every entry read so far is the one hashed and follows the one before it."""
        return not self._read.broken

    @property
    def plan(self) -> Plan:
        """The plan as it stands, with every change at the bench."""
        return self.told.plan

    @property
    def told(self) -> Telling:
        """What the entries tell, sorted by what they speak of; it goes on with the book."""
        self._read.refresh()
        return self._read.told

    def entries(self) -> tuple[Entry, ...]:
        """Return every entry in order of arrival; raises Damaged if one can't be read."""
        return tuple(self.told.entries)

    def entry(self, cited: str | int) -> Entry:
        """Return an entry by its hash, by the start of it, or by its number: "60" or "south 2".

        A start has six digits or more. A text must fit one entry only: where several benches have
        that number, the bench stands before it. A whole number counts in this bench's own chain.
        Raises NoSuchEntry.
        """
        return entry_named(self.told.entries, cited, self.bench)

    def heads(self) -> dict[str, tuple[int, str]]:
        """Return for each bench the number and the hash of its last entry."""
        return {entry.bench: (entry.seq, entry.hash) for entry in self.entries()}

    def round(self, *, every_reading: bool = True) -> Round:
        """Return the state of the job; as ``standing``."""
        return self._read.round(every_reading=every_reading)

    def round_before(self, entry: Entry, known: Round) -> Round:
        """Return the state of the job just before an entry; ``known`` if it is of that moment.

        For what an act changed: another program may have written between a look and the act.
        """
        return self._read.round_before(entry, known)

    @contextmanager
    def still(self) -> Iterator[None]:
        """Let everything that is read in the block be of one moment, whoever writes meanwhile.

        An act in the block goes on from all that is there by then; what is read after it is what
        stood when it ended, and nothing of another program's that came later. A block within a
        block begins at what is there then.
        """
        with self._read.still():
            yield

    @contextmanager
    def act(self, *, at: str, by: str) -> Iterator[Act]:
        """Give an Act whose entries are kept together when the block ends without an error.

        Raises Busy when another program keeps writing, CannotWrite, and Damaged for a book whose
        chain is broken: what is added to it would vouch for what was altered.
        """
        if self.read_only:
            raise CannotWrite("The book was opened read-only: nothing can be added to it.")
        moment = self._read.moment()
        try:
            with self._ledger.transaction(self.bench) as writer:
                self._read.refuse_broken()
                yield Act(writer, self._tell, at=at, by=by)
                if self._read.is_still:
                    self._read.catch_up()  # nobody else's lines can be among them yet
        except BaseException:
            # What was read inside the block may have been taken back.
            self._read.go_back(moment)
            raise

    def append(self, evidence: Evidence, *, at: str, by: str) -> Entry:
        """Keep one record and return its entry."""
        with self.act(at=at, by=by) as act:
            return act.append(evidence)

    def keep_photo(self, source: Path | BinaryIO, suffix: str) -> Kept:
        """Copy a photo into the book without filing it anywhere yet.

        ``suffix`` is by real content type ("jpg", "png", "heic", ...), not by file name. Raises
        CannotRead, CannotWrite.
        """
        if self.read_only:
            raise CannotWrite("The book was opened read-only: nothing can be added to it.")
        photo, bytes_count = self._photos.put(source, suffix)
        return Kept(photo, bytes_count, self._photos.path(photo))

    def add_photo(
        self,
        source: Path | BinaryIO,
        suffix: str,
        describe: Callable[[Kept], PhotoTaken],
        *,
        at: str,
        by: str,
        then: Callable[[Act], None] | None = None,
    ) -> Entry:
        """Keep a photo, then the record that ``describe`` makes of the kept file.

        ``then`` writes what follows from it, in the same act. If ``describe`` raises, the photo
        stays in the book unfiled.
        """
        kept = self.keep_photo(source, suffix)
        taken = describe(kept)
        named = (taken.photo, taken.bytes_count, taken.suffix)
        if named != (kept.photo, kept.bytes_count, kept.path.suffix[1:]):
            raise BadRecord("a photo's record must name the file kept, its size and its suffix")
        with self.act(at=at, by=by) as act:
            entry = act.append(taken)
            if then is not None:
                then(act)
        return entry

    def keep_paper(self, source: Path | BinaryIO, suffix: str) -> Kept:
        """Copy an attachment into the book without filing it yet; as ``keep_photo``."""
        if self.read_only:
            raise CannotWrite("The book was opened read-only: nothing can be added to it.")
        paper, bytes_count = self._papers.put(source, suffix)
        return Kept(paper, bytes_count, self._papers.path(paper))

    def add_paper(
        self,
        source: Path | BinaryIO,
        suffix: str,
        describe: Callable[[Kept], PaperKept],
        *,
        at: str,
        by: str,
    ) -> Entry:
        """Keep an attachment, then the record that ``describe`` makes of the kept file."""
        kept = self.keep_paper(source, suffix)
        paper = describe(kept)
        named = (paper.paper, paper.bytes_count, paper.suffix)
        if named != (kept.photo, kept.bytes_count, kept.path.suffix[1:]):
            raise BadRecord("a paper's record must name the file kept, its size and its suffix")
        return self.append(paper, at=at, by=by)

    def paper_path(self, paper: str) -> Path:
        """Return where an attachment's file is; raises BadPhotoId, PhotoMissing."""
        return self._papers.path(paper)

    def photo_path(self, photo: str) -> Path:
        """Return where a photo's file is; raises BadPhotoId, PhotoMissing."""
        return self._photos.path(photo)

    def unfiled_photos(self) -> tuple[Kept, ...]:
        """Return photos in the vault that no entry names; they are offered, never deleted."""
        filed = self._filed()
        return tuple(
            Kept(file.photo, file.path.stat().st_size, file.path)
            for file in self._photos.files()
            if file.photo is not None and file.photo not in filed
        )

    def missing_photos(self) -> tuple[str, ...]:
        """Return the ids of photos that entries name and the vault lacks, in order."""
        filed = self._filed()  # before the look: each of these has its file already
        there = {file.photo for file in self._photos.files()}
        return tuple(photo for photo in filed if photo not in there)

    def missing_papers(self) -> tuple[str, ...]:
        """Return the ids of papers that entries name and the book lacks, in order."""
        kept = [entry.evidence for entry in self.entries()]
        there = {file.photo for file in self._papers.files()}
        named = dict.fromkeys(each.paper for each in kept if isinstance(each, PaperKept))
        return tuple(paper for paper in named if paper not in there)

    def close(self) -> None:
        """Let go of the files. The book can't be used any more."""
        self._ledger.close()

    def _filed(self) -> dict[str, None]:
        taken = (entry.evidence for entry in self.entries())
        return {each.photo: None for each in taken if isinstance(each, PhotoTaken)}

    def _first_bench(self) -> str:
        if not self._read.told.entries:
            raise NotABook(f"{self.root} holds a book that was never started: create it anew.")
        return self._read.told.entries[0].bench

    def _tell(self) -> Telling:
        self._read.catch_up()
        return self._read.told


def _take_back_what_was_cut_off(root: Path, busy_seconds: float) -> None:
    """Take back a half-written entry, which only opening for writing does, if that is possible.

    Where it is not (read-only media, a network folder), opening says so.
    """
    if Ledger.was_cut_off(root):
        with suppress(StoreError):
            check_local(root)
            Ledger(root, busy_seconds=busy_seconds).close()


def _told_missing(folder: Path, count: int) -> str:
    are = "is" if count == 1 else "are"
    return (
        f"{count} of the book's {folder.name} {are} missing from {folder}: run verify, and look "
        "in a copy of the book."
    )


def _refuse_started(ledger: Ledger) -> None:
    if ledger.lines():
        raise BookExists(f"{ledger.root} holds a book already; open it instead.")


def _refuse_occupied(root: Path) -> None:
    """Refuse a folder that holds anything but what a start that broke off may have left."""
    try:
        names = {path.name for path in root.iterdir()} if root.exists() else set()
    except OSError as error:
        raise cannot_write(error, "the new book") from error
    if names - _LEFT_BY_A_BROKEN_START:
        raise BookExists(
            f"{root} is not empty ({', '.join(sorted(names)[:3])}): give a new folder."
        )
