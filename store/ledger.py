"""The append-only ledger of one book: lines in an SQLite table, chained per bench.

Settings and their reasons: rollback journal with synchronous EXTRA (a power cut can't take a
committed entry; write-ahead logging of SQLite before 3.51.3 has a reset race and can't be read on
read-only media), set in that order, because the other order leaves the new file's own creation
unsynced. BEGIN IMMEDIATE, because a transaction that starts by reading fails at once, busy
timeout or not, when another one writes. The triggers stop accidents; the proof that nothing was
changed is the hash chain, the heads kept outside the database, and copies in other hands.

The file may be a stranger's, with a view or a trigger in it, or rows in a circle: what lies beside
it is looked at before it is opened, its schema before a row is read, and rows must come in order.
"""

import os
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import cache
from io import BufferedReader
from pathlib import Path
from typing import Any

from store.codec import FIRST_PREV, LONGEST_LINE, Entry, checked_bench, encode, hash_of
from store.errors import Busy, CannotWrite, Damaged, DiskFailed, NotABook
from store.evidence import Evidence
from store.files.disk import append_line
from store.files.locked_file import OpenHere, give_back
from store.files.plain_folder import check_plain

FILE_NAME = "ledger.db"
HEADS_NAME = "heads.txt"
WRITER_NAME = "writer.txt"
BUSY_SECONDS = 10.0
FORMAT = 2
_APPLICATION = 0x42505246

_SETTINGS = """
PRAGMA synchronous=EXTRA;
PRAGMA journal_mode=DELETE;
PRAGMA foreign_keys=ON;
PRAGMA recursive_triggers=ON;
PRAGMA trusted_schema=OFF;
PRAGMA cell_size_check=ON;
PRAGMA mmap_size=0;
"""
_SCHEMA = f"""
CREATE TABLE entries (
    id INTEGER PRIMARY KEY,
    bench TEXT NOT NULL,
    seq INTEGER NOT NULL,
    hash TEXT NOT NULL UNIQUE,
    line BLOB NOT NULL
) STRICT
----
CREATE INDEX entries_by_bench ON entries (bench, seq)
----
CREATE TRIGGER entries_stay BEFORE UPDATE ON entries
BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END
----
CREATE TRIGGER entries_last BEFORE DELETE ON entries
BEGIN SELECT RAISE(ABORT, 'an entry is never taken out'); END
----
PRAGMA user_version={FORMAT}
----
PRAGMA application_id={_APPLICATION}
""".split("----")
_READ_SCHEMA = "SELECT type, name, tbl_name, sql FROM sqlite_master"
_ROOM_BESIDE = 100_000
_BATCH = 500
# Python reports a damaged schema as text that is no UTF-8.
_SQLITE_ERRORS = (sqlite3.Error, UnicodeDecodeError)


class Writer:
    """Appends to one bench's chain within one transaction of the ledger."""

    def __init__(self, database: sqlite3.Connection, bench: str) -> None:
        self._database = database
        self._bench = bench
        self.written: list[Entry] = []
        self.taken: list[Entry] = []

    def append(self, evidence: Evidence, *, at: str, by: str) -> Entry:
        """Add one record after the bench's last line and return its entry."""
        seq, prev = self._last()
        entry = encode(
            evidence,
            seq=seq + 1, prev=prev, salt=os.urandom(16).hex(),
            at=at, bench=self._bench, by=by,
        )  # fmt: skip
        self._insert(entry)
        self.written.append(entry)
        return entry

    def take(self, entry: Entry) -> None:
        """Add an entry of another copy of the book, byte for byte; that it fits is not checked."""
        self._insert(entry)
        self.taken.append(entry)

    def _insert(self, entry: Entry) -> None:
        self._database.execute(
            "INSERT INTO entries (bench, seq, hash, line) VALUES (?, ?, ?, ?)",
            (entry.bench, entry.seq, entry.hash, entry.line),
        )

    def _last(self) -> tuple[int, str]:
        if self.written:
            return self.written[-1].seq, self.written[-1].hash
        row = self._database.execute(
            "SELECT seq, line FROM entries WHERE bench = ? ORDER BY seq DESC, id DESC LIMIT 1",
            (self._bench,),
        ).fetchone()
        return (row[0], hash_of(row[1])) if row else (0, FIRST_PREV)


