"""The tables of a look-up file: what each and each of its columns is, and the SQL that says so.

SQLite keeps the words of CREATE TABLE, comments and all: ``.schema`` in any tool shows them.
"""

from typing import NamedTuple

from store.codec import Entry
from store.evidence import Judged, PhotoTaken
from store.round import Round
from store.ways_out.listing import CHECKS, READINGS, Cell, Column, Row, check_rows, reading_rows

_TYPES = {"text": "TEXT", "number": "REAL", "whole": "INTEGER", "yes-no": "INTEGER"}
_HASH = Column("hash", "text", "SHA-256 of the entry's line in ledger.db")


class Table(NamedTuple):
    """A table: its name, what one row of it is, its columns."""

    name: str
    row: str
    columns: tuple[Column, ...]

    def ddl(self, *before: str) -> str:
        """Return its CREATE TABLE, each column with its comment; ``before`` are lines put first."""
        lines = [f"  {line}," for line in before]
        lines += [f'  "{each.name}" {_TYPES[each.form]}, -- {_says(each)}' for each in self.columns]
        lines[-1] = lines[-1].replace(", --", " --", 1)  # no comma after the last
        text = "\n".join(lines)
        return f'CREATE TABLE "{self.name}" ( -- one row: {self.row}\n{text}\n) STRICT'


CHECK_TABLE = Table("checks", "where one check stands, not measured ones too", CHECKS)
READING_TABLE = Table("readings", "one value ever given, counted or not", READINGS)
GAUGE_TABLE = Table(
    "gauges",
    "one gauge of the job's register",
    (
        Column("id", "text", "its name in the job"),
        Column("kind", "text", "what it is"),
        Column("marked", "text", "the number engraved on it"),
        Column("last_check", "text", "the day of its last check"),
        Column("due", "text", "the day from which that check no longer counts"),
        Column("overdue", "yes-no", "whether it was used after that day"),
        Column("suspect", "text", "why it may have been wrong; empty if nothing is against it"),
    ),
)
_ENTRY_TABLE = Table(
    "entries",
    "one line of the ledger, in order of arrival",
    (
        _HASH,
        Column("bench", "text", "whose chain"),
        Column("seq", "whole", "its number in that chain"),
        Column("at", "text", "when, as claimed by the bench's clock"),
        Column("by", "text", "who"),
        Column("kind", "text", "what happened: reading, marked, judged, struck ..."),
        Column("key", "text", "the check it speaks of, if one"),
        Column("location", "text", "the location's id, if one"),
    ),
)
_PHOTO_TABLE = Table(
    "photos",
    "one photo filed at one place",
    (
        _HASH,
        Column("photo", "text", "SHA-256 of its bytes, and its name in photos/"),
        Column("location", "text", "id of the location or hold point"),
        Column("role", "text", "what it shows"),
        Column("suffix", "text", "its kind: jpg, png, heic ..."),
        Column("file", "text", "the name it came under"),
    ),
)
_VERDICT_TABLE = Table(
    "verdicts",
    "one verdict ever given; a later one of the same subject counts instead",
    (
        _HASH,
        Column("subject", "text", "hash of the entry that was judged"),
        Column("key", "text", "the check"),
        Column("state", "text", "within, outside, too close to call, not measured"),
        Column("probability", "number", "probability that the true value is within, 0 to 1"),
    ),
)
BOOK_TABLES = (
    CHECK_TABLE, READING_TABLE, GAUGE_TABLE, _ENTRY_TABLE, _PHOTO_TABLE, _VERDICT_TABLE,
)  # fmt: skip


def book_rows(entries: tuple[Entry, ...], known: Round) -> dict[str, list[Row]]:
    """Return the rows of every table of one book by the table's name."""
    return {
        CHECK_TABLE.name: list(check_rows(known)),
        READING_TABLE.name: list(reading_rows(known)),
        GAUGE_TABLE.name: gauge_rows(known),
        _ENTRY_TABLE.name: [_entry(entry) for entry in entries],
        _PHOTO_TABLE.name: [
            _photo(entry, entry.evidence)
            for entry in entries
            if isinstance(entry.evidence, PhotoTaken)
        ],
        _VERDICT_TABLE.name: [
            _verdict(entry, entry.evidence)
            for entry in entries
            if isinstance(entry.evidence, Judged)
        ],
    }


def gauge_rows(known: Round) -> list[Row]:
    """Return the rows of a job's gauges."""
    return [
        {
            "id": state.gauge.id,
            "kind": state.gauge.kind,
            "marked": state.gauge.marked,
            "last_check": state.gauge.last_check,
            "due": state.gauge.due,
            "overdue": state.overdue,
            "suspect": state.suspect,
        }
        for state in known.gauges
    ]


def described(tables: tuple[Table, ...]) -> str:
    """Return what each table and column is, for a person."""
    return "\n".join(
        f"{table.name}: one row is {table.row}\n"
        + "".join(f"  {column.name:<13}{_says(column)}\n" for column in table.columns)
        for table in tables
    )


def _says(column: Column) -> str:
    return f"{column.says} (1 or 0)" if column.form == "yes-no" else column.says


def _entry(entry: Entry) -> Row:
    key = str(getattr(entry.evidence, "key", ""))
    location = str(getattr(entry.evidence, "location", "")) or key.partition(".")[0]
    cells: dict[str, Cell] = {
        "hash": entry.hash, "bench": entry.bench, "seq": entry.seq, "at": entry.at,
        "by": entry.by, "kind": entry.kind, "key": key, "location": location,
    }  # fmt: skip
    return cells


def _photo(entry: Entry, taken: PhotoTaken) -> Row:
    return {
        "hash": entry.hash, "photo": taken.photo, "location": taken.location, "role": taken.role,
        "suffix": taken.suffix, "file": taken.file_name,
    }  # fmt: skip


def _verdict(entry: Entry, judged: Judged) -> Row:
    return {
        "hash": entry.hash, "subject": judged.subject, "key": judged.key,
        "state": judged.verdict.state, "probability": judged.verdict.probability_within,
    }  # fmt: skip
