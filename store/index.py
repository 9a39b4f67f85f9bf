"""Look-up tables made from the ledger: index.db. They may be deleted at any time.

Nothing is ever decided from them: they say which entries to look at, by hash.
"""

import sqlite3
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from store.codec import Entry
from store.disk import cannot_write
from store.evidence import Judged, PhotoTaken

if TYPE_CHECKING:
    from sqlite_utils import Database

FILE_NAME = "index.db"

_TABLES: dict[str, dict[str, type]] = {
    "entries": {
        "hash": str, "bench": str, "seq": int, "at": str, "by": str, "kind": str, "key": str,
        "location": str,
    },
    "photos": {"hash": str, "photo": str, "location": str, "role": str, "suffix": str},
    "verdicts": {"hash": str, "subject": str, "key": str, "state": str},
}  # fmt: skip


class Index:
    """The look-up tables of one book; made anew when they are missing, old or damaged."""

    def __init__(self, root: Path, entries: tuple[Entry, ...]) -> None:
        self._path = root / FILE_NAME
        try:
            self._database = self._opened(entries)
        except (sqlite3.Error, AssertionError):
            # A torn or foreign file is worth nothing, and costs nothing to make again.
            self._path.unlink(missing_ok=True)
            try:
                self._database = self._opened(entries)
            except sqlite3.Error as error:
                raise cannot_write(OSError(str(error)), "the index") from error

    def entries(self, **like: str) -> tuple[str, ...]:
        """Return the hashes of entries in order of arrival; by kind, key, location, bench, by."""
        return self._hashes("entries", like)

    def photos(self, **like: str) -> tuple[str, ...]:
        """Return the hashes of entries that filed a photo; by photo, location, role, suffix."""
        return self._hashes("photos", like)

    def verdicts(self, **like: str) -> tuple[str, ...]:
        """Return the hashes of verdict entries; by state, key, subject."""
        return self._hashes("verdicts", like)

    def close(self) -> None:
        """Close the file."""
        self._database.conn.close()

    def _hashes(self, table: str, like: dict[str, str]) -> tuple[str, ...]:
        where = " and ".join(f"[{name}] = :{name}" for name in like) or None
        rows = self._database[table].rows_where(where, like, order_by="rowid", select="hash")
        return tuple(str(row["hash"]) for row in rows)

    def _opened(self, entries: tuple[Entry, ...]) -> "Database":
        from sqlite_utils import Database  # noqa: PLC0415 - slow to load

        database = Database(sqlite3.connect(self._path), execute_plugins=False)
        try:
            if self._is_stale(database, entries):
                _fill(database, entries)
        except BaseException:
            database.conn.close()
            raise
        return database

    def _is_stale(self, database: "Database", entries: tuple[Entry, ...]) -> bool:
        with suppress(sqlite3.Error):
            held = database.execute("SELECT hash FROM entries ORDER BY rowid").fetchall()
            return [row[0] for row in held] != [entry.hash for entry in entries]
        return True


def _fill(database: "Database", entries: tuple[Entry, ...]) -> None:
    rows: dict[str, list[dict[str, str | int]]] = {
        "entries": [_entry_row(entry) for entry in entries],
        "photos": [
            _row(entry, entry.evidence, "photos")
            for entry in entries
            if isinstance(entry.evidence, PhotoTaken)
        ],
        "verdicts": [
            {**_row(entry, entry.evidence, "verdicts"), "state": entry.evidence.verdict.state}
            for entry in entries
            if isinstance(entry.evidence, Judged)
        ],
    }
    with database.atomic():
        for table, columns in _TABLES.items():
            database.table(table).drop(ignore=True)
            database.table(table).create(columns, strict=True)
            database.table(table).insert_all(rows[table])


def _entry_row(entry: Entry) -> dict[str, str | int]:
    key = str(getattr(entry.evidence, "key", ""))
    location = str(getattr(entry.evidence, "location", "")) or key.partition(".")[0]
    return {
        "hash": entry.hash, "bench": entry.bench, "seq": entry.seq, "at": entry.at,
        "by": entry.by, "kind": entry.kind, "key": key, "location": location,
    }  # fmt: skip


def _row(entry: Entry, record: object, table: str) -> dict[str, str | int]:
    """Return a table's row: the columns that are fields of the record, beside the hash."""
    columns = [name for name in _TABLES[table] if name != "hash"]
    return {"hash": entry.hash, **{name: str(getattr(record, name, "")) for name in columns}}