class Ledger:
    """The ledger in one folder. ``Ledger.create`` makes it, ``Ledger(root)`` opens it.

    ``heads_missed`` says why the last head could not be added to heads.txt, empty if it could:
    the entry is kept all the same, and the next head covers it.
    """

    def __init__(
        self, root: Path, *, read_only: bool = False, busy_seconds: float = BUSY_SECONDS
    ) -> None:
        self.root = root
        self.heads_missed = ""
        path = root / FILE_NAME
        if not path.is_file():
            raise NotABook(f"{root} holds no book: there is no {FILE_NAME} in it.")
        try:
            check_plain(root, FILE_NAME)
        except OSError as error:
            raise _unread(error, root) from error
        self._file: BufferedReader | None = None
        try:
            self._here = OpenHere(path)
        except OSError as error:
            raise _unread(error, root) from error
        try:
            self._database = _opened(path, "ro" if read_only else "rw", busy_seconds)
        except BaseException:
            self._here.close()
            raise
        self._busy_seconds = busy_seconds
        try:
            with self._plain_errors():
                self._check_format()
        except BaseException:
            self.close()
            raise

    @classmethod
    def create(cls, root: Path, *, busy_seconds: float = BUSY_SECONDS) -> "Ledger":
        """Return a ledger with no entries in a folder that has none; raises CannotWrite."""
        path = root / FILE_NAME
        try:
            database = _opened(path, "rwc", busy_seconds)
            try:
                database.execute("BEGIN IMMEDIATE")
                if not database.execute("SELECT 1 FROM sqlite_master").fetchone():
                    for statement in _SCHEMA:
                        database.execute(statement)
                database.execute("COMMIT")
            finally:
                database.close()
        except _SQLITE_ERRORS as error:
            raise _plain(error, root) from error
        return cls(root, busy_seconds=busy_seconds)

    @contextmanager
    def transaction(self, bench: str) -> Iterator[Writer]:
        """Give a Writer; what it appended is kept when the block ends without an error.

        Raises Busy when another program keeps writing for longer than the busy timeout, and
        CannotWrite. When it raises nothing was kept, or at worst it was and nobody was told.
        """
        writer = Writer(self._database, checked_bench(bench))
        with self._plain_errors():
            self._database.execute("BEGIN IMMEDIATE")
        try:
            self._sign_in()
            with self._plain_errors():
                yield writer
                self._database.execute("COMMIT")
        except BaseException:
            # After some errors SQLite has rolled back by itself.
            with suppress(sqlite3.Error):
                self._database.execute("ROLLBACK")
            raise
        finally:
            self._sign_out()
        heads = {entry.bench: entry for entry in (*writer.taken, *writer.written)}
        if heads:
            self.heads_missed = ""
        for entry in heads.values():
            self._keep_head(entry)

    @contextmanager
    def reading(self) -> Iterator[None]:
        """Let everything that is read in the block be of one moment; raises Busy."""
        with self._plain_errors():
            self._database.execute("BEGIN")
            try:
                yield
            finally:
                with suppress(sqlite3.Error):
                    self._database.execute("ROLLBACK")

    def copy_to(self, target: Path) -> None:
        """Write the ledger as it is at this moment into a new file, durably.

        Others may write meanwhile: SQLite's own backup gives one moment. Raises Busy, CannotWrite.
        """
        with self._plain_errors():
            copy = sqlite3.connect(target, isolation_level=None)
            try:
                copy.execute("PRAGMA synchronous=EXTRA")
                self._database.backup(copy)
            finally:
                copy.close()

    def file(self) -> BufferedReader:
        """Return the file itself, to be read as it is in a transaction that has written nothing.

        It is closed when no ledger of it is open here any more (``store.files.locked_file``).
        Raises OSError.
        """
        if self._file is None:
            self._file = (self.root / FILE_NAME).open("rb")
        self._file.seek(0)
        return self._file

    def ends(self) -> tuple[str, str]:
        """Return the bench on file of the first entry and the hash of the last line, or empties."""
        with self._plain_errors():
            first, last = (
                self._database.execute(
                    f"SELECT bench, line FROM entries ORDER BY id {way} LIMIT 1"  # noqa: S608 - two words of ours
                ).fetchone()
                for way in ("ASC", "DESC")
            )
        return (str(first[0]), hash_of(last[1])) if first else ("", "")

    def lines(self, after: int = 0) -> list[tuple[int, bytes]]:
        """Return (row, line) of every entry that arrived after a row, in order of arrival."""
        return [(row, line) for row, _, line in self.hashed_lines(after)]

    def hashed_lines(self, after: int = 0) -> list[tuple[int, str, bytes]]:
        """Return (row, hash on file, line) like ``lines``; the hash is as stored, not computed."""
        with self._plain_errors():
            rows = self._database.execute(
                "SELECT id, hash, line FROM entries WHERE id > ? ORDER BY id", (after,)
            )
            found: list[tuple[int, str, bytes]] = []
            last = after
            for row, digest, line in rows:
                # A page that is its own neighbour gives the same rows for ever.
                if not isinstance(line, bytes) or row <= last:
                    raise Damaged(
                        f"{FILE_NAME} is damaged: run verify, and go back to a sound copy."
                    )
                found.append((row, str(digest), line))
                last = row
        return found

    def rows(self) -> Iterator[tuple[str, int, str, bytes]]:
        """Return (bench, seq, hash, line) of every row as stored, in order of arrival.

        For checking: the first three are copies of what the line says.
        """
        last = 0
        while batch := self._batch(last):
            for _, bench, seq, digest, line in batch:
                # A damaged page may hold anything, whatever the table asks for.
                yield (
                    str(bench),
                    seq if isinstance(seq, int) else 0,
                    str(digest),
                    line if isinstance(line, bytes) else b"",
                )
            if batch[-1][0] <= last:
                raise Damaged(f"{FILE_NAME} is damaged: its rows are out of order.")
            last = batch[-1][0]

    def _batch(self, last: int) -> list[tuple[int, object, object, object, object]]:
        # In batches: a reader that never pauses keeps every writer from committing.
        with self._plain_errors():
            return self._database.execute(
                "SELECT id, bench, seq, hash, line FROM entries WHERE id > ? ORDER BY id LIMIT ?",
                (last, _BATCH),
            ).fetchall()

    @staticmethod
    def was_cut_off(root: Path) -> bool:
        """Return whether a commit was cut off here, which opening for writing takes back."""
        return (root / f"{FILE_NAME}-journal").exists()

    def complaints(self) -> list[str]:
        """Return what SQLite's own integrity check says against the file, empty if nothing."""
        with self._plain_errors():
            said = [str(row[0]) for row in self._database.execute("PRAGMA integrity_check")]
        return [] if said == ["ok"] else said

    def settings(self) -> dict[str, int | str]:
        """Return the settings in force by their SQLite names."""
        names = (
            "synchronous", "journal_mode", "foreign_keys", "trusted_schema", "cell_size_check",
            "mmap_size", "busy_timeout",
        )  # fmt: skip
        found: dict[str, Any] = {
            name: self._database.execute(f"PRAGMA {name}").fetchone()  # a fixed list
            for name in names
        }
        return {name: row[0] if row else 0 for name, row in found.items()}

    def close(self) -> None:
        """Close the file."""
        self._database.close()
        if self._file is not None:
            give_back(self._file)
            self._file = None
        self._here.close()

    def _check_format(self) -> None:
        application = self._database.execute("PRAGMA application_id").fetchone()[0]
        version = self._database.execute("PRAGMA user_version").fetchone()[0]
        if application != _APPLICATION:
            raise NotABook(f"{self.root} holds no book: its {FILE_NAME} is something else.")
        if version != FORMAT:
            raise NotABook(
                f"{self.root} is a book of format {version}; this version reads format {FORMAT}: "
                "open it with the version that wrote it, or a newer one."
            )
        strange = set(self._database.execute(_READ_SCHEMA)) - _own_schema()
        if strange:
            raise Damaged(
                f"{FILE_NAME} in {self.root} holds what this program did not put there "
                f"({min(f'{kind} {name!a}' for kind, name, *_ in strange)}): take it out in a "
                "copy, or go back to a sound one."
            )

    def _sign_in(self) -> None:
        program = Path(sys.argv[0]).stem or "python"
        # Only so that somebody who has to wait can be told for whom; nothing hangs on it.
        with suppress(OSError):
            (self.root / WRITER_NAME).write_text(f"{program} (process {os.getpid()})\n")

    def _sign_out(self) -> None:
        with suppress(OSError):
            (self.root / WRITER_NAME).unlink()

    def note_first_head(self, first: Entry) -> None:
        """Note the head of a book's one entry, if whoever began it was killed before that.

        Later entries lead to their own: only a book's first head can be missing with no other.
        """
        path = self.root / HEADS_NAME
        if not path.exists() or path.stat().st_size == 0:
            self._keep_head(first)

    def _keep_head(self, entry: Entry) -> None:
        try:
            append_line(self.root / HEADS_NAME, f"{entry.bench} {entry.seq} {entry.hash}")
        except OSError as error:
            # The entry is committed: failing now would say that it was not kept.
            self.heads_missed = f"{HEADS_NAME} could not be written: {error.strerror}"

    @contextmanager
    def _plain_errors(self) -> Iterator[None]:
        try:
            yield
        except _SQLITE_ERRORS as error:
            raise _plain(error, self.root) from error


