"""The file of the shop's index: SQLite, made anew when it is missing, damaged or an older one.

What is looked through is of this process alone (temporary tables): two that look at other folders
are not in each other's way.
"""

import hashlib
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from store.errors import CannotWrite, Damaged
from store.many_jobs.shop_tables import OF_A_BOOK, SCHEMA, Found
from store.many_jobs.sought import folded
from store.ways_out.listing import Cell, Row

if TYPE_CHECKING:
    from sqlite_utils import Database

_APPLICATION = 0x42505253
_BESIDE = ("", "-journal", "-wal", "-shm")
_BUSY_SECONDS = 10.0
_TORN = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}
# Which books lie in the folders looked through, and which of these count: one of several copies.
_LOOKED_THROUGH = """
CREATE TEMP TABLE in_folders (book INTEGER PRIMARY KEY);
CREATE TEMP TABLE looked_at (book INTEGER PRIMARY KEY);
"""
_COPY_THAT_COUNTS = """
INSERT INTO looked_at SELECT id FROM (
    SELECT id, row_number() OVER (PARTITION BY first ORDER BY entries DESC, length(path), path) n
    FROM books JOIN in_folders ON book = id WHERE problem = ''
) WHERE n = 1
"""


def is_shop_file(path: Path) -> bool:
    """Return whether a file is a shop's index, and no other database (SQLite's format, 1.3)."""
    with path.open("rb") as file:
        return file.read(100)[68:72] == _APPLICATION.to_bytes(4, "big")


