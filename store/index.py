"""index.db: a book's look-up tables for any SQLite tool. Derived, and may be deleted at any time.

Made anew each time it is asked for, and put in place of what is there, which is never opened: it
may be damaged, of an older version, or a stranger's. This program decides nothing from it and
reads nothing in it. Its tables are told in themselves (``.schema``).
"""

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from store.codec import Entry
from store.files.disk import cannot_write, check_local
from store.files.halfmade import replace_file
from store.round import Round
from store.ways_out.listing import Column, Row
from store.ways_out.tables import BOOK_TABLES, Table, book_rows, described

FILE_NAME = "index.db"
# What SQLite would take for an unfinished write of the new file.
_BESIDE = ("-journal", "-wal", "-shm")
_ABOUT = Table(
    "about",
    "one thing to know of this file",
    (Column("name", "text", "what is told"), Column("says", "text", "what there is to say of it")),
)
# Tells our look-up files from other databases: where SQLite keeps it is in its file format, 1.3.
_APPLICATION = 0x42505249
_APPLICATION_AT = slice(68, 72)
_DERIVED = (
    "made from ledger.db, where the evidence is; nothing is decided from this file, which may be "
    "deleted and made again with: benchproof index BOOK"
)


class Made(NamedTuple):
    """An index that was written: where it is, and how many rows each table has."""

    path: Path
    rows: dict[str, int]


def write_index(
    path: Path, entries: tuple[Entry, ...], known: Round, *, within: Path | None = None
) -> Made:
    """Write the look-up tables of a book to a file, in place of what is there.

    ``within`` is the book's own folder where the file goes into it. Raises NetworkFolder,
    CannotWrite.
    """
    if within is not None:
        check_local(within)
    rows = book_rows(entries, known)
    content = _database(rows, known)
    try:
        for suffix in _BESIDE:
            path.with_name(path.name + suffix).unlink(missing_ok=True)
        replace_file(path, content)
    except OSError as error:
        elsewhere = " (with -o it goes elsewhere)" if within else ""
        raise cannot_write(error, path.name + elsewhere) from error
    return Made(path, {name: len(found) for name, found in rows.items()})


def is_index(path: Path) -> bool:
    """Return whether a file is an index that was written here, and not another database."""
    with path.open("rb") as file:
        return file.read(100)[_APPLICATION_AT] == _APPLICATION.to_bytes(4, "big")


def tables_text() -> str:
    """Return what each table and each column of it is, for a person."""
    return described((*BOOK_TABLES, _ABOUT))


def _database(rows: dict[str, list[Row]], known: Round) -> bytes:
    about = {
        "what this is": _DERIVED,
        "job": known.job.number,
        "entries": str(known.entries),
        "last entry": known.last.entry,
        "hint": "SELECT key, value, u, unit FROM checks WHERE state = 'outside'",
    }
    from sqlite_utils import Database  # noqa: PLC0415 - slow to load

    told: list[Row] = [{"name": name, "says": says} for name, says in about.items()]
    with closing(sqlite3.connect(":memory:")) as connection:
        connection.execute(f"PRAGMA application_id={_APPLICATION}")
        database = Database(connection, execute_plugins=False)
        for table in (_ABOUT, *BOOK_TABLES):
            connection.execute(table.ddl())
            database.table(table.name).insert_all({_ABOUT.name: told, **rows}[table.name])
        connection.commit()
        return connection.serialize()