@cache
def _own_schema() -> frozenset[tuple[str, ...]]:
    """Return what SQLite keeps of our own schema."""
    database = sqlite3.connect(":memory:", isolation_level=None)
    try:
        for statement in _SCHEMA:
            database.execute(statement)
        return frozenset(database.execute(_READ_SCHEMA))
    finally:
        database.close()


def _opened(path: Path, mode: str, busy_seconds: float) -> sqlite3.Connection:
    try:
        database = sqlite3.connect(
            f"{path.resolve().as_uri()}?mode={mode}",
            uri=True,
            timeout=busy_seconds,
            isolation_level=None,  # BEGIN and COMMIT are written out
        )
    except sqlite3.Error as error:
        raise _plain(error, path.parent) from error
    try:
        # A row holds a line and little else; a longer one is refused before it is read.
        database.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, LONGEST_LINE + _ROOM_BESIDE)
        for setting in _SETTINGS.split(";"):
            database.execute(setting)
    except BaseException as error:
        database.close()
        if isinstance(error, _SQLITE_ERRORS):
            raise _plain(error, path.parent) from error
        raise
    return database


def _plain(error: sqlite3.Error | UnicodeDecodeError, root: Path) -> Exception:
    """Return our error for SQLite's: one sentence, and what to do."""
    unknown = Damaged(f"{FILE_NAME} is not as this program made it ({error}): run verify.")
    failed = DiskFailed(
        f"The disk failed on {FILE_NAME} ({error}): nothing new was kept; check the disk and do "
        "it again."
    )
    if getattr(error, "sqlite_errorcode", 0) == sqlite3.SQLITE_READONLY_ROLLBACK:
        return CannotWrite(
            "A program was cut off while it wrote to this book, and its half-written entry can't "
            "be taken back where the book is read-only: copy its folder, as it is, to a disk that "
            "can be written to, and open that."
        )
    return {
        sqlite3.SQLITE_BUSY: Busy(
            f"{_writer(root)} is using this book; wait for it and do it again."
        ),
        sqlite3.SQLITE_FULL: CannotWrite(
            "The entry was not kept: the disk is full: make room and do it again."
        ),
        sqlite3.SQLITE_READONLY: CannotWrite(
            "The entry was not kept: the book can't be written to; check the folder's permissions,"
            " or copy the book to a disk that can."
        ),
        sqlite3.SQLITE_NOTADB: NotABook(f"{root} holds no book: its {FILE_NAME} is no database."),
        sqlite3.SQLITE_CORRUPT: Damaged(
            f"{FILE_NAME} is damaged: run verify, and go back to a sound copy."
        ),
        sqlite3.SQLITE_IOERR: failed,
        sqlite3.SQLITE_CANTOPEN: failed,
    }.get(getattr(error, "sqlite_errorcode", 0) & 0xFF, unknown)


def _unread(error: OSError, root: Path) -> NotABook:
    return NotABook(
        f"{root} can't be read ({error.strerror}): check the folder's permissions, or copy it here."
    )


def _writer(root: Path) -> str:
    with suppress(OSError, UnicodeDecodeError):
        return f"Another program, {(root / WRITER_NAME).read_text().strip()[:80]},"
    return "Another program"