class ShopFile:
    """The tables of ``store.many_jobs.shop_tables`` in one file.

    With ``path`` None they are kept in memory; what lies at it is taken for one of ours. Every
    method raises CannotWrite where the file can't be written or read, and Damaged where it is torn.
    """

    def __init__(self, path: Path | None, *, version: str) -> None:
        self._path = path
        # Another version may read the same lines otherwise.
        self._layout = hashlib.sha256("\n".join((*SCHEMA, version)).encode()).hexdigest()
        with self._plain_errors():
            try:
                self._connection = self._opened()
            except sqlite3.OperationalError:
                raise
            except sqlite3.DatabaseError:
                # Torn, or of another version: it costs nothing but time to make it again.
                self._clear_away()
                self._connection = self._opened()

    def rows(self, question: str, given: Mapping[str, Cell] | None = None) -> list[Row]:
        """Return the rows that answer a question, each by the names of its columns."""
        with self._plain_errors():
            return [dict(row) for row in self._connection.execute(question, dict(given or {}))]

    def keep(self, book: Row, found: Found | None) -> None:
        """Put a book's rows in place of those there are; None leaves none of its tables' rows.

        ``book`` has its path and what is to be kept of it; what it does not name stays.
        """
        with self._plain_errors(), self._writing() as connection:
            books = self._tables.table("books")
            known = self.rows("SELECT id FROM books WHERE path = :path", {"path": book["path"]})
            for row in known:
                _drop(connection, row)
                books.update(int(str(row["id"])), dict(book))
            if not known:
                books.insert(dict(book))
            if found is not None:
                self._fill(book["path"], found)

    def restamp(self, path: str, stamp: str) -> None:
        """Note what the file of a book that is the same looks like now."""
        with self._plain_errors(), self._writing() as connection:
            connection.execute("UPDATE books SET stamp = ? WHERE path = ?", [stamp, path])

    def look_through(self, books: Iterable[Cell]) -> None:
        """Note which books are looked through; of several copies of one, one counts."""
        with self._plain_errors():
            connection = self._connection
            for table in ("in_folders", "looked_at"):
                connection.execute(f"DELETE FROM {table}")  # noqa: S608 - one of two words
            connection.executemany("INSERT INTO in_folders VALUES (?)", [(b,) for b in books])
            connection.execute(_COPY_THAT_COUNTS)

    def begin_anew(self) -> None:
        """Forget every book: the file is made again."""
        self.close()
        with self._plain_errors():
            self._clear_away()
            self._connection = self._opened()

    def close(self) -> None:
        """Close the file."""
        self.__dict__.pop("_tables", None)
        self._connection.close()

    @cached_property
    def _tables(self) -> "Database":
        """The same by the library that writes rows; loaded only where some are written."""
        from sqlite_utils import Database  # noqa: PLC0415 - 200 ms, most of it numpy

        return Database(self._connection, execute_plugins=False)

    def _fill(self, path: Cell, found: Found) -> None:
        (book,) = self.rows("SELECT id FROM books WHERE path = :path", {"path": path})
        for table in OF_A_BOOK:
            self._tables.table(table.name).insert_all(
                {"book": book["id"], **row} for row in found.rows[table.name]
            )
        ids = self.rows("SELECT id FROM checks WHERE book = :id ORDER BY id", book)
        self._tables.table("words").insert_all(
            {"rowid": row["id"], "said": said} for row, said in zip(ids, found.words, strict=True)
        )

    def _opened(self) -> sqlite3.Connection:
        place = ":memory:" if self._path is None else str(self._path)
        # BEGIN and COMMIT are written out.
        connection = sqlite3.connect(place, timeout=_BUSY_SECONDS, isolation_level=None)
        try:
            connection.row_factory = sqlite3.Row
            connection.execute("PRAGMA foreign_keys=ON")
            connection.execute("PRAGMA trusted_schema=OFF")
            connection.create_function("folded", 1, folded, deterministic=True)
            self._lay_out(connection)
            connection.executescript(_LOOKED_THROUGH)
        except BaseException:
            connection.close()
            raise
        return connection

    def _lay_out(self, connection: sqlite3.Connection) -> None:
        """Make the tables in an empty file; raises sqlite3.DatabaseError for another layout."""
        connection.execute("BEGIN IMMEDIATE")
        if not connection.execute("SELECT 1 FROM sqlite_master").fetchone():
            for statement in SCHEMA:
                connection.execute(statement)
            connection.execute("INSERT INTO about VALUES ('layout', ?)", (self._layout,))
            connection.execute(f"PRAGMA application_id={_APPLICATION}")
        connection.execute("COMMIT")
        try:
            laid = connection.execute("SELECT says FROM about WHERE name = 'layout'").fetchone()
        except sqlite3.OperationalError as error:
            raise sqlite3.DatabaseError("the index has other tables") from error
        if laid is None or laid["says"] != self._layout:
            raise sqlite3.DatabaseError("the index is of another version")

    def _clear_away(self) -> None:
        for suffix in _BESIDE if self._path else ():
            Path(f"{self._path}{suffix}").unlink(missing_ok=True)

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        self._connection.execute("BEGIN IMMEDIATE")
        try:
            yield self._connection
            self._connection.execute("COMMIT")
        except BaseException:
            # After some errors SQLite has rolled back by itself.
            with suppress(sqlite3.Error):
                self._connection.execute("ROLLBACK")
            raise

    @contextmanager
    def _plain_errors(self) -> Iterator[None]:
        try:
            yield
        except (sqlite3.Error, OSError) as error:
            where = f"The shop's index {self._path or 'in memory'}"
            if getattr(error, "sqlite_errorcode", 0) & 0xFF in _TORN:
                raise Damaged(f"{where} is damaged: delete it, it is made again.") from error
            raise CannotWrite(
                f"{where} can't be used ({error}): delete it, it is made again, or name another "
                "place with --index."
            ) from error


def _drop(connection: sqlite3.Connection, book: Row) -> None:
    connection.execute(
        "DELETE FROM words WHERE rowid IN (SELECT id FROM checks WHERE book = :id)", book
    )
    for table in OF_A_BOOK:
        connection.execute(f"DELETE FROM {table.name} WHERE book = :id", book)  # noqa: S608 - ours
